// What is done with bytes from anywhere: nothing of it may panic, and what is promised must hold.
//
// One file for both: `cargo fuzz` looks for inputs, and the ordinary tests replay those that are
// kept.

use std::convert::Infallible;

use embedded_storage::nor_flash::{ErrorType, NorFlash, ReadNorFlash};
use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::journal::limits::ENTRY_MAX;
use pennyweight_core::journal::payload::{BottleHabit, PowerUps, RoundState, UnderWayState};
use pennyweight_core::journal::{Cursor, Journal, Kept, Kind};
use pennyweight_core::link::{MAX_FRAME, Receiver, Reply, Request, seal};
use pennyweight_core::panel::{self, Frame};
use pennyweight_core::spec::{DrinkId, House, LiquidId, Sheet};
use pennyweight_core::station::Shift;
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::Calibration;
use pennyweight_core::{Instant, Setup, Station};

/// The demonstration sheet, as it lies in the image.
static SHEET: &[u8] = include_bytes!("../../firmware/demo.sheet");

/// Frames, messages, sheets and payloads.
pub fn decoder(bytes: &[u8]) {
    let mut receiver = Receiver::new();
    for byte in bytes {
        if let Some(Ok(message)) = receiver.take(*byte) {
            messages(message);
        }
    }
    // Whatever came before, the next good frame is understood.
    let mut frame = [0; MAX_FRAME];
    let good = seal(b"good", &mut frame).expect("it fits");
    let _ = receiver.take(0);
    let mut understood = false;
    for byte in good {
        understood |= receiver.take(*byte) == Some(Ok(b"good"));
    }
    assert!(understood, "a good frame was lost");
    messages(bytes);
    sheet(bytes);
    if let Some((version, payload)) = bytes.split_first() {
        payloads(*version, payload);
    }
}

fn messages(message: &[u8]) {
    let _ = Request::read(message);
    if let Some((id, reply)) = Reply::read(message) {
        let mut again = [0; 4096];
        assert!(reply.write(id, &mut again).is_some());
    }
}

fn sheet(bytes: &[u8]) {
    let Ok(sheet) = Sheet::new(bytes) else { return };
    let _ = (sheet.check(), sheet.house());
    for id in 0..sheet.liquids() {
        let _ = sheet.liquid(LiquidId(id));
    }
    for id in 0..sheet.drinks() {
        let steps = sheet.drink(DrinkId(id)).map_or(0, |drink| drink.steps);
        for step in 0..steps {
            let _ = sheet.step(DrinkId(id), step);
        }
    }
}

/// Records as a link brings them.
fn payloads(version: u8, payload: &[u8]) {
    for kind in [
        Kind::Pour,
        Kind::Drink,
        Kind::Fault,
        Kind::Loss,
        Kind::Bottle,
    ] {
        let record = Kept {
            number: 1,
            kind,
            version,
            payload,
        };
        let _ = record.record();
    }
}

const SECTOR: usize = 8 * 1024;

/// Flash that does what it is told.
struct Flash(Vec<u8>);

impl ErrorType for Flash {
    type Error = Infallible;
}

impl ReadNorFlash for Flash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Infallible> {
        let from = offset as usize;
        bytes.copy_from_slice(&self.0[from..from + bytes.len()]);
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.0.len()
    }
}

impl NorFlash for Flash {
    const WRITE_SIZE: usize = 4;
    const ERASE_SIZE: usize = SECTOR;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), Infallible> {
        self.0[from as usize..to as usize].fill(0xFF);
        Ok(())
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Infallible> {
        for (place, byte) in self.0[offset as usize..].iter_mut().zip(bytes) {
            *place &= byte;
        }
        Ok(())
    }
}

/// Flash that holds these bytes, and is blank behind them.
pub fn journal(bytes: &[u8]) {
    let mut image = bytes.to_vec();
    image.resize(3 * SECTOR, 0xFF);
    let (journal, _) = Journal::open(Flash(image)).expect("it is fit");
    carry_on_with(journal);
}

