//! The table of the simulated world, `plant.toml`, as typed ranges and laws.
//!
//! A law written as a sentence keeps its words, so that the table can be shown again as it
//! stands; its figures are read out of the sentence in the order in which they come.

use std::collections::BTreeMap;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::draw::Draws;

/// A range, drawn uniformly.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(from = "[f64; 2]", into = "[f64; 2]")]
pub struct Range {
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
}

impl From<[f64; 2]> for Range {
    fn from([low, high]: [f64; 2]) -> Self {
        Self { low, high }
    }
}

impl From<Range> for [f64; 2] {
    fn from(range: Range) -> Self {
        [range.low, range.high]
    }
}

impl Range {
    /// One value of it.
    pub fn draw(self, draws: &mut Draws) -> f64 {
        draws.between(self.low, self.high)
    }

    /// Its middle.
    #[must_use]
    pub fn middle(self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// Both ends times `factor`.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            low: self.low * factor,
            high: self.high * factor,
        }
    }
}

/// A law in words that holds exactly `N` figures.
#[derive(Clone, Debug, PartialEq)]
pub struct Law<const N: usize> {
    /// As the table states it.
    pub words: String,
    /// Its figures, in their order, as written (35 % is 35).
    pub figures: [f64; N],
}

impl<const N: usize> Serialize for Law<N> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.words)
    }
}

impl<'de, const N: usize> Deserialize<'de> for Law<N> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let words = String::deserialize(deserializer)?;
        let found = figures_in(&words);
        let count = found.len();
        let figures = found.try_into().map_err(|_| {
            de::Error::custom(format!(
                "\"{words}\" holds {count} figures where {N} are needed"
            ))
        })?;
        Ok(Self { words, figures })
    }
}

/// The figures of a sentence. A minus between two figures ("0.3-0.9") is a dash, not a sign.
fn figures_in(words: &str) -> Vec<f64> {
    let mut found = Vec::new();
    let mut figure = String::new();
    let mut before = ' ';
    for letter in words.chars().chain(['\n']) {
        let begins_sign =
            matches!(letter, '-' | '+') && figure.is_empty() && !before.is_alphanumeric();
        let continues = letter.is_ascii_digit() && (!figure.is_empty() || !before.is_alphabetic());
        if begins_sign || continues || (letter == '.' && !figure.is_empty()) {
            figure.push(letter);
        } else {
            if let Ok(value) = figure.trim_end_matches('.').parse::<f64>() {
                found.push(value);
            }
            figure.clear();
        }
        before = letter;
    }
    found
}

/// Flow out of a bottle, millilitres per second.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlowRanges {
    /// Through a speed pourer.
    pub speed_pourer: Range,
    /// Out of a jug or an open neck.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub jug_or_open_neck: Option<Range>,
    /// Relative standard deviation from pour to pour.
    pub cv_between_pours: f64,
}

/// Drops after the stop.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DropLaw {
    /// How many on average; the count is Poisson.
    pub mean_count: f64,
    /// The law of the count, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub law: Option<String>,
    /// Grams of one.
    pub drop_g: Range,
    /// Seconds from one to the next: a least gap and the mean of an exponential.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_s: Option<Law<2>>,
}

/// The thread that trails a syrup.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThreadLaw {
    /// Grams: mean, percent of spread, least.
    pub g: Law<3>,
    /// Seconds in which it falls to 1/e.
    pub tau_s: f64,
}

/// The flow pulses as air goes in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Glug {
    /// Share of the flow, amplitude.
    pub depth: Range,
    /// Pulses per second.
    pub hz: Range,
}

/// How a family of liquids pours.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PourLaw {
    /// Flow.
    pub flow_ml_s: FlowRanges,
    /// Seconds until the full flow.
    pub ramp_up_s: Range,
    /// Seconds until it ends.
    pub tilt_back_s: Range,
    /// A thread after the stop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread_tail: Option<ThreadLaw>,
    /// Drops after the stop.
    pub drops_after: DropLaw,
    /// Pulsing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub glug: Option<Glug>,
}

/// Dashed liquids.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DashLaw {
    /// Millilitres of one dash.
    pub dash_ml: Range,
}

/// The families.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Liquids {
    /// Thin ones.
    pub spirit: PourLaw,
    /// Thick ones.
    pub syrup: PourLaw,
    /// Juices.
    pub juice: PourLaw,
    /// Dashed ones.
    pub bitters: DashLaw,
}

/// Relative spread and time constant of a slow wander.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wander {
    /// Root mean square, share of the flow.
    pub rms: f64,
    /// Seconds.
    pub tau_s: f64,
}

/// Liquid in the air.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StreamLaw {
    /// Metres from spout to surface.
    pub fall_m: Range,
    /// Downward speed at the spout, metres per second.
    pub exit_m_s: Range,
    /// Root mean square of the momentum flux, a share.
    pub jet_roughness: f64,
    /// Wander of the flow.
    pub slow_wander: Wander,
}

/// Empty vessels, grams.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tares {
    /// Coupe.
    pub coupe: Range,
    /// Rocks glass.
    pub rocks: Range,
    /// Highball.
    pub highball: Range,
    /// Tin.
    pub tin: Range,
    /// Mixing glass.
    pub mixing_glass: Range,
}

