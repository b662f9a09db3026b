//! What happens on the pan.

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
/// An empty pan that reads below zero by more than that, quiet for so long, takes its reading for zero,
/// seconds; so does the first empty pan after power-up (design).
pub const ZERO_BELOW_S: f32 = 1.0;
/// Fastest wander of a loaded level that is not kept as a drip, grams per second: warm-up of
/// 0.25 g within 120 s is 0.002, a walk of 0.03 g per root minute less over a minute or more ...
pub const CREEP_G_PER_S: f32 = 0.003;
/// ... plus creep, as a share of the load a second: 6e-4 of it, half within 20 s and half within
/// 400 s, as cheap cells do (assumption) ...
pub const CREEP_SHARE: f32 = 1.6e-5;
/// ... at first, and less from then on, seconds.
pub const CREEP_TAU_S: f32 = 20.0;
/// So much more than that is a drip, grams ...
pub const DRIP_G: f32 = 0.2;
/// ... while the pour before may still drip, so much beyond it, grams: a syrup's thread and two
/// of its drops ...
pub const DRIP_LATE_G: f32 = 0.4;
/// ... plus so many deviations of the wander.
pub const DRIP_WANDERS: f32 = 2.0;
/// Sigma of what dripped, grams: what creep and drip cannot be told apart by (design).
pub const DRIP_SIGMA_G: f32 = 0.1;
/// What stays behind is what was laid beside the vessel, within max(g, share): a wet towel drips.
pub const LEFT_BEHIND: (f32, f32) = (4.0, 0.05);
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
/// A pour has begun when the fast line stands so far above the level, grams ...
pub const START_RISE_G: f32 = 0.15;
/// ... plus so many sigma of the noise ...
pub const START_SIGMAS: f32 = 2.0;
/// ... once it has risen faster than the first of these for [`START_HOLD_S`] and rises faster
/// than the second, grams per second: a draught of 0.3 g below 1 Hz (0.4 g/s rms) reaches
/// 1.7 g/s a few times a day ...
pub const START_FLOW_G_PER_S: (f32, f32) = (1.0, 1.8);
/// ... plus so many sigma a second ...
pub const START_FLOW_SIGMAS: (f32, f32) = (5.0, 12.0);
/// ... for so long, seconds ...
pub const START_HOLD_S: f32 = 0.05;
/// Where a dash or a spoon is offered, which are as short as a tap, for so long, seconds.
pub const DASH_HOLD_S: f32 = 0.02;
/// What stands higher by then, grams, is not taken for a pour before it has risen for
/// [`SWELL_S`], ever faster ...
pub const START_SMALL_G: f32 = 1.3;
/// ... seconds ...
pub const SWELL_S: f32 = 0.09;
/// ... and not above this, grams: 30 g/s reach it.
pub const SWELL_MOST_G: f32 = 9.0;
/// Ever faster: at least at this share of how fast it rose on average.
pub const SWELL_SHARE: f32 = 1.0;
/// With the first, the second and the third sample of a slow converter that rises, no pour that can
/// be guided stands higher than at these rates over one of its periods, grams per second: 30 g/s
/// reach 15, 61 and 102 (simulated bench).
pub const SWELL_G_PER_S: (f32, f32, f32) = (25.0, 75.0, 120.0);
/// What stands still so high by then and before [`TOUCH_S`], grams, is a touch ...
pub const TOUCH_G: f32 = 2.0;
/// ... when it rises no more than at this share of how fast it rose.
pub const TOUCH_SHARE: f32 = 0.5;
/// See [`TOUCH_G`], seconds.
pub const TOUCH_S: f32 = 0.2;
/// ... and so long after anything abrupt, seconds: a knock rings for 0.05 to 0.12 s.
pub const START_CALM_S: f32 = 0.35;
/// A converter with a longer period than this, seconds, shows of a knock no ringing but one hump
/// over three samples, of which the first two rise as a pour does.
pub const HUMP_PERIOD_S: f32 = 0.02;
/// A sample has risen when it is above the last by so much, grams ...
pub const HUMP_RISE_G: f32 = 0.05;
/// ... plus so many sigma of the noise.
pub const HUMP_SIGMAS: f32 = 3.0;
/// So many must rise; more on a bench that was knocked within [`KNOCKED_S`], where two knocks may
/// come within three samples.
pub const HUMP_RISES: (u8, u8) = (3, 5);
/// See [`HUMP_RISES`], seconds.
pub const KNOCKED_S: f32 = 60.0;
/// The same so long after anything abrupt, seconds: a spoon that goes in will stir ...
pub const WARY_S: f32 = 1.5;
/// ... and swing up for less than this, seconds.
pub const WARY_RISE_S: f32 = 0.38;
/// The last rise of a pour's beginning is at least this share of the one before.
pub const HUMP_GOES_ON: f32 = 0.5;
/// A hump is over when so much of it is left.
pub const HUMP_BACK: f32 = 0.4;
/// A slow pour (a float, a drizzle) or a weak dash has begun when the guiding line stands above the level by the
/// first of these, grams, and what noise and wander add, or by the second whatever they are,
/// for [`SLOW_START_HOLD_S`].
pub const SLOW_START_RISE_G: (f32, f32) = (0.2, 0.9);
/// So many sigma of the noise ...
pub const SLOW_START_SIGMAS: f32 = 1.0;
/// ... and of the wander.
pub const SLOW_START_WANDERS: f32 = 4.0;
/// See [`SLOW_START_RISE_G`]; the second where the bench was knocked or touched lately.
pub const SLOW_START_HOLD_S: (f32, f32) = (0.3, 0.5);
/// Where a dash is offered a rise of so much is one, however far the pan wanders, grams: a slow
/// converter shows no jerk of it. Some six tenths of a usual one (0.8 ml: common practice, no source).
pub const SLOW_DASH_G: f32 = 0.5;
/// A fall of so much is a removal, grams.
pub const FALL_G: f32 = 0.8;
/// The level before a pour is the mean over so long before its start, seconds, as far as the pan
/// stood so long and the window reaches.
pub const BASE_SPAN_S: f32 = 1.3;
/// So close before the detected start the level may already hold liquid, seconds.
pub const BASE_GAP_S: f32 = 0.12;
/// Memory of the level while nothing happens, seconds: short enough for creep and draught, long
/// enough not to follow a slow pour.
pub const LEVEL_TAU_S: f32 = 1.5;
/// While the reading keeps within this of the level, grams, plus noise, the level is shown.
pub const SHOWN_G: f32 = 0.1;
/// Means over so long are compared with the last but one to learn how far a resting reading wanders,
/// seconds: long enough for platform and slosh to cancel, short enough for the rest between two
/// pours to hold some, and for a draught below 1 Hz to have changed by then.
pub const WANDER_BLOCK_S: f32 = 0.4;
/// Over so many of them the wander is learned and forgotten.
pub const WANDER_BLOCKS: f32 = 30.0;
/// Draught on a bench nobody has rested on yet, grams rms. Assumed.
pub const WANDER_START_G: f32 = 0.05;
/// Noise of samples on such a bench: variance of a mean over one second, g^2 s (0.08 g a sample at
/// 80 a second, of which neighbours share half). Assumed.
pub const WHITE_START: f32 = 2e-4;
/// Blocks that these two assumptions count for.
pub const WANDER_START_BLOCKS: f32 = 2.0;
/// A variance learned from `n` blocks is taken for `1 + WANDER_FEW / n` of itself: with so few
/// degrees of freedom two sigma would hold less than 95 % (design: Student's distribution by and
/// large, neighbouring blocks being akin).
pub const WANDER_FEW: f32 = 2.5;
/// Variance of a short mean by draughts over what the difference of blocks shows of it, when they
/// are 0.8 s apart and a draught below 1 Hz has half changed (design, by measurement).
pub const DRAUGHT_SEEN: f32 = 1.85;
/// What a draught leaks into the noise of samples, s: the halves of a block differ by it, too.
pub const DRAUGHT_IN_WHITE: f32 = 0.018;
/// What a draught makes of it: DESIGN's fan of 0.3 g, taken as twice the rms, grams ...
pub const WANDER_MOST_G: f32 = 0.15;
/// ... and assumed, where a pour begins slowly, until so many blocks have been compared.
pub const WANDER_SEEN: f32 = 10.0;
/// A pan counts as resting so long after anything happened, seconds: most drips and a syrup's
/// thread are over.
pub const WANDER_CALM_S: f32 = 0.8;
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
pub const BUMP_G: f32 = 6.0;
/// What is left of the weakest knock that is told where a slow converter averages its ringing
/// out, gram seconds: 10 g at 32 Hz leave 0.04 of momentum.
pub const BUMP_G_S: f32 = 0.035;
/// A ringing has died down when nothing stood out for so long, seconds: two quarters of its
/// slowest swing.
pub const BUMP_CALM_S: f32 = 0.1;
/// A knock's ringing is centred within so much of the level before, grams.
pub const BUMP_SHIFT_G: f32 = 1.5;
/// Between two knocks that are told apart, seconds.
pub const BUMP_GAP_S: f32 = 0.45;
/// The least thing that counts as added, grams.
pub const ADDED_G: f32 = 0.8;
/// A rise that lasts so long is a pour however fast, seconds: what is tipped in at once is in
/// within half a second.
pub const TIPPED_S: f32 = 0.5;
/// A flow that comes alive again has begun so long before the lines show it, seconds (design).
pub const RESUME_SEEN_S: f32 = 0.08;
/// The reading between two flows is the mean over so long, seconds: the next bottle may come 0.2 s
/// after the stop.
pub const TROUGH_SPAN_S: f32 = 0.06;
/// Two pours are told apart once the second has brought so much, grams: more than late drops and a
/// thread bring.
pub const PASSED_RISE_G: f32 = 1.5;
/// Sigma of where the one ended and the other began, grams: 0.17 rms over 37 such pours on the
/// simulated bench.
pub const PASSED_SIGMA_G: f32 = 0.2;
/// What came at once, but not abruptly, and stays: between these, grams, it is liquid, a dash or two;
/// a cube or a spoon weighs more.
pub const JERK_G: (f32, f32) = (0.35, 8.0);
/// It rose at least so fast, grams per second: a draught reaches 0.4 rms ...
pub const JERK_FLOW_G_PER_S: f32 = 3.0;
/// ... within so long, seconds ...
pub const JERK_SEEN_S: f32 = 0.6;
/// ... and stays for so long, seconds.
pub const JERK_STAYS_S: f32 = 0.15;
/// What began abruptly and rises from further above the level before than this, grams, is a hand
/// that leans and not a pour ...
pub const POUR_FOOT_G: f32 = 15.0;
/// ... beside what an open neck brings at this rate within two conversions, grams per second.
pub const OPEN_NECK_G_PER_S: f32 = 60.0;
/// The swings of a spoon that stirs, grams per second ...
pub const STIR_FLOW_G_PER_S: f32 = 4.0;
/// ... are half a turn long each, seconds: one to four turns a second; a knock rings faster ...
pub const STIR_SWING_S: (f32, f32) = (0.09, 0.6);
/// ... and so many in a row are a stir: seven knocks in a row, each half a second after the last,
/// do not happen.
pub const STIR_SWINGS: u8 = 14;
/// So many in a row, half of them downwards, are no stream, which never takes anything back.
pub const STIR_BEGUN_SWINGS: u8 = 4;
/// What a hand leans on is still within this, grams rms: its own force varies by a few percent.
pub const HAND_SWING_G: f32 = 0.35;
/// A reading so near to empty for so long is a lifted vessel, seconds.
pub const LIFT_HOLD_S: f32 = 0.06;

