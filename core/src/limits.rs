//! Every constant of the weighing and guiding path: value, unit, reason, source.
//!
//! "Design" marks a choice of ours, decided by measurement on the simulated station. Constants of
//! a published formula stand beside that formula, in [`crate::liquid`].

// ---- Converter -------------------------------------------------------------------------------

/// Largest code of a signed 24-bit converter.
pub const CODE_MAX: i32 = 0x7F_FFFF;
/// Smallest code of a signed 24-bit converter.
pub const CODE_MIN: i32 = -0x80_0000;
/// Group delay of the converter's filter, in conversion periods: sinc3 is three boxcars of one
/// period, each delaying by half a period.
pub const FILTER_DELAY_PERIODS: f32 = 1.5;
/// An interval this much shorter or longer than the period does not teach the period. Parts run
/// 8 % below to 17 % above their nominal rate; a missed conversion is 100 % longer.
pub const PERIOD_RATIO: (f32, f32) = (0.6, 1.5);
/// Odd intervals in a row after which the period itself is taken to have changed.
pub const PERIOD_RETRAIN: u8 = 4;
/// Seconds of samples thrown away after power-up: the converter's filter and the bridge settle.
pub const DISCARD_S: f32 = 0.5;
/// Periods without a conversion after which the converter counts as silent (design), and the
/// least time for it, seconds.
pub const SILENT_PERIODS: f32 = 6.0;
/// See [`SILENT_PERIODS`].
pub const SILENT_S: f32 = 0.5;
/// A code that repeats to the last bit for so long cannot come from a noisy bridge, seconds.
pub const STUCK_S: f32 = 2.0;
/// And at least so many times.
pub const STUCK_CODES: u16 = 16;
/// Rails seen in a row before the converter counts as saturated; fewer are a glitch.
pub const SATURATED_CODES: u8 = 3;
/// A single sample further off than this, grams, with both neighbours back in place is a glitch:
/// a sinc3 filter spreads whatever really happened over three conversions.
pub const GLITCH_G: f32 = 25.0;
/// How far back its neighbours must be, as a share of the jump.
pub const GLITCH_BACK: f32 = 0.05;
/// A jump from one conversion to the next that no hand makes with a load, grams: a tin of 1 kg
/// dropped from 5 cm reaches a third of this before the filter (design). To and fro again and
/// again it is a floating input.
pub const SWING_G: f32 = 1500.0;
/// So many swings in a row, each back from the one before (design).
pub const SWING_CODES: u8 = 6;
/// The same code again within this share of a period is the same conversion, read again (design).
pub const DUPLICATE_PERIODS: f32 = 0.25;
/// An interval longer than so many periods is a gap (design).
pub const GAP_PERIODS: f32 = 1.5;
/// An interval off by more than this share of a period is counted as uneven (design); parts of a
/// nominal 10 conversions a second run at 9 to 11.7, which the period learns.
pub const JITTER_PERIODS: f32 = 0.25;

// ---- Estimator -------------------------------------------------------------------------------

/// Memory of the fast line, seconds: sees a start or an end within a few conversions (design).
pub const FAST_TAU_S: f32 = 0.045;
/// Memory of the guiding line, seconds: at 80 conversions a second it leaves 0.39 of the noise
/// in mass and 1.8 per second in flow (design; see [`crate::weigh::estimator`]).
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

// ---- Pan -------------------------------------------------------------------------------------

