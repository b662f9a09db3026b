//! Mass and flow from the codes.

/// Memory of the fast line, seconds: sees a start or an end within a few conversions (design).
pub const FAST_TAU_S: f32 = 0.045;
/// Memory of the guiding line, seconds: at 80 conversions a second it leaves 0.39 of the noise
/// in mass and 1.8 per second in flow (design; see [`crate::estimator`]).
pub const GUIDE_TAU_S: f32 = 0.10;
/// Neither remembers less than so many periods, or two points would carry the line.
pub const TAU_PERIODS: (f32, f32) = (1.2, 1.6);
/// Innovation beyond which a sample is pulled in, grams, plus this many seconds of flow: a knock
/// rings about zero and averages out once its peaks are cut (design).
pub const CLIP_G: f32 = 2.5;
/// See [`CLIP_G`].
pub const CLIP_FLOW_S: f32 = 0.15;
/// Noise assumed until it has been measured, grams.
pub const NOISE_START_G: f32 = 0.08;
/// The noise estimate is kept within these, grams.
pub const NOISE_G: (f32, f32) = (0.01, 0.4);
