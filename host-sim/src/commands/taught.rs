//! What hands and bottles have taught the station, as a person and other programs read it.

use std::fmt::Write as _;
use std::io::{self, Write};

use pennyweight_core::pour::{Habit, Habits, Owner};
use pennyweight_core::{Instant, Station};
use serde::Serialize;

use super::events::write_json;
use super::names::Names;

/// One hand with one bottle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TaughtLine {
    /// The hand's number; null for whoever pours.
    pub hand: Option<u8>,
    /// The bottle; null where a target in grams is all that is known.
    pub liquid: Option<String>,
    /// Pours that taught it.
    pub pours: u16,
    /// Flow before any ease, grams per second; null until one told.
    pub usual_g_s: Option<f32>,
    /// Flow after an ease, grams per second; null for a hand that does not ease.
    pub eased_g_s: Option<f32>,
    /// From the stop cue on the flow goes on for so long, seconds.
    pub delay_s: f32,
    /// And this drips, grams.
    pub drips_g: f32,
}

impl TaughtLine {
    fn of(owner: &Owner, habit: &Habit, names: &Names) -> Self {
        let usual = habit.usual();
        let known = usual.0 > 0.0;
        Self {
            hand: owner.hand,
            liquid: owner.liquid.map(|id| {
                let name = names.liquid(id).map(str::to_owned);
                name.unwrap_or_else(|| format!("liquid {}", id.0))
            }),
            pours: habit.pours(),
            usual_g_s: known.then_some(usual.0),
            eased_g_s: (known && habit.eases()).then(|| habit.eased(usual).0),
            delay_s: habit.delay_s(),
            drips_g: habit.drips().0,
        }
    }
}

/// All of it, the last learned at the end.
#[must_use]
pub fn taught(habits: &Habits, names: &Names) -> Vec<TaughtLine> {
    let known = habits.known().iter();
    known
        .map(|(owner, habit)| TaughtLine::of(owner, habit, names))
        .collect()
}

/// Tells it as one event for each.
///
/// # Errors
/// As the writer.
pub fn write_taught(
    out: &mut impl Write,
    at: Instant,
    station: &Station<'_>,
    names: &Names,
) -> io::Result<()> {
    #[derive(Serialize)]
    struct Event {
        t_us: u64,
        event: &'static str,
        #[serde(flatten)]
        line: TaughtLine,
    }
    for line in taught(station.habits(), names) {
        let (t_us, event) = (at.micros(), "taught");
        write_json(out, &Event { t_us, event, line })?;
    }
    Ok(())
}

/// The same as a table, 80 columns wide at most, and a blank line; empty where nothing was taught.
#[must_use]
pub fn table(lines: &[TaughtLine]) -> String {
    let mut out = String::new();
    if lines.is_empty() {
        return out;
    }
    let figure =
        |value: Option<f32>| value.map_or_else(|| "-".to_owned(), |value| format!("{value:.1}"));
    // Writing to a text cannot fail.
    let _ = writeln!(
        out,
        " {:<24} {:>8} {:>10} {:>11} {:>10} {:>8}\n{}",
        "Taught by the pours",
        "pours",
        "usual g/s",
        "eased g/s",
        "delay s",
        "drips g",
        "\u{2500}".repeat(78)
    );
    for line in lines {
        let name = line.liquid.as_deref().unwrap_or("any");
        let who = match line.hand {
            Some(hand) => format!("{name}, hand {hand}"),
            None => name.to_owned(),
        };
        let _ = writeln!(
            out,
            "   {who:<22} {:>8} {:>10} {:>11} {:>10.2} {:>8.2}",
            line.pours,
            figure(line.usual_g_s),
            figure(line.eased_g_s),
            line.delay_s,
            line.drips_g
        );
    }
    out.push('\n');
    out
}
