//! Payloads: each comes back as it was written and as nothing else, and a later form beside an
//! earlier one.

use pennyweight_core::input::{Known, Mode, Sample};
use pennyweight_core::journal::limits::PAYLOAD_MAX;
use pennyweight_core::journal::payload::{
    Back, Bottle, BottleHabit, Drink, FaultSeen, Loss, Moment, Pour, PowerUps, RoundState, Stamp,
    UnderWayState, bottle_key,
};
use pennyweight_core::journal::{Kind, Payload, ReadError};
use pennyweight_core::output::{
    Dilution, DilutionBasis, DrinkRecord, Fault, Figure, Learned, Lesson, PourRecord, Refused,
    Settled, Verdict,
};
use pennyweight_core::spec::limits::STEPS_MAX;
use pennyweight_core::spec::{Amount, DrinkId, House, LiquidId, Quantity, Unit};
use pennyweight_core::station::Shift;
use pennyweight_core::units::{Grams, Millilitres};
use pennyweight_core::weigh::Calibration;
use rand::SeedableRng;
use rand_pcg::Pcg64;
use serde::{Deserialize, Serialize};

use super::cuts::fresh;
use super::flash::Flash;
use super::things::{self, records};

const STAMP: Stamp = Stamp {
    start: u16::MAX,
    at: Moment::Utc(u32::MAX),
    sheet: u16::MAX,
};

const CALIBRATION: Calibration = Calibration {
    zero_code: -8_120_345,
    counts_per_gram: 812.437_5,
};

const HOUSE: House = House {
    dash_ul: 800,
    barspoon_ul: 5_000,
    drop_ul: 50,
};

const LOST: Settled = Settled {
    mass: Grams(-1.25),
    sigma: Grams(0.8),
};

const WATER: Dilution = Dilution {
    basis: DilutionBasis::Expected,
    percent: 24.5,
    sigma_percent: 3.1,
};

const POUR: Pour = Pour {
    stamp: STAMP,
    order: u16::MAX,
    drink: Some(DrinkId(127)),
    record: PourRecord {
        step: 23,
        liquid: LiquidId(127),
        amount: Amount {
            quantity: Quantity::Volume(u32::MAX),
            unit: Unit::Oz,
        },
        target_volume: Millilitres(22.18),
        target: Grams(20.952),
        poured: LOST,
        verdict: Verdict::Over,
    },
};

const DRINK: Drink = Drink {
    stamp: STAMP,
    order: u16::MAX,
    record: DrinkRecord {
        drink: DrinkId(127),
        volume: Millilitres(96.25),
        volume_sigma: Millilitres(0.75),
        abv_percent: 27.31,
        abv_sigma_percent: 0.42,
        sugar_g_per_l: 61.07,
        ethanol: Grams(20.744),
        ethanol_sigma: Grams(0.31),
        dilution: Some(WATER),
    },
    back: Some(Back {
        lost: LOST,
        expected: Some(WATER),
    }),
};

const LOSS: Loss = Loss {
    stamp: STAMP,
    order: u16::MAX,
    drink: DrinkId(127),
    lost: LOST,
};

const BOTTLE: Bottle = Bottle {
    stamp: STAMP,
    learned: Learned {
        sample: Sample {
            volume_ul: u32::MAX,
            sigma_ul: u32::MAX,
            celsius: i16::MIN,
            known: Known::Strength(u16::MAX),
        },
        fills: u8::MAX,
        density: Figure {
            value: 1_056.25,
            sigma: 5.304,
        },
        spread: 0.42,
        lesson: Lesson::Sugar(Figure {
            value: 251.96,
            sigma: 13.4,
        }),
    },
};

/// The longest round and the longest drink under way that a station can write.
fn longest() -> (RoundState, UnderWayState) {
    let mut rng = Pcg64::seed_from_u64(1);
    let mut round = things::round(&mut rng, 24);
    (round.sheet, round.begun) = (u16::MAX, u16::MAX);
    round.under_way.clear();
    while round.under_way.push((u16::MAX, DrinkId(127))).is_ok() {}
    let mut drink = things::under_way(&mut rng, STEPS_MAX);
    drink.sheet = u16::MAX;
    drink.drink.number = u16::MAX;
    drink.drink.first_served = Some(Grams(91.5));
    drink.drink.strained = Some(Grams(0.3));
    (round, drink)
}

