//! What goes wrong at the bench: told on a page, and over when its cause is.

use std::vec::Vec;

use pennyweight_core::Instant;
use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::link::{PART_BYTES, Request, RequestError};
use pennyweight_core::output::Fault;
use pennyweight_core::units::Grams;
use pennyweight_core::view::{Light, Page};
use pennyweight_core::weigh::Calibration;
use pennyweight_drivers::chips::flash;

use super::bench::{Chips, Device, SETUP, SHEET, sealed};
use super::session::Session;
use crate::{Happening, QUEUED};

const PERIOD_US: u64 = 12_500;

fn quiet(seconds: f64) -> Vec<i32> {
    Session::at(PERIOD_US).hold(seconds).codes().to_vec()
}

/// The picture as it stands on the panel.
fn picture(chips: &Chips) -> Vec<[u8; 128]> {
    (0..8).map(|index| chips.panel.strip(index)).collect()
}

fn has(device: &Device<'_>, happening: Happening) -> bool {
    device.board.notes.contains(&happening)
}

fn is_fault(device: &mut Device<'_>, fault: Fault) -> bool {
    device.station.view().page == Page::Fault(fault)
}

#[test]
fn an_absent_converter_is_told_and_found_when_it_is_plugged_in() {
    let chips = Chips::new(PERIOD_US, &[]);
    let mut device = Device::new(&chips);
    device.run_s(1.0);
    let blank = picture(&chips);
    assert_eq!(device.board.light, Light::Off);
    device.run_s(2.0);
    assert_eq!(device.board.light, Light::Stop);
    assert_ne!(picture(&chips), blank, "no page tells it");
    assert!(has(&device, Happening::ConverterRestarted));
    chips.converter.give(&quiet(10.0));
    device.run_s(4.0);
    assert_eq!(device.board.light, Light::Off);
    assert!(device.board.read.len() > 100);
}

#[test]
fn a_converter_that_falls_silent_begins_anew() {
    let chips = Chips::new(PERIOD_US, &quiet(3.0));
    let mut device = Device::new(&chips);
    device.run_s(6.0);
    assert!(has(&device, Happening::Fault(Fault::Silent)));
    assert!(is_fault(&mut device, Fault::Silent));
    assert_eq!(device.board.light, Light::Stop);
    assert!(device.board.restarts >= 1);
    chips.converter.give(&quiet(10.0));
    device.run_s(4.0);
    assert!(has(&device, Happening::Cleared));
    assert!(!is_fault(&mut device, Fault::Silent));
}

#[test]
fn a_converter_that_is_stuck_is_told_until_it_moves() {
    let mut codes = quiet(3.0);
    codes.extend([SETUP.zero_code; 300]);
    codes.extend(quiet(5.0));
    let chips = Chips::new(PERIOD_US, &codes);
    let mut device = Device::new(&chips);
    device.run_s(6.5);
    assert!(is_fault(&mut device, Fault::Stuck));
    assert_eq!(device.board.light, Light::Stop);
    device.run_s(3.0);
    assert!(has(&device, Happening::Cleared));
    assert!(!is_fault(&mut device, Fault::Stuck));
}

#[test]
fn a_late_conversion_is_no_fault_and_a_very_late_one_is_told_and_over() {
    let chips = Chips::new(PERIOD_US, &quiet(20.0));
    let mut device = Device::new(&chips);
    device.run_s(2.0);
    chips.converter.delay_us(300_000);
    device.run_s(2.0);
    assert!(!has(&device, Happening::Fault(Fault::Silent)));
    chips.converter.delay_us(900_000);
    device.run_s(0.8);
    assert!(is_fault(&mut device, Fault::Silent));
    device.run_s(2.0);
    assert!(has(&device, Happening::Cleared));
    assert_eq!(device.board.restarts, 0, "it came by itself");
}

