//! The lockstep's messages as postcard writes them, by own code: serde's way of writing
//! [`Outputs`] takes 4 KB of flash more, and keeps a panic where the core is built for size. The
//! checks hold it against postcard.

use super::message::{Effort, Reply, Request, Signals, Stats};
use crate::coder::{Coder, Eye, Pen};
use crate::input::{Command, Input, Known, Mode, Sample};
use crate::output::{
    DrinkRecord, Figure, Fix, Judgement, Learned, Lesson, Outputs, PourRecord, Refused, Settled,
    StepBegun,
};
use crate::spec::{DrinkId, Quantity};
use crate::time::Instant;
use crate::units::{AdcCode, Grams};
use crate::view::Sound;

impl Pen<'_, '_> {
    #[inline(never)]
    fn grams(&mut self, value: Option<f32>) -> &mut Self {
        self.maybe(value.as_ref(), |pen, value| {
            pen.float(*value);
        })
    }

    #[inline(never)]
    fn maybe<T>(&mut self, value: Option<&T>, write: fn(&mut Self, &T)) -> &mut Self {
        self.flag(value.is_some());
        if let Some(value) = value {
            write(self, value);
        }
        self
    }

    #[inline(never)]
    fn settled(&mut self, value: &Settled) {
        self.float(value.mass.0).float(value.sigma.0);
    }

    fn figure(&mut self, value: &Figure) -> &mut Self {
        self.float(value.value).float(value.sigma)
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
        self.maybe(record.dilution.as_ref(), |pen, dilution| {
            pen.byte(dilution.basis as u8)
                .float(dilution.percent)
                .float(dilution.sigma_percent);
        });
    }

    fn step(&mut self, begun: &StepBegun) {
        self.byte(begun.drink.0)
            .byte(begun.step)
            .grams(begun.target.map(|target| target.0));
    }

    fn sample(&mut self, sample: &Sample) {
        let Sample {
            volume_ul,
            sigma_ul,
            mut celsius,
            known,
        } = *sample;
        self.number(volume_ul).number(sigma_ul);
        self.0.signed_short(&mut celsius);
        match known {
            Known::Nothing => self.byte(0),
            Known::Strength(value) => self.byte(1).number(u32::from(value)),
            Known::Sugar(value) => self.byte(2).number(u32::from(value)),
        };
    }

