//! Things to keep, made at random, and what must be found of them.

use std::collections::BTreeMap;
use std::ops::Range;

use embedded_storage::nor_flash::NorFlash;
use pennyweight_core::build::{Stage, UnderWay};
use pennyweight_core::input::{Known, Sample};
use pennyweight_core::journal::limits::ENTRY_MAX;
use pennyweight_core::journal::payload::{
    Back, Bottle, BottleHabit, Drink, FaultSeen, Loss, Moment, Order, Pour, PowerUps, RoundState,
    Stamp, UnderWayState,
};
use pennyweight_core::journal::{Cursor, Journal, Record, WriteError};
use pennyweight_core::output::{
    Dilution, DilutionBasis, DrinkRecord, Fault, Figure, Learned, Lesson, PourRecord, Refused,
    Settled, Verdict,
};
use pennyweight_core::pour::Habit;
use pennyweight_core::spec::{Amount, DrinkId, House, LiquidId, Quantity, Unit};
use pennyweight_core::units::{Grams, Millilitres};
use pennyweight_core::weigh::Calibration;
use rand::RngExt;
use rand_pcg::Pcg64;

/// Something to keep.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Thing {
    Calibration(Calibration),
    House(House),
    PowerUps(PowerUps),
    Round(RoundState),
    UnderWay(u8, UnderWayState),
    Habit(u8, BottleHabit),
    Record(Record),
}

fn settled(rng: &mut Pcg64) -> Settled {
    Settled {
        mass: Grams(rng.random_range(0.0..400.0)),
        sigma: Grams(rng.random_range(0.0..0.5)),
    }
}

fn stamp(rng: &mut Pcg64) -> Stamp {
    let time = rng.random();
    Stamp {
        start: rng.random(),
        at: if rng.random() {
            Moment::Utc(time)
        } else {
            Moment::SincePowerUp(time)
        },
        sheet: rng.random(),
    }
}

pub(crate) fn pour(rng: &mut Pcg64) -> Pour {
    Pour {
        stamp: stamp(rng),
        order: rng.random(),
        drink: Some(DrinkId(rng.random_range(0..128))),
        record: PourRecord {
            step: rng.random_range(0..24),
            liquid: LiquidId(rng.random_range(0..128)),
            amount: Amount {
                quantity: Quantity::Volume(rng.random_range(1..90_000)),
                unit: Unit::Oz,
            },
            target_volume: Millilitres(rng.random_range(1.0..90.0)),
            target: Grams(rng.random_range(1.0..90.0)),
            poured: settled(rng),
            verdict: Verdict::Short,
        },
    }
}

pub(crate) fn drink(rng: &mut Pcg64) -> Drink {
    Drink {
        stamp: stamp(rng),
        order: rng.random(),
        record: DrinkRecord {
            drink: DrinkId(rng.random_range(0..128)),
            volume: Millilitres(rng.random_range(40.0..300.0)),
            volume_sigma: Millilitres(rng.random_range(0.1..3.0)),
            abv_percent: rng.random_range(0.0..60.0),
            abv_sigma_percent: rng.random_range(0.0..1.0),
            sugar_g_per_l: rng.random_range(0.0..200.0),
            ethanol: Grams(rng.random_range(0.0..40.0)),
            ethanol_sigma: Grams(rng.random_range(0.0..1.0)),
            dilution: rng.random::<bool>().then(|| Dilution {
                basis: DilutionBasis::Weighed,
                percent: rng.random_range(-1.0..60.0),
                sigma_percent: rng.random_range(0.0..5.0),
            }),
        },
        back: rng.random::<bool>().then(|| Back {
            lost: settled(rng),
            expected: None,
        }),
    }
}

/// A habit of these values as flash may bring it: drips, delay, its variance, the covariance, the
/// variance of the drips, eased flow, usual flow, share; and the pours that taught it.
pub(crate) fn habit(values: [f32; 8], pours: u16) -> Habit {
    let bytes = postcard::to_allocvec(&(values, 0i8, pours)).expect("written");
    postcard::from_bytes(&bytes).expect("a habit has these fields in this order")
}

