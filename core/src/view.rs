//! What a person at the station can see and hear: a plain snapshot.

use serde::{Deserialize, Serialize};

use crate::output::{Fault, Learned};
use crate::spec::{Unit, Vessel};
use crate::units::Grams;

pub use crate::spec::Reading;

/// Stands in the place of the drink's name where the vessel is to be set back.
pub const STAYED: &str = "what stayed in";

/// Everything the panel, the light and the sounder need.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct View<'s> {
    /// It differs from the snapshot taken before it.
    pub changed: bool,
    /// What stands on the panel.
    pub page: Page<'s>,
    /// Nothing is to be done and nothing has happened for a while: the panel may glow less.
    pub dim: bool,
    /// The three-colour light.
    pub light: Light,
    /// The sounder.
    pub sound: Sound,
    /// Progress of the ramp before the hand must move, 0 to 1, while it runs.
    pub ramp: Option<f32>,
}

/// One page of the panel.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Page<'s> {
    /// Nothing to do.
    Idle,
    /// A plain weight.
    Weight(Reading),
    /// Set this vessel on the pan.
    Place {
        /// The drink it is for; [`STAYED`] where it comes back with what stayed behind.
        drink: &'s str,
        /// What to set down.
        vessel: Vessel,
    },
    /// Pour this liquid.
    Pour {
        /// Its name.
        liquid: &'s str,
        /// What is still to come, negative when too much.
        remaining: Reading,
        /// How far the pour is, 0 to 1000.
        bar: u16,
        /// What the hand should do.
        cue: Cue,
        /// What comes next.
        next: Next<'s>,
    },
    /// Too little so far: add this much.
    Add {
        /// Its name.
        liquid: &'s str,
        /// How much is missing.
        missing: Reading,
        /// What the hand should do.
        cue: Cue,
        /// What comes next.
        next: Next<'s>,
    },
    /// Dashes, barspoons or whole things, one by one.
    Count {
        /// Its name.
        liquid: &'s str,
        /// How many are in.
        done: u8,
        /// How many it takes.
        of: u8,
        /// What one of them is called.
        unit: Unit,
        /// What comes next.
        next: Next<'s>,
    },
    /// Ice, as much as fits the range.
    Ice {
        /// What is in so far.
        so_far: Reading,
        /// The least, grams.
        low_g: u16,
        /// The most, grams.
        high_g: u16,
        /// What comes next.
        next: Next<'s>,
    },
    /// Take the vessel away and work it.
    Away {
        /// Stir or shake.
        work: Work,
        /// Seconds left of the timer; negative when overdue.
        seconds_left: i16,
        /// The timer runs (the vessel has left the pan).
        running: bool,
        /// What comes next.
        next: Next<'s>,
    },
    /// Strain into the glass on the pan.
    Strain {
        /// The drink.
        drink: &'s str,
        /// What has been strained so far.
        so_far: Reading,
        /// What is still to come, where not all of it goes into this glass.
        left: Option<Reading>,
        /// What the hand should do.
        cue: Cue,
    },
    /// Something to do that the scale cannot see.
    Note {
        /// In the words of the sheet.
        text: &'s str,
        /// What comes next.
        next: Next<'s>,
    },
    /// The pour was judged; shown until the next thing happens.
    Judged {
        /// Its name.
        liquid: &'s str,
        /// Poured less target.
        error: Reading,
        /// Good, short or over.
        verdict: crate::output::Verdict,
        /// What can be done about it.
        offer: Offer,
        /// What comes next.
        next: Next<'s>,
    },
    /// Something came or went that may not be of the drink. Pressing says that it is; going on
    /// says that it is not.
    Ask {
        /// What it would be: a liquid, ice, or what is strained.
        what: &'s str,
        /// How much, negative when it went.
        grams: Reading,
    },
    /// What was set down may be for either of two drinks; the first is taken, a press takes the
    /// other.
    Question {
        /// The drink that is taken.
        one: &'s str,
        /// The other.
        two: &'s str,
    },
    /// Nothing to do; a press orders this again.
    Again {
        /// The drink that was made last.
        drink: &'s str,
    },
    /// What stayed behind was weighed. Every figure in tenths, none below 0.
    WeighedBack {
        /// Water from ice, percent of the undiluted volume.
        water: i16,
        /// What such work usually melts, in the same percent.
        expected: Option<i16>,
        /// Grams that left the vessel and did not come into the glass.
        lost: i16,
    },
    /// The drink is complete.
    Done {
        /// The drink.
        drink: &'s str,
    },
    /// Learning a bottle.
    Learn(Learn),
    /// The command is not carried out: the open step comes first.
    Refused,
    /// The weighing has a fault.
    Fault(Fault),
}

/// What can be done about a pour that was judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Offer {
    /// Nothing, or nothing is needed.
    #[default]
    Nothing,
    /// Tip out what is too much.
    TipOut,
    /// A press takes up the fix.
    Fix,
}

/// Where the learning of a bottle stands.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Learn {
    /// Set the empty measure on the pan.
    Measure,
    /// The measure stands there; it is not known yet what it weighs.
    Wait,
    /// Fill the measure to its mark, which stands at this volume.
    Fill(Reading),
    /// Learned, or not possible; another fill may follow.
    Told(Learned),
}

/// What comes after the present step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Next<'s> {
    /// Nothing.
    Nothing,
    /// A liquid.
    Liquid(&'s str),
    /// Ice.
    Ice,
    /// Stirring or shaking.
    Work(Work),
    /// Straining into a glass.
    Strain(Vessel),
    /// A note of the sheet.
    Note(&'s str),
    /// Or the glass of another drink, which takes less reaching and moving; nothing waits for it.
    Glass {
        /// Its drink.
        drink: &'s str,
        /// How much less, tenths of a second.
        saves: u16,
    },
}

/// What the hand should do while it pours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Cue {
    /// Pour.
    #[default]
    Pour,
    /// Pour slower.
    Ease,
    /// Stop.
    Stop,
}

impl Cue {
    /// The cue of a pour that was eased or stopped.
    pub(crate) const fn of(eased: bool, stopped: bool) -> Self {
        match (stopped, eased) {
            (true, _) => Self::Stop,
            (false, true) => Self::Ease,
            (false, false) => Self::Pour,
        }
    }
}

/// Work away from the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Work {
    /// Stir.
    Stir,
    /// Shake.
    Shake,
}

/// The three-colour light. Every meaning is on the panel too, in words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Light {
    /// Nothing to do.
    #[default]
    Off,
    /// Go on (green).
    Go,
    /// Slower, or look here (amber).
    Ease,
    /// Stop (red).
    Stop,
}

/// The sounder.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Sound {
    /// Silence.
    #[default]
    Silent,
    /// Ease: two low notes.
    Ease,
    /// The ramp: a rising tone of this many hertz.
    Ramp(u16),
    /// Stop: one long high note.
    Stop,
    /// A step is closed: one short soft note.
    Next,
    /// Please look: three short notes.
    Look,
}

/// How far a pour is, 0 to 1000.
pub(crate) fn bar(mass: Grams, target: Grams) -> u16 {
    // The cast takes a NaN to 0.
    (1000.0 * (mass.0 / target.0).clamp(0.0, 1.0)) as u16
}
