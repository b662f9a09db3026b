//! The scale's end: an ask in, what is told back.

use super::super::message::MAX_MESSAGE;
use super::super::serve::step;
use super::log::Log;
use super::tell::code;
use super::{Ask, Logged, PART_BYTES, Refused, TELL, VERSION, capability};
use crate::coder::{Coder, Fields, Pen};
use crate::input::{Command, CommandError, Input};
use crate::journal::payload::{CalibrationV1, HouseV1, ShiftV1};
use crate::keep::{self, Shelf};
use crate::output::Outputs;
use crate::spec::limits::SHEET_BYTES_MAX;
use crate::station::Station;
use crate::time::Instant;

/// Bytes of records in one answer: a message less what stands before them.
const RECORD_BYTES: usize = PART_BYTES;

/// What one host has asked so far.
pub(in crate::link) struct Hosted {
    log: Log,
    /// What was done under the last id that counts: asked again, it is told again.
    done: Option<(u16, Result<(), Refused>)>,
    watched: bool,
    credit: u8,
    /// Outputs since watching began.
    number: u32,
    /// Outputs to be told, and their number.
    pending: Option<(u32, Instant, Outputs)>,
    /// The last code that was read.
    code: i32,
    /// The time of the last input.
    now: Instant,
}

impl Hosted {
    pub(in crate::link) const fn new() -> Self {
        Self {
            log: Log::new(),
            done: None,
            watched: false,
            credit: 0,
            number: 0,
            pending: None,
            code: 0,
            now: Instant::ZERO,
        }
    }

    /// Adds a line to the log.
    pub(in crate::link) fn log(&mut self, at: Instant, logged: Logged, detail: u8) {
        self.log.add(at, logged, detail);
    }

    /// A frame or a message was refused.
    pub(in crate::link) fn refused(&mut self, why: u8) {
        self.log.add(self.now, Logged::Refused, why);
    }

    /// Answers a message; the length of what is to be sent.
    #[cold]
    #[inline(never)]
    pub(in crate::link) fn answer<'s>(
        &mut self,
        message: &[u8],
        station: &mut Station<'s>,
        shelf: Option<&mut (dyn Shelf<'s> + '_)>,
        reply: &mut [u8; MAX_MESSAGE],
    ) -> Option<usize> {
        let done = match Ask::read(message) {
            Some((id, Ask::Do(command))) => {
                let done = match self.done {
                    Some((before, done)) if before == id => done,
                    _ => self.command(command, station, shelf),
                };
                self.done = Some((id, done));
                done
            }
            Some((id, ask)) => match self.look_up(id, ask, station, shelf, reply) {
                Ok(length) => return length,
                Err(why) => Err(why),
            },
            None => Err(Refused::Ask),
        };
        if done.is_err() {
            self.refused(6);
        }
        tell(Ask::id_of(message).unwrap_or(0), done, reply)
    }

    /// Answers what is no command. Apart from those: they need the stack more than anything else.
    #[inline(never)]
    fn look_up<'s>(
        &mut self,
        id: u16,
        ask: Ask<'_>,
        station: &mut Station<'s>,
        shelf: Option<&mut (dyn Shelf<'s> + '_)>,
        reply: &mut [u8; MAX_MESSAGE],
    ) -> Result<Option<usize>, Refused> {
        let mut records = [0; RECORD_BYTES];
        let mut coder = Coder::writing(reply);
        let mut pen = begin(&mut coder, id);
        match ask {
            // Told to any version, so that both can say what the other speaks.
            Ask::Hello { .. } => {
                self.done = None;
                hello(&mut pen, station, shelf.as_deref());
            }
            Ask::Watch { credit } => {
                if credit == 0 || !self.watched {
                    self.number = 0;
                    self.pending = None;
                }
                self.watched = credit > 0;
                self.credit = credit;
                pen.byte(code::DONE);
            }
            Ask::Log { since } => {
                pen.byte(code::LOG);
                pen.0
                    .option(&mut self.log.line(since), |coder, line| line.fields(coder));
            }
            Ask::Weigh => {
                pen.byte(code::WEIGHT)
                    .signed(self.code)
                    .signed((station.weight().0.0 * 1e3) as i32)
                    .flag(station.is_still())
                    .number(station.now().tenths() / 10);
            }
            Ask::Round => {
                keep::waiting(station).fields(pen.byte(code::ROUND).0);
            }
            Ask::Settings => settings(&mut pen, station, shelf.as_deref()),
            Ask::Do(_) => return Err(Refused::Ask),
            _ => {
                let shelf = shelf.ok_or(Refused::NothingKept)?;
                match ask {
                    Ask::Sheet { length, crc } => {
                        let bytes = shelf.announce(length, crc)?;
                        pen.byte(code::FILLED).number(bytes);
                    }
                    Ask::Part { offset, bytes } => {
                        let bytes = shelf.part(offset, bytes)?;
                        pen.byte(code::FILLED).number(bytes);
                    }
                    Ask::Records { since } => {
                        let (used, next, newest) = shelf.records(since, &mut records);
                        pen.byte(code::RECORDS).number(next).number(newest);
                        pen.0.bytes(&mut records.get(..used).unwrap_or(&[]));
                    }
                    _ => {
                        self.set(ask, station, shelf)?;
                        pen.byte(code::DONE);
                    }
                }
            }
        }
        Ok(coder.finish())
    }

    /// Carries out what changes what is kept.
    fn set<'s>(
        &mut self,
        ask: Ask<'_>,
        station: &mut Station<'s>,
        shelf: &mut dyn Shelf<'s>,
    ) -> Result<(), Refused> {
        let now = station.now();
        match ask {
            Ask::Use { crc } => {
                shelf.take(crc, station)?;
                self.log(now, Logged::Sheet, 0);
            }
            Ask::Calibrate(line) => {
                let calibration = line.thaw().ok_or(Refused::Setting)?;
                // A pour would be measured by two lines.
                if !station.is_idle() {
                    return Err(Refused::Now);
                }
                shelf.calibrated(line)?;
                station.calibrate(calibration);
            }
            Ask::House(form) => {
                let house = form.thaw().ok_or(Refused::Setting)?;
                shelf.measured(form, house)?;
                station.measure_by(house);
            }
            Ask::Clock { utc } => shelf.set_clock(utc, now),
            _ => return Err(Refused::Setting),
        }
        Ok(())
    }

    /// One command through the station; the number of an order.
    #[inline(never)]
    fn command<'s>(
        &mut self,
        command: Command,
        station: &mut Station<'s>,
        shelf: Option<&mut (dyn Shelf<'s> + '_)>,
    ) -> Result<(), Refused> {
        let (now, input) = (station.now(), Input::Command(command));
        // By way of the lockstep's own call: one copy of the station's code, one frame.
        let out = &mut Outputs::default();
        step(station, now, input, out);
        self.follow(now, &input, out, station, shelf);
        let Some(why) = out.refused else {
            return Ok(());
        };
        Err(match why {
            CommandError::NoSheet => Refused::Drink(0),
            CommandError::NoSuchDrink { drinks } => Refused::Drink(drinks.into()),
            CommandError::NotOrdered(drink) | CommandError::NotWaiting(drink) => {
                Refused::Order(drink.0.into())
            }
            CommandError::RoundFull { most } => Refused::Full(most.into()),
            CommandError::OrdersOpen => Refused::Open,
            _ => Refused::Now,
        })
    }

    /// What one call of the station brought is kept, and told where somebody watches.
    #[inline(never)]
    pub(in crate::link) fn follow<'s>(
        &mut self,
        at: Instant,
        input: &Input,
        outputs: &mut Outputs,
        station: &mut Station<'_>,
        shelf: Option<&mut (dyn Shelf<'s> + '_)>,
    ) {
        self.now = at;
        if let Input::Code(code) = input {
            self.code = code.0;
        }
        if let Some(shelf) = shelf {
            shelf.keep(input, outputs, station);
        }
        if let Some(fault) = outputs.fault {
            self.log(at, Logged::Fault, fault as u8);
        }
        self.notice(at, outputs);
    }

    /// Outputs to be told; what is beyond the credit is dropped, and its number missing.
    fn notice(&mut self, at: Instant, outputs: &Outputs) {
        if self.watched && !outputs.is_silent() {
            if self.credit > 0 && self.pending.is_none() {
                self.pending = Some((self.number, at, *outputs));
            }
            self.number = self.number.saturating_add(1);
        }
    }

    /// What is to be told now.
    pub(in crate::link) fn live(&mut self) -> Option<(u32, Instant, Outputs)> {
        let pending = self.pending.take()?;
        self.credit = self.credit.saturating_sub(1);
        Some(pending)
    }
}

