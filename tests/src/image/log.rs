//! The board's log, read by the standard decoder of defmt.

use std::fs;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use super::build::{self, Cpu, target_dir};
use super::lockstep::run;

/// The program that decodes a log, built once.
fn decoder() -> &'static PathBuf {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/log");
        let target = target_dir().join("log");
        let built = Command::new(env!("CARGO"))
            .current_dir(folder)
            .args(["build", "--quiet", "--locked", "--target-dir"])
            .arg(&target)
            .status();
        assert!(built.expect("cargo starts").success(), "it does not build");
        target.join("debug/pennyweight-log")
    })
}

/// Every line of the log in this file, by a board with this image.
pub fn lines(image: &Path, log: &Path) -> Vec<String> {
    let read = Command::new(decoder()).arg(image).arg(log).output();
    let read = read.expect("the decoder starts");
    let complaint = String::from_utf8_lossy(&read.stderr);
    assert!(read.status.success(), "{complaint}");
    let text = String::from_utf8_lossy(&read.stdout);
    text.lines().map(str::to_owned).collect()
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn boot_resets_and_refusals_are_logged() {
    let log = target_dir().join("board-whole.log");
    fs::write(&log, &run().log).expect("a file beside the image");
    let lines = lines(build::product(Cpu::M4), &log);
    assert!(lines[0].starts_with("boot"), "{:?}", lines[0]);
    let count = |text: &str| lines.iter().filter(|line| line.contains(text)).count();
    assert_eq!(count("station reset"), 10);
    assert_eq!(count("request refused: Frame"), 1);
}
