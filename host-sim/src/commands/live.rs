//! The live view: what stands on the panel, as a few lines of a terminal.

use console::style;
use pennyweight_core::View;
use pennyweight_core::output::Verdict;
use pennyweight_core::spec::Vessel;
use pennyweight_core::view::{Cue, Learn, Light, Next, Page, Reading, STAYED, Work};

use super::events::fault_kind;
use super::learning;
use crate::sheet::{counted, unit_word, vessel_word};

/// Columns of the whole view.
const WIDTH: usize = 72;
/// Columns of the bar.
const BAR: usize = 48;

/// The four lines of the view below a heading: what to do and how much of it is left, the bar
/// with the cue, what comes next.
#[must_use]
pub fn lines(heading: &str, clock: &str, view: &View<'_>) -> String {
    let (action, amount) = action(&view.page);
    let bar = match view.page {
        Page::Pour { bar, cue, .. } => bar_line(bar, cue),
        Page::Add { cue, .. }
        | Page::Strain {
            left: Some(_), cue, ..
        } => format!("  {}", cue_words(cue)),
        _ => String::new(),
    };
    let next = next_of(&view.page).map_or_else(String::new, |next| format!("next  {next}"));
    let lamp = match view.light {
        Light::Off => "",
        Light::Go => "green light",
        Light::Ease => "amber light",
        Light::Stop => "red light",
    };
    [
        spread(heading, clock),
        spread(&format!("  {action}"), &amount),
        bar,
        spread(&format!("  {next}"), lamp),
    ]
    .join("\n")
}

/// The same lines with the cue in the colour of the light, where the terminal shows colours.
#[must_use]
pub fn painted(lines: &str) -> String {
    let [ease, stop] = [Cue::Ease, Cue::Stop].map(cue_words);
    lines
        .replace(ease, &style(ease).yellow().bold().to_string())
        .replace(stop, &style(stop).red().bold().to_string())
}

/// One line with something at either end; what stands left is cut where it has no room.
fn spread(left: &str, right: &str) -> String {
    let room = WIDTH.saturating_sub(right.chars().count() + 1);
    let left: String = left.chars().take(room).collect();
    format!("{left:<room$} {right}").trim_end().to_owned()
}

fn bar_line(permille: u16, cue: Cue) -> String {
    let filled = (usize::from(permille.min(1000)) * BAR + 500) / 1000;
    format!(
        "  {}{}  {}",
        "\u{2588}".repeat(filled),
        "\u{2591}".repeat(BAR - filled),
        cue_words(cue)
    )
}

fn cue_words(cue: Cue) -> &'static str {
    match cue {
        Cue::Pour => "pour",
        Cue::Ease => "EASE OFF",
        Cue::Stop => "STOP",
    }
}

/// What to do, and the amount that goes with it.
#[must_use]
pub fn action(page: &Page<'_>) -> (String, String) {
    match *page {
        Page::Idle => ("ready".to_owned(), String::new()),
        Page::Weight(mass) => ("on the pan".to_owned(), reading(mass)),
        Page::Place { drink, vessel } if drink == STAYED => (
            format!("set the {} back as it is", vessel_name(vessel)),
            String::new(),
        ),
        Page::Place { drink, vessel } => (
            format!("set down a {} for {drink}", vessel_name(vessel)),
            String::new(),
        ),
        Page::Pour {
            liquid, remaining, ..
        } => (liquid.to_owned(), to_go(remaining)),
        Page::Add {
            liquid, missing, ..
        } => (format!("add {liquid}"), reading(missing)),
        Page::Count {
            liquid,
            done,
            of,
            unit,
            ..
        } => (
            liquid.to_owned(),
            format!("{done} of {}", counted(of, unit)),
        ),
        Page::Ice {
            so_far,
            low_g,
            high_g,
            ..
        } => (
            "ice".to_owned(),
            format!("{} of {low_g} to {high_g} g", reading(so_far)),
        ),
        Page::Away {
            work,
            seconds_left,
            running,
            ..
        } => (
            work_name(work).to_owned(),
            if running {
                format!("{seconds_left} s left")
            } else {
                format!("{seconds_left} s")
            },
        ),
        Page::Strain {
            drink,
            left: Some(left),
            ..
        } => (format!("strain {drink}"), to_go(left)),
        Page::Strain { drink, so_far, .. } => (format!("strain {drink}"), reading(so_far)),
        Page::Question { one, two } => (format!("1 {one}, or 2 {two}?"), "press for 2".to_owned()),
        Page::Again { drink } => ("ready".to_owned(), format!("press: {drink} again")),
        Page::Note { text, .. } => (text.to_owned(), String::new()),
        Page::Judged {
            liquid,
            error,
            verdict,
            ..
        } => (
            liquid.to_owned(),
            match verdict {
                Verdict::Good => "good".to_owned(),
                Verdict::Short => format!("short, {}", reading(error)),
                Verdict::Over => format!("over, {}", reading(error)),
            },
        ),
        Page::Ask { what, grams } => (format!("{what}?"), reading(grams)),
        Page::WeighedBack {
            water,
            expected,
            lost,
        } => {
            let percent = |tenths: i16| format!("{:.1} %", f32::from(tenths) / 10.0);
            let usual =
                expected.map_or_else(String::new, |usual| format!(" (usual {})", percent(usual)));
            (
                format!("dilution {}{usual}", percent(water)),
                format!("lost {:.1} g", f32::from(lost) / 10.0),
            )
        }
        Page::Done { drink } => (format!("{drink} is done"), String::new()),
        Page::Learn(learn) => learning_action(learn),
        Page::Refused => ("not just now".to_owned(), String::new()),
        Page::Fault(fault) => (format!("scale fault: {}", fault_kind(fault)), String::new()),
    }
}