/// Begins an answer.
#[inline(never)]
fn begin<'c, 'b>(coder: &'c mut Coder<'b>, id: u16) -> Pen<'c, 'b> {
    let mut pen = Pen(coder);
    pen.byte(TELL).number(u32::from(id));
    pen
}

/// Tells how a command went.
#[inline(never)]
fn tell(id: u16, done: Result<(), Refused>, reply: &mut [u8; MAX_MESSAGE]) -> Option<usize> {
    let mut coder = Coder::writing(reply);
    let mut pen = begin(&mut coder, id);
    match done {
        Ok(()) => {
            pen.byte(code::DONE);
        }
        Err(why) => why.write(pen.byte(code::REFUSED)),
    }
    coder.finish()
}

/// Tells who is there.
fn hello<'s>(pen: &mut Pen<'_, '_>, station: &Station<'s>, shelf: Option<&(dyn Shelf<'s> + '_)>) {
    let sheet = station.sheet().map_or(0, |sheet| sheet.checksum());
    let (mut can, mut start, mut room) = (capability::LIVE | capability::LOG, 0, 0);
    if let Some(shelf) = shelf {
        can |= capability::KEEPS;
        start = shelf.start();
        room = SHEET_BYTES_MAX as u32;
    }
    pen.byte(code::HELLO)
        .byte(VERSION)
        .number(can)
        .number(sheet)
        .number(u32::from(start))
        .number(room);
}

/// Tells what is set.
fn settings<'s>(
    pen: &mut Pen<'_, '_>,
    station: &Station<'s>,
    shelf: Option<&(dyn Shelf<'s> + '_)>,
) {
    let (mut house, mut utc) = (None, None);
    if let Some(shelf) = shelf {
        house = shelf.house().map(|house| HouseV1::from(&house));
        utc = shelf.utc(station.now());
    }
    CalibrationV1::from(&station.calibration()).fields(pen.byte(code::SETTINGS).0);
    pen.0.option(&mut house, |coder, house| house.fields(coder));
    ShiftV1::from(&station.shift()).fields(pen.0);
    pen.0.option(&mut utc, Coder::number);
    pen.byte(station.habits().known().len() as u8);
}
