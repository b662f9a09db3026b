//! The station's end of the link: the bytes of a request in, the bytes of its reply out.

use super::frame::{MAX_FRAME, Receiver, seal};
use super::message::{Effort, MAX_MESSAGE, Refusal, Reply, Request, STRIP_BYTES, Signals, Stats};
use crate::input::Input;
use crate::output::Fault;
use crate::spec::Sheet;
use crate::station::{Setup, Station};
use crate::time::Instant;
use crate::view::View;

/// Bytes of the whole panel.
const PANEL_BYTES: usize = 1024;

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
    receiver: Receiver,
    bench: Bench<'s>,
    message: [u8; MAX_MESSAGE],
    frame: [u8; MAX_FRAME],
}

/// What requests work on, apart from the buffers they travel in.
struct Bench<'s> {
    sheet: &'s [u8],
    panel: [u8; PANEL_BYTES],
    step: Effort,
    paint: Effort,
    refused: u32,
}

impl<'s> Server<'s> {
    /// An end whose station carries this packed sheet; `const`, so that it can be built in place.
    #[must_use]
    pub const fn new(sheet: &'s [u8]) -> Self {
        Self {
            receiver: Receiver::new(),
            bench: Bench {
                sheet,
                panel: [0; PANEL_BYTES],
                step: Effort::NONE,
                paint: Effort::NONE,
                refused: 0,
            },
            message: [0; MAX_MESSAGE],
            frame: [0; MAX_FRAME],
        }
    }

    /// Takes one byte that came over the link; the bytes to send back when it ended a request.
    pub fn take(
        &mut self,
        byte: u8,
        station: &mut Station<'s>,
        device: &mut impl Device,
    ) -> Option<&[u8]> {
        let request = self
            .receiver
            .take(byte)?
            .map_err(|_| Refusal::Frame)
            .and_then(|message| match postcard::take_from_bytes(message) {
                Ok((request, [])) => Ok(request),
                _ => Err(Refusal::Message),
            });
        let reply = match request.and_then(|request| self.bench.carry_out(request, station, device))
        {
            Ok(reply) => reply,
            Err(why) => {
                self.bench.refused = self.bench.refused.saturating_add(1);
                device.note(Note::Refused(why));
                Reply::Refused(why)
            }
        };
        let written = match postcard::to_slice(&reply, &mut self.message) {
            Ok(written) => &*written,
            Err(_) => {
                &*postcard::to_slice(&Reply::Refused(Refusal::Reply), &mut self.message).ok()?
            }
        };
        seal(written, &mut self.frame).ok()
    }
}

impl<'s> Bench<'s> {
    fn carry_out(
        &mut self,
        request: Request,
        station: &mut Station<'s>,
        device: &mut impl Device,
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
                *station = Station::new(Setup {
                    zero_code,
                    counts_per_gram,
                    sps,
                    mode,
                });
                self.panel = [0; PANEL_BYTES];
                device.note(Note::Reset);
                Ok(Reply::Ready)
            }
            Request::Load => {
                station.load(Sheet::new(self.sheet).map_err(|_| Refusal::Sheet)?);
                Ok(Reply::Ready)
            }
            Request::Handle { at, input } => Ok(self.handle(at, input, station, device)),
            Request::Paint => {
                let view = station.view();
                let begun = device.ticks();
                paint(&view, &mut self.panel);
                self.paint.add(device.ticks().wrapping_sub(begun));
                Ok(Reply::Ready)
            }
            Request::Strip(index) => {
                let rows = self
                    .panel
                    .chunks_exact(STRIP_BYTES)
                    .nth(usize::from(index))
                    .ok_or(Refusal::Strip)?;
                Ok(Reply::Strip { index, rows })
            }
            Request::Stats => Ok(Reply::Stats(Stats {
                ticks_per_second: device.ticks_per_second(),
                step: self.step,
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
        station: &mut Station<'_>,
        device: &mut impl Device,
    ) -> Reply<'static> {
        let begun = device.ticks();
        let outputs = station.handle(at, input);
        let deadline = station.deadline();
        let view = station.view();
        let spent = device.ticks().wrapping_sub(begun);
        if !matches!(input, Input::Command(_)) {
            self.step.add(spent);
        }
        if let Some(fault) = outputs.fault {
            device.note(Note::Fault(fault));
        }
        Reply::Handled {
            outputs,
            deadline,
            signals: Signals {
                changed: view.changed,
                light: view.light,
                sound: view.sound,
                ramp: view.ramp,
            },
        }
    }
}

/// Draws the view: the one place where the link meets the panel.
fn paint(view: &View<'_>, panel: &mut [u8; PANEL_BYTES]) {
    let _ = view;
    panel.fill(0);
}