#[test]
fn a_converter_that_resets_itself_goes_on() {
    let chips = Chips::new(PERIOD_US, &quiet(20.0));
    let mut device = Device::new(&chips);
    device.run_s(2.0);
    let read = device.board.read.len();
    // The clock is high for longer than 60 us, once.
    chips.converter.stall_at_edge(11, 75);
    device.run_s(1.0);
    assert_eq!(chips.converter.resets(), 2, "power-up and this one");
    // It settles for four periods; one conversion is lost to each of reset and filter.
    let since = device.board.read.len() - read;
    assert!(
        (70..=76).contains(&since),
        "{since} conversions in a second"
    );
    assert!(!has(&device, Happening::Fault(Fault::Silent)));
}

#[test]
fn a_queue_that_overflows_is_counted_and_the_work_goes_on() {
    let chips = Chips::new(PERIOD_US, &quiet(20.0));
    let mut device = Device::new(&chips);
    device.run_s(2.0);
    let before = device.board.read.len();
    device.board.pass(1_500_000);
    let came = device.board.read.len() - before;
    device.run_s(1.0);
    let lost = device.board.lost_so_far();
    // What waited before waits still, and the last comes while the first is taken.
    assert!(
        (came - QUEUED).abs_diff(lost as usize) <= 2,
        "{lost} of {came}"
    );
    assert!(
        has(&device, Happening::Lost(lost)),
        "{:?}",
        device.board.notes
    );
    assert!(!is_fault(&mut device, Fault::Silent));
    // What waited is older than the tick that was due meanwhile, and goes first.
    assert!(!has(&device, Happening::Fault(Fault::Time)));
}

#[test]
fn an_absent_panel_is_told_and_shows_all_when_it_is_plugged_in() {
    let chips = Chips::new(PERIOD_US, &quiet(30.0));
    let mut device = Device::new(&chips);
    device.run_s(3.0);
    assert!(chips.panel.is_lit());
    chips.panel.set_absent(true);
    device.run_s(3.0);
    assert!(has(&device, Happening::PanelGone));
    assert!(device.board.hungry_us < 500_000, "the rest goes on");
    chips.panel.set_absent(false);
    device.run_s(3.0);
    assert!(has(&device, Happening::PanelBack));
    assert!(chips.panel.is_lit());
    let mut expected = pennyweight_core::panel::Frame::new();
    pennyweight_core::panel::draw(&device.station.view(), &mut expected);
    assert_eq!(picture(&chips).concat(), expected.bytes());
}

/// A calibration that differs in its zero.
fn line(zero_code: i32) -> Request<'static> {
    Request::Calibrate(Calibration {
        zero_code,
        counts_per_gram: SETUP.counts_per_gram,
    })
}

#[test]
fn a_calibration_over_the_link_outlives_a_power_cut() {
    let chips = Chips::new(PERIOD_US, &quiet(30.0));
    let mut device = Device::new(&chips);
    device.run_s(1.0);
    device.board.ask(&line(21_000));
    device.run_s(1.0);
    assert_eq!(device.board.replies(), [true]);
    drop(device);
    // The next power-up.
    let device = Device::new(&chips);
    assert!(has(&device, Happening::Began { stored: true }));
    assert_eq!(device.station.calibration().zero_code, 21_000);
    chips.flash.assert_well_treated();
}

/// A sheet that can't be read in place beside the one in use: the board restarts once it has
/// answered, and works from it then.
#[test]
fn a_pushed_sheet_is_used_after_a_restart() {
    let chips = Chips::new(PERIOD_US, &quiet(60.0));
    let mut device = Device::mapped(&chips, false);
    device.run_s(1.0);
    let sheet = SHEET;
    let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(sheet);
    let length = sheet.len() as u32;
    // The place is erased first.
    device.board.ask(&Request::Sheet { length, crc });
    device.run_s(5.0);
    device.board.ask(&Request::Sheet { length, crc });
    device.run_s(0.2);
    for (index, bytes) in sheet.chunks(PART_BYTES).enumerate() {
        let offset = (index * PART_BYTES) as u32;
        device.board.ask(&Request::Part { offset, bytes });
        device.run_s(0.2);
    }
    assert!(!device.board.restarted);
    let checksum = u32::from_le_bytes(*sheet.last_chunk().expect("a sheet"));
    // The station works from the same sheet, built in: so that it has to be swapped, it has none.
    device.station = pennyweight_core::Station::new(SETUP);
    device.run_s(3.0);
    device.board.ask(&Request::Use { crc: checksum });
    device.run_s(0.2);
    assert_eq!(device.board.replies().last(), Some(&true));
    assert!(device.board.restarted && has(&device, Happening::Restarts));
    drop(device);
    let device = Device::new(&chips);
    let used = device.station.sheet().expect("a sheet");
    assert_eq!(used.checksum(), checksum);
    assert_ne!(used.bytes().as_ptr(), sheet.as_ptr(), "the pushed one");
}