fn learning_action(learn: Learn) -> (String, String) {
    match learn {
        Learn::Measure => ("set the empty measure on".to_owned(), String::new()),
        Learn::Wait => ("weighing the measure".to_owned(), String::new()),
        Learn::Fill(mark) => ("fill the measure".to_owned(), reading(mark)),
        Learn::Told(learned) => ("learned".to_owned(), learning::in_short(&learned)),
    }
}

fn to_go(remaining: Reading) -> String {
    if remaining.value < 0 {
        let over = Reading {
            value: remaining.value.saturating_neg(),
            ..remaining
        };
        format!("{} too much", reading(over))
    } else {
        format!("{} to go", reading(remaining))
    }
}

/// A reading with its unit.
#[must_use]
pub fn reading(reading: Reading) -> String {
    let decimals = usize::from(reading.decimals);
    let digits = f64::from(reading.value) / 10f64.powi(i32::from(reading.decimals));
    let several = digits.abs() != 1.0;
    format!("{digits:.decimals$} {}", unit_word(reading.unit, several))
}

/// What comes next, in words.
#[must_use]
pub fn next_of(page: &Page<'_>) -> Option<String> {
    match *page {
        Page::Pour { next, .. }
        | Page::Add { next, .. }
        | Page::Count { next, .. }
        | Page::Ice { next, .. }
        | Page::Away { next, .. }
        | Page::Note { next, .. }
        | Page::Judged { next, .. } => next_name(next),
        Page::Idle
        | Page::Weight(_)
        | Page::Place { .. }
        | Page::Strain { .. }
        | Page::Ask { .. }
        | Page::Question { .. }
        | Page::Again { .. }
        | Page::WeighedBack { .. }
        | Page::Done { .. }
        | Page::Learn(_)
        | Page::Refused
        | Page::Fault(_) => None,
    }
}

fn next_name(next: Next<'_>) -> Option<String> {
    match next {
        Next::Nothing => None,
        Next::Liquid(name) => Some(name.to_owned()),
        Next::Ice => Some("ice".to_owned()),
        Next::Work(work) => Some(work_name(work).to_owned()),
        Next::Strain(glass) => Some(format!("strain into a {}", vessel_name(glass))),
        Next::Note(text) => Some(text.to_owned()),
        Next::Glass { drink, saves } => Some(format!(
            "or {drink}, {:.0} s less reaching",
            f64::from(saves) / 10.0
        )),
    }
}

fn work_name(work: Work) -> &'static str {
    match work {
        Work::Stir => "stir",
        Work::Shake => "shake",
    }
}

fn vessel_name(vessel: Vessel) -> &'static str {
    match vessel {
        Vessel::Rocks => "rocks glass",
        Vessel::MixingGlass | Vessel::Tin | Vessel::Highball | Vessel::Coupe => vessel_word(vessel),
    }
}
