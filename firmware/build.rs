//! Hands the board's memory map and the linker scripts to the linker.

use std::path::PathBuf;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let is_f411 = env::var_os("CARGO_FEATURE_F411").is_some();
    // The memory map of the board the image is for.
    let memory = if is_f411 {
        "src/board/f411/memory.x"
    } else {
        "src/board/mps2.x"
    };
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    fs::copy(memory, out.join("memory.x"))?;
    if !is_f411 {
        // The runtime asks for names of the board's interrupt handlers; the emulated board's table
        // is written out beside its registers.
        fs::write(out.join("device.x"), "")?;
    }
    println!("cargo::rerun-if-changed={memory}");
    println!("cargo::rustc-link-search={}", out.display());
    println!("cargo::rustc-link-arg-bins=-Tlink.x");
    println!("cargo::rustc-link-arg-bins=-Tdefmt.x");
    // Sections are not padded to pages that a microcontroller does not have.
    println!("cargo::rustc-link-arg-bins=--nmagic");
    Ok(())
}
