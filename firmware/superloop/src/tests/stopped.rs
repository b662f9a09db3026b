//! The page of a fault handler is one of the core's own, drawn beforehand: nothing is drawn when
//! nothing can be relied on any more.

use std::{env, fs, println};

use pennyweight_core::View;
use pennyweight_core::panel::{self, Frame, HEIGHT, WIDTH};
use pennyweight_core::view::{Light, Next, Page, Sound};

use crate::STOPPED;

/// Set to 1, it writes the page anew instead of comparing it.
const ACCEPT: &str = "ACCEPT_STOPPED_PAGE";

#[test]
fn the_page_is_what_the_core_draws() {
    let page = Page::Note {
        text: "restarting",
        next: Next::Note("begin again"),
    };
    let view = View {
        changed: true,
        dim: false,
        light: Light::Stop,
        sound: Sound::Silent,
        ramp: None,
        page,
    };
    let mut frame = Frame::new();
    panel::draw(&view, &mut frame);
    for y in (0..HEIGHT).step_by(2) {
        let row = (0..WIDTH).map(|x| match (frame.is_lit(x, y), frame.is_lit(x, y + 1)) {
            (true, true) => '\u{2588}',
            (true, false) => '\u{2580}',
            (false, true) => '\u{2584}',
            (false, false) => ' ',
        });
        println!("{}", row.collect::<std::string::String>());
    }
    if env::var_os(ACCEPT).is_some_and(|accept| accept == "1") {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/stopped.page");
        fs::write(path, frame.bytes()).expect("the folder can be written");
        return;
    }
    assert!(
        STOPPED == frame.bytes(),
        "`{ACCEPT}=1 cargo test -p pennyweight-superloop stopped` writes it"
    );
}
