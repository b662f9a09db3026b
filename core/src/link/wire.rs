//! A reply as postcard writes it, by own code: serde's way of writing [`Outputs`] takes 4 KB of
//! flash more, and keeps a panic where the core is built for size. A check holds every byte
//! against postcard.

use super::message::{Effort, Reply, Signals, Stats};
use super::pen::Pen;
use crate::input::{CommandError, Known, Sample};
use crate::output::{
    Dilution, DrinkRecord, Figure, Fix, Judgement, Learned, Lesson, Outputs, PourRecord, Refused,
    Settled, StepBegun, WeighedBack,
};
use crate::spec::Quantity;
use crate::time::Instant;
use crate::view::Sound;

/// The bytes of a reply; `None` when they do not fit.
#[inline(never)]
pub(super) fn write_reply<'b>(reply: &Reply<'_>, message: &'b mut [u8]) -> Option<&'b [u8]> {
    let mut pen = Pen::new(message);
    match reply {
        Reply::Ready => {
            pen.byte(0);
        }
        Reply::Handled {
            outputs,
            deadline,
            signals,
        } => pen.handled(outputs, *deadline, signals),
        Reply::Strip { index, rows } => {
            pen.byte(2).byte(*index).number(rows.len() as u32);
            for row in *rows {
                pen.byte(*row);
            }
        }
        Reply::Stats(stats) => pen.byte(3).stats(stats),
        Reply::Refused(why) => {
            pen.byte(4).byte(*why as u8);
        }
    }
    pen.finish()
}

/// The bytes of a [`Reply::Handled`]; `None` when they do not fit.
pub(super) fn write_handled<'b>(
    outputs: &Outputs,
    deadline: Option<Instant>,
    signals: &Signals,
    message: &'b mut [u8],
) -> Option<&'b [u8]> {
    let mut pen = Pen::new(message);
    pen.handled(outputs, deadline, signals);
    pen.finish()
}

/// The bytes of outputs as they happened, under this tag; `None` when they do not fit.
pub(super) fn write_live<'b>(
    tag: u8,
    number: u32,
    at: Instant,
    outputs: &Outputs,
    message: &'b mut [u8],
) -> Option<&'b [u8]> {
    let mut pen = Pen::new(message);
    pen.byte(tag)
        .number(number)
        .long(at.micros())
        .outputs(outputs);
    pen.finish()
}