/// What no vessel weighs, grams: below it the pan counts as empty. The lightest coupe of the
/// trade weighs about 120 g; puddles and wet bases stay below 10 g (common practice, no source).
pub const EMPTY_G: f32 = 25.0;
/// Initial zero is taken within so much of the calibrated one, grams; more is something standing
/// there. OIML R 76-1 4.5.1 would allow 20 % of Max (from memory).
pub const INITIAL_ZERO_G: f32 = 60.0;
/// Fastest zero tracking, grams per second. OIML R 76-1 4.5.7 allows 0.5 d a second; a slow drip
/// of 0.05 g/s must not vanish.
pub const ZERO_TRACK_G_PER_S: f32 = 0.005;
/// Nothing further from zero than this is tracked away, grams.
pub const ZERO_TRACK_BAND_G: f32 = 0.5;
/// Rated load of the smallest cell, grams.
pub const RATED_G: f32 = 3000.0;
/// A tenth beyond the rated load, grams: the cell is overloaded.
pub const OVERLOAD_G: f32 = 1.1 * RATED_G;
/// How far an empty pan may be off its zero after an overload, grams. Creep of a cheap cell
/// (0.05 % of 3.3 kg) is half of it; what is more has bent, or lies there (design).
pub const ZERO_SHIFT_G: f32 = 3.0;
/// Microseconds of stillness before that is looked at (design).
pub const ZERO_SHIFT_US: u64 = 1_000_000;
/// Fastest rise of the reading between two samples that a pour begins with, grams per second:
/// 30 g/s and its jet force building up within the ramp.
pub const POUR_RISE_G_PER_S: f32 = 70.0;
/// Fastest rise that any pour can cause, grams per second: an open neck of 60 g/s and its jet.
pub const POUR_RISE_MAX_G_PER_S: f32 = 150.0;
/// Change between two samples that no pour causes, grams on top of what
/// [`POUR_RISE_G_PER_S`] gives for the interval ...
pub const ABRUPT_G: f32 = 1.0;
/// ... and, in seconds of the flow under way, for a rough jet: 8 % rms of its force of about
/// 0.18 s of flow, four deviations of a difference.
pub const ABRUPT_FLOW_S: f32 = 0.08;
/// A pour has begun when the fast line stands so far above the level, grams (design: vibration
/// of 0.05 g rms and bass of 0.15 g stay below) ...
pub const START_RISE_G: f32 = 0.2;
/// ... plus so many sigma of the noise ...
pub const START_SIGMAS: f32 = 2.0;
/// ... and rises at least so fast, grams per second (a fan's draught of 0.3 g below 1 Hz does
/// not) ...
pub const START_FLOW_G_PER_S: f32 = 1.2;
/// ... for so long, seconds ...
pub const START_HOLD_S: f32 = 0.03;
/// ... and so long after anything abrupt, seconds: a knock rings for 0.05 to 0.12 s.
pub const START_CALM_S: f32 = 0.35;
/// A slow pour (a float, a drizzle) has begun when the guiding line stands so far above the
/// level, grams, rising at least at [`SLOW_START_FLOW_G_PER_S`] for [`SLOW_START_HOLD_S`].
pub const SLOW_START_RISE_G: f32 = 0.9;
/// See [`SLOW_START_RISE_G`].
pub const SLOW_START_FLOW_G_PER_S: f32 = 0.2;
/// See [`SLOW_START_RISE_G`].
pub const SLOW_START_HOLD_S: f32 = 0.5;
/// A fall of so much is a removal, grams.
pub const FALL_G: f32 = 0.8;
/// The level before a pour is the mean over so long before its start, seconds.
pub const BASE_SPAN_S: f32 = 0.6;
/// So close before the detected start the level may already hold liquid, seconds.
pub const BASE_GAP_S: f32 = 0.12;
/// Memory of the level while nothing happens, seconds: short enough for creep and draught, long
/// enough not to follow a slow pour.
pub const LEVEL_TAU_S: f32 = 1.5;
/// Means over so long are compared to learn how far a resting reading wanders, seconds: long
/// enough for platform and slosh to cancel, short enough for a draught below 1 Hz to show.
pub const WANDER_BLOCK_S: f32 = 0.5;
/// Over so many of them the wander is learned and forgotten.
pub const WANDER_BLOCKS: f32 = 20.0;
/// Wander of a bench nobody has rested on yet, grams. Assumed.
pub const WANDER_START_G: f32 = 0.03;
/// A pan counts as resting so long after anything happened, seconds: the first drips and a
/// syrup's thread are over.
pub const WANDER_CALM_S: f32 = 1.0;
/// After a move, two windows of this length must agree for the pan to be still, seconds.
pub const STILL_HALF_S: f32 = 0.12;
/// They agree within so much, grams, plus noise.
pub const STILL_G: f32 = 0.25;
/// Swing of the samples within them, grams, plus noise.
pub const STILL_SWING_G: f32 = 1.0;
/// A load that comes and goes within this is a knock, beyond it a press, seconds.
pub const PRESS_S: f32 = 0.6;
/// A press is over within this; a longer load is something leaning on the pan, seconds.
pub const PRESS_MAX_S: f32 = 4.0;
/// The least force of a press, grams.
pub const PRESS_G: f32 = 60.0;
/// A press only pushes: it dips below the level before by no more than this share of its force.
/// A knock rings to both sides.
pub const PRESS_DIP_SHARE: f32 = 0.25;
/// The least peak of a knock that is told, grams.
pub const BUMP_G: f32 = 4.0;
/// Between two knocks that are told apart, seconds.
pub const BUMP_GAP_S: f32 = 0.5;
/// The least thing that counts as added, grams.
pub const ADDED_G: f32 = 0.8;
/// A rise that lasts so long is a pour however fast, seconds: what is tipped in at once is in
/// within half a second.
pub const TIPPED_S: f32 = 0.5;
/// A reading so near to empty for so long is a lifted vessel, seconds.
pub const LIFT_HOLD_S: f32 = 0.06;

