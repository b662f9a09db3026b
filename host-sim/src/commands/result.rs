//! What a round came to: the document of `run --json`, and what the tables are made from.

use pennyweight_core::output::{DilutionBasis, DrinkRecord, PourRecord, WeighedBack};
use pennyweight_core::{Instant, Outputs};
use serde::Serialize;

use super::events::{verdict_name, whole_microlitres};
use super::failure::Failure;
use super::names::Names;
use super::taught::TaughtLine;

/// A whole round.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RoundResult {
    /// In the order in which they were finished.
    pub drinks: Vec<DrinkResult>,
    /// Station time from the first moment to the last.
    pub seconds: f64,
    /// What the pours taught.
    pub taught: Vec<TaughtLine>,
}

/// One finished glass.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrinkResult {
    /// The drink's name.
    pub name: String,
    /// What went in, in the order in which it was closed.
    pub pours: Vec<PourResult>,
    /// What it holds.
    #[serde(flatten)]
    pub holds: GlassHolds,
}

/// What a finished glass holds; every sigma is one standard deviation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GlassHolds {
    /// Volume of the liquid at 20 degC, melted ice included.
    pub volume_ml: f32,
    /// How well it is known.
    pub volume_sigma_ml: f32,
    /// Strength by volume at 20 degC.
    pub abv_percent: f32,
    /// How well it is known.
    pub abv_sigma_percent: f32,
    /// Sugar at 20 degC.
    pub sugar_g_per_l: f32,
    /// Pure alcohol.
    pub ethanol_g: f32,
    /// How well it is known.
    pub ethanol_sigma_g: f32,
    /// Water from ice, percent of the undiluted volume, where it is known.
    pub dilution_percent: Option<f32>,
    /// `weighed`, or `expected` of such a drink.
    pub dilution_basis: Option<&'static str>,
    /// How well it is known.
    pub dilution_sigma_percent: Option<f32>,
    /// Where what stayed behind was weighed.
    #[serde(flatten)]
    pub back: Option<BackHolds>,
}

/// What weighing back tells beside the dilution; every sigma is one standard deviation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BackHolds {
    /// What left the vessel and did not come into the glass.
    pub lost_g: f32,
    /// How well it is known.
    pub lost_sigma_g: f32,
    /// The dilution that such work usually brings such a drink, where that is known.
    pub dilution_expected_percent: Option<f32>,
    /// How well it is known.
    pub dilution_expected_sigma_percent: Option<f32>,
}

impl From<&DrinkRecord> for GlassHolds {
    fn from(record: &DrinkRecord) -> Self {
        Self {
            volume_ml: record.volume.0,
            volume_sigma_ml: record.volume_sigma.0,
            abv_percent: record.abv_percent,
            abv_sigma_percent: record.abv_sigma_percent,
            sugar_g_per_l: record.sugar_g_per_l,
            ethanol_g: record.ethanol.0,
            ethanol_sigma_g: record.ethanol_sigma.0,
            dilution_percent: record.dilution.map(|dilution| dilution.percent),
            dilution_basis: record.dilution.map(|dilution| match dilution.basis {
                DilutionBasis::Weighed => "weighed",
                DilutionBasis::Expected => "expected",
            }),
            dilution_sigma_percent: record.dilution.map(|dilution| dilution.sigma_percent),
            back: None,
        }
    }
}

impl From<&WeighedBack> for GlassHolds {
    fn from(weighed: &WeighedBack) -> Self {
        let expected = weighed.expected;
        Self {
            back: Some(BackHolds {
                lost_g: weighed.lost.mass.0,
                lost_sigma_g: weighed.lost.sigma.0,
                dilution_expected_percent: expected.map(|dilution| dilution.percent),
                dilution_expected_sigma_percent: expected.map(|dilution| dilution.sigma_percent),
            }),
            ..Self::from(&weighed.drink)
        }
    }
}

/// One closed pour.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PourResult {
    /// The liquid's name.
    pub liquid: String,
    /// What it came to.
    #[serde(flatten)]
    pub figures: PourFigures,
}

