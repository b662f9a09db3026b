//! Payloads: their frozen bytes, their way back, and a later version beside an earlier one.

mod examples;

use std::path::PathBuf;

use pennyweight_core::input::Known;
use pennyweight_core::journal::payload::{
    BackV2, Bottle, BottleV1, CalibrationV1, Drink, DrinkV1, DrinkV2, FaultV1, HouseV1, Loss,
    LossV1, MomentV1, OpenV1, OpenV2, Pour, PourV1, PourV2, Seen, ShiftV1, StampV1, Start, StartV1,
    bottle_key,
};
use pennyweight_core::journal::{Condition, Journal, Kind, Payload, ReadError};
use pennyweight_core::output::{Fault, Figure, Lesson, Refused, Settled};
use pennyweight_core::spec::{DrinkId, House};
use pennyweight_core::units::Grams;
use pennyweight_core::weigh::Calibration;
use rand::SeedableRng;
use rand_pcg::Pcg64;
use serde::Serialize;

use super::cuts::fresh;
use super::flash::{Flash, Image};
use super::things::{self, records};
use examples::{
    BEFORE, BOTTLE, BOTTLE_V1, CALIBRATION, HOUSE, SHIFT, STAMP, STAMP_V1, UNDER_WAY, drink, habit,
    open, open_full, open_v1, pour, waiting, waiting_v1,
};

/// The file in which the bytes of a version were kept when it was frozen; they are never changed.
fn frozen(name: &str) -> PathBuf {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/journal");
    PathBuf::from(folder).join(name)
}

fn encoded<P: Payload>(payload: &P) -> Vec<u8> {
    let mut bytes = [0; 248];
    let length = payload.encode(&mut bytes).expect("it fits");
    bytes[..length].to_vec()
}

/// The bytes are those that were kept when the version was frozen, those that postcard writes of
/// the form, and mean what they meant; those of the last version are also what is written.
fn holds<P: Payload + PartialEq + std::fmt::Debug>(
    (name, version): (&str, u8),
    payload: &P,
    form: &impl Serialize,
) {
    let name = format!("{name}-{version}.bin");
    let written = postcard::to_allocvec(form).unwrap();
    if std::env::var_os("FREEZE_JOURNAL").is_some() && !frozen(&name).exists() {
        std::fs::write(frozen(&name), &written).expect("written");
    }
    let kept = std::fs::read(frozen(&name)).expect("the bytes of every version are kept");
    assert_eq!(written, kept, "{name}");
    assert_eq!(P::decode(version, &kept).as_ref(), Ok(payload), "{name}");
    if version == P::VERSION {
        assert_eq!(encoded(payload), kept, "{name}");
    }
    // And nothing else is that: not a byte less, not one more.
    for shorter in 0..kept.len() {
        assert_eq!(
            P::decode(version, &kept[..shorter]),
            Err(ReadError::Value),
            "{name}"
        );
    }
    assert!(P::decode(version, &[kept.as_slice(), &[0]].concat()).is_err());
    assert_eq!(P::decode(0, &kept), Err(ReadError::Version(0)));
    assert_eq!(P::decode(99, &kept), Err(ReadError::Version(99)));
}

