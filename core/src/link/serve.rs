//! The station's end of the link: the bytes of a request in, the bytes of its reply out.

use super::frame::{FrameError, MAX_FRAME, Receiver, seal};
use super::message::{Effort, MAX_MESSAGE, Refusal, Reply, Request, STRIP_BYTES, Signals, Stats};
use super::wire::write_handled;
use crate::input::Input;
use crate::output::{Fault, Outputs};
use crate::panel::{self, Frame};
use crate::spec::Sheet;
use crate::station::{Setup, Station};
use crate::time::Instant;

/// What surrounds a station that is driven over the link.
///
/// Nothing of it changes an answer, except [`Reply::Stats`].
pub trait Device {
    /// A counter that runs up and wraps.
    fn ticks(&self) -> u32;

    /// Ticks in a second; 0 where nothing is counted.
    fn ticks_per_second(&self) -> u32;

    /// The most stack that was ever in use, bytes.
    fn stack_peak(&self) -> u32;

    /// Something worth a line in the log happened.
    fn note(&mut self, note: Note);

    /// The station was given this; what it answered may be added to before it is told.
    fn handled(&mut self, _: Instant, _: &Input, _: &mut Outputs, _: &mut Station<'_>) {}
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

impl Device for Desk {
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
    pub(super) receiver: Receiver,
    pub(super) bench: Bench<'s>,
    pub(super) message: [u8; MAX_MESSAGE],
    pub(super) frame: [u8; MAX_FRAME],
}

/// What requests work on, apart from the buffers they travel in.
pub(super) struct Bench<'s> {
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
        device: &mut impl Device,
    ) -> Option<&[u8]> {
        let received = self.receiver.take(byte)?;
        let length = self
            .bench
            .reply(received, station, device, &mut self.message)?;
        seal(self.message.get(..length)?, &mut self.frame).ok()
    }
}

impl<'s> Bench<'s> {
    /// Answers what came in a frame; the length of the answer.
    #[inline(never)]
    pub(super) fn reply(
        &mut self,
        received: Result<&[u8], FrameError>,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        message: &mut [u8],
    ) -> Option<usize> {
        match self.answer(received, station, device, message) {
            Ok(length) => Some(length),
            Err(why) => self.refuse(why, device).write(message).map(<[u8]>::len),
        }
    }

    fn answer(
        &mut self,
        received: Result<&[u8], FrameError>,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        message: &mut [u8],
    ) -> Result<usize, Refusal> {
        let received = received.map_err(|_| Refusal::Frame)?;
        let written = match Request::read(received).ok_or(Refusal::Message)? {
            Request::Handle { at, input } => self.handle((at, input), station, device, message),
            request => self.carry_out(request, station, device, message)?,
        };
        written.ok_or(Refusal::Reply)
    }

    #[inline(never)]
    fn refuse(&mut self, why: Refusal, device: &mut dyn Device) -> Reply<'static> {
        self.refused = self.refused.saturating_add(1);
        device.note(Note::Refused(why));
        Reply::Refused(why)
    }

    /// Everything but [`Request::Handle`]: a reply as large as that one's would lie on the stack
    /// while the station works.
    #[inline(never)]
    fn carry_out(
        &mut self,
        request: Request,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        message: &mut [u8],
    ) -> Result<Option<usize>, Refusal> {
        let reply = match request {
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
                Reply::Ready
            }
            Request::Load => {
                load(station, self.sheet.ok_or(Refusal::Sheet)?)?;
                Reply::Ready
            }
            Request::Handle { .. } => return Ok(None),
            Request::Paint => {
                let begun = device.ticks();
                draw(station, &mut self.panel);
                self.paint.add(device.ticks().wrapping_sub(begun));
                Reply::Ready
            }
            Request::Strip(index) => {
                let rows = self
                    .panel
                    .bytes()
                    .chunks_exact(STRIP_BYTES)
                    .nth(usize::from(index))
                    .ok_or(Refusal::Strip)?;
                Reply::Strip { index, rows }
            }
            Request::Stats => Reply::Stats(Stats {
                ticks_per_second: device.ticks_per_second(),
                sample: self.sample,
                turn: self.turn,
                view: self.view,
                paint: self.paint,
                stack_peak: device.stack_peak(),
                refused: self.refused,
            }),
        };
        Ok(reply.write(message).map(<[u8]>::len))
    }

    /// One call of [`Station::handle`]; the length of the answer.
    fn handle(
        &mut self,
        (at, input): (Instant, Input),
        station: &mut Station<'s>,
        device: &mut dyn Device,
        message: &mut [u8],
    ) -> Option<usize> {
        let begun = device.ticks();
        let outputs = &mut Outputs::default();
        let deadline = step(station, at, input, outputs);
        let handled = device.ticks();
        let signals = look(station);
        let seen = device.ticks();
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
        device.handled(at, &input, outputs, station);
        write_handled(outputs, deadline, &signals, message).map(<[u8]>::len)
    }
}

/// One input through the station, what it tells into `out`; when a tick is due.
#[inline(never)]
pub(super) fn step(
    station: &mut Station<'_>,
    at: Instant,
    input: Input,
    out: &mut Outputs,
) -> Option<Instant> {
    station.handle_into(at, input, out);
    station.deadline()
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
    station.restart(setup);
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
