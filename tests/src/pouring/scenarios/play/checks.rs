//! What a scene holds against the truth of the bench, and the strain.

use pennyweight_core::output::PourRecord;
use pennyweight_core::spec::Quantity;
use pennyweight_core::view::Page;
use pennyweight_core::{Event, Input};

use super::{Do, Is, Scene, packed, so};

impl Scene {
    /// What is to be so.
    pub(super) fn holds(&mut self, expected: Do) -> Result<(), String> {
        match expected {
            Do::Shows(wanted) => {
                let page = format!("{:?}", self.rig.station.view().page);
                so(page.starts_with(wanted), &page)
            }
            Do::Ratios(within) => self.ratios(within),
            Do::Alike(grams) => {
                let [.., one, two] = self.glasses[..] else {
                    return Err("there are no two glasses".to_owned());
                };
                let held = [one, two].map(|glass| self.rig.bench.contents_shown_g(glass));
                so((held[0] - held[1]).abs() <= grams, &format!("{held:?}"))
            }
            Do::Holds(low, high) => {
                let glass = self.glass.expect("a glass was set down");
                let held = self.rig.bench.contents_shown_g(glass);
                so((low..=high).contains(&held), &format!("it holds {held} g"))
            }
            Do::Asks(wanted) => {
                let page = self.rig.station.view().page;
                let asks = matches!(page, Page::Ask { .. });
                so(asks == wanted, &format!("{page:?}"))
            }
            Do::ReadsWithin(grams) => {
                let off = f64::from(self.rig.station.weight().0.0);
                so(off.abs() <= grams, &format!("it reads {off} g"))
            }
            Do::Expect(event, within_s) => self.expect(event, within_s),
            Do::Happened(event) => {
                let happened = self.told.iter().any(|(_, told)| event.found_in(told));
                so(happened, "that was never told")
            }
            Do::Never(event) => {
                let mut late = self.told.iter().skip(self.seen);
                so(!late.any(|(_, told)| event.found_in(told)), "that was told")
            }
            Do::Page(wanted) => {
                let page = self.rig.station.view().page;
                let asked = match page {
                    Page::Pour { liquid, .. } => liquid.to_owned(),
                    Page::Add { liquid, .. } => format!("add {liquid}"),
                    _ => String::new(),
                };
                let right = asked == wanted || asked.strip_prefix("add ") == Some(wanted);
                so(right, &format!("{page:?}"))
            }
            Do::Sounds(wanted) => {
                let sound = self.rig.station.view().sound;
                so(sound == wanted, &format!("{sound:?}"))
            }
            Do::RecordIsTrue => self.record_is_true(None),
            Do::RecordIsOnTarget(grams) => {
                let record = self.records.last().ok_or("nothing was recorded")?;
                let off = f64::from((record.poured.mass - record.target).0);
                so(off.abs() <= grams, &format!("it is {off} g off"))
            }
            Do::RecordIsNearly(grams) => self.record_is_true(Some(grams)),
            Do::RecordsAreNearly(grams) => self
                .records
                .iter()
                .try_for_each(|record| self.is_true(record, Some(grams))),
            Do::RecordsSumUp(grams) => {
                let glass = self.glass.expect("a glass was set down");
                let landed_g = self.rig.bench.contents_shown_g(glass);
                let said: f32 = self.records.iter().map(|record| record.poured.mass.0).sum();
                let off = f64::from(said) - landed_g;
                so(off.abs() <= grams, &format!("{said} g of {landed_g} g"))
            }
            Do::FirstRecordIsNearly(grams, within) => {
                let said = f64::from(self.records[0].poured.mass.0);
                so((said - grams).abs() <= within, &format!("it says {said} g"))
            }
            done => unreachable!("{done:?} is done, not expected"),
        }
    }

    pub(super) fn record_is_true(&self, within_g: Option<f64>) -> Result<(), String> {
        let record = self.records.last().ok_or("nothing was recorded")?;
        self.is_true(record, within_g)
    }