#[test]
fn the_bytes_of_version_1_mean_what_they_meant() {
    let calibration = CalibrationV1 {
        zero_code: -120_345,
        counts_e5_per_gram: 81_243_750,
    };
    holds(("calibration", 1), &CALIBRATION, &calibration);
    let house = HouseV1 {
        dash_ul: 800,
        barspoon_ul: 5_000,
        drop_ul: 50,
    };
    holds(("house", 1), &HOUSE, &house);
    holds(("start", 1), &Start(300), &StartV1 { count: 300 });
    holds(("waiting", 1), &waiting(BEFORE), &waiting_v1());
    holds(("open", 1), &open(), &open_v1());
    holds(("open-free", 1), &OpenV2::default(), &OpenV1::default());
    holds(("habit", 1), &habit(), &habit());
    let poured = PourV1 {
        stamp: STAMP_V1,
        order: 41,
        step: 2,
        liquid: 7,
        unit: 2,
        measure: 0,
        quantity: 22_180,
        target_ul: 22_180,
        target_mg: 20_952,
        poured_mg: 21_304,
        sigma_mg: 41,
        verdict: 0,
    };
    let before = Pour {
        drink: None,
        ..pour()
    };
    holds(("pour", 1), &before, &poured);
    let poured = PourV2 {
        pour: poured,
        drink: 3,
    };
    holds(("pour", 2), &pour(), &poured);
    let finished = DrinkV1 {
        stamp: StampV1 {
            at: MomentV1::SincePowerUp(36_000),
            ..STAMP_V1
        },
        order: 41,
        drink: 3,
        volume_ul: 96_250,
        volume_sigma_ul: 750,
        abv_centi: 2_731,
        abv_sigma_centi: 42,
        sugar_cg_per_l: 6_107,
        ethanol_mg: 20_744,
        ethanol_sigma_mg: 310,
        dilution: 2,
        dilution_centi: 2_450,
        dilution_sigma_centi: 310,
    };
    let before = Drink {
        back: None,
        ..drink()
    };
    holds(("drink", 1), &before, &finished);
    let back = BackV2 {
        lost_mg: -1_250,
        lost_sigma_mg: 800,
        expected: 2,
        expected_centi: 2_200,
        expected_sigma_centi: 450,
    };
    let finished = DrinkV2 {
        drink: finished,
        back: Some(back),
    };
    holds(("drink", 2), &drink(), &finished);
    let seen = Seen {
        stamp: STAMP,
        fault: Fault::Zero,
    };
    let fault = FaultV1 {
        stamp: STAMP_V1,
        fault: 9,
    };
    holds(("fault", 1), &seen, &fault);
}

#[test]
fn the_bytes_of_what_came_later_mean_what_they_meant() {
    holds(("waiting", 2), &waiting(UNDER_WAY), &waiting(UNDER_WAY));
    holds(("open", 2), &open_full(), &open_full());
    let shift = ShiftV1 {
        mode: 2,
        hand: Some(4),
        serve_ul: Some(90_000),
    };
    holds(("shift", 1), &SHIFT, &shift);
    let loss = Loss {
        stamp: STAMP,
        order: 41,
        drink: DrinkId(3),
        lost: Settled {
            mass: Grams(12.5),
            sigma: Grams(1.0),
        },
    };
    let lost = LossV1 {
        stamp: STAMP_V1,
        order: 41,
        drink: 3,
        lost_mg: 12_500,
        sigma_mg: 1_000,
    };
    holds(("loss", 1), &loss, &lost);
    holds(("bottle", 1), &BOTTLE, &BOTTLE_V1);
}

const FILES: [&str; 17] = [
    "calibration-1.bin",
    "house-1.bin",
    "start-1.bin",
    "waiting-1.bin",
    "open-1.bin",
    "open-free-1.bin",
    "habit-1.bin",
    "pour-1.bin",
    "drink-1.bin",
    "fault-1.bin",
    "waiting-2.bin",
    "open-2.bin",
    "pour-2.bin",
    "drink-2.bin",
    "shift-1.bin",
    "loss-1.bin",
    "bottle-1.bin",
];

#[test]
fn every_frozen_file_is_held() {
    let folder = frozen("");
    for entry in std::fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let held = FILES.contains(&name.as_str()) || name == "journal-1.bin";
        assert!(held, "{name} is read by no check");
    }
}

#[test]
fn a_whole_journal_of_version_1_is_read() {
    let mut bytes = std::fs::read(frozen("journal-1.bin")).unwrap();
    // What was erased behind its entries was not kept.
    bytes.resize(24 * 1024, 0xFF);
    let flash = Flash::<4, 8192>::new(Image::new(bytes), 1);
    let (mut journal, condition) = Journal::open(flash).unwrap();
    assert_eq!(condition, Condition::Whole);
    assert_eq!(journal.get(0), Ok(Some(CALIBRATION)));
    assert_eq!(journal.get(0), Ok(Some(HOUSE)));
    assert_eq!(journal.get(0), Ok(Some(Start(300))));
    assert_eq!(journal.get(0), Ok(Some(waiting(BEFORE))));
    assert_eq!(journal.get(1), Ok(Some(open())));
    assert_eq!(journal.get(5), Ok(Some(habit())));
    // What it has at 0x49 is of a kind that no station wrote; it does not get in the way.
    let records = records(&mut journal);
    assert_eq!(records.len(), 3);
    assert_eq!(records[2].0, 2);
}