// ---- Settling --------------------------------------------------------------------------------

/// The flow has ended when the fast line falls below this share of its peak ...
pub const END_SHARE: f32 = 0.25;
/// ... or below this, grams per second, whichever is more.
pub const END_FLOW_G_PER_S: f32 = 0.8;
/// The settle statistic compares two half-windows of this length, seconds. A mean over 0.2 s
/// passes at most 0.21 of a 4.5 Hz swing and 0.1 of a 9 Hz one, where slosh acts on the cell.
pub const SETTLE_HALF_S: f32 = 0.2;
/// The same while no stop was cued: after an ease the fading jet force hides the flow for up to
/// a third of a second, and nobody waits for that verdict.
pub const SETTLE_HALF_OPEN_S: f32 = 0.4;
/// They agree within so much, grams, on top of the noise of their difference (design).
pub const SETTLE_G: f32 = 0.05;
/// Memory for a single late drop, grams, one standard deviation: what may still fall after an
/// early verdict on a thin liquid.
pub const LATE_DROP_G: f32 = 0.035;
/// The same for a thick one, whose thread thins out for seconds.
pub const LATE_THREAD_G: f32 = 0.05;
/// Drips have ended so long after the flow, seconds: thin liquids.
pub const DRIP_THIN_S: f32 = 3.0;
/// The same for syrups.
pub const DRIP_THICK_S: f32 = 5.0;
/// The same where the liquid is not known.
pub const DRIP_UNKNOWN_S: f32 = 4.0;
/// A later value is told when it differs by so much, grams, and by two sigma.
pub const AMEND_G: f32 = 0.08;
/// The final value is the mean over so long, seconds; its half-windows are the longest that are
/// looked at, and so the most work a sample can make.
pub const STEADY_SPAN_S: f32 = 0.8;
/// Uncertainty that no averaging removes: creep, draught, calibration, grams.
pub const SIGMA_FLOOR_G: f32 = 0.02;
/// And as a share of what was poured: calibration weights and linearity.
pub const SIGMA_SHARE: f32 = 2e-4;
/// Sigma of what came in at once or was cut short, grams: it was weighed in passing (design).
pub const PASSING_SIGMA_G: f32 = 0.15;

// ---- Guiding ---------------------------------------------------------------------------------

