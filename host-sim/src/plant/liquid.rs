//! What is in a bottle, and how its family pours.

use pennyweight_core::spec::Family;

use super::draw::Draws;
use super::handbook;
use super::hidden::Hidden;
use super::table::{PourLaw, Table};

/// A liquid of the simulated bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Liquid {
    /// Its name, as the sheet spells it.
    pub name: String,
    /// Density at 20 degC, g/ml.
    pub density_g_ml: f64,
    /// How it pours.
    pub family: Family,
    /// Strength, percent by volume.
    pub abv_percent: f64,
    /// Sugar, grams a litre.
    pub sugar_g_per_l: f64,
}

impl Liquid {
    /// A liquid whose density the handbook tables tell from strength and sugar.
    #[must_use]
    pub fn of_strength(name: &str, family: Family, abv_percent: f64, sugar_g_per_l: f64) -> Self {
        Self {
            name: name.to_owned(),
            density_g_ml: handbook::density_kg_m3(abv_percent, sugar_g_per_l) / 1000.0,
            family,
            abv_percent,
            sugar_g_per_l,
        }
    }

    /// Shown grams per true gram: air buoyancy.
    #[must_use]
    pub fn shown_share(&self) -> f64 {
        handbook::shown_share(self.density_g_ml * 1000.0)
    }
}

/// The number of a liquid on its bench.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct LiquidRef(pub usize);

/// How a pour is poured: everything about it that chance decides, drawn before it begins.
#[derive(Clone, Debug, PartialEq)]
pub struct PourDraw {
    /// Full flow, g/s.
    pub full_g_s: f64,
    /// Seconds to the full flow.
    pub ramp_up_s: f64,
    /// Seconds from the full flow to none.
    pub tilt_back_s: f64,
    /// Pulsing of the flow: share, hertz, phase in radians.
    pub glug: Option<(f64, f64, f64)>,
    /// Grams of the thread and its time constant.
    pub thread: Option<(f64, f64)>,
    /// Drops: seconds after the one before (or the end of the flow), grams.
    pub drops: Vec<(f64, f64)>,
    /// Speed at the spout, m/s downwards.
    pub exit_m_s: f64,
    /// Metres from the spout to the surface.
    pub fall_m: f64,
    /// Slow wander of the flow: share, seconds.
    pub wander: (f64, f64),
}

/// The law by which a family pours. Soda pours as a juice out of a bottle; bitters that are
/// poured for once, and whole things, as a spirit.
#[must_use]
pub fn pour_law(table: &Table, family: Family) -> &PourLaw {
    match family {
        Family::Spirit | Family::Bitters | Family::Whole => &table.liquid.spirit,
        Family::Syrup => &table.liquid.syrup,
        Family::Juice | Family::Soda => &table.liquid.juice,
    }
}

/// Draws one pour of `liquid` at a usual flow of `flow_ml_s`.
#[must_use]
pub fn draw_pour(
    table: &Table,
    hidden: &Hidden,
    liquid: &Liquid,
    flow_ml_s: f64,
    draws: &mut Draws,
) -> PourDraw {
    let law = pour_law(table, liquid.family);
    let spread = 1.0 + law.flow_ml_s.cv_between_pours * draws.normal();
    // No pour is slower than a third of the usual: it would be another way of pouring.
    let flow_ml_s = flow_ml_s * hidden.flow * spread.max(1.0 / 3.0);
    let ramp_up_s = law.ramp_up_s.draw(draws);
    let tilt_back_s = law.tilt_back_s.draw(draws);
    let glug = law.glug.map(|glug| {
        let depth = glug.depth.draw(draws);
        let hz = glug.hz.draw(draws);
        (depth, hz, draws.between(0.0, std::f64::consts::TAU))
    });
    let thread = law.thread_tail.as_ref().map(|thread| {
        let [mean, percent, least] = thread.g.figures;
        let grams = mean * (1.0 + percent / 100.0 * draws.normal());
        (grams.max(least), thread.tau_s)
    });
    let [least_gap, gap_mean] = gap_law(table, law);
    let drops = (0..draws.poisson(law.drops_after.mean_count))
        .map(|_| {
            let gap = least_gap + draws.exponential(gap_mean);
            (gap, law.drops_after.drop_g.draw(draws))
        })
        .collect();
    let at_spout = draws.unit();
    PourDraw {
        full_g_s: flow_ml_s * liquid.density_g_ml,
        ramp_up_s,
        tilt_back_s,
        glug,
        thread,
        drops,
        exit_m_s: exit_speed(table, flow_ml_s, at_spout),
        fall_m: table.stream.fall_m.draw(draws),
        wander: (table.stream.slow_wander.rms, table.stream.slow_wander.tau_s),
    }
}

/// Gaps between drops; where a family states none, the spirit's hold.
fn gap_law(table: &Table, law: &PourLaw) -> [f64; 2] {
    let gap = law.drops_after.gap_s.as_ref();
    gap.or(table.liquid.spirit.drops_after.gap_s.as_ref())
        .map_or([0.12, 0.45], |gap| gap.figures)
}

/// Speed at the spout for a full flow, m/s.
///
/// Within the table's range up to 10 ml/s. A fast pourer drives the liquid out at up to 1.0 m/s
/// (the table's remark); reached at 20 ml/s here (assumption).
fn exit_speed(table: &Table, flow_ml_s: f64, unit: f64) -> f64 {
    const SLOW_ML_S: f64 = 10.0;
    const FAST_ML_S: f64 = 20.0;
    const FASTEST_M_S: f64 = 1.0;
    let usual = table.stream.exit_m_s;
    let fast = ((flow_ml_s - SLOW_ML_S) / (FAST_ML_S - SLOW_ML_S)).clamp(0.0, 1.0);
    let low = usual.low + fast * (usual.high - usual.low);
    let high = usual.high + fast * (FASTEST_M_S - usual.high);
    low + (high - low) * unit
}
