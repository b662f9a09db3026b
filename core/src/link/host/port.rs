//! The scale's end of one stream of bytes: lockstep and host over the same frames.

use super::super::serve::{Device, Note, Server};
use super::super::{frame::seal, wire::write_live};
use super::answer::Hosted;
use super::{ASK, LIVE, Logged};
use crate::input::Input;
use crate::keep::Shelf;
use crate::output::Outputs;
use crate::station::Station;
use crate::time::Instant;

/// A server that answers a host too.
///
/// What keeps sheets and records is handed to it with each byte; without one it refuses what
/// needs one.
pub struct Port<'s> {
    server: Server<'s>,
    hosted: Hosted,
}

impl Default for Port<'_> {
    fn default() -> Self {
        Self::new()
    }
}

impl<'s> Port<'s> {
    /// An end whose station carries no sheet yet; `const`, so that it can be built in place.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            server: Server::new(),
            hosted: Hosted::new(),
        }
    }

    /// See [`Server::carry`].
    pub const fn carry(&mut self, sheet: &'s [u8]) {
        self.server.carry(sheet);
    }

    /// Takes one byte that came over the link; the bytes to send back when it ended a message.
    #[inline(never)]
    pub fn take(
        &mut self,
        byte: u8,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        shelf: Option<&mut dyn Shelf<'s>>,
    ) -> Option<&[u8]> {
        let Server {
            receiver,
            bench,
            message,
            frame,
        } = &mut self.server;
        let received = receiver.take(byte)?;
        let length = match received {
            Ok(ask) if ask.first() == Some(&ASK) => {
                self.hosted.answer(ask, station, shelf, message)?
            }
            received => {
                let mut followed = Followed {
                    device,
                    hosted: &mut self.hosted,
                    shelf,
                };
                bench.reply(received, station, &mut followed, message)?
            }
        };
        seal(message.get(..length)?, frame).ok()
    }

    /// Follows what one call of [`Station::handle`] brought that did not come over the link: it is
    /// kept, and a host told of it where one watches.
    pub fn follow(
        &mut self,
        input: &Input,
        outputs: &mut Outputs,
        station: &mut Station<'s>,
        shelf: Option<&mut dyn Shelf<'s>>,
    ) {
        let now = station.now();
        self.hosted.follow(now, input, outputs, station, shelf);
    }

    /// The bytes that tell a host of outputs as they happened; to be sent after each reply, and
    /// after each [`Port::follow`].
    #[inline(never)]
    pub fn live(&mut self) -> Option<&[u8]> {
        let (number, at, outputs) = self.hosted.live()?;
        let live = write_live(LIVE, number, at, &outputs, &mut self.server.message)?;
        seal(live, &mut self.server.frame).ok()
    }

    /// Adds a line to the log that a host can ask for.
    pub fn log(&mut self, at: Instant, logged: Logged, detail: u8) {
        self.hosted.log(at, logged, detail);
    }
}

/// A device whose station a host follows.
struct Followed<'d, 'h, 'f, 's> {
    device: &'d mut dyn Device,
    hosted: &'h mut Hosted,
    shelf: Option<&'f mut (dyn Shelf<'s> + 'f)>,
}

impl Device for Followed<'_, '_, '_, '_> {
    fn ticks(&self) -> u32 {
        self.device.ticks()
    }

    fn ticks_per_second(&self) -> u32 {
        self.device.ticks_per_second()
    }

    fn stack_peak(&self) -> u32 {
        self.device.stack_peak()
    }

    fn note(&mut self, note: Note) {
        match note {
            Note::Reset => self.hosted.log(Instant::ZERO, Logged::Reset, 0),
            Note::Refused(why) => self.hosted.refused(why as u8),
            Note::Fault(_) => {}
        }
        self.device.note(note);
    }

    fn handled(
        &mut self,
        at: Instant,
        input: &Input,
        outputs: &mut Outputs,
        station: &mut Station<'_>,
    ) {
        let shelf = self.shelf.as_deref_mut();
        self.hosted.follow(at, input, outputs, station, shelf);
    }
}