pub(super) fn bottle_habit(rng: &mut Pcg64) -> BottleHabit {
    let values = [
        0.04,
        rng.random_range(0.05..0.9),
        rng.random_range(1e-4..0.0064),
        rng.random_range(-1e-4..1e-4),
        rng.random_range(1e-3..0.4),
        rng.random_range(1.0..6.0),
        rng.random_range(0.0..30.0),
        rng.random_range(0.2..1.0),
    ];
    BottleHabit {
        hand: rng.random::<bool>().then(|| rng.random()),
        bottle: rng.random::<bool>().then(|| rng.random()),
        habit: rng.random::<bool>().then(|| habit(values, rng.random())),
    }
}

fn figure(rng: &mut Pcg64, values: Range<f32>, sigmas: Range<f32>) -> Figure {
    Figure {
        value: rng.random_range(values),
        sigma: rng.random_range(sigmas),
    }
}

pub(crate) fn bottle(rng: &mut Pcg64) -> Bottle {
    let (known, lesson) = match rng.random_range(0..4) {
        0 => (Known::Nothing, Lesson::Density),
        1 => (
            Known::Strength(rng.random_range(0..=10_000)),
            Lesson::Sugar(figure(rng, 0.0..1_250.0, 5.0..40.0)),
        ),
        2 => (
            Known::Sugar(rng.random_range(0..=12_500)),
            Lesson::Strength(figure(rng, 0.0..100.0, 0.5..5.0)),
        ),
        _ => (
            Known::Strength(rng.random_range(0..=10_000)),
            Lesson::Refused(Refused::TooLight(rng.random_range(780.0..998.0))),
        ),
    };
    Bottle {
        stamp: stamp(rng),
        learned: Learned {
            sample: Sample {
                volume_ul: rng.random_range(5_000..2_000_000),
                sigma_ul: rng.random_range(10..1_000),
                celsius: rng.random_range(-500..3_000),
                known,
            },
            fills: rng.random_range(1..10),
            density: figure(rng, 780.0..1_300.0, 0.1..5.0),
            spread: rng.random_range(0.0..5.0),
            lesson,
        },
    }
}

pub(super) fn round(rng: &mut Pcg64, orders: usize) -> RoundState {
    let under_way = (rng.random(), DrinkId(rng.random()));
    RoundState {
        sheet: rng.random(),
        begun: rng.random(),
        under_way: [under_way].into_iter().collect(),
        orders: (0..orders)
            .map(|_| Order {
                drink: DrinkId(rng.random()),
                glasses: rng.random(),
            })
            .collect(),
    }
}

pub(super) fn under_way(rng: &mut Pcg64, steps: u8) -> UnderWayState {
    let stages = [
        Stage::Working,
        Stage::Between,
        Stage::Away,
        Stage::Glass,
        Stage::Straining,
    ];
    let mut grams = |most| Grams(rng.random_range(0.0..most));
    let brought = (0..steps).map(|step| (step, grams(400.0))).collect();
    UnderWayState {
        brought,
        tare: grams(900.0),
        drink: UnderWay {
            number: rng.random(),
            drink: DrinkId(rng.random()),
            step: steps,
            glasses: rng.random_range(1..4),
            served: rng.random(),
            growth: rng.random_range(1.0..2.0),
            mending: rng.random(),
            stage: stages[rng.random_range(0..5)],
            gross: Grams(rng.random_range(0.0..1_500.0)),
            first_served: rng
                .random::<bool>()
                .then(|| Grams(rng.random_range(0.0..300.0))),
            strained: rng
                .random::<bool>()
                .then(|| Grams(rng.random_range(0.0..300.0))),
        },
        sheet: rng.random(),
    }
}

