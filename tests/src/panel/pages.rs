//! Every page as a picture, two rows of pixels to a line of characters.

use pennyweight_core::input::{Known, Sample};
use pennyweight_core::output::{Fault, Figure, Learned, Lesson, Refused, Verdict};
use pennyweight_core::panel::{Frame, draw, light};
use pennyweight_core::spec::{Unit, Vessel};
use pennyweight_core::view::{Cue, Learn, Light, Next, Offer, Page, Reading, STAYED, View, Work};
use pennyweight_sim::screen::half_blocks;

use super::view;

fn picture(view: &View<'_>) -> String {
    let mut frame = Frame::new();
    draw(view, &mut frame);
    // A frame around it, so that blanks at the ends of lines survive editors.
    half_blocks(&frame)
        .lines()
        .map(|line| format!("|{line}|\n"))
        .collect()
}

fn ml(tenths: i32) -> Reading {
    reading(tenths, 1, Unit::Ml)
}

fn reading(value: i32, decimals: u8, unit: Unit) -> Reading {
    Reading {
        value,
        decimals,
        unit,
    }
}

fn pour(remaining: Reading, bar: u16, cue: Cue) -> Page<'static> {
    Page::Pour {
        liquid: "rye whiskey",
        remaining,
        bar,
        cue,
        next: Next::Liquid("ginger syrup"),
    }
}

fn figure(value: f32, sigma: f32) -> Figure {
    Figure { value, sigma }
}

fn learned(fills: u8, lesson: Lesson) -> Page<'static> {
    Page::Learn(Learn::Told(Learned {
        sample: Sample {
            volume_ul: 50_000,
            sigma_ul: 250,
            celsius: 2000,
            known: Known::Nothing,
        },
        fills,
        density: figure(1061.2, 5.3),
        spread: 0.0,
        lesson,
    }))
}

macro_rules! pictures {
    ($($name:ident: $view:expr,)*) => {
        $(
            #[test]
            fn $name() {
                insta::assert_snapshot!(stringify!($name), picture(&$view));
            }
        )*
    };
}

