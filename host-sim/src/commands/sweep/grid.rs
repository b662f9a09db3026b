//! Which pours are swept.

use pennyweight_core::spec::Family;

use super::SweepArgs;
use super::options::{HandName, LiquidName};
use crate::plant::Liquid;
use crate::trial::HandKind;

/// One kind of pour; every method pours it on the same draws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Out of which bottle.
    pub liquid: LiquidName,
    /// Its usual flow, ml/s.
    pub flow_ml_s: f64,
    /// Nominal conversions per second.
    pub sps: f64,
    /// Whose hand.
    pub hand: HandName,
    /// How much, ml.
    pub target_ml: f64,
}

/// Conversions per second of the gate grid.
const GATE_SPS: f64 = 80.0;
const GATE_HANDS: [HandName; 2] = [HandName::Known, HandName::Unknown];
const GATE_ML: [f64; 5] = [10.0, 15.0, 30.0, 45.0, 60.0];
const GATE_FLOWS: [(LiquidName, &[f64]); 2] = [
    (LiquidName::Spirit, &[8.0, 12.0, 22.0]),
    (LiquidName::Syrup, &[6.0]),
];

const FULL_SPS: [f64; 3] = [10.0, 80.0, 320.0];
const FULL_ML: [f64; 7] = [5.0, 10.0, 15.0, 22.5, 30.0, 45.0, 60.0];
const FULL_FLOWS: &[f64] = &[4.0, 8.0, 12.0, 20.0, 25.0];

/// The cells the options ask for, grouped by liquid, flow, rate and hand.
#[must_use]
pub fn cells(args: &SweepArgs) -> Vec<Cell> {
    let liquids = chosen(&args.liquid, &LiquidName::ALL);
    let hands = chosen(
        &args.hand,
        match (args.full, args.vary) {
            // Moved worlds are held against the figure of a known hand.
            (_, Some(_)) => &GATE_HANDS[..1],
            (false, None) => &GATE_HANDS,
            (true, None) => &HandName::ALL,
        },
    );
    let rates = chosen(&args.sps, if args.full { &FULL_SPS } else { &[GATE_SPS] });
    let volumes = chosen(&args.ml, if args.full { &FULL_ML } else { &GATE_ML });
    let mut cells = Vec::new();
    for liquid in liquids {
        for flow_ml_s in chosen(&args.flow, flows(liquid, args.full)) {
            for &sps in &rates {
                for &hand in &hands {
                    cells.extend(volumes.iter().map(|&target_ml| Cell {
                        liquid,
                        flow_ml_s,
                        sps,
                        hand,
                        target_ml,
                    }));
                }
            }
        }
    }
    cells
}

/// What was asked for, or what is usual.
fn chosen<T: Copy>(asked: &[T], usual: &[T]) -> Vec<T> {
    if asked.is_empty() { usual } else { asked }.to_vec()
}

fn flows(liquid: LiquidName, full: bool) -> &'static [f64] {
    if full {
        return FULL_FLOWS;
    }
    let mut gate = GATE_FLOWS.iter().filter(|(of, _)| *of == liquid);
    gate.next().map_or(FULL_FLOWS, |(_, flows)| flows)
}

impl LiquidName {
    /// A bottle of it: 40 % by volume; 50 % of sugar by mass, 615 g a litre.
    #[must_use]
    pub fn bottle(self) -> Liquid {
        match self {
            Self::Spirit => Liquid::of_strength("spirit", Family::Spirit, 40.0, 0.0),
            Self::Syrup => Liquid::of_strength("syrup", Family::Syrup, 0.0, 615.0),
        }
    }
}

impl HandName {
    /// How the trial spells it.
    #[must_use]
    pub const fn kind(self) -> HandKind {
        match self {
            Self::Known => HandKind::Known,
            Self::Unknown => HandKind::Unknown,
            Self::Changing => HandKind::ChangingOften,
            Self::Silent => HandKind::Silent,
        }
    }
}
