//! The scale's end of the link: the bytes of a request in, the bytes of its reply out.

use super::frame::{FrameError, MAX_FRAME, Receiver, seal};
use super::log::{Log, Logged};
use super::message::{
    Effort, Hello, Live, MAX_MESSAGE, PART_BYTES, Reply, Request, RequestError, STRIP_BYTES,
    STRIPS, Settings, Signals, Stats, UNASKED, VERSION, Weight, capability,
};
use crate::input::Input;
use crate::keep::{self, Shelf};
use crate::output::{Fault, Outputs};
use crate::panel::{self, Frame};
use crate::spec::Sheet;
use crate::spec::limits::SHEET_BYTES_MAX;
use crate::station::{Setup, Station};
use crate::time::Instant;

/// What surrounds a station that is driven over the link.
///
/// Nothing of it changes a reply, except [`Reply::Stats`].
pub trait Device {
    /// A counter that runs up and wraps.
    fn ticks(&self) -> u32;

    /// Ticks in a second; 0 where nothing is counted.
    fn ticks_per_second(&self) -> u32;

    /// The most stack that was ever in use, bytes.
    fn stack_peak(&self) -> u32;

    /// Something worth a line in the device's log happened.
    fn note(&mut self, note: Note);

    /// A request changed the station, and with it perhaps what the panel is to show.
    fn touched(&mut self) {}
}

/// What is worth a line in a device's log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Note {
    /// The station began anew.
    Reset,
    /// A request was not carried out; a damaged frame was dropped.
    Refused(RequestError),
    /// The station reports a fault.
    Fault(Fault),
}

/// The device of a desk: it measures nothing and has no log of its own.
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

/// Where a station's time and conversions come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// From the link, with each [`Request::Handle`].
    Lockstep,
    /// From the board, which has a converter and a clock; the link brings commands alone.
    Own,
}

/// One end of the link: its buffers, the panel's picture, and what hosts requested so far.
///
/// The store of sheets and records comes with each byte; without one, what needs it is refused.
pub struct Server<'s> {
    receiver: Receiver,
    message: [u8; MAX_MESSAGE],
    frame: [u8; MAX_FRAME],
    served: Served<'s>,
}

/// What requests work on, apart from the buffers they travel in.
struct Served<'s> {
    clock: Clock,
    sheet: Option<&'s [u8]>,
    panel: Frame,
    stats: Stats,
    log: Log,
    /// What became of the last command, under its id: the same id again is answered alike.
    done: Option<(u16, Result<(), RequestError>)>,
    watch: Watch,
    /// The last code that was read.
    code: i32,
    /// The time of the last input.
    now: Instant,
}

/// Outputs for a host that follows.
struct Watch {
    on: bool,
    /// How many may still be sent.
    credit: u8,
    /// Outputs since watching began.
    number: u32,
    /// The next one to be sent.
    pending: Option<Live>,
}

impl<'s> Server<'s> {
    /// An end without a built-in sheet; `const`, so that it can be built in place.
    #[must_use]
    pub const fn new(clock: Clock) -> Self {
        Self {
            receiver: Receiver::new(),
            message: [0; MAX_MESSAGE],
            frame: [0; MAX_FRAME],
            served: Served {
                clock,
                sheet: None,
                panel: Frame::new(),
                stats: Stats {
                    ticks_per_second: 0,
                    sample: Effort::NONE,
                    turn: Effort::NONE,
                    view: Effort::NONE,
                    paint: Effort::NONE,
                    stack_peak: 0,
                    refused: 0,
                },
                log: Log::new(),
                done: None,
                watch: Watch {
                    on: false,
                    credit: 0,
                    number: 0,
                    pending: None,
                },
                code: 0,
                now: Instant::ZERO,
            },
        }
    }

    /// From now on [`Request::Load`] means this packed sheet.
    pub const fn carry(&mut self, sheet: &'s [u8]) {
        self.served.sheet = Some(sheet);
    }