/// House measures as a later firmware might keep them: with a pinch.
#[derive(Clone, Copy, Debug, PartialEq)]
struct LaterHouse {
    house: House,
    pinch_mg: Option<u32>,
}

impl Payload for LaterHouse {
    const KIND: Kind = Kind::House;
    const VERSION: u8 = 2;

    fn encode(&self, bytes: &mut [u8]) -> Option<usize> {
        let length = self.house.encode(bytes)?;
        let pinch = postcard::to_slice(&self.pinch_mg, &mut bytes[length..]).ok()?;
        Some(length + pinch.len())
    }

    fn decode(version: u8, bytes: &[u8]) -> Result<Self, ReadError> {
        match version {
            1 => House::decode(1, bytes).map(|house| Self {
                house,
                pinch_mg: None,
            }),
            2 => {
                let (form, rest): (HouseV1, _) =
                    postcard::take_from_bytes(bytes).map_err(|_| ReadError::Value)?;
                let house = House {
                    dash_ul: form.dash_ul,
                    barspoon_ul: form.barspoon_ul,
                    drop_ul: form.drop_ul,
                };
                let pinch_mg = postcard::from_bytes(rest).map_err(|_| ReadError::Value)?;
                Ok(Self { house, pinch_mg })
            }
            later => Err(ReadError::Version(later)),
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

#[test]
fn a_field_more_without_a_version_is_refused() {
    // The reason for versions: an appended field does not decode.
    let longer = [encoded(&HOUSE), vec![1, 5]].concat();
    assert_eq!(House::decode(1, &longer), Err(ReadError::Value));
}

#[test]
fn figures_come_back_within_half_a_unit() {
    let mut rng = Pcg64::seed_from_u64(2);
    for _ in 0..2_000 {
        let habit = things::habit(&mut rng);
        let mut again = habit;
        again.set(&habit.values());
        // An f32 has 24 bits; a figure beyond them may move by its last ones.
        for (found, kept) in again.figures.iter().zip(habit.figures) {
            assert!(found.abs_diff(kept) <= 1 + (kept.unsigned_abs() >> 24));
        }
        let calibration = Calibration {
            counts_per_gram: habit.values()[6] * 100.0 + 128.0,
            ..CALIBRATION
        };
        let kept = Calibration::decode(1, &encoded(&calibration));
        assert_eq!(kept, Ok(calibration), "to the last bit");
    }
}

#[test]
fn what_cannot_be_is_not_read() {
    // A scale without a span, a dash of a litre, a verdict that does not exist.
    let refused = |form: &[u8]| assert_eq!(Calibration::decode(1, form), Err(ReadError::Value));
    refused(&postcard::to_allocvec(&CalibrationV1::default()).unwrap());
    let dash = HouseV1 {
        dash_ul: 1_000_000,
        barspoon_ul: 5_000,
        drop_ul: 50,
    };
    let dash = postcard::to_allocvec(&dash).unwrap();
    assert_eq!(House::decode(1, &dash), Err(ReadError::Value));
    for form in [
        PourV1 {
            verdict: 3,
            ..PourV1::default()
        },
        PourV1 {
            unit: 8,
            ..PourV1::default()
        },
        PourV1 {
            measure: 3,
            ..PourV1::default()
        },
    ] {
        let form = postcard::to_allocvec(&form).unwrap();
        assert_eq!(Pour::decode(1, &form), Err(ReadError::Value));
    }
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
        assert_eq!(Bottle::decode(1, &encoded(&bottle)), Ok(bottle));
    }
    for beyond in [
        BottleV1 {
            known: 3,
            ..BOTTLE_V1
        },
        BottleV1 {
            lesson: 7,
            ..BOTTLE_V1
        },
    ] {
        let form = postcard::to_allocvec(&beyond).unwrap();
        assert_eq!(Bottle::decode(1, &form), Err(ReadError::Value));
    }
}

#[test]
fn a_bottle_goes_by_the_sum_of_its_name() {
    // The check value of CRC-32 ISO-HDLC over "123456789", as catalogues of CRCs give it.
    assert_eq!(bottle_key("123456789"), 0xCBF4_3926);
}
