//! The panel glows less where nothing has happened for a while, and as before once something does.

use pennyweight_core::{Command, Input, Instant, Mode};

use super::bench::{Chips, Device};
use super::session::Session;

const PERIOD_US: u64 = 12_500;

#[test]
fn a_pan_left_alone_dims_the_panel_and_a_glass_wakes_it() {
    let codes = Session::at(PERIOD_US).hold(125.0).codes().to_vec();
    let chips = Chips::new(PERIOD_US, &codes);
    let mut device = Device::new(&chips);
    let plain = Input::Command(Command::Mode(Mode::Plain));
    let _ = device.station.handle(Instant::ZERO, plain);
    device.run_s(100.0);
    assert!(!device.board.dim);
    device.run_s(24.0);
    assert!(device.board.dim);
    chips
        .converter
        .give(Session::at(PERIOD_US).to(300.0, 0.2).hold(5.0).codes());
    device.run_s(5.0);
    assert!(!device.board.dim);
}