/// What a closed pour came to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PourFigures {
    /// The volume asked for, at 20 degC.
    pub target_ml: f32,
    /// What the scale was to show.
    pub target_g: f32,
    /// What it showed.
    pub poured_g: f32,
    /// One standard deviation of it.
    pub sigma_g: f32,
    /// Poured less target.
    pub error_g: f32,
    /// `good`, `short` or `over`.
    pub verdict: &'static str,
}

impl From<&PourRecord> for PourFigures {
    fn from(record: &PourRecord) -> Self {
        Self {
            target_ml: whole_microlitres(record.target_volume),
            target_g: record.target.0,
            poured_g: record.poured.mass.0,
            sigma_g: record.poured.sigma.0,
            error_g: (record.poured.mass - record.target).0,
            verdict: verdict_name(record.verdict),
        }
    }
}

/// Gathers records while a round is played.
#[derive(Clone, Debug)]
pub struct RoundTally<'n> {
    names: &'n Names,
    /// With the step of each.
    open: Vec<(u8, PourResult)>,
    drinks: Vec<DrinkResult>,
    first: Option<Instant>,
    last: Instant,
}

impl<'n> RoundTally<'n> {
    /// Nothing gathered yet.
    #[must_use]
    pub fn new(names: &'n Names) -> Self {
        Self {
            names,
            open: Vec::new(),
            drinks: Vec::new(),
            first: None,
            last: Instant::ZERO,
        }
    }

    /// Takes the records of one moment.
    pub fn take(&mut self, at: Instant, outputs: &Outputs) {
        self.first.get_or_insert(at);
        self.last = at;
        if let Some(record) = &outputs.poured {
            let pour = self.pour(record);
            // A step added to after an over-pour is told anew, as a whole.
            match self.open.iter_mut().find(|(step, _)| *step == record.step) {
                Some(open) => open.1 = pour,
                None => self.open.push((record.step, pour)),
            }
        }
        if let Some(record) = &outputs.done {
            let open = std::mem::take(&mut self.open);
            let pours = open.into_iter().map(|(_, pour)| pour).collect();
            self.drinks.push(self.glass(record, pours));
        }
        // The vessel comes back before the next drink is finished.
        if let (Some(weighed), Some(last)) = (&outputs.weighed_back, self.drinks.last_mut()) {
            last.holds = weighed.into();
        }
    }

    /// How many glasses are finished.
    #[must_use]
    pub fn finished(&self) -> usize {
        self.drinks.len()
    }

    /// The result of a round of so many drinks.
    ///
    /// # Errors
    /// The round ended before they were all finished.
    pub fn finish(self, ordered: usize) -> Result<RoundResult, Failure> {
        let us = self
            .last
            .micros()
            .saturating_sub(self.first.unwrap_or_default().micros());
        let seconds = us as f64 / 1e6;
        if self.drinks.len() < ordered {
            return Err(Failure::failed_run(
                "the round was not finished",
                format!("{seconds} s of station time"),
                format!(
                    "only {} of {ordered} drinks were done; {} pours of the next were closed",
                    self.drinks.len(),
                    self.open.len()
                ),
                "play it again with another --seed, and look at the last step shown without --json",
            ));
        }
        Ok(RoundResult {
            drinks: self.drinks,
            seconds,
            taught: Vec::new(),
        })
    }

    fn pour(&self, record: &PourRecord) -> PourResult {
        let number = record.liquid.0;
        PourResult {
            liquid: self
                .names
                .liquid(record.liquid)
                .map_or_else(|| format!("liquid {number}"), str::to_owned),
            figures: record.into(),
        }
    }

    fn glass(&self, record: &DrinkRecord, pours: Vec<PourResult>) -> DrinkResult {
        let number = record.drink.0;
        DrinkResult {
            name: self
                .names
                .drink(record.drink)
                .map_or_else(|| format!("drink {number}"), str::to_owned),
            pours,
            holds: record.into(),
        }
    }
}