    /// Only a host writes one; the scale's image does not have it.
    fn command(&mut self, command: &Command) {
        match command {
            Command::Target(grams) => self.byte(0).float(grams.0),
            Command::Order(drink) => self.byte(1).byte(drink.0),
            Command::Skip => self.byte(2),
            Command::Zero => self.byte(3),
            Command::Mode(mode) => self.byte(4).byte(*mode as u8),
            Command::Hand(hand) => self.byte(5).byte(*hand),
            Command::Learn(sample) => {
                self.byte(6).sample(sample);
                self
            }
            Command::Change(order, drink) => self.byte(7).number(u32::from(*order)).byte(drink.0),
            Command::Void(order) => self.byte(8).number(u32::from(*order)),
            Command::Forget => self.byte(9),
        };
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

    #[inline(never)]
    fn outputs(&mut self, out: &Outputs) -> &mut Self {
        self.maybe(out.fault.as_ref(), |pen, fault| {
            pen.byte(*fault as u8);
        });
        self.flag(out.cleared).flag(out.lifted);
        self.grams(out.placed.map(|it| it.0));
        self.flag(out.pressed).flag(out.bumped).flag(out.stirred);
        self.grams(out.added.map(|it| it.0));
        self.flag(out.pour_started).flag(out.ease).flag(out.stop);
        for settled in [&out.landed, &out.amended, &out.steady] {
            self.maybe(settled.as_ref(), Self::settled);
        }
        self.maybe(out.verdict.as_ref(), Self::judgement);
        self.maybe(out.fix.as_ref(), |pen, Fix::TipOut(grams)| {
            pen.byte(0).float(grams.0);
        });
        self.maybe(out.poured.as_ref(), Self::poured)
            .maybe(out.done.as_ref(), Self::done)
            .maybe(out.step.as_ref(), Self::step)
            .maybe(out.learned.as_ref(), Self::learned)
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
        self.grams(signals.ramp);
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

/// Writes a reply; its length, `None` when it does not fit.
#[inline(never)]
pub(super) fn write_reply(reply: &Reply<'_>, message: &mut [u8]) -> Option<usize> {
    let mut coder = Coder::writing(message);
    let mut pen = Pen(&mut coder);
    match reply {
        Reply::Ready => {
            pen.byte(0);
        }
        Reply::Handled {
            outputs,
            deadline,
            signals,
        } => {
            pen.byte(1)
                .outputs(outputs)
                .maybe(deadline.as_ref(), |pen, at| {
                    pen.long(at.micros());
                })
                .signals(signals);
        }
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
    coder.finish()
}

/// Writes outputs as they happened, under this tag; their length.
#[inline(never)]
pub(super) fn write_live(
    tag: u8,
    number: u32,
    at: Instant,
    outputs: &Outputs,
    message: &mut [u8],
) -> Option<usize> {
    let mut coder = Coder::writing(message);
    Pen(&mut coder)
        .byte(tag)
        .number(number)
        .long(at.micros())
        .outputs(outputs);
    coder.finish()
}

/// Reads a command.
pub(super) fn read_command(coder: &mut Coder<'_>) -> Option<Command> {
    Reader(Eye(coder)).command()
}

/// Writes a command.
pub(super) fn write_command(command: &Command, coder: &mut Coder<'_>) {
    Pen(coder).command(command);
}

/// Reads a request field by field.
struct Reader<'c, 'b>(Eye<'c, 'b>);

impl Reader<'_, '_> {
    fn mode(&mut self) -> Option<Mode> {
        Some(match self.0.byte() {
            0 => Mode::Service,
            1 => Mode::Develop,
            2 => Mode::Prep,
            3 => Mode::Plain,
            _ => return None,
        })
    }

    fn command(&mut self) -> Option<Command> {
        Some(match self.0.byte() {
            0 => Command::Target(Grams(self.0.float())),
            1 => Command::Order(DrinkId(self.0.byte())),
            2 => Command::Skip,
            3 => Command::Zero,
            4 => Command::Mode(self.mode()?),
            5 => Command::Hand(self.0.byte()),
            6 => {
                let (volume_ul, sigma_ul) = (self.0.number(), self.0.number());
                let mut celsius = 0;
                self.0.0.signed_short(&mut celsius);
                Command::Learn(Sample {
                    volume_ul,
                    sigma_ul,
                    celsius,
                    known: match self.0.byte() {
                        0 => Known::Nothing,
                        1 => Known::Strength(self.0.short()),
                        2 => Known::Sugar(self.0.short()),
                        _ => return None,
                    },
                })
            }
            7 => Command::Change(self.0.short(), DrinkId(self.0.byte())),
            8 => Command::Void(self.0.short()),
            9 => Command::Forget,
            _ => return None,
        })
    }

    fn request(&mut self) -> Option<Request> {
        Some(match self.0.byte() {
            0 => Request::Reset {
                zero_code: self.0.signed(),
                counts_per_gram: self.0.float(),
                sps: self.0.float(),
                mode: self.mode()?,
            },
            1 => Request::Load,
            2 => {
                let mut us = 0;
                self.0.0.long(&mut us);
                Request::Handle {
                    at: Instant::from_micros(us),
                    input: match self.0.byte() {
                        0 => Input::Code(AdcCode(self.0.signed())),
                        1 => Input::Tick,
                        2 => Input::Command(self.command()?),
                        _ => return None,
                    },
                }
            }
            3 => Request::Paint,
            4 => Request::Strip(self.0.byte()),
            5 => Request::Stats,
            _ => return None,
        })
    }
}

/// Reads a request; `None` unless the message is one and nothing else.
#[inline(never)]
pub(super) fn read_request(message: &[u8]) -> Option<Request> {
    let mut coder = Coder::reading(message);
    let request = Reader(Eye(&mut coder)).request()?;
    coder.finish().map(|_| request)
}