impl Thing {
    /// Anything, in the proportions of a night.
    pub fn any(rng: &mut Pcg64) -> Self {
        match rng.random_range(0..100) {
            0..3 => Self::Calibration(Calibration {
                zero_code: rng.random_range(-8_000_000..8_000_000),
                counts_per_gram: rng.random_range(100.0..2_500.0),
            }),
            3..6 => Self::House(House {
                dash_ul: rng.random_range(1..=20_000),
                barspoon_ul: rng.random_range(1..=20_000),
                drop_ul: rng.random_range(1..=20_000),
            }),
            6..8 => Self::PowerUps(PowerUps(rng.random())),
            8..13 => {
                let orders = rng.random_range(0..=24);
                Self::Round(round(rng, orders))
            }
            13..35 => {
                let steps = rng.random_range(0..=24);
                Self::UnderWay(rng.random_range(0..5), under_way(rng, steps))
            }
            35..45 => Self::Habit(rng.random_range(0..24), bottle_habit(rng)),
            45..50 => Self::Record(Record::Bottle(bottle(rng))),
            50..85 => Self::Record(Record::Pour(pour(rng))),
            85..95 => Self::Record(Record::Drink(drink(rng))),
            95..97 => Self::Record(Record::Loss(Loss {
                stamp: stamp(rng),
                order: rng.random(),
                drink: DrinkId(rng.random_range(0..128)),
                lost: settled(rng),
            })),
            _ => Self::Record(Record::Fault(FaultSeen {
                stamp: stamp(rng),
                fault: Fault::Overload,
            })),
        }
    }

    pub fn write<F: NorFlash>(&self, journal: &mut Journal<F>) -> Result<(), WriteError> {
        match self {
            Self::Calibration(it) => journal.put(0, it),
            Self::House(it) => journal.put(0, it),
            Self::PowerUps(it) => journal.put(0, it),
            Self::Round(it) => journal.put(0, it),
            Self::UnderWay(index, it) => journal.put(*index, it),
            Self::Habit(index, it) => journal.put(*index, it),
            Self::Record(Record::Pour(it)) => journal.log(it).map(drop),
            Self::Record(Record::Drink(it)) => journal.log(it).map(drop),
            Self::Record(Record::Fault(it)) => journal.log(it).map(drop),
            Self::Record(Record::Loss(it)) => journal.log(it).map(drop),
            Self::Record(Record::Bottle(it)) => journal.log(it).map(drop),
        }
    }

    /// What the journal has in its place.
    fn found<F: NorFlash>(&self, journal: &mut Journal<F>) -> Option<Self> {
        const READS: &str = "a state that was written can be read";
        match self {
            Self::Calibration(_) => journal.get(0).expect(READS).map(Self::Calibration),
            Self::House(_) => journal.get(0).expect(READS).map(Self::House),
            Self::PowerUps(_) => journal.get(0).expect(READS).map(Self::PowerUps),
            Self::Round(_) => journal.get(0).expect(READS).map(Self::Round),
            Self::UnderWay(index, _) => {
                (journal.get(*index).expect(READS)).map(|it| Self::UnderWay(*index, it))
            }
            Self::Habit(index, _) => {
                (journal.get(*index).expect(READS)).map(|it| Self::Habit(*index, it))
            }
            Self::Record(_) => None,
        }
    }

    fn place(&self) -> (u8, u8) {
        match self {
            Self::Calibration(_) => (0, 0),
            Self::House(_) => (1, 0),
            Self::PowerUps(_) => (2, 0),
            Self::Round(_) => (3, 0),
            Self::UnderWay(index, _) => (4, *index),
            Self::Habit(index, _) => (5, *index),
            Self::Record(_) => (6, 0),
        }
    }
}

/// Every record, with its number.
pub(crate) fn records<F: NorFlash>(journal: &mut Journal<F>) -> Vec<(u32, Record)> {
    let mut cursor = Cursor::default();
    let mut buffer = [0; ENTRY_MAX];
    let mut records = Vec::new();
    while let Some(kept) = journal.next(&mut cursor, &mut buffer) {
        records.push((kept.number, kept.record().expect("a record can be read")));
    }
    records
}

