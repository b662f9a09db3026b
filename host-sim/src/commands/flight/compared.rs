//! What a flight came to.

use pennyweight_core::flight::fairness::{
    Compared, DILUTION_BAND, Finding, SERVED_BAND_ML, compare, shared_within_ml,
};
use pennyweight_core::output::{Figure, Outputs, PourRecord};
use serde::Serialize;

use super::Planned;
use crate::commands::result::{DrinkResult, RoundResult};

/// The document of `run --flight --json`: that of a round, and the flight.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlightResult {
    /// Its name.
    pub flight: String,
    /// The drink it varies.
    pub drink: String,
    /// The line of the build that changes.
    pub changes: String,
    /// `batch`, or `each` where every glass is built whole.
    pub shared: &'static str,
    /// Why there is no batch though one was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unbatched: Option<String>,
    /// What every glass was to be strained to, millilitres.
    pub serve_ml: Option<f32>,
    /// The variants in the order of the flight.
    pub variants: Vec<Variant>,
    /// Whether the glasses may be compared.
    pub fairness: Fairness,
    /// Everything that was built, the batch first.
    #[serde(flatten)]
    pub round: RoundResult,
}

/// One glass of a flight.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Variant {
    /// What it is called.
    pub glass: String,
    /// Its code, where the flight is blind.
    pub code: Option<u16>,
    /// The line that makes it.
    pub variant: String,
    /// What it holds of what all glasses share, millilitres at 20 degC.
    pub shared_ml: f32,
    /// One standard deviation of that.
    pub shared_sigma_ml: f32,
    /// What it holds.
    pub holds: DrinkResult,
}

/// How far the glasses are apart.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fairness {
    /// In what they share, millilitres.
    pub shared_ml: Option<Comparison>,
    /// In the water of their ice, percentage points.
    pub dilution_percent: Option<Comparison>,
    /// In what is served, millilitres.
    pub served_ml: Option<Comparison>,
}

/// The most less the least of something, and whether that is within its band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// The most less the least.
    pub spread: f32,
    /// One standard deviation of that.
    pub sigma: f32,
    /// What it may be.
    pub within: f32,
    /// `alike`, `unsure` or `apart`.
    pub finding: &'static str,
}

impl From<Compared> for Comparison {
    fn from(compared: Compared) -> Self {
        Self {
            spread: compared.spread,
            sigma: compared.sigma,
            within: compared.within,
            finding: match compared.finding {
                Finding::Alike => "alike",
                Finding::Unsure => "unsure",
                Finding::Apart => "apart",
            },
        }
    }
}

/// Gathers what a flight's glasses took of the shared part.
pub(super) struct Gathered<'p> {
    planned: &'p Planned,
    open: Vec<PourRecord>,
    /// By the drink on the sheet.
    shared: Vec<(u8, Figure)>,
}

impl<'p> Gathered<'p> {
    pub(super) fn new(planned: &'p Planned) -> Self {
        Self {
            planned,
            open: Vec::new(),
            shared: Vec::new(),
        }
    }

    pub(super) fn take(&mut self, outputs: &Outputs) {
        self.open.extend(outputs.poured);
        if let Some(done) = outputs.done {
            let records = std::mem::take(&mut self.open);
            let figure = self.planned.shared_part(&records);
            self.shared.push((done.drink.0, figure));
        }
    }

    pub(super) fn finish(self, round: RoundResult) -> FlightResult {
        let Planned {
            flight,
            made,
            glasses,
            codes,
            ..
        } = self.planned;
        let number = |place: usize| made.variants.get(place).map(|id| id.0);
        let variants: Vec<Variant> = (0..)
            .zip(&flight.variants)
            .zip(glasses)
            .filter_map(|((place, line), glass)| {
                let id = number(place)?;
                let (_, shared) = self.shared.iter().find(|(drink, _)| *drink == id)?;
                let holds = round.drinks.iter().find(|drink| drink.name == *glass)?;
                Some(Variant {
                    glass: glass.clone(),
                    code: codes.as_ref().and_then(|codes| codes.get(place).copied()),
                    variant: line.written.clone(),
                    shared_ml: shared.value,
                    shared_sigma_ml: shared.sigma,
                    holds: holds.clone(),
                })
            })
            .collect();
        FlightResult {
            flight: flight.name.clone(),
            drink: flight.drink.clone(),
            changes: self.planned.changes.clone(),
            shared: if made.batch.is_some() {
                "batch"
            } else {
                "each"
            },
            unbatched: made.unbatched.clone(),
            serve_ml: self.planned.serve_ml,
            fairness: fairness(&variants),
            variants,
            round,
        }
    }
}

fn fairness(variants: &[Variant]) -> Fairness {
    let shared = || {
        variants.iter().map(|one| Figure {
            value: one.shared_ml,
            sigma: one.shared_sigma_ml,
        })
    };
    let mean = shared().map(|one| one.value).sum::<f32>() / variants.len().max(1) as f32;
    let dilution: Option<Vec<Figure>> = variants
        .iter()
        .map(|one| {
            Some(Figure {
                value: one.holds.holds.dilution_percent?,
                sigma: one.holds.holds.dilution_sigma_percent?,
            })
        })
        .collect();
    let served = variants.iter().map(|one| Figure {
        value: one.holds.holds.volume_ml,
        sigma: one.holds.holds.volume_sigma_ml,
    });
    Fairness {
        shared_ml: (mean > 0.0)
            .then(|| compare(shared(), shared_within_ml(mean)))
            .flatten()
            .map(Comparison::from),
        dilution_percent: dilution
            .and_then(|glasses| compare(glasses, DILUTION_BAND))
            .map(Comparison::from),
        served_ml: compare(served, SERVED_BAND_ML).map(Comparison::from),
    }
}

impl Planned {
    /// What these pours hold of what all glasses share.
    fn shared_part(&self, records: &[PourRecord]) -> Figure {
        let mut sum = Figure {
            value: 0.0,
            sigma: 0.0,
        };
        let batch = self.made.batch.map(|batch| batch.liquid);
        for record in records {
            let counts = match batch {
                Some(batch) => record.liquid == batch,
                None => self.made.shared.contains(&record.liquid),
            };
            if counts && record.target.0 > 0.0 {
                let ml_per_g = record.target_volume.0 / record.target.0;
                sum.value += record.poured.mass.0 * ml_per_g;
                sum.sigma = sum.sigma.hypot(record.poured.sigma.0 * ml_per_g);
            }
        }
        sum
    }
}