/// It comes back to the last bit; and nothing else is that: not a byte less, not one more.
fn comes_back<P: Payload + PartialEq + std::fmt::Debug>(index: u8, payload: &P) -> usize {
    let mut journal = fresh(Flash::<4, 8192>::blank(3, 1));
    let bytes = postcard::to_allocvec(payload).expect("written");
    if P::KIND.number() < Kind::Pour.number() {
        journal.put(index, payload).expect("there is room");
        assert_eq!(
            journal.get::<P>(index).as_ref(),
            Ok(&Some(payload.clone_by_bytes()))
        );
    } else {
        journal.log(payload).expect("there is room");
        assert_eq!(records(&mut journal).len(), 1);
    }
    for shorter in 0..bytes.len() {
        let cut = postcard::take_from_bytes::<P>(&bytes[..shorter]);
        assert!(cut.is_err(), "{payload:?} cut to {shorter} bytes");
    }
    bytes.len()
}

/// A copy by way of the bytes, of what is no `Clone`.
trait CloneByBytes: Sized {
    fn clone_by_bytes(&self) -> Self;
}

impl<P: Payload> CloneByBytes for P {
    fn clone_by_bytes(&self) -> Self {
        postcard::from_bytes(&postcard::to_allocvec(self).expect("written")).expect("read")
    }
}

#[test]
fn every_payload_comes_back_and_the_longest_fits() {
    let (round, drink) = longest();
    let shift = Shift {
        mode: Mode::Prep,
        hand: Some(4),
        serve: Some(Millilitres(90.0)),
    };
    let habit = BottleHabit {
        hand: Some(u8::MAX),
        bottle: Some(u32::MAX),
        habit: Some(things::habit(
            [0.04, 0.31, 6.4e-4, -1.2e-5, 9e-4, 3.2, 8.75, 0.418],
            u16::MAX,
        )),
    };
    let fault = FaultSeen {
        stamp: STAMP,
        fault: Fault::Memory,
    };
    let lengths = [
        // What `journal::limits` reckons with for each state.
        (comes_back(0, &CALIBRATION), 10),
        (comes_back(0, &HOUSE), 15),
        (comes_back(0, &PowerUps(u16::MAX)), 3),
        (comes_back(0, &shift), 8),
        (comes_back(0, &round), 103),
        (comes_back(4, &drink), 236),
        (comes_back(23, &habit), 57),
        (comes_back(0, &POUR), PAYLOAD_MAX - 4),
        (comes_back(0, &DRINK), PAYLOAD_MAX - 4),
        (comes_back(0, &LOSS), PAYLOAD_MAX - 4),
        (comes_back(0, &BOTTLE), PAYLOAD_MAX - 4),
        (comes_back(0, &fault), PAYLOAD_MAX - 4),
    ];
    for (index, (is, most)) in lengths.into_iter().enumerate() {
        assert!(is <= most, "payload {index}: {is} bytes of {most}");
    }
}

/// House measures as a later firmware might store them: with a pinch.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
struct LaterHouse {
    house: House,
    pinch_mg: Option<u32>,
}

impl Payload for LaterHouse {
    const KIND: Kind = Kind::House;
    const VERSION: u8 = 2;

    fn is_valid(&self) -> bool {
        self.house.is_valid()
    }

    fn from_earlier(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        match version {
            1 => match postcard::take_from_bytes(bytes) {
                Ok((house, [])) => Ok(Self {
                    house,
                    pinch_mg: None,
                }),
                Ok(_) | Err(_) => Err(ReadError::Value),
            },
            other => Err(ReadError::Version(other)),
        }
    }
}

#[test]
fn a_later_version_reads_the_earlier_and_is_not_lost_on_the_earlier() {
    let mut journal = fresh(Flash::<4, 8192>::blank(3, 1));
    journal.put(0, &HOUSE).unwrap();
    let read: LaterHouse = journal.get(0).unwrap().unwrap();
    assert_eq!((read.house, read.pinch_mg), (HOUSE, None));

    let later = LaterHouse {
        pinch_mg: Some(310),
        ..read
    };
    journal.put(0, &later).unwrap();
    // The earlier firmware says so, and carries it over round after round.
    let mut rng = Pcg64::seed_from_u64(1);
    for _ in 0..3_000 {
        assert!(journal.log(&things::pour(&mut rng)).is_ok());
        while journal.is_untidy() {
            journal.tidy().unwrap();
        }
    }
    assert_eq!(journal.get::<House>(0), Err(ReadError::Version(2)));
    assert_eq!(journal.get(0), Ok(Some(later)));
    journal.put(0, &HOUSE).unwrap();
    assert_eq!(journal.get(0), Ok(Some(HOUSE)));
}

