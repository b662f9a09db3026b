//! Learning a bottle at the edges: how a sample is asked for, and how what was learned is told.

use clap::Args;
use pennyweight_core::input::{Known, Sample};
use pennyweight_core::limits::{LEARN_SIGMA_PART, LEARN_UL};
use pennyweight_core::liquid::ethanol::{HIGHEST_C, LOWEST_C};
use pennyweight_core::liquid::sucrose::HIGHEST_G_PER_L;
use pennyweight_core::output::{Learned, Lesson, Refused};
use pennyweight_core::spec::{Amount, Quantity};
use serde::Serialize;

use super::failure::excerpt;

/// What a fairly good measuring cylinder is good to where nothing else is said, as a share of its
/// volume. Assumed: class B cylinders of ISO 4788 are allowed 1 ml in 100 (from memory), and the
/// eye at the mark adds to half of that.
const VOLUME_SIGMA_SHARE: f64 = 0.005;

/// How a sample is written as a command.
pub const SAMPLE_WORDS: &str =
    "learn VOLUME [abv PERCENT | sugar G_PER_L] [at DEGC] [sigma VOLUME]";

/// Options of `station` that learn a bottle.
#[derive(Args, Clone, Debug, Default)]
pub struct LearnArgs {
    /// Learn a bottle: weigh a measure of this volume, such as "50 ml"
    #[arg(long, value_name = "VOLUME", conflicts_with_all = ["target_g", "order", "calibrate", "report"])]
    pub learn: Option<String>,

    /// Its strength, percent by volume: the sugar is learned
    #[arg(
        long,
        value_name = "PERCENT",
        requires = "learn",
        allow_hyphen_values = true
    )]
    pub abv: Option<String>,

    /// Its sugar, grams per litre: the strength is learned
    #[arg(
        long,
        value_name = "G_PER_L",
        requires = "learn",
        conflicts_with = "abv",
        allow_hyphen_values = true
    )]
    pub sugar: Option<String>,

    /// How warm it is, degC [default: 20]
    #[arg(
        long,
        value_name = "DEGC",
        requires = "learn",
        allow_hyphen_values = true
    )]
    pub temp: Option<String>,

    /// One standard deviation of the measure's volume, such as "0.25 ml" [default: 0.5 % of it,
    /// assumed for a fairly good cylinder]
    #[arg(long, value_name = "VOLUME", requires = "learn")]
    pub volume_sigma: Option<String>,
}

impl LearnArgs {
    /// The sample asked for, if any.
    ///
    /// # Errors
    /// Says which option is wrong and what would be right.
    pub fn sample(&self) -> Result<Option<Sample>, String> {
        let Some(volume) = &self.learn else {
            return Ok(None);
        };
        let words = Words {
            volume,
            abv: self.abv.as_deref(),
            sugar: self.sugar.as_deref(),
            at: self.temp.as_deref(),
            sigma: self.volume_sigma.as_deref(),
        };
        words.sample().map(Some)
    }
}

/// The parts of a sample as they were written.
#[derive(Clone, Copy, Debug, Default)]
struct Words<'a> {
    volume: &'a str,
    abv: Option<&'a str>,
    sugar: Option<&'a str>,
    at: Option<&'a str>,
    sigma: Option<&'a str>,
}

/// Reads what stands behind `learn` in a command: see [`SAMPLE_WORDS`].
///
/// # Errors
/// Says what is wrong and what would be right.
pub fn sample(text: &str) -> Result<Sample, String> {
    let mut words = Words::default();
    let mut seen: Vec<&str> = Vec::new();
    let mut rest = text.trim();
    let mut key = "";
    loop {
        let (value, next) = split_at_key(rest);
        let value = value.trim();
        let place = match key {
            "" => {
                words.volume = value;
                None
            }
            "abv" => Some(&mut words.abv),
            "sugar" => Some(&mut words.sugar),
            "at" => Some(&mut words.at),
            _ => Some(&mut words.sigma),
        };
        if let Some(place) = place {
            *place = Some(value);
        }
        let Some((found, after)) = next else { break };
        if seen.contains(&found) {
            return Err(format!("{found} stands there twice"));
        }
        seen.push(found);
        (key, rest) = (found, after);
    }
    words.sample()
}

/// What stands before the first key word, that word, and what stands behind it.
fn split_at_key(text: &str) -> (&str, Option<(&str, &str)>) {
    let mut from = 0;
    for word in text.split_whitespace() {
        let at = from + text[from..].find(word).unwrap_or(0);
        let end = at + word.len();
        if ["abv", "sugar", "at", "sigma"].contains(&word) {
            return (&text[..at], Some((word, &text[end..])));
        }
        from = end;
    }
    (text, None)
}

