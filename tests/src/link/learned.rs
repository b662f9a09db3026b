//! A bottle learned on the simulated bench, and the power cut: what the fill told is among the
//! records.

use std::cell::RefCell;
use std::rc::Rc;

use pennyweight_core::input::{Command, Input, Known, Sample};
use pennyweight_core::journal::Record;
use pennyweight_core::journal::payload::{Bottle, Moment};
use pennyweight_core::link::{Reply, Request};
use pennyweight_core::output::{Learned, Lesson, Refused};
use pennyweight_core::spec::{Family, Sheet, Vessel};
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::Calibration;
use pennyweight_core::{Instant, Outputs};
use pennyweight_sim::commands::link::{Format, write_rows};
use pennyweight_sim::commands::names::Names;
use pennyweight_sim::plant::{Bench, BenchSetup, Conversion, Liquid, LiquidRef, Table};
use serde_json::Value;

use super::device::{SHEET, Scale, blank, chip};
use crate::journal::things;

/// A measure filled on the bench.
struct Fill {
    bench: Bench,
    reads: Vec<Conversion>,
    /// Up to its mark, which is where this pour ended.
    volume_ml: f64,
    /// Of the liquid, as the plant has it, kg/m3.
    density: f64,
}

/// Conversions once the pan has been empty for so long: the wish to learn comes then.
const WISH_US: u64 = 2_500_000;

fn fill() -> Fill {
    let liquid = Liquid::of_strength("cane rum", Family::Spirit, 40.0, 0.0);
    let density = 1000.0 * liquid.density_g_ml;
    let mut bench = Bench::new(&Table::nominal(), BenchSetup::new(80.0, 5, vec![liquid]));
    let glass = bench.take_vessel(Vessel::Rocks);
    let mut reads = Vec::new();
    let mut read_for = |bench: &mut Bench, seconds: f64| {
        let until = bench.now_s() + seconds;
        while bench.now_s() < until {
            reads.push(bench.read());
        }
    };
    read_for(&mut bench, 3.0);
    bench.place(glass);
    read_for(&mut bench, 5.0);
    bench.tilt(LiquidRef(0), 8.0);
    read_for(&mut bench, 5.0);
    bench.tilt_back();
    read_for(&mut bench, 9.0);
    // What a scale shows of a millilitre (OIML D 28).
    let shown_g_ml = (density - 1.2) / 1000.0 / (1.0 - 1.2 / 8000.0);
    let volume_ml = bench.contents_shown_g(glass) / shown_g_ml;
    Fill {
        bench,
        reads,
        volume_ml,
        density,
    }
}

impl Fill {
    /// The measure as a person states it: good to half a percent.
    fn sample(&self, known: Known) -> Sample {
        Sample {
            volume_ul: (self.volume_ml * 1e3).round() as u32,
            sigma_ul: (self.volume_ml * 5.0).round() as u32,
            celsius: 2_000,
            known,
        }
    }

    /// What the scale makes of it, the power going at every word that is then written and for good
    /// as soon as it is told; what was told, when, and the scale after the cut.
    fn learned(&self, known: Known) -> (Learned, Instant, Scale) {
        let mut scale = Scale::power_up(blank());
        scale.rest();
        let line = Calibration {
            zero_code: self.bench.zero_code(),
            counts_per_gram: self.bench.counts_per_gram() as f32,
        };
        scale.reply(1, Request::Calibrate(line), |tell| {
            assert_eq!(tell, Reply::Done);
        });
        let torn = Rc::new(RefCell::new(0_u32));
        let seen = Rc::clone(&torn);
        let mut wished = false;
        for read in &self.reads {
            let at = Instant::from_micros(read.t_us);
            if !wished && read.t_us > WISH_US {
                wished = true;
                let wish = Input::Command(Command::Learn(self.sample(known)));
                assert!(told(&scale.handle(at, wish)).is_none());
                let seen = Rc::clone(&seen);
                scale.keeper.journal().flash().watch = Some(Box::new(move |image| {
                    *seen.borrow_mut() += 1;
                    let mut back = Scale::power_up((chip(image), blank().1));
                    // Whole, or not there.
                    assert!(bottles(&mut back).len() <= 1);
                }));
            }
            let out = scale.handle(at, Input::Code(AdcCode(read.code)));
            if let Some(learned) = told(&out) {
                assert!(*torn.borrow() > 0, "nothing was written");
                let image = scale.keeper.journal().flash().image.clone();
                return (learned, at, Scale::power_up((chip(image), blank().1)));
            }
            while let Some(due) = scale.station.deadline().filter(|due| *due <= at) {
                let _ = scale.handle(due, Input::Tick);
            }
        }
        panic!("nothing was learned");
    }
}

