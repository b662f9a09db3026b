//! The image for the real board: it builds from locked dependencies and links without a panic. It
//! was never run.

use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;

use super::budget::memory;
use super::build::image;
use super::figures::{FLASH, STATIC_RAM};

/// The image for the F411 board, built once: its file.
pub fn f411() -> &'static PathBuf {
    static IMAGE: OnceLock<PathBuf> = OnceLock::new();
    IMAGE.get_or_init(|| {
        image("f411", "no-panic", "pennyweight-own-clock", "f411.elf")
            .unwrap_or_else(|why| panic!("the image for the F411 board does not build:\n{why}"))
    })
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn the_image_for_the_f411_links_without_a_panic_within_its_figures() {
    let (flash, ram) = memory(&fs::read(f411()).expect("the image"));
    assert!(flash as f64 <= FLASH, "{flash} bytes of flash");
    assert!(ram as f64 <= STATIC_RAM, "{ram} bytes of RAM");
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn with_its_usual_logger_it_builds_too() {
    let built = image("f411", "", "pennyweight-own-clock", "f411-rtt.elf");
    assert!(built.is_ok(), "{built:?}");
}
