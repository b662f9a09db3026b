//! The board's log, read by the standard decoder of defmt.

use std::fs;

use defmt_decoder::{DecodeError, Table};

use super::build;
use super::lockstep::run;

/// Every line of the log.
pub fn lines(image: &[u8], log: &[u8]) -> Vec<String> {
    let table = Table::parse(image)
        .expect("a table")
        .expect("the image logs");
    let mut decoder = table.new_stream_decoder();
    decoder.received(log);
    let mut lines = Vec::new();
    loop {
        match decoder.decode() {
            Ok(frame) => lines.push(frame.display_message().to_string()),
            Err(DecodeError::UnexpectedEof) => return lines,
            Err(DecodeError::Malformed) => panic!("a damaged line after {lines:#?}"),
        }
    }
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn boot_resets_and_refusals_are_logged() {
    let image = fs::read(build::product(build::Cpu::M4)).expect("the image");
    let lines = lines(&image, &run().log);
    assert!(lines[0].starts_with("boot"), "{:?}", lines[0]);
    let count = |text: &str| lines.iter().filter(|line| line.contains(text)).count();
    assert_eq!(count("station reset"), 10);
    assert_eq!(count("request refused: Frame"), 1);
}