/// What this call told of a bottle; nothing goes wrong on the way.
fn told(out: &Outputs) -> Option<Learned> {
    assert_eq!((out.fault, out.refused), (None, None));
    out.learned
}

fn bottles(scale: &mut Scale) -> Vec<Bottle> {
    things::records(scale.keeper.journal())
        .into_iter()
        .filter_map(|(_, record)| match record {
            Record::Bottle(bottle) => Some(bottle),
            Record::Pour(_) | Record::Drink(_) | Record::Fault(_) | Record::Loss(_) => None,
        })
        .collect()
}

/// The only record, as `pull` writes it.
fn pulled(scale: &mut Scale) -> Value {
    let sheet = Sheet::new(SHEET).expect("the demo");
    let names = Names::of(&sheet);
    let mut json = Vec::new();
    scale.reply(2, Request::Records { since: 0 }, |tell| {
        let Reply::Records { bytes, .. } = tell else {
            panic!("no records: {tell:?}");
        };
        let sheet = (&names, sheet.checksum() as u16);
        write_rows(bytes, sheet, Format::Jsonl, &mut json).expect("written");
    });
    serde_json::from_slice(&json).expect("one object")
}

#[test]
fn what_a_fill_told_outlives_a_power_cut() {
    let fill = fill();
    let (learned, at, mut back) = fill.learned(Known::Strength(4_000));
    let kept = bottles(&mut back);
    assert_eq!(kept.len(), 1, "{kept:?}");
    let bottle = kept[0];
    assert_eq!(bottle.learned.sample, learned.sample);
    assert_eq!(bottle.learned.fills, 1);
    let stamp = bottle.stamp;
    assert_eq!(stamp.start, 1);
    assert_eq!(
        stamp.at,
        Moment::SincePowerUp((at.micros() / 100_000) as u32)
    );

    let density = bottle.learned.density;
    let (found, sigma) = (f64::from(density.value), f64::from(density.sigma));
    println!("{found} +- {sigma} kg/m3 for {}", fill.density);
    assert!(
        (found - fill.density).abs() < sigma,
        "{found} +- {sigma} for {}",
        fill.density
    );
    // Half a percent of the measure, and some hundredths of a gram.
    assert!((4.0..6.5).contains(&sigma), "{sigma}");
    // A spirit: no sugar, within its own uncertainty.
    let Lesson::Sugar(sugar) = bottle.learned.lesson else {
        panic!("{:?}", bottle.learned.lesson);
    };
    assert!(sugar.value < 2.0 * sugar.sigma, "{sugar:?}");

    let row = pulled(&mut back);
    assert_eq!(row["kind"], "bottle");
    assert_eq!(row["abv_percent"], 40.0);
    let told = row["density_kg_m3"].as_f64().expect("a density");
    assert!((told - found).abs() < 0.001, "{row}");
    let lines = row["lines"].as_str().expect("lines for a sheet");
    assert!(
        lines.starts_with("density = 0.9") && lines.contains("abv = 40"),
        "{row}"
    );
}

#[test]
fn what_was_refused_is_kept_with_its_reason() {
    let fill = fill();
    // Somebody reads 20 on the label of a rum of 40 % vol.
    let (learned, _, mut back) = fill.learned(Known::Strength(2_000));
    let kept = bottles(&mut back);
    assert_eq!(kept.len(), 1, "{kept:?}");
    let (Lesson::Refused(Refused::TooLight(told)), Lesson::Refused(Refused::TooLight(bound))) =
        (learned.lesson, kept[0].learned.lesson)
    else {
        panic!("{learned:?}, {kept:?}");
    };
    assert!((told - bound).abs() < 0.001, "{bound} for {told}");
    let row = pulled(&mut back);
    let why = row["refused"].as_str().expect("a reason");
    assert!(why.contains("lighter than 0.97"), "{row}");
    assert!(row["lines"].is_null(), "{row}");
}