    /// Takes one byte that came over the link; the bytes to send back when it ended a message.
    pub fn take(
        &mut self,
        byte: u8,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        shelf: Option<&mut dyn Shelf<'s>>,
    ) -> Option<&[u8]> {
        let received = self.receiver.take(byte)?;
        let message = &mut self.message;
        let length = self
            .served
            .reply(received, station, device, shelf, message)?;
        seal(message.get(..length)?, &mut self.frame).ok()
    }

    /// Follows one call of [`Station::handle`] that did not come over the link: it is stored, and
    /// sent to a host that watches.
    pub fn follow(
        &mut self,
        input: &Input,
        outputs: &mut Outputs,
        station: &mut Station<'s>,
        shelf: Option<&mut dyn Shelf<'s>>,
    ) {
        let now = station.now();
        self.served.follow(now, input, outputs, station, shelf);
    }

    /// The bytes of outputs for a host that watches; to be sent after each reply and after each
    /// [`Server::follow`].
    pub fn live(&mut self) -> Option<&[u8]> {
        let watch = &mut self.served.watch;
        let live = watch.pending.take()?;
        watch.credit = watch.credit.saturating_sub(1);
        let message = Reply::Live(live).write(UNASKED, &mut self.message)?;
        seal(message, &mut self.frame).ok()
    }

    /// The picture of the panel that a host can read, for a board that draws it by its own clock.
    pub const fn picture(&mut self) -> &mut Frame {
        &mut self.served.panel
    }

    /// What was measured so far, for a board that calls the station by its own clock.
    pub const fn stats(&mut self) -> &mut Stats {
        &mut self.served.stats
    }

    /// Adds a line to the log that a host can read.
    pub fn log(&mut self, at: Instant, logged: Logged) {
        self.served.log.add(at, logged);
    }
}

impl<'s> Served<'s> {
    /// Answers what came in a frame; the length of the reply.
    #[inline(never)] // Its frame is gone before the reply is sealed.
    fn reply(
        &mut self,
        received: Result<&[u8], FrameError>,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        shelf: Option<&mut dyn Shelf<'s>>,
        message: &mut [u8],
    ) -> Option<usize> {
        let (id, written) = match received.map(Request::read) {
            Err(_) => (UNASKED, Err(RequestError::Frame)),
            Ok(Err(id)) => (id, Err(RequestError::Message)),
            Ok(Ok((id, request))) => {
                let reply = Writer { id, message };
                (id, self.answer(request, station, device, shelf, reply))
            }
        };
        match written {
            Ok(length) => Some(length),
            Err(why) => {
                self.stats.refused = self.stats.refused.saturating_add(1);
                self.log.add(self.now, Logged::Refused(why));
                device.note(Note::Refused(why));
                Some(Reply::Refused(why).write(id, message)?.len())
            }
        }
    }

