//! The station's end of the link: the bytes of a request in, the bytes of its reply out.

use super::frame::{FrameError, MAX_FRAME, Receiver, seal};
use super::host::{ASK, Hosted, LIVE, Logged};
use super::message::{Effort, MAX_MESSAGE, Refusal, Reply, Request, STRIP_BYTES, Signals, Stats};
use super::wire::{read_request, write_live, write_reply};
use crate::input::Input;
use crate::keep::Shelf;
use crate::output::{Fault, Outputs};
use crate::panel::{self, Frame};
use crate::spec::Sheet;
use crate::station::{Setup, Station};
use crate::time::Instant;

/// What surrounds a station that is driven over the link.
///
/// Nothing of it changes an answer, except [`Reply::Stats`].
pub trait Device<'s> {
    /// What keeps sheets, settings and records, where there is one.
    fn shelf(&mut self) -> Option<&mut dyn Shelf<'s>> {
        None
    }

    /// A counter that runs up and wraps.
    fn ticks(&self) -> u32;

    /// Ticks in a second; 0 where nothing is counted.
    fn ticks_per_second(&self) -> u32;

    /// The most stack that was ever in use, bytes.
    fn stack_peak(&self) -> u32;

    /// Something worth a line in the log happened.
    fn note(&mut self, note: Note);
}

/// What is worth a line in a device's log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Note {
    /// The station began anew.
    Reset,
    /// A request was not carried out; a damaged frame was dropped.
    Refused(Refusal),
    /// The station reports a fault.
    Fault(Fault),
}

/// The device of a desk: it measures nothing and keeps no log.
#[derive(Clone, Copy, Debug, Default)]
pub struct Desk;

impl Device<'_> for Desk {
    fn ticks(&self) -> u32 {
        0
    }

    fn ticks_per_second(&self) -> u32 {
        0
    }

    fn stack_peak(&self) -> u32 {
        0
    }

    fn note(&mut self, _: Note) {}
}

/// One end of the link: the buffers, the sheet and the panel of one station.
pub struct Server<'s> {
    receiver: Receiver,
    bench: Bench<'s>,
    hosted: Hosted,
    message: [u8; MAX_MESSAGE],
    frame: [u8; MAX_FRAME],
}

/// What requests work on, apart from the buffers they travel in.
struct Bench<'s> {
    sheet: Option<&'s [u8]>,
    panel: Frame,
    sample: Effort,
    turn: Effort,
    view: Effort,
    paint: Effort,
    refused: u32,
}

impl Default for Server<'_> {
    fn default() -> Self {
        Self::new()
    }
}

impl<'s> Server<'s> {
    /// An end whose station carries no sheet yet; `const`, so that it can be built in place, and
    /// all zeros, so that its first value takes no flash.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            receiver: Receiver::new(),
            bench: Bench {
                sheet: None,
                panel: Frame::new(),
                sample: Effort::NONE,
                turn: Effort::NONE,
                view: Effort::NONE,
                paint: Effort::NONE,
                refused: 0,
            },
            hosted: Hosted::new(),
            message: [0; MAX_MESSAGE],
            frame: [0; MAX_FRAME],
        }
    }

    /// From now on [`Request::Load`] means this packed sheet.
    pub const fn carry(&mut self, sheet: &'s [u8]) {
        self.bench.sheet = Some(sheet);
    }

    /// Takes one byte that came over the link; the bytes to send back when it ended a request.
    pub fn take(
        &mut self,
        byte: u8,
        station: &mut Station<'s>,
        device: &mut dyn Device<'s>,
    ) -> Option<&[u8]> {
        let message = self.receiver.take(byte)?;
        if let Ok(ask) = message
            && ask.first() == Some(&ASK)
        {
            let told = self
                .hosted
                .answer(ask, station, device, &mut self.message)?;
            return seal(self.message.get(..told)?, &mut self.frame).ok();
        }
        let reply = match self
            .bench
            .answer(message, station, device, &mut self.hosted)
        {
            Ok(reply) => reply,
            Err(why) => {
                self.hosted.log(station.now(), Logged::Refused, why as u8);
                self.bench.refuse(why, device)
            }
        };
        let refused = Reply::Refused(Refusal::Reply);
        let written = write_reply(&reply, &mut self.message)
            .or_else(|| write_reply(&refused, &mut self.message))?;
        seal(self.message.get(..written)?, &mut self.frame).ok()
    }

    /// Has a host told of these outputs, where it watches.
    pub fn notice(&mut self, at: Instant, outputs: &Outputs) {
        self.hosted.notice(at, outputs);
    }

    /// The bytes that tell a host of outputs as they happened; to be sent after each reply, and
    /// after each [`Server::notice`].
    pub fn live(&mut self) -> Option<&[u8]> {
        let (number, at, outputs) = self.hosted.live()?;
        let length = write_live(LIVE, number, at, &outputs, &mut self.message)?;
        seal(self.message.get(..length)?, &mut self.frame).ok()
    }

    /// Adds a line to the log that a host can ask for.
    pub fn log(&mut self, at: Instant, logged: Logged, detail: u8) {
        self.hosted.log(at, logged, detail);
    }
}