    /// What truly landed of the record's liquid.
    pub(super) fn is_true(&self, record: &PourRecord, within_g: Option<f64>) -> Result<(), String> {
        let name = packed().liquid(record.liquid).unwrap().name;
        let glass = self.glass.expect("a glass was set down");
        let bench = &self.rig.bench;
        let liquid = self.liquid(name);
        let landed_g: f64 = bench
            .contents(glass)
            .into_iter()
            .filter(|(held, _)| *held == liquid)
            .map(|(_, grams)| grams * bench.shown_share(liquid))
            .sum();
        let said = record.poured;
        let off = f64::from(said.mass.0) - landed_g;
        let bound = within_g.unwrap_or(0.3 + 3.0 * f64::from(said.sigma.0));
        so(
            off.abs() <= bound,
            &format!("{landed_g} g landed, {said:?} is recorded"),
        )
    }

    /// What is in the vessel of that number goes through a strainer.
    pub(super) fn strain(&mut self, number: usize) -> Result<(), String> {
        let source = self.glasses[number];
        let (mixture, grams) = match self.rest.take() {
            Some(rest) => rest,
            None => self.rig.bench.strain_from(source, 3.0),
        };
        let glass = self.glass.expect("a glass was set down");
        let before_g = self.rig.bench.contents_shown_g(glass);
        let draw = self.rig.bench.next_pour(mixture, 15.0);
        self.rig.bench.tilt_drawn(mixture, draw, grams);
        let give_up_us = self.after_us(40.0);
        let mut stop_us = None;
        loop {
            let told = self.told.len();
            let until_us = stop_us.unwrap_or(give_up_us);
            if !self.step(until_us) || self.rig.bench.bottle_is_empty() {
                break;
            }
            let stopped = self.told[told..]
                .iter()
                .any(|(_, event)| matches!(event, Event::Stop));
            if stopped {
                stop_us = Some(self.after_us(0.2));
            }
        }
        self.rig.bench.tilt_back();
        self.pass(2.0);
        let left_g = grams - (self.rig.bench.contents_shown_g(glass) - before_g);
        self.rest = (left_g > 1.0).then_some((mixture, left_g));
        Ok(())
    }

    /// Compares the last record of each step with the spec.
    pub(super) fn ratios(&self, within: f64) -> Result<(), String> {
        let mut last: Vec<&PourRecord> = Vec::new();
        for record in &self.records {
            last.retain(|other| other.step != record.step);
            last.push(record);
        }
        let shares: Vec<f64> = last
            .iter()
            .map(|record| {
                let asked = match record.amount.quantity {
                    Quantity::Volume(ul) => f64::from(ul) / 1e3,
                    _ => f64::NAN,
                };
                let volume = record.target_volume * (record.poured.mass.0 / record.target.0);
                f64::from(volume.0) / asked
            })
            .collect();
        let (least, most) = shares
            .iter()
            .fold((f64::MAX, 0.0_f64), |(least, most), share| {
                (least.min(*share), most.max(*share))
            });
        so(most / least <= 1.0 + within, &format!("{shares:?}"))
    }

    pub(super) fn expect(&mut self, event: Is, within_s: f64) -> Result<(), String> {
        let until_us = self.after_us(within_s);
        loop {
            let found = self
                .told
                .iter()
                .skip(self.seen)
                .position(|(_, told)| event.found_in(told));
            if let Some(place) = found {
                self.seen += place + 1;
                return Ok(());
            }
            if !self.step(until_us) {
                return Err(format!("it was not told within {within_s} s"));
            }
        }
    }

    /// Time passes, deadlines are met, but no conversion is read.
    pub(super) fn lose(&mut self, seconds: f64) {
        let until_us = self.after_us(seconds);
        self.rig.bench.advance(until_us);
        while let Some(due) = self
            .rig
            .station
            .deadline()
            .filter(|due| due.micros() <= until_us)
        {
            let outputs = self.rig.station.handle(due, Input::Tick);
            self.note(due, &outputs);
            if self.rig.station.deadline() == Some(due) {
                return;
            }
        }
    }
}