/// From the ease cue until the flow has half fallen, seconds: reaction 0.22, half of a transition
/// of 0.3 (DESIGN's figures; the eased hand).
pub const EASE_HALF_S: f32 = 0.37;
/// From the ease cue until a hand that follows has begun to, seconds: three deviations beyond
/// its mean reaction.
pub const EASE_FOLLOWED_S: f32 = 0.55;
/// From the ease cue until an unknown hand that still pours as before is taken not to ease,
/// seconds on top of what the fast line looks back: a late one has half followed by then.
pub const EASE_DOUBTED_S: f32 = 0.54;
/// A flow above this share of the flow before has not been eased.
pub const EASE_IGNORED_SHARE: f32 = 0.87;
/// From the ease cue until the eased flow has been measured, seconds on top of what the line
/// looks back: reaction and transition are over.
pub const EASE_KNOWN_S: f32 = 0.63;
/// Ease is cued so long before the stop, seconds on top of what the line looks back: reaction,
/// transition and time to measure make 1.4 s at 80 conversions a second.
pub const EASE_LEAD_S: f32 = 1.18;
/// An ease closer to the stop than this confuses more than it helps, seconds.
pub const EASE_LEAST_S: f32 = 0.5;
/// While it is not known whether a hand eases at all, the ease comes early enough that a hand
/// which does not can still be stopped within this, grams. One hand in ten never eases.
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
/// While the ramp runs the plan follows new samples with this memory, seconds.
pub const RAMP_TAU_S: f32 = 0.12;
/// The ramp ends this much after the stop cue, seconds: it shows when the hand is to move, and a
/// hand that waits for the cue moves one reaction time after it. So both move together (simple
/// reaction to sound 0.16 to 0.21 s: Woods et al., Front. Hum. Neurosci. 2015;9:131, and older
/// reviews).
pub const RAMP_AFTER_STOP_S: f32 = 0.19;
/// The plan is kept in the last moments before the stop, seconds: a late change would only add
/// noise to a hand already moving.
pub const FREEZE_S: f32 = 0.2;
/// No cue before a pour is this old, seconds: its flow is not known earlier.
pub const PLAN_AFTER_S: f32 = 0.1;
/// While a stream builds up the line lags behind it; until a pour is so old its flow is drawn
/// towards what this hand usually pours, seconds.
pub const BUILD_UP_S: f32 = 0.6;
/// How quickly the usual flow is learned, share of each pour.
pub const USUAL_LEARN: f32 = 0.3;
/// A flow below this is no basis for a plan, grams per second.
pub const PLAN_FLOW_G_PER_S: f32 = 0.3;

/// Overrun of an unknown hand: seconds of flow after the cue. Reaction 0.19, half of a tilt back
/// of 0.18 to 0.32, a little exit momentum; a prior that learning moves.
pub const OVERRUN_THIN_S: f32 = 0.32;
/// The same for a syrup, tilted back more slowly.
pub const OVERRUN_THICK_S: f32 = 0.40;
/// How far that prior may be off, seconds, one standard deviation.
pub const OVERRUN_SD_S: f32 = 0.08;
/// Quadratic part, s^2/g: a faster flow is cut off a little later. Prior mean and deviation.
pub const OVERRUN_SQUARE: (f32, f32) = (0.0, 0.002);
/// Drops after a thin pour, grams.
pub const DRIPS_THIN_G: f32 = 0.04;
/// Thread and drops after a syrup, grams.
pub const DRIPS_THICK_G: f32 = 0.35;
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
/// How quickly the eased flow is learned, share of each pour.
pub const EASED_LEARN: f32 = 0.25;
/// Hands and bottles remembered at a time.
pub const HABITS: usize = 24;

// ---- Judging ---------------------------------------------------------------------------------

/// Service: judged at max(ml, share), and speaks up only beyond max(ml, share).
pub const SERVICE_BAND: (f32, f32) = (1.0, 0.05);
/// See [`SERVICE_BAND`].
pub const SERVICE_SPEAK_UP: (f32, f32) = (2.0, 0.08);
/// Develop: judged, and speaks up, at max(ml, share).
pub const DEVELOP_BAND: (f32, f32) = (0.5, 0.03);
/// Dashes, barspoons and tipped-in things: judged in a wide band, max(ml, share).
pub const WIDE_BAND: (f32, f32) = (1.0, 0.5);
/// Soda: judged in a wide band, max(ml, share).
pub const SODA_BAND: (f32, f32) = (5.0, 0.12);
/// A verdict needs a sigma below this share of the tolerance.
pub const VERDICT_SIGMA_SHARE: f32 = 0.25;

// ---- Building --------------------------------------------------------------------------------