    /// Carries out a request and writes its reply.
    fn answer(
        &mut self,
        request: Request<'_>,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        mut shelf: Option<&mut dyn Shelf<'s>>,
        mut reply: Writer<'_>,
    ) -> Result<usize, RequestError> {
        match request {
            // Answered to any version, so that both can say what the other speaks.
            Request::Hello { .. } => {
                self.done = None;
                return reply.write(&Reply::Hello(hello(station, shelf.as_deref())));
            }
            Request::Reset {
                zero_code,
                counts_per_gram,
                sps,
                mode,
            } => {
                if !(counts_per_gram.is_normal() && sps.is_normal() && sps > 0.0) {
                    return Err(RequestError::Setting);
                }
                station.restart(Setup {
                    zero_code,
                    counts_per_gram,
                    sps,
                    mode,
                });
                self.panel = Frame::new();
                self.log.add(Instant::ZERO, Logged::Reset);
                device.note(Note::Reset);
                device.touched();
            }
            Request::Load => {
                let sheet = self.sheet.and_then(|sheet| Sheet::new(sheet).ok());
                station.load(sheet.ok_or(RequestError::Sheet)?);
                device.touched();
            }
            Request::Handle { at, input } => {
                let outputs = &mut Outputs::default();
                let at = match (self.clock, input) {
                    (Clock::Lockstep, _) => at,
                    (Clock::Own, Input::Command(_)) => station.now(),
                    (Clock::Own, Input::Code(_) | Input::Tick) => {
                        return Err(RequestError::OwnClock);
                    }
                };
                let signals = self.step((at, input), outputs, station, device, shelf);
                return reply.write(&Reply::Handled {
                    outputs: *outputs,
                    deadline: station.deadline(),
                    signals,
                });
            }
            // A board by its own clock draws where it has time for it.
            Request::Paint if self.clock == Clock::Own => {}
            Request::Paint => {
                let begun = device.ticks();
                panel::draw(&station.view(), &mut self.panel);
                let spent = device.ticks().wrapping_sub(begun);
                self.stats.paint.add(spent);
            }
            Request::Strip(index) => {
                let mut strips = self.panel.bytes().chunks_exact(STRIP_BYTES);
                let rows = strips.nth(usize::from(index));
                let rows = rows.ok_or(RequestError::Strip(STRIPS))?;
                return reply.write(&Reply::Strip { index, rows });
            }
            Request::Stats => {
                return reply.write(&Reply::Stats(Stats {
                    ticks_per_second: device.ticks_per_second(),
                    stack_peak: device.stack_peak(),
                    ..self.stats
                }));
            }
            Request::Command(command) => {
                let done = match self.done {
                    Some((before, done)) if before == reply.id && before != UNASKED => done,
                    Some(_) | None => {
                        let outputs = &mut Outputs::default();
                        let at = station.now();
                        let input = Input::Command(command);
                        self.step((at, input), outputs, station, device, shelf);
                        outputs.refused.map_or(Ok(()), |why| Err(why.into()))
                    }
                };
                self.done = Some((reply.id, done));
                done?;
            }
            Request::Sheet { length, crc } => {
                let bytes = store(&mut shelf)?.announce(length, crc)?;
                return reply.write(&Reply::Filled { bytes });
            }
            Request::Part { offset, bytes } => {
                let bytes = store(&mut shelf)?.part(offset, bytes)?;
                return reply.write(&Reply::Filled { bytes });
            }
            Request::Use { crc } => {
                store(&mut shelf)?.take(crc, station)?;
                device.touched();
                self.log.add(station.now(), Logged::Sheet);
            }
            Request::Records { since } => {
                let mut records = [0; PART_BYTES];
                let (used, next, newest) = store(&mut shelf)?.records(since, &mut records);
                return reply.write(&Reply::Records {
                    next,
                    newest,
                    bytes: records.get(..used).unwrap_or(&[]),
                });
            }
            Request::Settings => {
                let shelf = shelf.as_deref();
                return reply.write(&Reply::Settings(Settings {
                    calibration: station.calibration(),
                    house: shelf.and_then(Shelf::house),
                    shift: station.shift(),
                    utc: shelf.and_then(|shelf| shelf.utc(station.now())),
                    habits: station.habits().known().len() as u8,
                }));
            }
            Request::Calibrate(calibration) => {
                let store = store(&mut shelf)?;
                if !calibration.is_usable() {
                    return Err(RequestError::Setting);
                }
                // A pour would be measured by two lines.
                if !station.is_idle() {
                    return Err(RequestError::Pouring);
                }
                store.calibrated(&calibration)?;
                station.calibrate(calibration);
            }
            Request::House(house) => {
                let store = store(&mut shelf)?;
                if !house.is_valid() {
                    return Err(RequestError::Setting);
                }
                store.measured(house)?;
                station.measure_by(house);
            }
            Request::Clock { utc } => store(&mut shelf)?.set_clock(utc, station.now()),
            Request::Watch { credit } => self.watch.grant(credit),
            Request::Log { since } => return reply.write(&Reply::Log(self.log.line(since))),
            Request::Weigh => {
                return reply.write(&Reply::Weight(Weight {
                    code: self.code,
                    mg: (station.weight().0.0 * 1e3) as i32,
                    still: station.is_still(),
                    seconds: station.now().tenths() / 10,
                }));
            }
            Request::Round => return reply.write(&Reply::Round(keep::waiting(station))),
        }
        reply.write(&Reply::Done)
    }

