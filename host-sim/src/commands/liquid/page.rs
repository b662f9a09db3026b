//! The answer of `liquid` as text: a page to read, or lines for a sheet.

use std::fmt::Write as _;

use pennyweight_core::liquid::Model;

use super::{Answer, LiquidArgs, SOLVED_SIGMA_PERCENT, Unknown};

/// A model in a word, and where it is published.
pub(super) fn named(model: Model) -> (&'static str, &'static str) {
    match model {
        Model::OimlR22 => ("oiml_r22", "OIML R 22 (1975), general formula"),
        Model::IcumsaSps4 => ("icumsa_sps4", "ICUMSA SPS-4, sucrose solutions"),
        Model::Tabarie => (
            "tabarie",
            "Tabarie's relation (OIV-MA-AS2-03B) over OIML R 22 and ICUMSA SPS-4",
        ),
        Model::Saline => (
            "saline",
            "Laliberte and Cooper (2004), apparent density of sodium chloride",
        ),
        Model::Dairy => (
            "dairy",
            "component formula of the milk industry; its other solids are assumed",
        ),
        Model::Honey => (
            "honey",
            "a straight line through 1420 kg/m3 at 17.5 % water (USDA SR28), its slope from memory",
        ),
        Model::Measured => ("measured", "as measured"),
    }
}

/// The lines that describe the liquid in a sheet.
#[must_use]
pub fn lines(args: &LiquidArgs, answer: &Answer) -> String {
    let whole = [
        ("salt", args.salt),
        ("fat", args.fat),
        ("honey_water", args.honey_water),
    ];
    let mut lines: Vec<(&str, String)> = whole
        .into_iter()
        .filter_map(|(key, figure)| Some((key, decimal(figure?, 2))))
        .collect();
    if lines.is_empty() {
        // Water has a strength too: none.
        if answer.abv_percent > 0.0 || answer.sugar_g_per_l <= 0.0 {
            lines.push(("abv", decimal(answer.abv_percent, 2)));
        }
        match args.brix {
            Some(brix) => lines.push(("brix", decimal(brix, 2))),
            None if answer.sugar_g_per_l > 0.0 => {
                lines.push(("sugar", decimal(answer.sugar_g_per_l, 1)));
            }
            None => {}
        }
    }
    if let Some(density) = args.density {
        lines.push(("density", decimal(density / 1_000.0, 5)));
        lines.push(("at", decimal(args.temp, 2)));
    }
    let mut text = String::new();
    for (key, value) in lines {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{key} = {value}");
    }
    text
}

/// With so many digits behind the point, without zeros at the end.
fn decimal(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The answer as a few aligned lines.
#[must_use]
pub fn page(args: &LiquidArgs, answer: &Answer) -> String {
    let mut text = String::new();
    let mut line = |head: &str, body: String| {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{head:<12} {body}");
    };
    line(
        "liquid",
        format!(
            "{:.2} % vol, {:.1} g/l sugar",
            answer.abv_percent, answer.sugar_g_per_l
        ),
    );
    line("temperature", format!("{:.1} degC", answer.temperature_c));
    line(
        "density",
        format!(
            "{:.2} kg/m3 \u{b1} {:.2} % (one standard uncertainty)",
            answer.density_kg_m3, answer.sigma_percent
        ),
    );
    line("source", answer.source.to_owned());
    if let (Some(sigma), Some(solve)) = (answer.solved_sigma, args.solve) {
        let what = match solve {
            Unknown::Abv => format!("{:.2} \u{b1} {sigma:.2} % vol", answer.abv_percent),
            Unknown::Sugar => format!("{:.0} \u{b1} {sigma:.0} g/l sugar", answer.sugar_g_per_l),
        };
        line(
            "solved",
            format!("{what}, a density good to {SOLVED_SIGMA_PERCENT} % taken"),
        );
    }
    if let (Some(ml), Some(mass), Some(shown)) = (answer.ml, answer.mass_g, answer.shown_g) {
        line(
            "amount",
            format!(
                "{ml} ml at 20 degC weigh {mass:.3} \u{b1} {:.3} g; a scale shows {shown:.3} g",
                mass * answer.sigma_percent / 100.0
            ),
        );
    }
    text
}
