//! What cargo-fuzz has found, and what it began from, is done again in every run.

pub(crate) mod targets {
    include!("../fuzz/targets.rs");
}

use std::path::Path;

use proptest::prelude::*;

/// Every input that is kept for a target.
fn kept(target: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/kept")
        .join(target);
    let mut inputs: Vec<_> = std::fs::read_dir(folder)
        .expect("inputs are kept")
        .map(|entry| {
            let path = entry.expect("it can be read").path();
            let bytes = std::fs::read(&path).expect("it can be read");
            (path.display().to_string(), bytes)
        })
        .collect();
    inputs.sort();
    assert!(inputs.len() >= 3, "{target}");
    inputs
}

fn replay(target: &str, run: fn(&[u8])) {
    for (path, bytes) in kept(target) {
        println!("{path}");
        run(&bytes);
    }
}

#[test]
fn kept_messages_sheets_and_payloads_are_read() {
    replay("decoder", targets::decoder);
}

#[test]
fn kept_flash_is_opened() {
    replay("journal", targets::journal);
}

#[test]
fn kept_evenings_are_played() {
    replay("station", targets::station);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_station_takes_any_input(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        targets::station(&bytes);
    }

    #[test]
    fn kept_inputs_are_read_with_a_byte_changed(
        which in any::<prop::sample::Index>(), at in any::<prop::sample::Index>(), byte in any::<u8>()
    ) {
        for (target, run) in [
            ("decoder", targets::decoder as fn(&[u8])),
            ("journal", targets::journal),
            ("station", targets::station),
        ] {
            let inputs = kept(target);
            let (_, mut bytes) = which.get(&inputs).clone();
            if !bytes.is_empty() {
                let at = at.index(bytes.len());
                bytes[at] = byte;
            }
            run(&bytes);
        }
    }
}