    /// One call of [`Station::handle`], measured and followed; what can be seen and heard after it.
    fn step(
        &mut self,
        (at, input): (Instant, Input),
        outputs: &mut Outputs,
        station: &mut Station<'s>,
        device: &mut dyn Device,
        shelf: Option<&mut dyn Shelf<'s>>,
    ) -> Signals {
        let begun = device.ticks();
        station.handle_into(at, input, outputs);
        let handled = device.ticks();
        let turned = outputs.step.is_some() || outputs.poured.is_some() || outputs.done.is_some();
        let stats = &mut self.stats;
        match (turned, input) {
            (true, _) => stats.turn.add(handled.wrapping_sub(begun)),
            (false, Input::Command(_)) => {}
            (false, Input::Code(_) | Input::Tick) => stats.sample.add(handled.wrapping_sub(begun)),
        }
        self.follow(at, &input, outputs, station, shelf);
        if let Some(fault) = outputs.fault {
            device.note(Note::Fault(fault));
        }
        device.touched();
        let looked = device.ticks();
        let view = station.view();
        self.stats.view.add(device.ticks().wrapping_sub(looked));
        Signals {
            changed: view.changed,
            light: view.light,
            sound: view.sound,
            ramp: view.ramp,
        }
    }

    /// What one call of the station brought is stored, and sent to a host that watches.
    fn follow(
        &mut self,
        at: Instant,
        input: &Input,
        outputs: &mut Outputs,
        station: &mut Station<'_>,
        shelf: Option<&mut dyn Shelf<'s>>,
    ) {
        self.now = at;
        if let Input::Code(code) = input {
            self.code = code.0;
        }
        if let Some(shelf) = shelf {
            shelf.keep(input, outputs, station);
        }
        if let Some(fault) = outputs.fault {
            self.log.add(at, Logged::Fault(fault));
        }
        self.watch.notice(at, outputs);
    }
}

impl Watch {
    fn grant(&mut self, credit: u8) {
        if credit == 0 || !self.on {
            self.number = 0;
            self.pending = None;
        }
        self.on = credit > 0;
        self.credit = credit;
    }

    /// Outputs to be sent; what is beyond the credit is dropped, and its number missing.
    fn notice(&mut self, at: Instant, outputs: &Outputs) {
        if self.on && !outputs.is_silent() {
            if self.credit > 0 && self.pending.is_none() {
                self.pending = Some(Live {
                    number: self.number,
                    at,
                    outputs: *outputs,
                });
            }
            self.number = self.number.saturating_add(1);
        }
    }
}

/// The store; an error on a board without one.
fn store<'a, 's>(
    shelf: &'a mut Option<&mut dyn Shelf<'s>>,
) -> Result<&'a mut dyn Shelf<'s>, RequestError> {
    match shelf {
        Some(shelf) => Ok(&mut **shelf),
        None => Err(RequestError::NoStore),
    }
}

/// Writes the reply to one request.
struct Writer<'m> {
    id: u16,
    message: &'m mut [u8],
}

impl Writer<'_> {
    /// Its length.
    fn write(&mut self, reply: &Reply<'_>) -> Result<usize, RequestError> {
        let written = reply.write(self.id, self.message);
        written.map(<[u8]>::len).ok_or(RequestError::Reply)
    }
}

fn hello<'s>(station: &Station<'s>, shelf: Option<&dyn Shelf<'s>>) -> Hello {
    let stored = shelf.map_or(0, |_| capability::KEEPS);
    Hello {
        version: VERSION,
        can: capability::LIVE | capability::LOG | stored,
        sheet: station.sheet().map_or(0, |sheet| sheet.checksum()),
        start: shelf.map_or(0, Shelf::start),
        room: shelf.map_or(0, |_| SHEET_BYTES_MAX as u32),
    }
}
