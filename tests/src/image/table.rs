//! The table of the image's figures as it stands in the contributors' guide:
//! `cargo test -p pennyweight-tests --features emulator image::table -- --nocapture`.

use std::fs;
use std::io::{self, Write};

use super::figures::{FLASH_F411, INSTRUCTIONS_A_DRINK, INSTRUCTIONS_A_STEP, STACK, STATIC_RAM};
use super::{boards, budget, loading, timed};

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn the_table_of_the_docs_is_printed() {
    let mut table = "\n| image | is | may be |\n|---|---|---|\n".to_owned();
    let mut tell = |what: &str, is: f64, may: Option<f64>| {
        let may = may.map_or_else(String::new, thousands);
        table += &format!("| {what} | {} | {may} |\n", thousands(is));
    };
    let (rows, _) = budget::measured();
    for (what, is, may) in rows {
        tell(what, is, may);
    }
    let loaded = loading::measured();
    tell(
        "instructions to load a step, worst",
        loaded.worst_step,
        Some(INSTRUCTIONS_A_STEP),
    );
    tell(
        "all steps of a drink, worst",
        loaded.worst_drink,
        Some(INSTRUCTIONS_A_DRINK),
    );
    let (flash, ram) = budget::memory(&fs::read(boards::f411()).expect("the image"));
    tell(
        "flash of the F411 image, bytes",
        flash as f64,
        Some(FLASH_F411),
    );
    tell("its static RAM, bytes", ram as f64, Some(STATIC_RAM));
    tell(
        "stack of its loop in the emulator, bytes",
        timed::stack(),
        Some(STACK),
    );
    // Past the test harness, which would keep it to itself when all is well.
    io::stdout()
        .lock()
        .write_all(table.as_bytes())
        .expect("printed");
}

/// A whole number, its digits in threes.
fn thousands(number: f64) -> String {
    let digits = format!("{number:.0}");
    let mut grouped = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    grouped
}
