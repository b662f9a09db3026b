//! Guiding the hand, and judging what it poured.

/// From the ease cue until the flow has half fallen, seconds: reaction 0.22, half of a transition
/// of 0.3 (DESIGN's figures; the eased hand).
pub const EASE_HALF_S: f32 = 0.37;
/// From the ease cue until the flow can show anything of it, seconds: the fastest reactions and
/// what the line looks back.
pub const EASE_UNSEEN_S: f32 = 0.3;
/// From the ease cue until a hand that follows has begun to, seconds: three deviations beyond
/// its mean reaction.
pub const EASE_FOLLOWED_S: f32 = 0.55;
/// From the ease cue until a hand that still pours as before is taken not to ease, seconds on top
/// of what the fast line looks back: a late one has half followed by then.
pub const EASE_DOUBTED_S: f32 = 0.54;
/// So long it is waited for all the same, seconds, at the risk of [`EASE_HEDGE_G`] too much:
/// lapses of attention add 0.15 s on average, and too little is easily mended.
pub const EASE_WAITED_S: f32 = 0.9;
/// A flow above this share of the flow before has not been eased.
pub const EASE_IGNORED_SHARE: f32 = 0.87;
/// From the ease cue until the eased flow begins to show, seconds on top of what the line looks
/// back: reaction and transition are over.
pub const EASE_KNOWN_S: f32 = 0.55;
/// Within so long after that it takes over from the expected one, seconds.
pub const EASE_BLEND_S: f32 = 0.2;
/// Ease is cued so long before the stop, seconds on top of what the line looks back: reaction,
/// transition, time to measure and most of the ramp make 1.8 s at 80 conversions a second.
pub const EASE_LEAD_S: f32 = 1.6;
/// And so early that a hand slower than its mean by this, seconds (two to three deviations) ...
pub const EASE_LATE_S: f32 = 0.25;
/// ... still pours eased for so long, seconds: what it poured too much meanwhile is grams where
/// the flow is fast, and a measured end needs the ramp.
pub const EASE_LATE_LEAD_S: f32 = 1.0;
/// An ease closer to the stop than this confuses more than it helps, seconds.
pub const EASE_LEAST_S: f32 = 0.5;
/// How far the flow looks back, seconds, before a sample has told: at 80 conversions a second.
pub const GENTLY_LAG_S: f32 = 0.22;
/// A pour may flow so many times as fast as is usual: bottles do not give the same twice. By
/// measurement: without it 22.5 ml at 25 ml/s were too long for the one cue and too short for the
/// other, P95 2.25 g, with it 0.60 g; other pours moved by 0.06 g at most.
pub const GENTLY_MARGIN: f32 = 1.22;
/// So long before its start is seen a bottle was tilted, seconds: the first liquid falls for 0.1
/// to 0.2 s, and is seen 0.1 s later.
pub const GENTLY_SEEN_S: f32 = 0.28;
/// The flow of a bottle nobody has poured from yet, grams per second: the middle of speed pourers
/// (6-25 ml/s; common practice, no source).
pub const USUAL_START_G_PER_S: f32 = 10.0;
/// While it is not known whether a hand eases at all, the ease comes early enough that a hand
/// which does not can still be stopped within this, grams. Some hands never ease.
pub const EASE_HEDGE_G: f32 = 1.5;
/// Pours after which it is known.
pub const EASE_HEDGE_POURS: u16 = 3;
/// A flow already this slow is not eased, grams per second.
pub const EASE_FLOW_G_PER_S: f32 = 4.2;
/// Flow of an eased hand until it has been learned, grams per second.
pub const EASED_G_PER_S: f32 = 3.2;
/// An eased hand pours at most this share of its flow before.
pub const EASED_SHARE: f32 = 0.7;
/// Length of the ramp, seconds.
pub const RAMP_S: f32 = 0.75;
/// Once the eased flow is known the plan follows new samples with this memory, seconds: the stop
/// is one instant, and the plan's noise about it lasts for less.
pub const RAMP_TAU_S: f32 = 0.25;
/// The ramp ends this much after the stop cue, seconds: it shows when the hand is to move, and a
/// hand that waits for the cue moves one reaction time after it. So both move together (simple
/// reaction to sound 0.16 to 0.21 s: Woods et al., Front. Hum. Neurosci. 2015;9:131, and older
/// reviews).
pub const RAMP_AFTER_STOP_S: f32 = 0.19;
/// The plan is kept in the last moments before the stop, seconds. The hand moves with the end of
/// the ramp, [`RAMP_AFTER_STOP_S`] later: for a hand already moving the prediction stands for the
/// last 0.2 s, and until then every sample that still counts is used.
pub const FREEZE_S: f32 = 0.02;
/// A plan off by more than this is put right at once even then, seconds: what draught, waves and
/// the jet do to it stays within a third of that (measured).
pub const PLAN_OFF_S: f32 = 0.5;
/// No cue before a pour is this old, seconds: its flow is not known earlier.
pub const PLAN_AFTER_S: f32 = 0.1;
/// While a stream builds up the line lags behind it; until a pour is so old its flow is drawn
/// towards what this hand usually pours, seconds.
pub const BUILD_UP_S: f32 = 0.6;
/// The flow of a pour so old tells how it pours, seconds: the steepest rise is over.
pub const FULL_AFTER_S: f32 = 0.2;
/// How quickly the usual flow is learned, share of each pour.
pub const USUAL_LEARN: f32 = 0.3;
/// It is at most this, grams per second: nothing faster is guided.
pub const USUAL_MOST_G_PER_S: f32 = 30.0;
/// A flow below this is no basis for a plan, grams per second.
pub const PLAN_FLOW_G_PER_S: f32 = 0.3;

