//! A scale on the desk whose power is cut, and what is put on its pan.

use pennyweight_core::Instant;
use pennyweight_core::input::{Command, Input};
use pennyweight_core::journal::limits::ENTRY_MAX;
use pennyweight_core::journal::{Cursor, Record};
use pennyweight_core::output::Event;
use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::AdcCode;
use pennyweight_core::view::Page;

use super::device::{Chip, Scale, blank};

pub(super) const VESSEL_G: f64 = 420.0;

pub(super) struct Bench {
    pub(super) scale: Scale,
    now_us: u64,
    pub(super) told: Vec<Event>,
}

impl Bench {
    pub(super) fn power_up(chips: (Chip, Chip)) -> Self {
        Self {
            scale: Scale::power_up(chips),
            now_us: 0,
            told: Vec::new(),
        }
    }

    pub(super) fn give(&mut self, input: Input) {
        self.now_us += 12_500;
        let at = Instant::from_micros(self.now_us);
        let out = self.scale.handle(at, input);
        self.told.extend(out.events());
        self.scale.keeper_rests();
    }

    /// The pan carries so much for some seconds; a little noise, so that no code is stuck.
    pub(super) fn hold(&mut self, grams: f64, seconds: f64) {
        for sample in 0..(seconds * 80.0) as u32 {
            let noise = f64::from(sample * 7 % 5) * 4.0;
            self.give(Input::Code(AdcCode((grams * 1000.0 + noise) as i32)));
        }
    }

    /// A hand rests on the pan, which is never quite still.
    pub(super) fn press(&mut self, from: f64) {
        for sample in 0..80u32 {
            let hand = 300.0 + f64::from(sample * 37 % 60);
            self.give(Input::Code(AdcCode(((from + hand) * 1000.0) as i32)));
        }
    }

    /// Liquid lands at so many grams a second.
    pub(super) fn pour(&mut self, from: f64, grams: f64, flow: f64) {
        let samples = (grams / flow * 80.0) as u32;
        for sample in 0..samples {
            let landed = grams * f64::from(sample) / f64::from(samples);
            self.give(Input::Code(AdcCode(((from + landed) * 1000.0) as i32)));
        }
        self.hold(from + grams, 3.0);
    }

    pub(super) fn cut(self) -> Self {
        Self::power_up(self.scale.power_down())
    }

    pub(super) fn page(&mut self) -> Page<'static> {
        self.scale.station.view().page
    }
}

impl Scale {
    pub(super) fn keeper_rests(&mut self) {
        use pennyweight_core::keep::Shelf;
        self.keeper.rest(&self.station);
    }
}

/// A drink with its first pour done; what stands on the pan, and what the second step is.
pub(super) fn half_made() -> (Bench, f64) {
    let mut bench = Bench::power_up(blank());
    bench.hold(0.0, 1.5);
    // So that it is not the first, whose number is 0.
    bench.give(Input::Command(Command::Order(DrinkId(2))));
    bench.give(Input::Command(Command::Void(DrinkId(2))));
    bench.give(Input::Command(Command::Order(DrinkId(0))));
    bench.give(Input::Command(Command::Order(DrinkId(1))));
    bench.hold(VESSEL_G, 2.0);
    // 50 ml of rye whiskey at 46.45 g.
    bench.pour(VESSEL_G, 46.4, 8.0);
    let gross = VESSEL_G + 46.4;
    let steps = bench
        .told
        .iter()
        .filter(|it| matches!(it, Event::Step(_)))
        .count();
    assert_eq!(steps, 2, "{:?}", bench.told);
    (bench, gross)
}

/// The drink that has the pan, and its number.
pub(super) fn on_pan(bench: &Bench) -> Option<(DrinkId, u16)> {
    let build = bench.scale.station.round()?.build()?;
    Some((build.drink(), build.number()))
}

pub(super) fn step(bench: &Bench) -> Option<u8> {
    bench.told.iter().find_map(|event| match event {
        Event::Step(begun) => Some(begun.step),
        _ => None,
    })
}

/// The same with everything in and its vessel away to be stirred.
pub(super) fn away() -> Bench {
    let (mut bench, gross) = half_made();
    let mut gross = gross;
    for _ in 0..12 {
        match bench.page() {
            Page::Away { running: false, .. } => {
                bench.hold(0.0, 2.0);
                assert!(matches!(bench.page(), Page::Away { running: true, .. }));
                return bench;
            }
            Page::Ice { .. } => {
                gross += 180.0;
                bench.hold(gross, 5.0);
            }
            _ => {
                bench.give(Input::Command(Command::Skip));
                bench.hold(gross, 1.0);
            }
        }
    }
    panic!("it is never stirred: {:?}", bench.page());
}

/// The numbers of the drinks in the records.
pub(super) fn drinks_recorded(bench: &mut Bench) -> Vec<u16> {
    let mut buffer = [0; ENTRY_MAX];
    let mut cursor = Cursor::default();
    let mut orders = Vec::new();
    let journal = bench.scale.keeper.journal();
    while let Some(kept) = journal.next(&mut cursor, &mut buffer) {
        if let Record::Drink(drink) = kept.record().expect("it can be read") {
            orders.push(drink.order);
        }
    }
    orders
}
