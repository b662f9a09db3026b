//! The power goes at every word of a round: the whole station comes back.

use std::cell::RefCell;
use std::rc::Rc;

use pennyweight_core::build::UnderWay;
use pennyweight_core::input::{Command, Input};
use pennyweight_core::journal::payload::BottleHabit;
use pennyweight_core::journal::{Condition, Cursor};
use pennyweight_core::keep::waiting;
use pennyweight_core::link::Request;
use pennyweight_core::spec::{DrinkId, Sheet};
use pennyweight_core::units::{AdcCode, Grams};
use pennyweight_core::{Instant, Outputs, Station};
use pennyweight_sim::plant::Table;
use pennyweight_sim::session::{Session, SessionSetup};

use super::device::{SETUP, SHEET, Scale, blank, chip};
use crate::journal::flash::Image;

/// A drink under way: its number, which it is, its step, what each step brought.
type Open = (u16, u8, u8, Vec<(u8, f32)>);

/// What of a round must come back.
#[derive(Clone, Debug, Default)]
struct State {
    open: Vec<Open>,
    /// Drink and glasses.
    waiting: Vec<(u8, u8)>,
}

impl State {
    fn of(station: &Station<'_>) -> Self {
        let round = station.round().expect("a round");
        let open = |it: UnderWay, brought: Vec<(u8, Grams)>| {
            let brought = brought.into_iter().map(|(step, grams)| (step, grams.0));
            (it.number, it.drink.0, it.step, brought.collect())
        };
        let build = round
            .build()
            .and_then(|it| Some(open(it.under_way()?, it.brought().collect())));
        let asides = round
            .aside()
            .filter_map(|it| Some(open(it.under_way()?, it.brought().collect())));
        let mut all: Vec<Open> = build.into_iter().chain(asides).collect();
        all.sort_by_key(|it| it.0);
        let waiting = waiting(station).orders;
        Self {
            open: all,
            waiting: waiting.iter().map(|it| (it.drink.0, it.glasses)).collect(),
        }
    }

    /// The same, but for drips that came after a step was judged.
    fn is(&self, other: &Self) -> bool {
        let same = |(one, two): (&Open, &Open)| {
            let brought = one.3.iter().zip(&two.3);
            let close = brought
                .clone()
                .all(|(one, two)| one.0 == two.0 && (one.1 - two.1).abs() < 1.0);
            (one.0, one.1, one.2, one.3.len()) == (two.0, two.1, two.2, two.3.len()) && close
        };
        self.waiting == other.waiting
            && self.open.len() == other.open.len()
            && self.open.iter().zip(&other.open).all(same)
    }
}

/// What may be found after a cut.
#[derive(Clone, Debug, Default)]
struct Truth {
    /// Records written before this call, and with it.
    records: (u32, u32),
    /// The round before this call, and after it.
    round: [State; 2],
}

impl Truth {
    fn begin(&mut self, out: &Outputs, after: State) {
        let faults = out.fault.is_some_and(|fault| {
            use pennyweight_core::output::Fault;
            fault != Fault::Glitch
        });
        let new = [
            out.poured.is_some(),
            out.lost.is_some(),
            out.done.is_some(),
            out.weighed_back.is_some(),
            faults,
        ];
        let new = new.iter().filter(|it| **it).count() as u32;
        self.records = (self.records.1, self.records.1 + new);
        let [before, now] = &mut self.round;
        *before = std::mem::replace(now, after);
    }
}

fn records(scale: &mut Scale) -> u32 {
    let mut buffer = [0; pennyweight_core::journal::limits::ENTRY_MAX];
    let mut cursor = Cursor::default();
    let mut count = 0;
    while let Some(kept) = scale.keeper.journal().next(&mut cursor, &mut buffer) {
        assert_eq!(kept.number, count, "a record is missing");
        kept.record().expect("it can be read");
        count += 1;
    }
    count
}

#[test]
fn every_cut_in_a_round_leaves_records_settings_and_the_open_drink() {
    let sheet = Sheet::new(SHEET).expect("the demo");
    let table = Table::nominal();
    let setup = SessionSetup::new((0..6).map(DrinkId).collect(), 11);
    let mut session = Session::new(&table, sheet, &setup).expect("a session");

    let mut scale = Scale::power_up(blank());
    scale.rest();
    let line = pennyweight_core::weigh::Calibration {
        zero_code: session.bench().zero_code(),
        counts_per_gram: session.bench().counts_per_gram() as f32,
    };
    scale.reply(1, Request::Calibrate(line), |tell| {
        assert_eq!(tell, pennyweight_core::link::Reply::Done);
    });
    let kept = scale.station.calibration();

    // What the scale is about to be, a call ahead of what is written.
    let mut shadow = Station::new(SETUP);
    shadow.load(sheet);
    shadow.calibrate(kept);
    let truth = Rc::new(RefCell::new(Truth::default()));
    let cuts = Rc::new(RefCell::new(0u32));
    let seen = (Rc::clone(&truth), Rc::clone(&cuts));
    scale.keeper.journal().flash().watch = Some(Box::new(move |image: Image| {
        *seen.1.borrow_mut() += 1;
        let mut back = Scale::power_up((chip(image), blank().1));
        assert_eq!(back.keeper.condition(), Condition::Whole);
        let found = back.station.calibration();
        assert!((found.counts_per_gram - kept.counts_per_gram).abs() < 1e-3);
        assert_eq!(found.zero_code, kept.zero_code);
        let truth = seen.0.borrow();
        let (before, after) = truth.records;
        let count = records(&mut back);
        assert!((before..=after).contains(&count), "{count}: {truth:?}");
        let found = State::of(&back.station);
        let known = truth.round.iter().any(|state| state.is(&found));
        assert!(known, "{found:?}: {truth:?}");
        // It goes on living.
        for n in 1..4u64 {
            let _ = back.handle(Instant::from_micros(n * 12_500), Input::Code(AdcCode(0)));
        }
    }));
    let mut done = 0;
    for moment in &mut session {
        // The same core in both: what the session's station answers, this one does.
        let shown = shadow.handle(moment.at, moment.input);
        assert_eq!(shown, moment.outputs);
        truth.borrow_mut().begin(&shown, State::of(&shadow));
        let out = scale.handle(moment.at, moment.input);
        assert_eq!(out, moment.outputs);
        done += u32::from(out.done.is_some());
        if matches!(moment.input, Input::Command(Command::Order(_))) {
            let waiting = scale.station.round().map(|it| it.waiting().count());
            assert!(waiting.is_some());
        }
    }
    assert_eq!(done, 6, "all six drinks were made");
    scale.keeper.journal().flash().watch = None;
    let cuts = *cuts.borrow();
    println!("{cuts} cuts in a round of six drinks");
    assert!(cuts > 1_000, "{cuts}");

    // What the hands taught is there after power-up.
    let taught = scale.station.habits().known().len();
    let mut back = Scale::power_up(scale.power_down());
    assert_eq!(back.station.habits().known().len(), taught);
    assert!(taught > 0);
    assert!(
        back.keeper
            .journal()
            .get::<BottleHabit>(0)
            .is_ok_and(|it| it.is_some())
    );

    // And what was forgotten stays forgotten.
    let out = back.handle(
        Instant::from_micros(12_500),
        Input::Command(Command::Forget),
    );
    assert_eq!((out.fault, out.refused), (None, None));
    let again = Scale::power_up(back.power_down());
    assert!(again.station.habits().known().is_empty());
}
