//! What leaves the station: a slot per kind of event, so that nothing can overflow.

use serde::{Deserialize, Serialize};

use crate::input::{CommandError, Sample};
use crate::spec::{Amount, DrinkId, LiquidId};
use crate::units::{Grams, Millilitres};

pub use pennyweight_weighing::fault::Fault;
pub use pennyweight_weighing::settle::Settled;

/// Everything one call of [`crate::Station::handle`] may answer.
///
/// The slots are listed in the order in which they happened; [`Outputs::events`] walks them so.
#[must_use = "outputs are what the hand hears and what is recorded"]
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Outputs {
    /// The converter or the cell misbehaves.
    pub fault: Option<Fault>,
    /// The command was not carried out, and why.
    pub refused: Option<CommandError>,
    /// What was wrong is well again.
    pub cleared: bool,
    /// What stood on the pan was taken away.
    pub lifted: bool,
    /// Something was set down on the pan.
    pub placed: Option<Grams>,
    /// A hand rested on the pan while something was offered.
    pub pressed: bool,
    /// The bench or the pan was knocked; nothing came or went.
    pub bumped: bool,
    /// What stands on the pan is being stirred: told once a stir, when it can be told from knocks.
    pub stirred: bool,
    /// Something was dropped or tipped in at once.
    pub added: Option<Grams>,
    /// Liquid has begun to land.
    pub pour_started: bool,
    /// Pour slower now.
    pub ease: bool,
    /// Stop pouring now.
    pub stop: bool,
    /// The early reading of what has landed.
    pub landed: Option<Settled>,
    /// A later reading that replaces it: late drips, a slow thread.
    pub amended: Option<Settled>,
    /// The final reading: nothing more comes.
    pub steady: Option<Settled>,
    /// How the pour compares with its target.
    pub verdict: Option<Judgement>,
    /// How an over-pour can be repaired.
    pub fix: Option<Fix>,
    /// A pour was closed and goes into the record.
    pub poured: Option<PourRecord>,
    /// A drink is complete.
    pub done: Option<DrinkRecord>,
    /// What stayed behind was weighed.
    pub weighed_back: Option<WeighedBack>,
    /// The next step began.
    pub step: Option<StepBegun>,
    /// The time for stirring or shaking this drink is up.
    pub due: Option<DrinkId>,
    /// A bottle was learned, or cannot be.
    pub learned: Option<Learned>,
    /// The vessel came back lighter than it went, and nothing explains it: a sip, a spill.
    pub lost: Option<Settled>,
}

/// One event, for those who want them one by one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Event {
    /// See [`Outputs::fault`].
    Fault(Fault),
    /// See [`Outputs::refused`].
    Refused(CommandError),
    /// See [`Outputs::cleared`].
    Cleared,
    /// See [`Outputs::lifted`].
    Lifted,
    /// See [`Outputs::placed`].
    Placed(Grams),
    /// See [`Outputs::pressed`].
    Pressed,
    /// See [`Outputs::bumped`].
    Bumped,
    /// See [`Outputs::stirred`].
    Stirred,
    /// See [`Outputs::added`].
    Added(Grams),
    /// See [`Outputs::pour_started`].
    PourStarted,
    /// See [`Outputs::ease`].
    Ease,
    /// See [`Outputs::stop`].
    Stop,
    /// See [`Outputs::landed`].
    Landed(Settled),
    /// See [`Outputs::amended`].
    Amended(Settled),
    /// See [`Outputs::steady`].
    Steady(Settled),
    /// See [`Outputs::verdict`].
    Verdict(Judgement),
    /// See [`Outputs::fix`].
    Fix(Fix),
    /// See [`Outputs::poured`].
    Poured(PourRecord),
    /// See [`Outputs::done`].
    Done(DrinkRecord),
    /// See [`Outputs::weighed_back`].
    WeighedBack(WeighedBack),
    /// See [`Outputs::step`].
    Step(StepBegun),
    /// See [`Outputs::due`].
    Due(DrinkId),
    /// See [`Outputs::learned`].
    Learned(Learned),
    /// See [`Outputs::lost`].
    Lost(Settled),
}

impl Outputs {
    /// Nothing happened.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        *self == Self::default()
    }

    /// The events in the order in which they happened.
    pub fn events(&self) -> impl Iterator<Item = Event> + '_ {
        [
            self.fault.map(Event::Fault),
            self.refused.map(Event::Refused),
            self.cleared.then_some(Event::Cleared),
            self.lifted.then_some(Event::Lifted),
            self.placed.map(Event::Placed),
            self.pressed.then_some(Event::Pressed),
            self.bumped.then_some(Event::Bumped),
            self.stirred.then_some(Event::Stirred),
            self.added.map(Event::Added),
            self.pour_started.then_some(Event::PourStarted),
            self.ease.then_some(Event::Ease),
            self.stop.then_some(Event::Stop),
            self.landed.map(Event::Landed),
            self.amended.map(Event::Amended),
            self.steady.map(Event::Steady),
            self.verdict.map(Event::Verdict),
            self.fix.map(Event::Fix),
            self.poured.map(Event::Poured),
            self.done.map(Event::Done),
            self.weighed_back.map(Event::WeighedBack),
            self.step.map(Event::Step),
            self.due.map(Event::Due),
            self.learned.map(Event::Learned),
            self.lost.map(Event::Lost),
        ]
        .into_iter()
        .flatten()
    }
}