/// Reads all that a journal holds, tidies it and writes on.
pub fn carry_on_with<F: NorFlash<Error: std::fmt::Debug>>(mut journal: Journal<F>) {
    let _ = journal.get::<Calibration>(0);
    let _ = journal.get::<House>(0);
    let _ = journal.get::<Shift>(0);
    let _ = journal.get::<RoundState>(0);
    let _ = journal.get::<UnderWayState>(4);
    let _ = journal.get::<BottleHabit>(23);
    let mut buffer = [0; ENTRY_MAX];
    let mut cursor = Cursor::default();
    let mut records = 0;
    while let Some(kept) = journal.next(&mut cursor, &mut buffer) {
        let _ = kept.record();
        records += 1;
        assert!(records < journal.flash().capacity() / 8, "it does not end");
    }
    for _ in 0..6 {
        if journal.is_untidy() {
            let _ = journal.tidy();
        }
    }
    if journal.put(0, &PowerUps(7)).is_ok() {
        assert_eq!(journal.get(0), Ok(Some(PowerUps(7))));
        let (mut again, _) = Journal::open(journal.release()).expect("it is fit");
        assert_eq!(again.get(0), Ok(Some(PowerUps(7))), "it outlives a power cut");
    }
}

/// Conversions, ticks, commands and time, as the bytes say.
pub fn station(bytes: &[u8]) {
    let mut station = Station::new(Setup {
        zero_code: 0,
        counts_per_gram: 1000.0,
        sps: 80.0,
        mode: Mode::Service,
    });
    station.load(Sheet::new(SHEET).expect("the demo"));
    let mut frame = Frame::new();
    let (mut us, mut code) = (0u64, 0i32);
    let mut bytes = bytes.iter().copied();
    while let Some(byte) = bytes.next() {
        let mut next = || bytes.next().unwrap_or(0);
        let (times, input) = match byte {
            // A step of the load: fine, middling, coarse.
            0..=63 => (1, step(&mut code, (i32::from(byte) - 32) * 20)),
            64..=127 => (1, step(&mut code, (i32::from(byte) - 96) * 700)),
            128..=191 => (1, step(&mut code, (i32::from(byte) - 160) * 12_000)),
            // It stands, or pours.
            192..=207 => (u32::from(next()), Input::Code(AdcCode(code))),
            208..=215 => {
                us += u64::from(next()) * 50_000;
                (1, Input::Tick)
            }
            216 => {
                let all = [next(), next(), next(), next()];
                (1, Input::Code(AdcCode(i32::from_le_bytes(all))))
            }
            217..=223 => {
                us = station.deadline().map_or(us, |at| us.max(at.micros()));
                (1, Input::Tick)
            }
            _ => {
                let length = usize::from(byte % 16);
                let fields: Vec<u8> = (0..length).map(|_| next()).collect();
                match postcard::from_bytes::<Command>(&fields) {
                    Ok(command) => (1, Input::Command(command)),
                    Err(_) => (1, Input::Tick),
                }
            }
        };
        for time in 0..times {
            us = us.saturating_add(12_500);
            let input = match input {
                // A little noise, so that no code is stuck.
                Input::Code(AdcCode(code)) if times > 1 => {
                    Input::Code(AdcCode(code.saturating_add((time * 7 % 5) as i32)))
                }
                input => input,
            };
            let out = station.handle(Instant::from_micros(us), input);
            let told = format!("{out:?}");
            assert!(!told.contains("NaN"), "{told}");
        }
        let view = station.view();
        panel::draw(&view, &mut frame);
        let _ = (station.deadline(), station.is_paused(), station.standing());
    }
}

fn step(code: &mut i32, by: i32) -> Input {
    *code = code.saturating_add(by).clamp(-8_388_608, 8_388_607);
    Input::Code(AdcCode(*code))
}