/// A rise that begins so soon after a vessel stands, seconds, ...
pub const LET_GO_S: f32 = 0.7;
/// ... brings no more than this, grams, ...
pub const LET_GO_G: f32 = 5.0;
/// ... and pauses for so long, seconds, was the hand letting go of the vessel: what flows after the
/// pause counts from there.
pub const LET_GO_PAUSE_S: f32 = 0.3;
/// So little at once is a splash of whatever is poured, grams.
pub const SPLASH_G: f32 = 5.0;
/// What lands within [`TIPPED_S`] at more than this, plus a splash, came at once, grams per second:
/// the fastest open neck gives 60 ml/s.
pub const BURST_G_PER_S: f32 = 60.0;
/// So did that of which this share was there when it was seen to begin (design).
pub const BURST_SHARE: f32 = 0.75;
/// With a longer period than that, seconds, how steeply the samples themselves rise is looked at:
/// a filter of 20 conversions a second draws what came at once out to a third of a pour.
pub const STEEP_PERIOD_S: f32 = 0.04;
/// What stands so far above the line of [`LEAN_BEFORE_S`] ago, grams, ...
pub const LEAN_G: f32 = 5.0;
/// ... plus so many seconds of its flow, came at once: no hand opens up so quickly.
pub const LEAN_FLOW_S: f32 = 0.4;
/// See [`LEAN_G`], seconds.
pub const LEAN_BEFORE_S: f32 = 0.1;
/// ... once the stream has built up, seconds.
pub const LEAN_AFTER_S: f32 = 0.7;
/// It is all there when two neighbouring means over so long, seconds, ...
pub const LEAN_STILL_S: f32 = 0.08;
/// ... differ from the flow by no more than this, grams, and this share of what came: what a
/// resting hand swings.
pub const LEAN_STILL: (f32, f32) = (0.5, 0.04);
/// What is not still after so long, seconds, is a flow that has grown, or a heavy hand.
pub const LEAN_MOST_S: f32 = 0.5;
/// What goes within this as it came was never liquid, seconds: a hand steadies the glass.
pub const LEAN_GONE_S: f32 = 2.0;
/// As it came, within this, grams, and this share: a hand's force swings by a few percent.
pub const LEAN_BACK: (f32, f32) = (3.0, 0.25);
/// So soon after a pour no hand has put the bottle down and brought ice: what lands then is the
/// end of the pour, seconds (design).
pub const TRICKLE_S: f32 = 1.2;
