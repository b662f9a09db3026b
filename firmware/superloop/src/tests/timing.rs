//! No sample is lost and no cue is late while pages go over a slow bus.
//!
//! A whole picture takes 25 ms at 400 kHz, an eighth of it 3.2 ms. What the loop does is compared
//! with a station that is ideal: the same conversions, ticks at the very deadlines, and no time
//! taken for anything.

use std::println;
use std::vec::Vec;

use pennyweight_core::input::{Command, Input};
use pennyweight_core::link::Request;
use pennyweight_core::panel::{EASE_HZ, STOP_HZ};
use pennyweight_core::units::Grams;
use pennyweight_core::{Instant, Station};

use super::bench::{Chips, Device, SETUP};
use super::session::{TARGET_G, pours};
use crate::Conversion;

/// An eighth of a picture on the bus.
const FRAME_SHARE_MS: f64 = 3.2;

const TARGET: Command = Command::Target(Grams(TARGET_G as f32));

/// When ease and stop come where nothing takes time.
fn ideal(read: &[Conversion], asked: Instant) -> Vec<(Instant, u16)> {
    let mut station = Station::new(SETUP);
    let mut cues = Vec::new();
    let mut tell = |at, out: pennyweight_core::Outputs| {
        cues.extend(out.ease.then_some((at, EASE_HZ)));
        cues.extend(out.stop.then_some((at, STOP_HZ)));
    };
    let mut is_asked = false;
    for conversion in read {
        if !is_asked && conversion.at >= asked {
            is_asked = true;
            let _ = station.handle(asked, Input::Command(TARGET));
        }
        while let Some(due) = station.deadline().filter(|due| *due < conversion.at) {
            tell(due, station.handle(due, Input::Tick));
            if station.deadline() == Some(due) {
                break;
            }
        }
        tell(
            conversion.at,
            station.handle(conversion.at, Input::Code(conversion.code)),
        );
    }
    cues
}

/// What the loop made of a session.
struct Outcome {
    /// Per cue, milliseconds after the ideal.
    late_ms: Vec<f64>,
    /// Conversions the converter made, that were read, that were dropped.
    made: usize,
    read: usize,
    lost: u32,
    painted: u32,
    hungry_us: u64,
}

fn run(period_us: u64) -> Outcome {
    let codes = pours(period_us);
    let chips = Chips::new(period_us, &codes);
    let mut device = Device::new(&chips);
    device.run_s(1.0);
    let asked = Instant::from_micros(chips.converter.now_us());
    device.board.ask(&Request::Handle {
        at: Instant::ZERO,
        input: Input::Command(TARGET),
    });
    // Half of a second less than there is, so that the converter does not run dry.
    device.run_s(codes.len() as f64 * period_us as f64 * 1e-6 - 1.5);
    let cues = ideal(&device.board.read, asked);
    let mut heard = device.board.sounds.iter().copied();
    let mut late_ms = Vec::new();
    for (at, hertz) in cues {
        let sounded = heard.find(|(begun, sound)| *sound == Some(hertz) && *begun >= at);
        let (begun, _) = sounded.expect("every cue sounds");
        late_ms.push((begun.micros() - at.micros()) as f64 / 1e3);
    }
    chips.converter.assert_well_treated();
    // Every page was charged for.
    assert_eq!(
        device.board.painted.get(),
        device.bench.server.stats().paint.times
    );
    Outcome {
        late_ms,
        made: codes.len() - chips.converter.left(),
        read: device.board.read.len(),
        lost: device.board.lost_so_far(),
        painted: device.board.painted.get(),
        hungry_us: device.board.hungry_us,
    }
}

fn worst(late_ms: &[f64]) -> f64 {
    late_ms.iter().copied().fold(0.0, f64::max)
}

#[test]
fn no_sample_is_lost_and_no_cue_is_late_while_pages_are_shown() {
    for (period_us, bound_ms) in [
        // Nothing begins that a cue would have to wait for; what is left is the work on a sample.
        (100_000, 1.0),
        (12_500, 1.0),
        // Nothing fits between two conversions: a strip or a page may have begun. Drawing a page can
        // take longer than this; a cue that falls due right then has not been seen.
        (3_125, FRAME_SHARE_MS),
    ] {
        let outcome = run(period_us);
        println!(
            "{:>4} a second: {} cues, late by {:.2} ms at worst; {} of {} read, {} pages drawn",
            1_000_000 / period_us,
            outcome.late_ms.len(),
            worst(&outcome.late_ms),
            outcome.read,
            outcome.made,
            outcome.painted,
        );
        assert!(
            outcome.late_ms.len() >= 20,
            "{period_us}: {:?}",
            outcome.late_ms
        );
        assert!(
            worst(&outcome.late_ms) <= bound_ms,
            "{period_us}: {:?}",
            outcome.late_ms
        );
        // The last one may still be waiting in the converter.
        assert!(
            outcome.made - outcome.read <= 1,
            "{} of {}",
            outcome.read,
            outcome.made
        );
        assert_eq!(outcome.lost, 0);
        assert!(
            outcome.painted > 50,
            "{period_us}: {} pages",
            outcome.painted
        );
        assert!(
            outcome.hungry_us < 200_000,
            "{} us unfed",
            outcome.hungry_us
        );
    }
}
