//! Hands the board's memory map and the linker scripts to the linker.

use std::path::PathBuf;
use std::{env, fs, io};

/// The memory map of the board the image is for; and of one with more flash, where the image keeps
/// a journal.
const MEMORY: [&str; 2] = ["src/board/mps2.x", "src/board/mps2-keep.x"];

fn main() -> io::Result<()> {
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    let keeps = env::var_os("CARGO_FEATURE_KEEP").is_some();
    let memory = MEMORY[usize::from(keeps)];
    fs::copy(memory, out.join("memory.x"))?;
    // The runtime asks for names of the board's interrupt handlers; there are none.
    fs::write(out.join("device.x"), "")?;
    println!("cargo::rerun-if-changed={memory}");
    println!("cargo::rustc-link-search={}", out.display());
    println!("cargo::rustc-link-arg-bins=-Tlink.x");
    println!("cargo::rustc-link-arg-bins=-Tdefmt.x");
    // Sections are not padded to pages that a microcontroller does not have.
    println!("cargo::rustc-link-arg-bins=--nmagic");
    Ok(())
}