#[test]
fn a_flash_that_fails_is_reported() {
    let mut chips = Chips::new(PERIOD_US, &quiet(30.0));
    chips.flash = flash::Chip::new(flash::Wrong::Worn);
    let mut device = Device::new(&chips);
    device.run_s(1.0);
    device.board.ask(&line(20_010));
    device.run_s(1.0);
    assert_eq!(device.board.replies(), [false]);
    device
        .board
        .ask(&Request::Command(Command::Mode(Mode::Prep)));
    device.run_s(1.0);
    assert_eq!(device.board.replies(), [false, true], "it holds till then");
    assert!(has(&device, Happening::Fault(Fault::Memory)));
    assert_eq!(device.board.lost_so_far(), 0);
}

#[test]
fn a_board_without_flash_says_so_and_works() {
    let mut chips = Chips::new(PERIOD_US, &quiet(30.0));
    chips.flash = flash::Chip::new(flash::Wrong::Absent);
    let mut device = Device::new(&chips);
    assert!(has(&device, Happening::Began { stored: false }));
    device.run_s(1.0);
    assert_eq!(device.board.light, Light::Ease, "no page says it");
    device.board.ask(&line(20_010));
    device.run_s(6.0);
    assert_eq!(device.board.replies(), [false]);
    assert_eq!(device.board.light, Light::Off, "five seconds are enough");
}

#[test]
fn an_overrun_of_the_link_is_refused_and_what_is_asked_next_answered() {
    let chips = Chips::new(PERIOD_US, &quiet(30.0));
    let mut device = Device::new(&chips);
    device.run_s(1.0);
    let whole = sealed(&Request::Handle {
        at: Instant::ZERO,
        input: Input::Command(Command::Target(Grams(20.0))),
    });
    // Bytes of it were lost.
    for gap in 1..whole.len() - 1 {
        device.board.heard.extend(&whole[..gap]);
        device.board.heard.extend(&whole[gap + 1..]);
        device.run_s(0.05);
    }
    let refused = device.board.replies();
    assert!(refused.len() >= whole.len() - 2);
    assert!(refused.iter().all(|done| !done));
    assert!(has(&device, Happening::Refused(RequestError::Frame)));
    device.board.heard.extend(&whole);
    device.run_s(0.1);
    assert_eq!(device.board.replies().last(), Some(&true));
    // A flood without end: samples are weighed all the same.
    let read = device.board.read.len();
    for _ in 0..200 {
        device.board.heard.extend([7; 500]);
        device.run_s(0.01);
    }
    assert!(device.board.read.len() - read > 150);
    assert_eq!(device.board.lost_so_far(), 0);
    assert!(device.board.hungry_us < 500_000);
}

#[test]
fn codes_and_ticks_over_the_link_are_refused() {
    let chips = Chips::new(PERIOD_US, &quiet(5.0));
    let mut device = Device::new(&chips);
    device.run_s(1.0);
    for input in [
        Input::Tick,
        Input::Code(pennyweight_core::units::AdcCode(5)),
    ] {
        device.board.ask(&Request::Handle {
            at: Instant::from_micros(u64::MAX),
            input,
        });
    }
    for request in [
        Request::Load,
        Request::Paint,
        Request::Strip(7),
        Request::Strip(8),
        Request::Stats,
    ] {
        device.board.ask(&request);
    }
    device.run_s(0.5);
    assert_eq!(
        device.board.replies(),
        [false, false, true, true, true, false, true]
    );
}