impl Words<'_> {
    fn sample(&self) -> Result<Sample, String> {
        let volume_ul = microlitres(self.volume, "the measure")?;
        if !(LEARN_UL.0..=LEARN_UL.1).contains(&volume_ul) {
            return Err(format!(
                "the measure must hold {} to {} ml, not {}",
                LEARN_UL.0 / 1000,
                LEARN_UL.1 / 1000,
                shown(self.volume)
            ));
        }
        let sigma_ul = match self.sigma {
            Some(text) => microlitres(text, "its sigma")?,
            None => (f64::from(volume_ul) * VOLUME_SIGMA_SHARE).round() as u32,
        };
        if sigma_ul.saturating_mul(LEARN_SIGMA_PART) > volume_ul {
            return Err(format!(
                "a measure of {} must be good to a fifth of it, not to {}",
                shown(self.volume),
                shown(self.sigma.unwrap_or_default())
            ));
        }
        let known = match (self.abv, self.sugar) {
            (None, None) => Known::Nothing,
            (Some(text), None) => {
                Known::Strength((number(text, "abv", 0.0, 100.0, "% vol")? * 100.0).round() as u16)
            }
            (None, Some(text)) => {
                let sugar = number(text, "sugar", 0.0, HIGHEST_G_PER_L.floor(), "g/l")?;
                Known::Sugar((sugar * 10.0).round() as u16)
            }
            (Some(_), Some(_)) => {
                return Err("abv and sugar stand there both; one of them is to be learned".into());
            }
        };
        let celsius = match self.at {
            Some(text) => number(text, "the temperature", LOWEST_C, HIGHEST_C, "degC")?,
            None => 20.0,
        };
        Ok(Sample {
            volume_ul,
            sigma_ul,
            celsius: (celsius * 100.0).round() as i16,
            known,
        })
    }
}

fn microlitres(text: &str, what: &str) -> Result<u32, String> {
    match Amount::parse(text).map(|amount| amount.quantity) {
        Ok(Quantity::Volume(ul)) => Ok(ul),
        Ok(Quantity::Mass(_) | Quantity::Count(_)) => Err(format!(
            "{what} is a volume, such as 50 ml, not {}",
            shown(text)
        )),
        Err(wrong) => Err(format!("{what}, {}: {wrong}", shown(text))),
    }
}

fn number(text: &str, what: &str, low: f64, high: f64, unit: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        Ok(_) => Err(format!(
            "{what} {} lies outside {low} to {high} {unit}",
            shown(text)
        )),
        Err(_) => Err(format!("{what} takes a number, not {}", shown(text))),
    }
}

/// What somebody wrote, for a message.
fn shown(text: &str) -> String {
    excerpt(text.trim().as_bytes())
}

/// What was learned, as other programs read it.
#[derive(Debug, Serialize)]
pub struct LearnedLine {
    density_kg_m3: f32,
    sigma_kg_m3: f32,
    /// One standard deviation of a fill as the repeats show it; from the second on.
    #[serde(skip_serializing_if = "Option::is_none")]
    spread_kg_m3: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sugar_g_per_l: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sugar_sigma: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    abv_percent: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    abv_sigma: Option<f32>,
    fills: u8,
    /// What belongs into a sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    lines: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    refused: Option<String>,
}

impl LearnedLine {
    /// Of that event.
    #[must_use]
    pub fn of(learned: &Learned) -> Self {
        let (sugar, strength) = match learned.lesson {
            Lesson::Sugar(sugar) => (Some(sugar), None),
            Lesson::Strength(strength) => (None, Some(strength)),
            Lesson::Density | Lesson::Refused(_) => (None, None),
        };
        let refused = refusal(learned);
        Self {
            density_kg_m3: learned.density.value,
            sigma_kg_m3: learned.density.sigma,
            spread_kg_m3: (learned.fills > 1).then_some(learned.spread),
            sugar_g_per_l: sugar.map(|sugar| sugar.value),
            sugar_sigma: sugar.map(|sugar| sugar.sigma),
            abv_percent: strength.map(|strength| strength.value),
            abv_sigma: strength.map(|strength| strength.sigma),
            fills: learned.fills,
            lines: refused.is_none().then(|| lines(learned)),
            refused,
        }
    }
}

