//! The table of the image's figures in `tests/FIGURES.md`: `ACCEPT_FIGURES=1 tests/run` writes it
//! anew.

use std::env;
use std::fs;
use std::io::{self, Write};

use super::build::{self, Cpu};
use super::figures::{FLASH, INSTRUCTIONS_A_DRINK, INSTRUCTIONS_A_STEP, STACK, STATIC_RAM};
use super::{boards, budget, loading, packages, timed};

/// The marks around the table.
const BEGIN: &str = "<!-- image: written by the checks, see DEVELOPERS.md -->\n";
const END: &str = "<!-- /image -->";

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn the_table_of_figures_is_printed() {
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
    tell("flash of the F411 image, bytes", flash as f64, Some(FLASH));
    tell("its static RAM, bytes", ram as f64, Some(STATIC_RAM));
    tell(
        "stack of its loop in the emulator, bytes",
        timed::stack(),
        Some(STACK),
    );
    let (flash, ram) = budget::memory(&fs::read(build::product(Cpu::M3)).expect("the image"));
    tell(
        "flash of the Cortex-M3 image, bytes",
        flash as f64,
        Some(FLASH),
    );
    tell("its static RAM, bytes", ram as f64, Some(STATIC_RAM));
    let packages = packages::bytes_by_package(boards::f411());
    for name in [
        "serde_core",
        "postcard",
        "heapless",
        "defmt",
        "micromath",
        "embedded-hal",
    ] {
        let bytes = packages.get(name).copied().unwrap_or(0);
        tell(
            &format!("code from {name} in the F411 image, bytes"),
            bytes as f64,
            None,
        );
    }
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/FIGURES.md");
    let page = fs::read_to_string(path).expect("the page of figures");
    let (before, rest) = page.split_once(BEGIN).expect("the mark before the table");
    let (_, after) = rest.split_once(END).expect("the mark after it");
    if env::var_os("ACCEPT_FIGURES").is_some() {
        fs::write(path, format!("{before}{BEGIN}{table}{END}{after}")).expect("written");
    }
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
