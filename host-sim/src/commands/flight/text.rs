//! A flight as a person reads it, 80 columns wide at most.

use super::compared::{Comparison, FlightResult, Variant};
use crate::commands::cautions::CAUTIONS;

const DASH: &str = "-";

/// The glasses side by side, whether they may be compared, and last what is in which.
pub(super) fn report(result: &FlightResult) -> String {
    let mut lines = vec![
        format!(
            "Flight {}, a {} with {:?} changed",
            result.flight, result.drink, result.changes
        ),
        match (result.shared, &result.unbatched) {
            ("batch", _) => {
                "What the glasses share was made as one batch and split by weight.".to_owned()
            }
            (_, Some(why)) => format!("Every glass was built whole: {why}."),
            _ => "Every glass was built whole.".to_owned(),
        },
        String::new(),
        heading(),
        "\u{2500}".repeat(78),
    ];
    let mut glasses: Vec<&Variant> = result.variants.iter().collect();
    let blind = glasses.iter().any(|one| one.code.is_some());
    if blind {
        // In the order of their codes, which tells nothing.
        glasses.sort_by_key(|one| one.code);
    }
    lines.extend(glasses.iter().map(|one| row(one, blind)));
    lines.push(" \u{b1} is one standard deviation.".to_owned());
    lines.push(String::new());
    lines.push("May the glasses be compared".to_owned());
    let fairness = &result.fairness;
    for (what, unit, found) in [
        ("shared part", "ml", fairness.shared_ml),
        ("dilution", "points", fairness.dilution_percent),
        ("served", "ml", fairness.served_ml),
    ] {
        lines.push(format!("  {what:<12} {}", compared(found, unit)));
    }
    if let Some(ml) = result.serve_ml {
        lines.push(format!("  every glass was to be strained to {ml:.0} ml"));
    }
    if blind {
        lines.push(String::new());
        lines.push("Revealed".to_owned());
        lines.extend(
            glasses
                .iter()
                .map(|one| format!("  {:<12} {}", one.glass, one.variant)),
        );
    }
    lines.push(String::new());
    lines.extend(CAUTIONS.iter().map(|line| (*line).to_owned()));
    let mut text = lines.join("\n");
    text.push('\n');
    text
}

fn heading() -> String {
    format!(
        "{:<20} {:>10} {:>10} {:>9} {:>9} {:>12}",
        "Glasses", "shared ml", "served ml", "% vol", "sugar g/l", "dilution %"
    )
}

fn row(one: &Variant, blind: bool) -> String {
    let name = if blind { &one.glass } else { &one.variant };
    let name: String = name.chars().take(20).collect();
    let holds = &one.holds.holds;
    let dilution = match (holds.dilution_percent, holds.dilution_sigma_percent) {
        (Some(percent), Some(sigma)) => format!("{percent:.0}\u{b1}{sigma:.0}"),
        _ => DASH.to_owned(),
    };
    format!(
        "{name:<20} {:>10} {:>10} {:>9} {:>9} {dilution:>12}",
        format!(
            "{:.1}\u{b1}{:.1}",
            one.shared_ml,
            tenths(one.shared_sigma_ml)
        ),
        format!(
            "{:.0}\u{b1}{:.1}",
            holds.volume_ml,
            tenths(holds.volume_sigma_ml)
        ),
        format!(
            "{:.1}\u{b1}{:.1}",
            holds.abv_percent,
            tenths(holds.abv_sigma_percent)
        ),
        format!("{:.0}", holds.sugar_g_per_l),
    )
}

/// Rounded up (JCGM 100, 7.2.6): nothing is known exactly.
fn tenths(sigma: f32) -> f32 {
    (10.0 * sigma).ceil() / 10.0
}

fn compared(found: Option<Comparison>, unit: &str) -> String {
    match found {
        None => "not known of every glass".to_owned(),
        Some(found) => {
            let word = match found.finding {
                "alike" => "alike",
                "apart" => "NOT alike",
                _ => "cannot be told",
            };
            format!(
                "{:.1}\u{b1}{:.1} {unit} apart, may be {:.1}: {word}",
                found.spread,
                tenths(found.sigma),
                found.within
            )
        }
    }
}