/// What was committed, and what is being written.
#[derive(Clone, Default)]
pub(super) struct Truth {
    states: BTreeMap<(u8, u8), Thing>,
    records: BTreeMap<u32, Record>,
    next: u32,
    pending: Option<Thing>,
    /// While a sector is given up the records of one sector may go.
    tidying: bool,
}

/// The most records that one sector of 8 KiB holds: a fault takes 24 bytes and more.
const SECTOR_RECORDS: u32 = 8 * 1024 / 24;

impl Truth {
    pub fn begin(&mut self, thing: Thing) {
        self.pending = Some(thing);
    }

    pub fn begin_tidying(&mut self) {
        self.tidying = true;
    }

    /// It was not done.
    pub fn give_up(&mut self) {
        self.pending = None;
        self.tidying = false;
    }

    pub fn commit(&mut self) {
        match self.pending.take() {
            Some(Thing::Record(record)) => {
                self.records.insert(self.next, record);
                self.next += 1;
            }
            Some(thing) => {
                self.states.insert(thing.place(), thing);
            }
            None => {}
        }
    }

    /// After tidying: the oldest records may have given way, one sector of them.
    pub fn tidied<F: NorFlash>(&mut self, journal: &mut Journal<F>) {
        let first = records(journal).first().map_or(self.next, |first| first.0);
        let oldest = self.records.keys().next().copied().unwrap_or(first);
        assert!(first - oldest <= SECTOR_RECORDS, "{oldest} to {first} gone");
        self.records = self.records.split_off(&first);
        self.tidying = false;
    }

    /// How many records there are.
    pub fn records(&self) -> usize {
        self.records.len()
    }

    /// Holds the journal against it.
    pub fn check<F: NorFlash>(&self, journal: &mut Journal<F>) {
        for (place, thing) in &self.states {
            let found = thing.found(journal).expect("a state is never lost");
            let pending = self.pending.as_ref().filter(|it| it.place() == *place);
            assert!(
                found == *thing || Some(&found) == pending,
                "neither old nor new: {found:?}"
            );
        }
        if let Some(pending) = &self.pending
            && !matches!(pending, Thing::Record(_))
            && !self.states.contains_key(&pending.place())
        {
            let found = pending.found(journal);
            assert!(found.is_none_or(|found| found == *pending));
        }
        let mut found: BTreeMap<u32, Record> = records(journal).into_iter().collect();
        let numbers = |records: &BTreeMap<u32, Record>| records.keys().copied().collect::<Vec<_>>();
        if let Some(record) = found.remove(&self.next) {
            let pending = self.pending.clone();
            assert_eq!(Some(Thing::Record(record)), pending, "from nowhere");
        }
        if self.tidying {
            let oldest = self.records.keys().next().copied().unwrap_or(0);
            let kept = self.records.clone().split_off(&(oldest + SECTOR_RECORDS));
            assert!(kept.keys().all(|number| found.contains_key(number)));
            for (number, record) in &found {
                assert_eq!(self.records.get(number), Some(record));
            }
        } else {
            assert_eq!(
                numbers(&found),
                numbers(&self.records),
                "before {}",
                self.next
            );
            let (found, kept) = (found.into_iter(), self.records.clone().into_iter());
            if let Some((found, kept)) = found.zip(kept).find(|(found, kept)| found != kept) {
                panic!("{found:?} in place of {kept:?}");
            }
        }
        assert!(journal.next_number() >= self.next);
    }

    /// After a cut: takes what the journal has for what there is.
    pub fn adopt<F: NorFlash>(&mut self, journal: &mut Journal<F>) {
        if let Some(pending) = self.pending.take()
            && !matches!(pending, Thing::Record(_))
            && let Some(found) = pending.found(journal)
        {
            self.states.insert(found.place(), found);
        }
        self.records = records(journal).into_iter().collect();
        self.next = journal.next_number();
        self.tidying = false;
    }
}
