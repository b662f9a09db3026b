//! `run --calibrate` and `run --report`: the sequences on the simulated pan, with somebody who
//! puts on what is asked for.

use std::io::{self, BufWriter, Write};

use pennyweight_core::weigh::calibration::weights::{Class, Weight};
use pennyweight_core::weigh::report::guided::{Guided, Reading};
use serde::Serialize;

use super::super::events::write_json;
use super::super::failure::Failure;
use super::calibrate::{Calibrated, Calibrating, message};
use super::front::Front;
use super::report::{Report, load_words, place_words, stated};
use super::{ScaleArgs, played, report_text};
use crate::plant::draw::{Draws, Process};
use crate::plant::{Loads, Table};

/// Conversions per second.
const SPS: f32 = 80.0;
/// What a report states where nobody does: the least cell of the design, and 1500 intervals.
const MAX_G: f64 = 3000.0;
const E_G: f64 = 2.0;
/// A scale is calibrated warm: powered for so long, seconds.
const WARM_S: f64 = 1200.0;

/// Plays what is asked for onto standard output.
///
/// # Errors
/// Weights or a scale that cannot be used; a calibration that is refused; an output that cannot
/// be written.
pub fn run(args: &ScaleArgs, seed: u64, json: bool) -> Result<(), Failure> {
    let mut out = BufWriter::new(io::stdout().lock());
    match &args.calibrate {
        Some(words) => calibrate(words, args, seed, json, &mut out)?,
        None => report(args, seed, json, &mut out)?,
    }
    out.flush().map_err(Failure::writing)
}

fn report(args: &ScaleArgs, seed: u64, json: bool, out: &mut impl Write) -> Result<(), Failure> {
    let args = ScaleArgs {
        max: args.max.or(Some(MAX_G)),
        e: args.e.or(Some(E_G)),
        ..args.clone()
    };
    let stated = stated(&args)?;
    // From power-up on, as it warms up.
    let mut loads = Loads::drawn(&Table::nominal(), seed, f64::from(SPS), 0.0, 0.0);
    let (zero_code, counts_per_gram) = (loads.zero_code(), loads.counts_per_gram());
    let guided = Guided::new(stated, f64::from(zero_code), counts_per_gram);
    let front = Front::new(SPS, counts_per_gram as f32);
    let mut written = Ok(());
    let proved = played::prove(&mut loads, guided, front, |now_s, reading| {
        if !json && written.is_ok() {
            written = writeln!(out, "{}", reading_line(now_s, reading));
        }
    });
    written.map_err(Failure::writing)?;
    let proved = proved.ok_or_else(|| endless(seed))?;
    let weights = args.weights.unwrap_or(Class::F2);
    let report = Report::of(&stated, proved.readings(), weights);
    if json {
        write_json(out, &report)
    } else {
        write!(out, "\n{}", report_text::text(&report))
    }
    .map_err(Failure::writing)
}

fn reading_line(now_s: f64, reading: &Reading) -> String {
    let minutes = (now_s / 60.0).floor();
    let Reading { step, shown_g, .. } = reading;
    format!(
        "{minutes:>4.0} min {:>2.0} s   {:<8} {:<12} shows {shown_g:>9.3} g",
        (now_s - 60.0 * minutes).floor(),
        load_words(step),
        place_words(step.place),
    )
}

/// A calibration as other programs read it, beside what the simulated cell was built with.
#[derive(Serialize)]
struct Document {
    #[serde(flatten)]
    calibrated: Calibrated,
    truly_counts_per_gram: f64,
    off_ppm: f64,
}

fn calibrate(
    words: &str,
    args: &ScaleArgs,
    seed: u64,
    json: bool,
    out: &mut impl Write,
) -> Result<(), Failure> {
    let asked = Calibrating::new(words, "--calibrate", args)?;
    let mut loads = Loads::drawn(&Table::nominal(), seed, f64::from(SPS), WARM_S, 0.0);
    let weights: Vec<(Weight, f64)> = asked
        .weights()
        .iter()
        .zip(0..)
        .map(|(weight, nth)| {
            // Anywhere within the tolerance.
            let share = Draws::new(seed, Process::Trial, nth).between(-1.0, 1.0);
            (*weight, weight.grams + share * weight.tolerance_g)
        })
        .collect();
    let truly = |wanted: &Weight| {
        let mut same = weights.iter().filter(|(weight, _)| weight == wanted);
        same.next().map_or(wanted.grams, |(_, grams)| *grams)
    };
    let outcome = played::calibrate(
        &mut loads,
        asked.weights(),
        args.capacity_g(),
        asked.gravity(),
        truly,
    );
    let fit = outcome.ok_or_else(|| endless(seed))?.map_err(|refusal| {
        Failure::failed_run(
            "the calibration is refused",
            format!("--calibrate {words:?} --seed {seed}"),
            message(&refusal),
            "put it right, and calibrate again",
        )
    })?;
    let built = loads.counts_per_gram();
    let document = Document {
        calibrated: Calibrated::of(&fit),
        truly_counts_per_gram: built,
        off_ppm: ((fit.counts_per_gram / built - 1.0) * 1e7).round() / 10.0,
    };
    if json {
        write_json(out, &document)
    } else {
        writeln!(
            out,
            "{}\nThe simulated cell was built with {built:.4} codes per gram: off by {:+.1} ppm.",
            document.calibrated, document.off_ppm
        )
    }
    .map_err(Failure::writing)
}

fn endless(seed: u64) -> Failure {
    Failure::failed_run(
        "the sequence did not come to its end",
        format!("--seed {seed}"),
        "the simulated pan never stood still long enough",
        "play it with another --seed",
    )
}
