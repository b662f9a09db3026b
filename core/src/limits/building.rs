//! Building drinks and rounds, and learning a bottle.

/// A rise faster than this is the jerk of a dash, grams per second, and the fall below
/// [`DASH_REST_G_PER_S`] ends it.
pub const DASH_JERK_G_PER_S: f32 = 2.0;
/// See [`DASH_JERK_G_PER_S`].
pub const DASH_REST_G_PER_S: f32 = 0.8;
/// One dash weighs between these shares of the house's dash (0.6-0.9 ml in books and a
/// coefficient of variation of a quarter; common practice, no source): bounds the count by mass.
pub const DASH_SHARE: (f32, f32) = (0.5, 1.6);
/// Two bottles poured at once: the second amount is at least this, grams, or it is only an
/// over-pour of the first ...
pub const JOINT_LEAST_G: f32 = 10.0;
/// ... and the flow went on for so long after the stop, seconds: no late hand does (a lapse lasts
/// 0.15 s on average).
pub const JOINT_AFTER_S: f32 = 0.7;
/// How either is split between the two, one standard deviation as a share of the smaller: two
/// bottles of one kind of pourer, flows 15 % apart each.
pub const JOINT_SPLIT: f32 = 0.2;
/// A measured step of less than this, grams, is not waited for: drops, of which a dozen weigh
/// 0.6 g and a slow start may pass unseen.
pub const UNSEEN_G: f32 = 0.65;
/// A vessel that comes back weighs the same within max(g, share); anything else is another one.
pub const SAME_VESSEL: (f32, f32) = (12.0, 0.03);
/// What stands on the pan after a power cut is what stood there before it within so much, grams:
/// late drips, and what a cell drifts in the first minutes (our choice).
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

// ---- Planning a round ---------------------------------------------------------------------------

/// Putting one bottle back and taking another, seconds: both within an arm's length. Assumed;
/// common practice, no source.
pub const PICK_UP_S: f32 = 2.0;
/// One glass off the pan and another one on it, seconds. Assumed; common practice, no source.
pub const GLASS_MOVE_S: f32 = 1.4;

// ---- Learning a bottle --------------------------------------------------------------------------

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