/// Vessels.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GlassLaw {
    /// Empty.
    pub tare_g: Tares,
    /// Relative standard deviation within a set.
    pub same_kind_spread: f64,
    /// Water under the foot, grams.
    pub wet_base_g: Range,
    /// Frequencies and decay in words: twice-line hertz (2), radii in mm (2), fundamental hertz
    /// (2), decay in seconds for a spirit (2) and a syrup (2).
    pub slosh: Law<10>,
}

/// Creep of the cell.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Creep {
    /// Share of the load.
    pub share: Range,
    /// Two time constants.
    pub two_exponentials_s: [f64; 2],
}

/// Warming up.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WarmUp {
    /// Standard deviation of what is off at power-up, grams.
    pub sd: f64,
    /// Time constant.
    pub tau_s: Range,
}

/// Loading off the centre.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Eccentricity {
    /// Grams per kilogram and centimetre.
    pub g_per_kg_per_cm: f64,
}

/// The load cell.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CellLaw {
    /// Rated load, grams.
    pub capacity_g: Range,
    /// Rated output, millivolts per volt.
    pub sensitivity_mv_v: Range,
    /// Resonance of pan on cell, hertz.
    pub platform_mode_hz: Range,
    /// Its damping ratio.
    pub damping: Range,
    /// Creep.
    pub creep: Creep,
    /// Warming up.
    pub warm_up_g: WarmUp,
    /// Standard deviation, share of the capacity per kelvin.
    #[serde(rename = "zero_tempco_share_per_K")]
    pub zero_tempco_share_per_k: f64,
    /// Random walk of the zero, grams per square root of a minute.
    pub walk_g_per_sqrt_min: Range,
    /// Loading off the centre.
    pub eccentricity: Eccentricity,
}

/// Noise of the converter by its rate, nanovolts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ConverterNoise {
    /// From one converter to the next, a factor.
    pub factor: Range,
    /// Root mean square by rate.
    #[serde(flatten)]
    pub by_rate: BTreeMap<String, f64>,
}

/// The converter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConverterLaw {
    /// Nominal rates.
    pub rates_sps: Vec<f64>,
    /// Share (percent), range, share, range: error of the true rate, percent.
    pub true_rate_error: Law<6>,
    /// In words.
    pub filter: String,
    /// Noise.
    pub noise_nv_rms: ConverterNoise,
    /// Microseconds from ready to read.
    pub read_jitter_us: Range,
}

/// A hum.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hum {
    /// Hertz.
    pub hz: Range,
    /// Amplitude, grams.
    pub g: Range,
}

/// What shakes the bench.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BenchLaw {
    /// 6-35 Hz, root mean square, grams.
    pub vibration_g_rms: Range,
    /// A knock of a shaker, grams at its peak.
    pub shaker_knock_g_peak: Range,
    /// Music.
    pub bass: Hum,
    /// Mains.
    pub mains: Hum,
    /// Slow air, grams.
    pub fan_draught_g: Range,
}

/// Slips of attention.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lapse {
    /// Share of the reactions.
    pub share: f64,
    /// Mean of the exponential, seconds.
    pub extra_s: Law<1>,
}

/// The hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandLaw {
    /// mu, sigma, tau; then mean and standard deviation of the hand's own offset.
    pub stop_reaction_s: Law<5>,
    /// Least and most share of pours anticipated; mean, divisor of the offset, sd.
    pub stop_with_ramp_s: Law<5>,
    /// mu, sigma, tau.
    pub ease_reaction_s: Law<3>,
    /// Median, sigma, most percent of the flow before; transition, its sd.
    pub eased_flow_g_s: Law<5>,
    /// Slips.
    pub lapse: Lapse,
    /// Slowing over the evening.
    pub drift_s_per_hour: Range,
    /// Mean and sd of the gamma.
    pub reading_a_number_s: Law<2>,
    /// Mean, sd, least.
    pub practised_margin_s: Law<3>,
    /// What "known" means: after so many pours.
    pub known: Law<1>,
}

/// The yardstick; it has no figures of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitLaw {}

/// The whole table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Table {
    /// Families of liquids.
    pub liquid: Liquids,
    /// Liquid in the air.
    pub stream: StreamLaw,
    /// Vessels.
    pub glass: GlassLaw,
    /// The load cell.
    pub cell: CellLaw,
    /// The converter.
    pub converter: ConverterLaw,
    /// What shakes the bench.
    pub bench: BenchLaw,
    /// The hand.
    pub hand: HandLaw,
    /// The yardstick.
    pub limit: LimitLaw,
}

/// The words of the table.
pub const PLANT_TOML: &str = include_str!("../../plant.toml");

impl Table {
    /// The table as it stands.
    ///
    /// # Panics
    /// When the file in the binary is damaged; a test reads it.
    #[must_use]
    pub fn nominal() -> Self {
        match toml::from_str(PLANT_TOML) {
            Ok(table) => table,
            Err(error) => panic!("plant.toml: {error}"),
        }
    }

    /// The table as it is used, to be shown beside results.
    #[must_use]
    pub fn echo(&self) -> String {
        toml::to_string(self).unwrap_or_else(|error| format!("# cannot be shown: {error}\n"))
    }
}