/// A rise faster than this is the jerk of a dash, grams per second, and the fall below
/// [`DASH_REST_G_PER_S`] ends it.
pub const DASH_JERK_G_PER_S: f32 = 2.0;
/// See [`DASH_JERK_G_PER_S`].
pub const DASH_REST_G_PER_S: f32 = 0.8;
/// One dash weighs between these shares of the house's dash (0.6-0.9 ml in books and a
/// coefficient of variation of a quarter; common practice, no source): bounds the count by mass.
pub const DASH_SHARE: (f32, f32) = (0.5, 1.6);
/// A measured step of less than this, grams, is not waited for: drops, of which a dozen weigh
/// 0.6 g and a slow start may pass unseen.
pub const UNSEEN_G: f32 = 0.65;
/// A vessel that comes back weighs the same within max(g, share); anything else is another one.
pub const SAME_VESSEL: (f32, f32) = (12.0, 0.03);
/// What stands on the pan after a power cut is what stood there before it within so much, grams: late
/// drips, and what a cell drifts in the first minutes (our choice).
pub const RESUME_SAME_G: f32 = 1.5;
/// The open step had begun where what came is at most this share of its target; more is something
/// else (our choice).
pub const RESUME_OVER: f32 = 1.25;
/// Strained is what has reached this share of what the vessel held.
pub const STRAINED_SHARE: f32 = 0.6;
/// Liquid that stays on ice and vessel after a strain, grams, between a least and a most that are
/// the ends of an even spread: stirred. Trade judgement, no source.
pub const HOLD_UP_STIRRED_G: (f64, f64) = (2.0, 5.0);
/// The same, shaken. Trade judgement, no source.
pub const HOLD_UP_SHAKEN_G: (f64, f64) = (4.0, 10.0);
/// An over-pour is told for so long unless the next thing happens, seconds.
pub const NOTICE_S: f32 = 3.0;
/// A note of the sounder is over after this, seconds.
pub const SOUND_S: f32 = 0.7;
/// What lands within so long of a cube is one more cube, seconds: nobody takes up a bottle and
/// pours in that time.
pub const ICE_APART_S: f32 = 0.5;
/// Ice is in when nothing more has come for so long, seconds.
pub const ICE_QUIET_S: f32 = 1.0;
/// A note is shown for so long, unless something happens before, seconds.
pub const NOTE_S: f32 = 2.5;
/// A finished glass is recorded after this at the latest, seconds.
pub const FINISH_S: f32 = 6.0;

// ---- Learning a bottle -----------------------------------------------------------------------

/// The smallest and the largest measure, microlitres: a barspoon's worth is too little for any
/// scale of 0.1 g, and more than two litres lie beside no bar's cylinder.
pub const LEARN_UL: (u32, u32) = (5_000, 2_000_000);
/// The measure's uncertainty may be at most this part of its volume, as a divisor: a fifth.
pub const LEARN_SIGMA_PART: u32 = 5;
/// The lightest liquid that is looked for, grams per millilitre: the lowest density believed.
pub const LEARN_LEAST_G_PER_ML: f32 = 0.75;
/// The measure is empty again with no more than this share of that left in it.
pub const LEARN_EMPTY_SHARE: f32 = 0.1;
/// What is lighter than the tare by this, grams, is another measure.
pub const LEARN_LIGHTER_G: f32 = 2.0;
/// Fills that are counted.
pub const LEARN_FILLS: u8 = 10;
/// The pan is left alone so long before it is read, seconds ...
pub const LEARN_CALM_S: f32 = 0.5;
/// ... and so long once a pour has landed, which itself comes half a second after the flow: with
/// the two means, until no drip can follow.
pub const LEARN_DRIP_S: f32 = 2.5;
/// Length of each of the two means, seconds: several swings of slosh and draught.
pub const LEARN_HALF_S: f32 = 0.75;
/// Without a sample for so long they begin anew, seconds.
pub const LEARN_GAP_S: f32 = 1.5;
/// The level of a measure that is filled before it was weighed, grams, one standard deviation:
/// [`STILL_G`] taken as an even spread.
pub const LEARN_EARLY_G: f32 = 0.15;
/// A fill that changes by less, grams, is the same.
pub const LEARN_AMEND_G: f32 = 0.1;
