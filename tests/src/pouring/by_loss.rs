//! Prep: amounts in grams, and pours weighed by what the bottle on the pan lost while it was away.
//!
//! What the station records is held against what the simulated bench knows to have left the bottle.

use std::sync::OnceLock;

use pennyweight_core::output::{PourRecord, Verdict};
use pennyweight_core::spec::{DrinkId, Sheet, Unit, Vessel};
use pennyweight_core::view::{Page, Reading};
use pennyweight_core::{Command, Event, Mode, Station};
use pennyweight_sim::plant::{Bench, BenchSetup, Table, VesselRef};
use pennyweight_sim::session::{Lockstep, Moment, bar_of, setup_for};
use pennyweight_sim::sheet;

/// A syrup in grams and one liquid in millilitres, which prep shows in grams too.
const SHEET: &str = r#"
[liquid.sugar-syrup]
pours = "syrup"
brix = 66

[liquid.rum]
abv = 40

[[drink]]
name = "Cane Base"
vessel = "highball"
build = ["300 g sugar-syrup", "150 ml rum"]
"#;

fn packed() -> Sheet<'static> {
    static PACKED: OnceLock<Vec<u8>> = OnceLock::new();
    let bytes = PACKED.get_or_init(|| {
        let read = sheet::parse(SHEET, "prep");
        read.expect("the sheet is sound").pack().to_vec()
    });
    Sheet::new(bytes).expect("a packed sheet can be read")
}

/// A station in prep, and the bottles beside it.
struct Bar {
    rig: Lockstep<'static>,
    records: Vec<PourRecord>,
    verdicts: Vec<Verdict>,
    done: bool,
    page: Page<'static>,
}

impl Bar {
    fn new(sps: f64, seed: u64) -> Self {
        let table = Table::nominal();
        let bar = bar_of(&packed(), &table, seed).expect("a readable sheet");
        let liquids = bar.into_iter().map(|bottle| bottle.liquid).collect();
        let bench = Bench::new(&table, BenchSetup::new(sps, seed, liquids));
        let mut station = Station::new(setup_for(&bench, Mode::Prep));
        station.load(packed());
        let mut bar = Self {
            rig: Lockstep::new(bench, station),
            records: Vec::new(),
            verdicts: Vec::new(),
            done: false,
            page: Page::Idle,
        };
        bar.wait(2.0);
        let moment = bar.rig.command(Command::Order(DrinkId(0)));
        bar.note(&moment);
        bar
    }

    /// A bottle of so many grams, elsewhere.
    fn bottle(&mut self, kind: Vessel, grams: f64) -> VesselRef {
        let bottle = self.rig.bench.take_vessel(kind);
        self.rig.bench.ice_into(bottle, grams);
        self.rig.bench.melt(bottle, grams);
        bottle
    }

    fn note(&mut self, moment: &Moment<'static>) {
        for event in moment.outputs.events() {
            match event {
                Event::Poured(record) => self.records.push(record),
                Event::Verdict(judged) => self.verdicts.push(judged.verdict),
                Event::Done(_) => self.done = true,
                _ => {}
            }
        }
        self.page = moment.view.page;
    }

    fn wait(&mut self, seconds: f64) {
        let until_us = self.rig.now_us() + (seconds * 1e6) as u64;
        while let Some(moment) = self.rig.step(Some(until_us)) {
            self.note(&moment);
        }
    }

    fn set_down(&mut self, bottle: VesselRef) {
        self.rig.bench.place(bottle);
        self.wait(2.5);
    }

    /// Lifts what stands there, pours so much of it away, and gives the grams that truly left.
    fn pour_away(&mut self, bottle: VesselRef, grams: f64) -> f64 {
        self.rig.bench.lift();
        self.wait(3.0);
        let before_g = self.rig.bench.contents_shown_g(bottle);
        let all_g: f64 = self
            .rig
            .bench
            .contents(bottle)
            .iter()
            .map(|(_, part)| part)
            .sum();
        self.rig.bench.strain_from(bottle, all_g - grams);
        let left_g = before_g - self.rig.bench.contents_shown_g(bottle);
        self.set_down(bottle);
        left_g
    }

    fn remaining(&self) -> (&'static str, Reading) {
        match self.page {
            Page::Pour {
                liquid, remaining, ..
            } => (liquid, remaining),
            Page::Add {
                liquid, missing, ..
            } => (liquid, missing),
            page => panic!("no pour is asked for: {page:?}"),
        }
    }
}

/// Grams of a reading in grams.
fn grams(reading: Reading) -> f64 {
    assert_eq!(reading.unit, Unit::Gram);
    f64::from(reading.value) / 10_f64.powi(i32::from(reading.decimals))
}

fn is_true(record: &PourRecord, left_g: f64, place: &str) {
    let off_g = f64::from(record.poured.mass.0) - left_g;
    let sigma_g = f64::from(record.poured.sigma.0);
    assert!(off_g.abs() < 3.0 * sigma_g, "{place}: {off_g} of {sigma_g}");
}

fn two_bottles(sps: f64) {
    for seed in 1..=4 {
        let place = format!("{sps} a second, seed {seed}");
        let mut bar = Bar::new(sps, seed);
        let syrup = bar.bottle(Vessel::MixingGlass, 900.0);
        let rum = bar.bottle(Vessel::Highball, 600.0);
        bar.set_down(syrup);
        let (liquid, asked) = bar.remaining();
        assert_eq!((liquid, grams(asked)), ("sugar syrup", 300.0), "{place}");

        // Lifted and put back: nobody has poured.
        bar.pour_away(syrup, 0.0);
        assert!(bar.verdicts.is_empty(), "{place}");

        let first_g = bar.pour_away(syrup, 180.0);
        assert_eq!(bar.verdicts, [Verdict::Short], "{place}");
        let missing_g = grams(bar.remaining().1);
        assert!((missing_g - 120.0).abs() < 2.0, "{place}: {missing_g}");

        let second_g = bar.pour_away(syrup, 120.0);
        assert_eq!(bar.verdicts, [Verdict::Short, Verdict::Good], "{place}");
        let (liquid, asked) = bar.remaining();
        assert_eq!(liquid, "rum", "{place}");
        // 40 % vol: 948.05 kg/m3 at 20 degC (OIML R 22), seen in air of 1.2 kg/m3 against weights
        // of 8000 kg/m3.
        let rum_g = 150.0 * 0.948_05 * (1.0 - 1.2 / 948.05) / (1.0 - 1.2 / 8000.0);
        assert!((grams(asked) - rum_g).abs() < 1.0, "{place}: {asked:?}");

        // The next bottle is lighter, and no pour of the one before.
        bar.rig.bench.lift();
        bar.wait(2.0);
        bar.set_down(rum);
        assert_eq!(bar.verdicts.len(), 2, "{place}");
        assert_eq!(bar.records.len(), 1, "{place}");
        is_true(&bar.records[0], first_g + second_g, &place);

        // Too much: said, and nothing is asked to be tipped back out.
        let third_g = bar.pour_away(rum, 160.0);
        assert_eq!(bar.verdicts.last(), Some(&Verdict::Over), "{place}");
        bar.wait(12.0);
        bar.rig.bench.lift();
        bar.wait(3.0);
        assert_eq!(bar.records.len(), 2, "{place}");
        is_true(&bar.records[1], third_g, &place);
        assert!(bar.done, "{place}");
    }
}

#[test]
fn at_10_samples_a_second() {
    two_bottles(10.0);
}

#[test]
fn at_80_samples_a_second() {
    two_bottles(80.0);
}

#[test]
fn at_320_samples_a_second() {
    two_bottles(320.0);
}