/// How a pour compares with its target.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Verdict {
    /// Within the mode's tolerance.
    Good,
    /// Too little.
    Short,
    /// Too much.
    Over,
}

/// A verdict with the figures behind it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Judgement {
    /// Good, short or over.
    pub verdict: Verdict,
    /// What was poured, as far as is known now.
    pub poured: Settled,
    /// Poured less target.
    pub error: Grams,
}

/// What can be done about an over-pour.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Fix {
    /// It is the only liquid in the vessel: tip this much out.
    TipOut(Grams),
    /// The drink grown by this factor has its ratios right: the earlier ingredients are added to,
    /// and the spec's volume is strained.
    Grow(f32),
}

/// A step of a drink begins.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct StepBegun {
    /// The drink of the sheet.
    pub drink: DrinkId,
    /// Its step, counted from 0.
    pub step: u8,
    /// What the scale is to show for it, where it is poured.
    pub target: Option<Grams>,
}

/// One closed pour.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct PourRecord {
    /// The step it belongs to.
    pub step: u8,
    /// What was poured.
    pub liquid: LiquidId,
    /// As the sheet asks for it.
    pub amount: Amount,
    /// The volume asked for, at 20 degC or, where the drink means it so, as poured.
    pub target_volume: Millilitres,
    /// What the scale was to show.
    pub target: Grams,
    /// What it showed.
    pub poured: Settled,
    /// Good, short or over.
    pub verdict: Verdict,
}

/// What a finished glass holds. Every sigma is one standard deviation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct DrinkRecord {
    /// The drink of the sheet.
    pub drink: DrinkId,
    /// Volume of the liquid at 20 degC, melted ice included.
    pub volume: Millilitres,
    /// How well it is known.
    pub volume_sigma: Millilitres,
    /// Strength, percent by volume at 20 degC.
    pub abv_percent: f32,
    /// How well it is known, percent by volume.
    pub abv_sigma_percent: f32,
    /// Sugar, grams per litre at 20 degC.
    pub sugar_g_per_l: f32,
    /// Grams of pure alcohol.
    pub ethanol: Grams,
    /// How well they are known.
    pub ethanol_sigma: Grams,
    /// Water from ice; `None` where it was neither weighed nor can be predicted.
    pub dilution: Option<Dilution>,
}

/// What a drink was found to be, and to have lost, once what stayed behind was weighed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct WeighedBack {
    /// Takes the place of the record of the finished glass.
    pub drink: DrinkRecord,
    /// What left the vessel and did not come into the glass; negative where it gained.
    pub lost: Settled,
    /// The water that such work usually melts, beside the one that was found; `None` where that is
    /// not known.
    pub expected: Option<Dilution>,
}

/// Water from ice, over the undiluted volume.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Dilution {
    /// How it is known.
    pub basis: DilutionBasis,
    /// Percent of the undiluted volume.
    pub percent: f32,
    /// One standard deviation of it, percent of the undiluted volume.
    pub sigma_percent: f32,
}

/// How a dilution is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum DilutionBasis {
    /// Strained liquid and what stays behind, less what was poured.
    Weighed,
    /// What stirring or shaking usually melts.
    Expected,
}

/// What one or several fills of a measure have told of a bottle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Learned {
    /// What was filled, and what was known of it.
    pub sample: Sample,
    /// How many fills; those that are no liquid's are not counted.
    pub fills: u8,
    /// The density at the sample's temperature, kg/m3: the mean of the fills.
    pub density: Figure,
    /// One standard deviation of a single fill as the repeats show it, kg/m3; 0 before there are
    /// two.
    pub spread: f32,
    /// What follows from it.
    pub lesson: Lesson,
}

/// A figure and one standard deviation of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Figure {
    /// The figure.
    pub value: f32,
    /// One standard deviation.
    pub sigma: f32,
}

/// What follows from a learned density.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Lesson {
    /// Nothing was known beforehand, so nothing more.
    Density,
    /// The sugar, grams per litre at 20 degC.
    Sugar(Figure),
    /// The strength, percent by volume at 20 degC.
    Strength(Figure),
    /// It cannot be.
    Refused(Refused),
}

/// Why a density cannot be, with the bound that it crossed, kg/m3.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Refused {
    /// No drinkable liquid is so light or so dense.
    NoLiquid(f32),
    /// Lighter than the label allows.
    TooLight(f32),
    /// Denser than the label allows.
    TooDense(f32),
    /// The label and the temperature are out of range together: it would be frozen, or hold more
    /// sugar than fits.
    Label,
}