pictures! {
    idle: view(Page::Idle),
    weight: view(Page::Weight(reading(12_345, 1, Unit::Gram))),
    place: view(Page::Place { drink: "Harbour Bell", vessel: Vessel::MixingGlass }),
    pour_begins: view(pour(ml(600), 0, Cue::Pour)),
    pour_half: view(pour(ml(284), 527, Cue::Pour)),
    pour_in_ounces: view(pour(reading(125, 2, Unit::Oz), 200, Cue::Pour)),
    pour_batch: view(pour(reading(12_345, 1, Unit::Gram), 60, Cue::Pour)),
    pour_eases: view(pour(ml(124), 793, Cue::Ease)),
    pour_ramp_half: View { ramp: Some(0.5), ..view(pour(ml(42), 930, Cue::Ease)) },
    pour_ramp_ends: View { ramp: Some(0.97), ..view(pour(ml(24), 960, Cue::Ease)) },
    pour_stops: view(pour(ml(21), 965, Cue::Stop)),
    pour_over_by_little: view(pour(ml(-12), 1000, Cue::Stop)),
    pour_over: view(pour(ml(-125), 1000, Cue::Stop)),
    pour_with_accents: view(Page::Pour {
        liquid: "crème de mûre", remaining: ml(150), bar: 250, cue: Cue::Pour,
        next: Next::Liquid("añejo"),
    }),
    note_with_accents: view(Page::Note {
        text: "ÉCORCE D'ORANGE RÂPÉE, puis brûler l'anis étoilé", next: Next::Liquid("crème de pêche"),
    }),
    place_with_accents: view(Page::Place { drink: "Sloe Fjäll", vessel: Vessel::Rocks }),
    add: view(Page::Add {
        liquid: "fino sherry", missing: ml(30), cue: Cue::Pour, next: Next::Ice,
    }),
    add_eases: View { ramp: Some(0.6), ..view(Page::Add {
        liquid: "fino sherry", missing: ml(12), cue: Cue::Ease, next: Next::Ice,
    }) },
    add_stops: view(Page::Add {
        liquid: "fino sherry", missing: ml(4), cue: Cue::Stop, next: Next::Ice,
    }),
    count_dashes: view(Page::Count {
        liquid: "aromatic bitters", done: 1, of: 3, unit: Unit::Dash,
        next: Next::Work(Work::Stir),
    }),
    count_barspoons: view(Page::Count {
        liquid: "crème de pêche", done: 0, of: 12, unit: Unit::Barspoon, next: Next::Nothing,
    }),
    ice: view(Page::Ice {
        so_far: reading(85, 0, Unit::Gram), low_g: 120, high_g: 150,
        next: Next::Work(Work::Shake),
    }),
    away_waits: view(Page::Away {
        work: Work::Stir, seconds_left: 20, running: false, next: Next::Strain(Vessel::Rocks),
    }),
    away_runs: view(Page::Away {
        work: Work::Shake, seconds_left: 12, running: true, next: Next::Strain(Vessel::Coupe),
    }),
    away_overdue: view(Page::Away {
        work: Work::Stir, seconds_left: -4, running: true, next: Next::Strain(Vessel::Highball),
    }),
    strain: view(Page::Strain {
        drink: "Harbour Bell", so_far: ml(945), left: None, cue: Cue::Pour,
    }),
    pour_or_another_glass: view(Page::Pour {
        liquid: "ginger syrup", remaining: ml(150), bar: 0, cue: Cue::Pour,
        next: Next::Glass { drink: "Harbour Bell", saves: 26 },
    }),
    strain_some: view(Page::Strain {
        drink: "Harbour Bell", so_far: ml(245), left: Some(ml(620)), cue: Cue::Pour,
    }),
    strain_stops: view(Page::Strain {
        drink: "Harbour Bell", so_far: ml(845), left: Some(ml(20)), cue: Cue::Stop,
    }),
    question: view(Page::Question { one: "Harbour Bell", two: "Quay Sour" }),
    again: view(Page::Again { drink: "Harbour Bell" }),
    over_tip_out: view(Page::Judged {
        liquid: "lemon juice", error: ml(40), verdict: Verdict::Over, offer: Offer::TipOut,
        next: Next::Ice,
    }),
    over_fix: view(Page::Judged {
        liquid: "lemon juice", error: ml(40), verdict: Verdict::Over, offer: Offer::Fix,
        next: Next::Ice,
    }),
    note_short: view(Page::Note { text: "mint leaves, muddle", next: Next::Liquid("lime juice") }),
    note_long: view(Page::Note {
        text: "express an orange zest over the glass, then drop it in", next: Next::Nothing,
    }),
    note_very_long: view(Page::Note {
        text: "fill the glass with crushed ice, swizzle until frost stands on it, add a mint sprig",
        next: Next::Nothing,
    }),
    judged_good: view(Page::Judged {
        liquid: "rye whiskey", error: ml(3), verdict: Verdict::Good, offer: Offer::Nothing,
        next: Next::Note("lemon twist"),
    }),
    judged_short: view(Page::Judged {
        liquid: "rye whiskey", error: ml(-30), verdict: Verdict::Short,
        offer: Offer::Nothing, next: Next::Ice,
    }),
    judged_over: view(Page::Judged {
        liquid: "rye whiskey", error: ml(45), verdict: Verdict::Over,
        offer: Offer::Nothing, next: Next::Ice,
    }),
    ask: view(Page::Ask { what: "rye whiskey", grams: reading(1304, 1, Unit::Gram) }),
    ask_less: view(Page::Ask { what: "ice", grams: reading(-215, 1, Unit::Gram) }),
    done: view(Page::Done { drink: "Harbour Bell" }),
    place_back: view(Page::Place { drink: STAYED, vessel: Vessel::MixingGlass }),
    weighed_back: view(Page::WeighedBack { water: 491, expected: Some(439), lost: 4 }),
    weighed_back_alone: view(Page::WeighedBack { water: 1204, expected: None, lost: 0 }),
    name_too_long: view(Page::Pour {
        liquid: "overproof agricole rum", remaining: ml(1), bar: 0, cue: Cue::Pour,
        next: Next::Liquid("the last of the house ginger"),
    }),
    learn_measure: view(Page::Learn(Learn::Measure)),
    learn_wait: view(Page::Learn(Learn::Wait)),
    learn_fill: view(Page::Learn(Learn::Fill(reading(50, 0, Unit::Ml)))),
    learn_density: view(learned(1, Lesson::Density)),
    learn_sugar: view(learned(1, Lesson::Sugar(figure(238.2, 13.4)))),
    learn_strength: view(learned(10, Lesson::Strength(figure(24.13, 4.08)))),
    learn_refused: view(learned(1, Lesson::Refused(Refused::TooLight(1100.0)))),
    fault_saturated: view(Page::Fault(Fault::Saturated)),
    fault_overload: view(Page::Fault(Fault::Overload)),
    fault_stuck: view(Page::Fault(Fault::Stuck)),
    fault_silent: view(Page::Fault(Fault::Silent)),
    fault_time: view(Page::Fault(Fault::Time)),
    fault_glitch: view(Page::Fault(Fault::Glitch)),
    fault_sheet: view(Page::Fault(Fault::Sheet)),
    fault_command: view(Page::Refused),
    fault_zero: view(Page::Fault(Fault::Zero)),
    fault_memory: view(Page::Fault(Fault::Memory)),
}

/// Told apart by area alone, as an eye does it at a glance: the share of lit pixels.
#[test]
fn cues_differ_in_brightness() {
    let lit = |cue| {
        let mut frame = Frame::new();
        draw(&view(pour(ml(84), 700, cue)), &mut frame);
        let bits: u32 = frame.bytes().iter().map(|byte| byte.count_ones()).sum();
        f64::from(bits) / 8192.0
    };
    let (pour, ease, stop) = (lit(Cue::Pour), lit(Cue::Ease), lit(Cue::Stop));
    // Even the smaller step is a fifth of the panel.
    assert!(pour < 0.25, "pour is a dark page, {pour:.2} is lit");
    assert!(ease - pour > 0.2, "ease is half white, {ease:.2} is lit");
    assert!(stop - ease > 0.2, "stop is a white page, {stop:.2} is lit");
}

/// The light says nothing that the page does not say, and red nothing but "do not go on".
#[test]
fn light_repeats_the_page() {
    for (page, expected) in [
        (Page::Idle, Light::Off),
        (pour(ml(284), 527, Cue::Pour), Light::Go),
        (pour(ml(84), 700, Cue::Ease), Light::Ease),
        (pour(ml(21), 965, Cue::Stop), Light::Stop),
        (
            Page::Done {
                drink: "Harbour Bell",
            },
            Light::Go,
        ),
        (Page::Fault(Fault::Overload), Light::Stop),
        (Page::Fault(Fault::Glitch), Light::Ease),
    ] {
        assert_eq!(light(&page), expected, "{page:?}");
    }
}