/// Overrun of an unknown hand: seconds of flow after the cue. Reaction 0.19, half of a tilt back
/// of 0.18 to 0.32, a little exit momentum; a prior that learning moves.
pub const OVERRUN_THIN_S: f32 = 0.32;
/// The same for a syrup, tilted back more slowly.
pub const OVERRUN_THICK_S: f32 = 0.40;
/// How far that prior may be off, seconds, one standard deviation.
pub const OVERRUN_SD_S: f32 = 0.08;
/// Drops after a thin pour, grams.
pub const DRIPS_THIN_G: f32 = 0.04;
/// Thread and drops after a syrup, grams.
pub const DRIPS_THICK_G: f32 = 0.35;
/// How far either may be off, grams, one standard deviation: where a pour is only asked for in
/// grams, nobody has said whether it is a syrup.
pub const DRIPS_SD_G: f32 = 0.15;
/// Bounds of what is learned of them, grams: a tenth of a gram less than nothing makes up for a
/// jet's force that stands in for them.
pub const DRIPS_BOUNDS_G: (f32, f32) = (-0.1, 1.5);
/// Bounds of the learned seconds of overrun.
pub const OVERRUN_BOUNDS_S: (f32, f32) = (0.05, 0.9);
/// Scatter of one pour about its hand's mean: seconds of flow, and grams.
pub const OVERRUN_SCATTER: (f32, f32) = (0.06, 0.12);
/// A residual beyond so many sigma is pulled in before it teaches.
pub const OVERRUN_CLIP_SIGMAS: f32 = 2.0;
/// So many pours in a row beyond this on one side, in sigma, are another hand.
pub const OVERRUN_JUMP: (u8, f32) = (2, 2.2);
/// A hand drifts by so much between pours, seconds, one standard deviation.
pub const OVERRUN_DRIFT_S: f32 = 0.006;
/// A hand that still pours more than this share of its flow after an ease hardly eases, and is
/// expected at its own share; an eased one never keeps more than 70 %. Until it is known
/// better a hand is taken to keep [`EASED_START_SHARE`] of it.
pub const EASED_NOT_SHARE: f32 = 0.75;
/// See [`EASED_NOT_SHARE`].
pub const EASED_START_SHARE: f32 = 0.42;
/// A flow must have been eased for so long before what came of it tells of it, seconds: several
/// deviations of the moment it began.
pub const EASE_TOLD_S: f32 = 0.2;
/// How quickly the eased flow is learned, share of each pour.
pub const EASED_LEARN: f32 = 0.25;
/// The first pours teach it quicker, pour `n` by one in `n` and this: one pour that goes on as if
/// nothing had been said is enough to doubt a hand nobody knows.
pub const EASED_FIRST: f32 = 1.6;
/// A hand told beforehand that comes to more than so many times its eased flow has not eased: an
/// eased flow varies from pour to pour, but seldom doubles (trade judgement, no source).
pub const EASED_AT_MOST: f32 = 2.0;
/// A pour that was not to be eased forgives this share of what a hand was thought not to do.
pub const EASED_FORGIVEN: f32 = 0.01;
/// Hands and bottles remembered at a time.
pub const HABITS: usize = 24;

// ---- Judging ------------------------------------------------------------------------------------

/// Service: judged at max(ml, share), and speaks up only beyond max(ml, share).
pub const SERVICE_BAND: (f32, f32) = (1.0, 0.05);
/// See [`SERVICE_BAND`].
pub const SERVICE_SPEAK_UP: (f32, f32) = (2.0, 0.08);
/// Develop: judged, and speaks up, at max(ml, share).
pub const DEVELOP_BAND: (f32, f32) = (0.5, 0.03);
/// Develop, what is stated by weight: a portion of what was mixed ahead. Half the share, so that two
/// good ones are within [`DEVELOP_BAND`] of each other.
pub const PORTION_BAND: (f32, f32) = (0.5, 0.015);
/// Dashes, barspoons and tipped-in things: judged in a wide band, max(ml, share).
pub const WIDE_BAND: (f32, f32) = (1.0, 0.5);
/// Soda: judged in a wide band, max(ml, share).
pub const SODA_BAND: (f32, f32) = (5.0, 0.12);
/// A verdict needs a sigma below this share of the tolerance.
pub const VERDICT_SIGMA_SHARE: f32 = 0.25;
