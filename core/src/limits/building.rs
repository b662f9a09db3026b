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
/// Where nothing is asked for, a flow that begins anew after so much, grams, is the next pour: less
/// may be the slow start of the same.
pub const FREE_PASSES_G: f32 = 4.0;
/// How well it is known what a vessel lost while it was away, grams, one standard deviation: water
/// under its foot comes and goes (assumed).
pub const LOST_SIGMA_G: f32 = 1.0;
/// After this share of the time for stirring or shaking, something else set down may be the glass;
/// before, it is the next drink's vessel.
pub const WORK_SHARE: f32 = 0.6;
/// Vessels of one kind weigh the same within this share, a wet base included (common practice, no
/// source).
pub const SAME_KIND: f32 = 0.15;
/// Something is asked for so long unless the next thing happens, seconds.
pub const QUESTION_S: f32 = 8.0;
/// Strained is what has reached this share of what the vessel held.
pub const STRAINED_SHARE: f32 = 0.6;
/// Liquid that stays on ice and vessel after a strain, grams, between a least and a most that are
/// the ends of an even spread: stirred. Trade judgement, no source.
pub const HOLD_UP_STIRRED_G: (f64, f64) = (2.0, 5.0);
/// The same, shaken. Trade judgement, no source.
pub const HOLD_UP_SHAKEN_G: (f64, f64) = (4.0, 10.0);
/// What stayed behind may be weighed so long after the glass has gone, seconds.
pub const BACK_S: f32 = 30.0;
/// Nobody loses more between the vessel and the glass, grams: what is set down and would mean more
/// is another vessel. A tin without its ice is lighter by more than that. Trade judgement, no
/// source.
pub const LOST_MOST_G: f32 = 25.0;
/// One standard deviation of the vessel's weight before the strain less its weight after, grams:
/// water under the foot comes and goes. Trade judgement, no source.
pub const BACK_SIGMA_G: f32 = 0.5;
/// A bottle on the pan that comes back lighter by less has not been poured from, grams: twice the
/// uncertainty of weighing it again.
pub const LOSS_LEAST_G: f32 = 1.0;
/// One that is lighter by so much more than was asked for is another bottle, grams. Trade
/// judgement, no source.
pub const LOSS_OVER_G: f32 = 150.0;
/// An over-pour is told for so long unless the next thing happens, seconds.
pub const NOTICE_S: f32 = 3.0;
/// The same where something is offered, seconds: long enough to read it and rest a hand on the pan.
pub const OFFER_S: f32 = 6.0;
/// A drink grown by more than this is not offered as a fix: it would throw half of a drink away
/// (common practice, no source).
pub const FIX_MOST: f32 = 1.5;
/// The same where nothing is strained, and everything added is drunk: the alcohol limit.
pub const FIX_MOST_SERVED: f32 = 1.2;
/// A vessel is filled to this share of its brim at most: it is stirred, shaken or carried.
pub const FILL_SHARE: f32 = 0.85;
/// So much of the next bottle, grams, says that an over-pour is kept: a lift pushes less in passing.
pub const KEPT_AFTER_G: f32 = 2.0;
/// A flow that ends with the lift of its vessel sooner than this was the hand that took hold, seconds.
pub const JOLT_S: f32 = 0.6;
/// A vessel that comes back within so much, grams, is taken for itself though a glass is expected too.
pub const CLOSELY_G: f32 = 5.0;
/// What came back lighter than this, grams, was tipped out of: a wet base moves less.
pub const TIPPED_OUT_G: f32 = 1.0;
/// The panel glows less after so long without anything happening, seconds (assumed): a lit panel
/// dazzles in a dark room, and its pixels age.
pub const DIM_S: f32 = 120.0;
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
/// Less than this is not offered, tenths of a second: it is within what one reach differs from the
/// next. Assumed.
pub const LEAST_SAVED: u16 = 10;

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
/// [`STILL_G`](crate::limits::STILL_G) taken as an even spread.
pub const LEARN_EARLY_G: f32 = 0.15;
/// A fill that changes by less, grams, is the same.
pub const LEARN_AMEND_G: f32 = 0.1;
/// What is tipped in at once lies between these shares of what is missing, the upper one plus a
/// splash (design: a jigger is filled by eye); anything else is asked about.
pub const ASIDE_TIPPED: (f32, f32) = (0.7, 1.3);
/// After what was no part of the drink has gone, a splash or less is what it left behind, seconds
/// (assumption).
pub const RESIDUE_S: f32 = 1.5;
/// So much ice at once, as a share of the most that is asked for, is asked about.
pub const ASIDE_ICE: f32 = 1.5;
/// So much strained at once, as a share of what was poured, is asked about: ice adds half.
pub const ASIDE_STRAIN: f32 = 1.6;
/// What is recorded without being judged, ml and share: nothing on the pan lies outside it.
pub const ANY_BAND: (f32, f32) = (1e6, 0.0);
/// More than this is no rinse, grams (common practice, no source: 5 to 15 ml).
pub const RINSE_MOST_G: f32 = 25.0;
/// Sigma of what a rinse left, grams: water under the foot comes and goes.
pub const RINSED_SIGMA_G: f32 = 0.5;