impl<'s> Bench<'s> {
    /// Answers what came in a frame.
    #[inline(never)]
    fn answer(
        &mut self,
        message: Result<&[u8], FrameError>,
        station: &mut Station<'s>,
        device: &mut dyn Device<'s>,
        hosted: &mut Hosted,
    ) -> Result<Reply<'_>, Refusal> {
        let message = message.map_err(|_| Refusal::Frame)?;
        let request = read_request(message).ok_or(Refusal::Message)?;
        self.carry_out(request, station, device, hosted)
    }

    #[inline(never)]
    fn refuse(&mut self, why: Refusal, device: &mut dyn Device<'s>) -> Reply<'static> {
        self.refused = self.refused.saturating_add(1);
        device.note(Note::Refused(why));
        Reply::Refused(why)
    }

    fn carry_out(
        &mut self,
        request: Request,
        station: &mut Station<'s>,
        device: &mut dyn Device<'s>,
        hosted: &mut Hosted,
    ) -> Result<Reply<'_>, Refusal> {
        match request {
            Request::Reset {
                zero_code,
                counts_per_gram,
                sps,
                mode,
            } => {
                let possible = counts_per_gram.is_normal() && sps.is_normal() && sps > 0.0;
                if !possible {
                    return Err(Refusal::Setup);
                }
                let setup = Setup {
                    zero_code,
                    counts_per_gram,
                    sps,
                    mode,
                };
                restart(station, setup);
                self.panel = Frame::new();
                device.note(Note::Reset);
                hosted.log(Instant::ZERO, Logged::Reset, 0);
                Ok(Reply::Ready)
            }
            Request::Load => {
                load(station, self.sheet.ok_or(Refusal::Sheet)?)?;
                Ok(Reply::Ready)
            }
            Request::Handle { at, input } => {
                let reply = self.handle(at, input, station, device);
                if let Reply::Handled { outputs, .. } = &reply {
                    hosted.follow(at, &input, outputs, station, device);
                }
                Ok(reply)
            }
            Request::Paint => {
                let begun = device.ticks();
                draw(station, &mut self.panel);
                self.paint.add(device.ticks().wrapping_sub(begun));
                Ok(Reply::Ready)
            }
            Request::Strip(index) => {
                let rows = self
                    .panel
                    .bytes()
                    .chunks_exact(STRIP_BYTES)
                    .nth(usize::from(index))
                    .ok_or(Refusal::Strip)?;
                Ok(Reply::Strip { index, rows })
            }
            Request::Stats => Ok(Reply::Stats(Stats {
                ticks_per_second: device.ticks_per_second(),
                sample: self.sample,
                turn: self.turn,
                view: self.view,
                paint: self.paint,
                stack_peak: device.stack_peak(),
                refused: self.refused,
            })),
        }
    }

    fn handle(
        &mut self,
        at: Instant,
        input: Input,
        station: &mut Station<'s>,
        device: &mut dyn Device<'s>,
    ) -> Reply<'static> {
        let begun = device.ticks();
        let given = step(station, at, input);
        let handled = device.ticks();
        let signals = look(station);
        let seen = device.ticks();
        // Taken apart only now: moving it into the reply is the wire's work, not the core's.
        let (outputs, deadline) = given;
        let turned = outputs.step.is_some() || outputs.poured.is_some() || outputs.done.is_some();
        match (turned, input) {
            (true, _) => self.turn.add(handled.wrapping_sub(begun)),
            (false, Input::Command(_)) => {}
            (false, Input::Code(_) | Input::Tick) => self.sample.add(handled.wrapping_sub(begun)),
        }
        self.view.add(seen.wrapping_sub(handled));
        if let Some(fault) = outputs.fault {
            device.note(Note::Fault(fault));
        }
        Reply::Handled {
            outputs,
            deadline,
            signals,
        }
    }
}

/// One input through the station.
#[inline(never)]
fn step(station: &mut Station<'_>, at: Instant, input: Input) -> (Outputs, Option<Instant>) {
    (station.handle(at, input), station.deadline())
}

/// What can be seen and heard now.
#[inline(never)]
fn look(station: &mut Station<'_>) -> Signals {
    let view = station.view();
    Signals {
        changed: view.changed,
        light: view.light,
        sound: view.sound,
        ramp: view.ramp,
    }
}

/// Begins anew.
#[inline(never)]
fn restart(station: &mut Station<'_>, setup: Setup) {
    *station = Station::new(setup);
}

/// Has the station work from the packed sheet.
#[inline(never)]
fn load<'s>(station: &mut Station<'s>, sheet: &'s [u8]) -> Result<(), Refusal> {
    station.load(Sheet::new(sheet).map_err(|_| Refusal::Sheet)?);
    Ok(())
}

/// Draws the present view.
#[inline(never)]
fn draw(station: &mut Station<'_>, panel: &mut Frame) {
    panel::draw(&station.view(), panel);
}