/// Lines for a sheet: the density with its temperature, and strength and sugar as far as they are
/// known now.
#[must_use]
pub fn lines(learned: &Learned) -> String {
    let mut lines = vec![
        format!(
            "density = {:.4} # +- {:.4}",
            learned.density.value / 1000.0,
            learned.density.sigma / 1000.0
        ),
        format!("at = {}", f64::from(learned.sample.celsius) / 100.0),
    ];
    let (abv, sugar) = match (learned.sample.known, learned.lesson) {
        (Known::Strength(hundredths), Lesson::Sugar(sugar)) => (
            Some(f64::from(hundredths) / 100.0),
            Some(f64::from(sugar.value).round()),
        ),
        (Known::Sugar(tenths), Lesson::Strength(strength)) => (
            Some((f64::from(strength.value) * 10.0).round() / 10.0),
            Some(f64::from(tenths) / 10.0),
        ),
        _ => (None, None),
    };
    let (of_abv, of_sugar) = match learned.lesson {
        Lesson::Strength(strength) => (format!(" # +- {:.1}", strength.sigma), String::new()),
        Lesson::Sugar(sugar) => (String::new(), format!(" # +- {:.0}", sugar.sigma)),
        _ => (String::new(), String::new()),
    };
    lines.extend(abv.map(|abv| format!("abv = {abv}{of_abv}")));
    lines.extend(sugar.map(|sugar| format!("sugar = {sugar}{of_sugar}")));
    lines.join("\n")
}

/// The same on one line, for between the braces of `name = { .. }`; what is sure of it is left out.
#[must_use]
pub fn in_one_line(learned: &Learned) -> String {
    let lines = lines(learned);
    let bare = lines.lines().map(|line| match line.split_once(" #") {
        Some((bare, _)) => bare,
        None => line,
    });
    bare.collect::<Vec<_>>().join(", ")
}

/// Why a fill teaches nothing, with the bound; `None` where it does.
#[must_use]
pub fn refusal(learned: &Learned) -> Option<String> {
    let Lesson::Refused(why) = learned.lesson else {
        return None;
    };
    let density = |kg_m3: f32| format!("{:.4} g/ml", kg_m3 / 1000.0);
    let found = density(learned.density.value);
    let with = match learned.sample.known {
        Known::Nothing => "such a liquid".to_owned(),
        Known::Strength(hundredths) => format!("{} % vol", f64::from(hundredths) / 100.0),
        Known::Sugar(tenths) => format!("{} g/l of sugar", f64::from(tenths) / 10.0),
    };
    let by_strength = matches!(learned.sample.known, Known::Strength(_));
    Some(match why {
        Refused::NoLiquid(bound) if learned.density.value < bound => format!(
            "{found} is less than {}, below which there is no drinkable liquid; is the measure \
             filled to its mark?",
            density(bound)
        ),
        Refused::NoLiquid(bound) => format!(
            "{found} is more than {}, above which there is no drinkable liquid; is the measure \
             filled to its mark?",
            density(bound)
        ),
        Refused::TooLight(bound) if by_strength => format!(
            "{found} is lighter than {}, what {with} has without any sugar",
            density(bound)
        ),
        Refused::TooLight(bound) => format!(
            "{found} is lighter than {}, what pure alcohol with {with} would have",
            density(bound)
        ),
        Refused::TooDense(bound) if by_strength => format!(
            "{found} is denser than {}, what {with} has with as much sugar as it can hold",
            density(bound)
        ),
        Refused::TooDense(bound) => format!(
            "{found} is denser than {}, what {with} has in water alone",
            density(bound)
        ),
        Refused::Label => format!("no liquid of {with} has {found} at this temperature"),
    })
}

/// For a person: density and what follows, with one standard deviation each.
#[must_use]
pub fn sentence(learned: &Learned) -> String {
    if let Some(refusal) = refusal(learned) {
        return refusal;
    }
    let fills = match learned.fills {
        1 => "1 fill".to_owned(),
        fills => format!("{fills} fills, {:.1} kg/m3 apart", learned.spread),
    };
    format!("{} ({fills})", in_short(learned))
}

/// The same in a few words.
#[must_use]
pub fn in_short(learned: &Learned) -> String {
    let density = format!(
        "{:.4} \u{b1} {:.4} g/ml",
        learned.density.value / 1000.0,
        learned.density.sigma / 1000.0
    );
    match learned.lesson {
        Lesson::Density => density,
        Lesson::Sugar(sugar) => format!(
            "{density}, {:.0} \u{b1} {:.0} g/l of sugar",
            sugar.value, sugar.sigma
        ),
        Lesson::Strength(strength) => format!(
            "{density}, {:.1} \u{b1} {:.1} % vol",
            strength.value, strength.sigma
        ),
        Lesson::Refused(_) => "not possible".to_owned(),
    }
}
