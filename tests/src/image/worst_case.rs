//! The longest answer there can be fits a message.

use pennyweight_core::input::{CommandError, Known, Sample};
use pennyweight_core::link::{MAX_MESSAGE, Reply, STRIP_BYTES, Signals, Stats};
use pennyweight_core::output::{
    Dilution, DilutionBasis, DrinkRecord, Fault, Figure, Fix, Judgement, Learned, Lesson,
    PourRecord, Settled, StepBegun, Verdict, WeighedBack,
};
use pennyweight_core::spec::{Amount, DrinkId, LiquidId, Quantity, Unit};
use pennyweight_core::units::{Grams, Millilitres};
use pennyweight_core::view::{Light, Sound};
use pennyweight_core::{Instant, Outputs};

/// Bytes of a reply under the longest id.
fn size(reply: &Reply<'_>) -> usize {
    let mut message = [0; 2 * MAX_MESSAGE];
    reply.write(u16::MAX, &mut message).expect("written").len()
}

/// Every slot filled, every integer as long as it gets.
///
/// All fields are named on purpose: a new slot does not compile here until it is counted.
#[test]
fn every_slot_at_once_fits() {
    let settled = Settled {
        mass: Grams(f32::MAX),
        sigma: Grams(f32::MAX),
    };
    let figure = Figure {
        value: f32::MAX,
        sigma: f32::MAX,
    };
    let drink = DrinkRecord {
        drink: DrinkId(u8::MAX),
        volume: Millilitres(f32::MAX),
        volume_sigma: Millilitres(f32::MAX),
        abv_percent: f32::MAX,
        abv_sigma_percent: f32::MAX,
        sugar_g_per_l: f32::MAX,
        ethanol: Grams(f32::MAX),
        ethanol_sigma: Grams(f32::MAX),
        dilution: Some(Dilution {
            basis: DilutionBasis::Expected,
            percent: f32::MAX,
            sigma_percent: f32::MAX,
        }),
    };
    let outputs = Outputs {
        fault: Some(Fault::Memory),
        refused: Some(CommandError::MeasureRange {
            least_ml: u16::MAX,
            most_ml: u16::MAX,
        }),
        cleared: true,
        lifted: true,
        placed: Some(Grams(f32::MAX)),
        pressed: true,
        bumped: true,
        stirred: true,
        added: Some(Grams(f32::MAX)),
        pour_started: true,
        ease: true,
        stop: true,
        landed: Some(settled),
        amended: Some(settled),
        steady: Some(settled),
        verdict: Some(Judgement {
            verdict: Verdict::Over,
            poured: settled,
            error: Grams(f32::MAX),
        }),
        fix: Some(Fix::TipOut(Grams(f32::MAX))),
        poured: Some(PourRecord {
            step: u8::MAX,
            liquid: LiquidId(u8::MAX),
            amount: Amount {
                quantity: Quantity::Mass(u32::MAX),
                unit: Unit::Piece,
            },
            target_volume: Millilitres(f32::MAX),
            target: Grams(f32::MAX),
            poured: settled,
            verdict: Verdict::Over,
        }),
        done: Some(drink),
        weighed_back: Some(WeighedBack {
            drink,
            lost: settled,
            expected: drink.dilution,
        }),
        step: Some(StepBegun {
            drink: DrinkId(u8::MAX),
            step: u8::MAX,
            target: Some(Grams(f32::MAX)),
        }),
        due: Some(DrinkId(u8::MAX)),
        learned: Some(Learned {
            sample: Sample {
                volume_ul: u32::MAX,
                sigma_ul: u32::MAX,
                celsius: i16::MIN,
                known: Known::Sugar(u16::MAX),
            },
            fills: u8::MAX,
            density: figure,
            spread: f32::MAX,
            lesson: Lesson::Strength(figure),
        }),
        lost: Some(settled),
    };
    let handled = size(&Reply::Handled {
        outputs,
        deadline: Some(Instant::from_micros(u64::MAX)),
        signals: Signals {
            changed: true,
            light: Light::Stop,
            sound: Sound::Ramp(u16::MAX),
            ramp: Some(f32::MAX),
        },
    });
    assert!(handled <= MAX_MESSAGE, "{handled} bytes");
}

#[test]
fn strips_and_stats_fit() {
    let strip = size(&Reply::Strip {
        index: u8::MAX,
        rows: &[0xff; STRIP_BYTES],
    });
    assert!(strip <= MAX_MESSAGE, "{strip} bytes");
    let effort = pennyweight_core::link::Effort {
        times: u32::MAX,
        total: u64::MAX,
        worst: u32::MAX,
    };
    let stats = size(&Reply::Stats(Stats {
        ticks_per_second: u32::MAX,
        sample: effort,
        turn: effort,
        view: effort,
        paint: effort,
        stack_peak: u32::MAX,
        refused: u32::MAX,
    }));
    assert!(stats <= MAX_MESSAGE, "{stats} bytes");
}