/// The same fields with one appended, and no version for it.
#[derive(Serialize, Deserialize)]
struct Longer(House, u8);

impl Payload for Longer {
    const KIND: Kind = Kind::House;

    fn is_valid(&self) -> bool {
        true
    }
}

#[test]
fn a_field_more_without_a_version_is_refused() {
    let mut journal = fresh(Flash::<4, 8192>::blank(3, 1));
    journal.put(0, &Longer(HOUSE, 5)).unwrap();
    assert_eq!(journal.get::<House>(0), Err(ReadError::Value));
}

#[test]
fn what_cannot_be_is_not_read() {
    /// Written as it is and refused as it is read.
    fn refused<P: Payload + PartialEq + std::fmt::Debug>(payload: &P) {
        let mut journal = fresh(Flash::<4, 8192>::blank(3, 1));
        journal.put(0, payload).expect("there is room");
        assert_eq!(journal.get::<P>(0), Err(ReadError::Value));
    }
    refused(&Calibration {
        counts_per_gram: 0.0,
        ..CALIBRATION
    });
    refused(&Calibration {
        counts_per_gram: f32::NAN,
        ..CALIBRATION
    });
    refused(&House {
        dash_ul: 1_000_000,
        ..HOUSE
    });
    refused(&Shift {
        mode: Mode::Service,
        hand: None,
        serve: Some(Millilitres(-1.0)),
    });
    let (_, drink) = longest();
    let mut wild = drink.clone();
    wild.drink.gross = Grams(f32::INFINITY);
    refused(&wild);
    let mut wild = drink;
    wild.brought[3].1 = Grams(f32::NAN);
    refused(&wild);
    let sound = [0.04, 0.31, 6.4e-4, -1.2e-5, 9e-4, 3.2, 8.75, 0.418];
    for index in 0..sound.len() {
        let mut values = sound;
        values[index] = -1e6;
        refused(&BottleHabit {
            hand: None,
            bottle: None,
            habit: Some(things::habit(values, 5)),
        });
    }
    let mut journal = fresh(Flash::<4, 8192>::blank(3, 1));
    let mut pour = POUR;
    pour.record.target = Grams(f32::NAN);
    journal.log(&pour).expect("there is room");
    let mut buffer = [0; pennyweight_core::journal::limits::ENTRY_MAX];
    let kept = journal.next(&mut Default::default(), &mut buffer);
    assert_eq!(kept.map(|it| it.record()), Some(Err(ReadError::Value)));
}

#[test]
fn every_lesson_about_a_bottle_comes_back() {
    let bound = 998.25;
    let strength = Figure {
        value: 24.13,
        sigma: 4.08,
    };
    for (known, lesson) in [
        (Known::Nothing, Lesson::Density),
        (Known::Sugar(3_000), Lesson::Strength(strength)),
        (Known::Nothing, Lesson::Refused(Refused::NoLiquid(bound))),
        (
            Known::Strength(4_000),
            Lesson::Refused(Refused::TooLight(bound)),
        ),
        (
            Known::Sugar(u16::MAX),
            Lesson::Refused(Refused::TooDense(bound)),
        ),
        (Known::Strength(0), Lesson::Refused(Refused::Label)),
    ] {
        let mut bottle = BOTTLE;
        bottle.learned.sample.known = known;
        bottle.learned.lesson = lesson;
        let mut journal = fresh(Flash::<4, 8192>::blank(3, 1));
        journal.log(&bottle).expect("there is room");
        let found = records(&mut journal);
        let expected = pennyweight_core::journal::Record::Bottle(bottle);
        assert_eq!(found, [(0, expected)]);
    }
}

#[test]
fn a_bottle_is_known_by_the_sum_of_its_name() {
    // The check value of CRC-32 ISO-HDLC over "123456789", as catalogues of CRCs give it.
    assert_eq!(bottle_key("123456789"), 0xCBF4_3926);
}