impl Pen<'_> {
    #[inline(never)]
    fn handled(&mut self, outputs: &Outputs, deadline: Option<Instant>, signals: &Signals) {
        self.byte(1)
            .outputs(outputs)
            .maybe(deadline.as_ref(), |pen, at| {
                pen.long(at.micros());
            });
        self.signals(signals);
    }

    fn outputs(&mut self, out: &Outputs) -> &mut Self {
        self.maybe(out.fault.as_ref(), |pen, fault| {
            pen.byte(*fault as u8);
        })
        .maybe(out.refused.as_ref(), Self::refused)
        .flag(out.cleared)
        .flag(out.lifted)
        .perhaps(out.placed.map(|it| it.0))
        .flag(out.pressed)
        .flag(out.bumped)
        .flag(out.stirred)
        .perhaps(out.added.map(|it| it.0))
        .flag(out.pour_started)
        .flag(out.ease)
        .flag(out.stop);
        for settled in [&out.landed, &out.amended, &out.steady] {
            self.maybe(settled.as_ref(), Self::settled);
        }
        self.maybe(out.verdict.as_ref(), Self::judgement)
            .maybe(out.fix.as_ref(), |pen, fix| {
                match *fix {
                    Fix::TipOut(grams) => pen.byte(0).float(grams.0),
                    Fix::Grow(factor) => pen.byte(1).float(factor),
                };
            })
            .maybe(out.poured.as_ref(), Self::poured)
            .maybe(out.done.as_ref(), Self::done)
            .maybe(out.weighed_back.as_ref(), Self::weighed_back)
            .maybe(out.step.as_ref(), Self::step)
            .maybe(out.due.as_ref(), |pen, drink| {
                pen.byte(drink.0);
            })
            .maybe(out.learned.as_ref(), Self::learned)
            .maybe(out.lost.as_ref(), Self::settled)
    }

    fn refused(&mut self, why: &CommandError) {
        match *why {
            CommandError::NoSheet => self.byte(0),
            CommandError::NoSuchDrink { drinks } => self.byte(1).byte(drinks),
            CommandError::NoRound => self.byte(2),
            CommandError::RoundFull { most } => self.byte(3).byte(most),
            CommandError::NotOrdered(drink) => self.byte(4).byte(drink.0),
            CommandError::NotWaiting(drink) => self.byte(5).byte(drink.0),
            CommandError::NothingOpen => self.byte(6),
            CommandError::NothingAsked => self.byte(7),
            CommandError::NotRestored => self.byte(8),
            CommandError::NotBetweenPours => self.byte(9),
            CommandError::NothingOver => self.byte(10),
            CommandError::FixTooLarge { most_percent } => self.byte(11).byte(most_percent),
            CommandError::Strained => self.byte(12),
            CommandError::NoRoom => self.byte(13),
            CommandError::AlreadySeveral { glasses } => self.byte(14).byte(glasses),
            CommandError::Grown => self.byte(15),
            CommandError::NotStrained => self.byte(16),
            CommandError::NotBegun => self.byte(17),
            CommandError::Built => self.byte(18),
            CommandError::PanLoaded => self.byte(19),
            CommandError::PanMoving => self.byte(20),
            CommandError::MeasureWeighed => self.byte(21),
            CommandError::OrdersOpen => self.byte(22),
            CommandError::TargetRange { below_g } => self.byte(23).number(below_g.into()),
            CommandError::ServeRange { below_ml } => self.byte(24).number(below_ml.into()),
            CommandError::MeasureRange { least_ml, most_ml } => {
                self.byte(25).number(least_ml.into()).number(most_ml.into())
            }
            CommandError::MeasureSigma { part } => self.byte(26).byte(part),
            CommandError::TemperatureRange {
                lowest_c,
                highest_c,
            } => self.byte(27).byte(lowest_c as u8).byte(highest_c as u8),
            CommandError::StrengthRange { most_percent } => self.byte(28).byte(most_percent),
        };
    }

    /// A float that may be missing.
    #[inline(never)]
    fn perhaps(&mut self, value: Option<f32>) -> &mut Self {
        self.maybe(value.as_ref(), |pen, value| {
            pen.float(*value);
        })
    }

    #[inline(never)]
    fn settled(&mut self, value: &Settled) {
        self.float(value.mass.0).float(value.sigma.0);
    }

    fn judgement(&mut self, judged: &Judgement) {
        self.byte(judged.verdict as u8).settled(&judged.poured);
        self.float(judged.error.0);
    }

    fn poured(&mut self, record: &PourRecord) {
        self.byte(record.step).byte(record.liquid.0);
        match record.amount.quantity {
            Quantity::Volume(ul) => self.byte(0).number(ul),
            Quantity::Mass(mg) => self.byte(1).number(mg),
            Quantity::Count(count) => self.byte(2).byte(count),
        };
        self.byte(record.amount.unit as u8)
            .float(record.target_volume.0)
            .float(record.target.0)
            .settled(&record.poured);
        self.byte(record.verdict as u8);
    }

    fn done(&mut self, record: &DrinkRecord) {
        self.byte(record.drink.0);
        for value in [
            record.volume.0,
            record.volume_sigma.0,
            record.abv_percent,
            record.abv_sigma_percent,
            record.sugar_g_per_l,
            record.ethanol.0,
            record.ethanol_sigma.0,
        ] {
            self.float(value);
        }
        self.maybe(record.dilution.as_ref(), Self::dilution);
    }

    fn dilution(&mut self, dilution: &Dilution) {
        self.byte(dilution.basis as u8)
            .float(dilution.percent)
            .float(dilution.sigma_percent);
    }

    fn weighed_back(&mut self, back: &WeighedBack) {
        self.done(&back.drink);
        self.settled(&back.lost);
        self.maybe(back.expected.as_ref(), Self::dilution);
    }

    fn step(&mut self, begun: &StepBegun) {
        self.byte(begun.drink.0)
            .byte(begun.step)
            .perhaps(begun.target.map(|target| target.0));
    }

    fn learned(&mut self, learned: &Learned) {
        self.sample(&learned.sample);
        self.byte(learned.fills)
            .figure(&learned.density)
            .float(learned.spread);
        match &learned.lesson {
            Lesson::Density => self.byte(0),
            Lesson::Sugar(figure) => self.byte(1).figure(figure),
            Lesson::Strength(figure) => self.byte(2).figure(figure),
            Lesson::Refused(why) => match *why {
                Refused::NoLiquid(bound) => self.byte(3).byte(0).float(bound),
                Refused::TooLight(bound) => self.byte(3).byte(1).float(bound),
                Refused::TooDense(bound) => self.byte(3).byte(2).float(bound),
                Refused::Label => self.byte(3).byte(3),
            },
        };
    }

    fn sample(&mut self, sample: &Sample) {
        self.number(sample.volume_ul)
            .number(sample.sigma_ul)
            .signed(i32::from(sample.celsius));
        match sample.known {
            Known::Nothing => self.byte(0),
            Known::Strength(value) => self.byte(1).number(u32::from(value)),
            Known::Sugar(value) => self.byte(2).number(u32::from(value)),
        };
    }

    fn figure(&mut self, figure: &Figure) -> &mut Self {
        self.float(figure.value).float(figure.sigma)
    }

    fn signals(&mut self, signals: &Signals) {
        self.flag(signals.changed).byte(signals.light as u8);
        match signals.sound {
            Sound::Silent => self.byte(0),
            Sound::Ease => self.byte(1),
            Sound::Ramp(hertz) => self.byte(2).number(u32::from(hertz)),
            Sound::Stop => self.byte(3),
            Sound::Next => self.byte(4),
            Sound::Look => self.byte(5),
        };
        self.perhaps(signals.ramp);
    }

    fn stats(&mut self, stats: &Stats) {
        self.number(stats.ticks_per_second);
        for effort in [&stats.sample, &stats.turn, &stats.view, &stats.paint] {
            let Effort {
                times,
                total,
                worst,
            } = *effort;
            self.number(times).long(total).number(worst);
        }
        self.number(stats.stack_peak).number(stats.refused);
    }
}
