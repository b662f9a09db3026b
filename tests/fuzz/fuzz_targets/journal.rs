#![no_main]

#[path = "../targets.rs"]
#[expect(dead_code, reason = "each binary runs one of them")]
mod targets;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| targets::journal(bytes));
