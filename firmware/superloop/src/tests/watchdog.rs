//! The watchdog is fed by a loop that does its work, and by nothing else.

use pennyweight_core::Instant;

use super::bench::{Chips, Device, PATIENCE_US};
use super::session::Session;

fn chips() -> Chips {
    let mut session = Session::at(12_500);
    Chips::new(12_500, session.hold(60.0).codes())
}

#[test]
fn a_healthy_loop_feeds_it_often() {
    let chips = chips();
    let mut device = Device::new(&chips);
    device.run_s(20.0);
    assert!(device.board.hungry_us < PATIENCE_US / 10);
}

#[test]
fn a_bus_that_hangs_ends_in_a_reset() {
    let chips = chips();
    let mut device = Device::new(&chips);
    device.board.hang_us = 3_000_000;
    device.run_s(10.0);
    assert!(device.board.hungry_us > PATIENCE_US);
}

#[test]
fn a_clock_that_stands_still_ends_in_a_reset() {
    let chips = chips();
    let mut device = Device::new(&chips);
    device.run_s(5.0);
    device.board.frozen = Some(Instant::from_micros(chips.converter.now_us()));
    for _ in 0..1_000 {
        device.bench.pass(&mut device.board, &mut device.station);
        device.board.pass(10_000);
    }
    assert!(device.board.hungry_us > PATIENCE_US);
}

#[test]
fn interrupts_without_end_end_in_a_reset() {
    let chips = chips();
    let mut device = Device::new(&chips);
    device.run_s(5.0);
    device.board.flooded = true;
    device.run_s(5.0);
    assert!(device.board.hungry_us > PATIENCE_US);
}
