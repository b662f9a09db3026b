//! When a value stands.

/// The flow has ended when the fast line falls below this share of its peak ...
pub const END_SHARE: f32 = 0.25;
/// ... or below this, grams per second, whichever is more.
pub const END_FLOW_G_PER_S: f32 = 0.8;
/// The settle statistic compares two half-windows of this length, seconds, or longer ...
pub const SETTLE_HALF_S: f32 = 0.2;
/// ... up to this, seconds: the window holds two of them at every rate.
pub const SETTLE_HALF_MOST_S: f32 = 0.6;
/// As they grow they keep so far from the end of the flow, seconds: the jet's force is falling.
pub const SETTLE_APART_S: f32 = 0.1;
/// Nothing is told before noise and tail leave so little in it, grams, one standard deviation (design:
/// with as much in the level before, one early value in 1,000 is off by 0.1 g) ...
pub const SETTLE_QUIET_G: f32 = 0.033;
/// ... more where a draught blurs it anyhow, by this share of its variance (design) ...
pub const SETTLE_DRAUGHT_SHARE: f32 = 0.04;
/// ... or so long after the flow, seconds.
pub const SETTLE_QUIET_MOST_S: f32 = 2.0;
/// What drips after a thin liquid: mean, grams per second; scatter, g^2/s; flow of the thread at its
/// beginning, grams per second, one standard deviation. A drop or so of 0.04 g within a second.
pub const TAIL_THIN: (f32, f32, f32) = (0.02, 2.5e-3, 0.0);
/// The same of a thick one: one or two drops of 0.09 g, and a thread of 0.25 g.
pub const TAIL_THICK: (f32, f32, f32) = (0.1, 1.3e-2, 0.5);
/// The same where the liquid is not known (design: between the two).
pub const TAIL_UNKNOWN: (f32, f32, f32) = (0.03, 4.5e-3, 0.2);
/// Drops become rarer with this time constant, seconds (assumed) ...
pub const DROPS_FADE_S: f32 = 0.7;
/// ... and a thread thins out with this one, seconds (assumed).
pub const THREAD_FADES_S: f32 = 0.45;
/// A half holds at least so many periods.
pub const SETTLE_PERIODS: f32 = 2.0;
/// The same while no stop was cued: after an ease the fading jet force hides the flow for up to
/// a third of a second, and nobody waits for that verdict.
pub const SETTLE_HALF_OPEN_S: f32 = 0.4;
/// They agree within so much, grams ...
pub const SETTLE_G: f32 = 0.05;
/// ... plus so many sigma of their difference (design).
pub const SETTLE_SPREADS: f32 = 0.6;
/// A difference once out of bounds must keep within them for so long, seconds: a thread or drops
/// are about.
pub const SETTLE_HOLD_S: f32 = 0.2;
/// Nothing is told while the mean of a half scatters by more than this beyond its noise, grams: a
/// knock rings (design).
pub const SETTLE_LOUD_G: f32 = 0.07;
/// Half of what the variance of samples over their number adds to the variance of their mean: swings
/// of slosh and platform average out better than noise does (design).
pub const SCATTER_SHARE: f32 = 0.25;
/// A draught averages out by this share of its variance a second of the mean ...
pub const DRAUGHT_FADES_PER_S: f32 = 0.2;
/// ... and never below this share.
pub const DRAUGHT_LEAST_SHARE: f32 = 0.5;
/// Drips have ended so long after the flow, seconds: thin liquids.
pub const DRIP_THIN_S: f32 = 3.0;
/// The same for syrups.
pub const DRIP_THICK_S: f32 = 5.0;
/// The same where the liquid is not known.
pub const DRIP_UNKNOWN_S: f32 = 4.0;
/// A later value is told when it differs by so much, grams, and by two sigma.
pub const AMEND_G: f32 = 0.08;
/// The final value is the mean of two half-windows of this length, seconds: the longest that are
/// looked at, and so the most work a sample can make.
pub const STEADY_SPAN_S: f32 = 0.8;
/// Uncertainty that no averaging removes: creep, draught, calibration, grams.
pub const SIGMA_FLOOR_G: f32 = 0.02;
/// What of it a pour has whose draught is known: creep and warm-up while it lasts, grams.
pub const POUR_FLOOR_G: f32 = 0.008;
/// And as a share of what was poured: calibration weights and linearity.
pub const SIGMA_SHARE: f32 = 2e-4;
/// Sigma of what came in at once or was cut short, grams: it was weighed in passing (design).
pub const PASSING_SIGMA_G: f32 = 0.15;
