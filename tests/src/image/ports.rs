//! Other processors: the same image without a floating-point unit gives the same bytes, and core and
//! loop build for smaller ones.

use std::env;
use std::fs;
use std::io::{self, Write};
use std::process::Command;

use object::{Object, ObjectSection, SectionKind};

use super::build::{Cpu, target_dir};
use super::compare::compare;
use super::emulator::Emulator;
use super::scenarios::Scenario;

/// Long sessions and short ones, as on the product's processor.
#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_processor_without_a_floating_point_unit_gives_the_same_bytes() {
    let mut board = Emulator::start(Cpu::M3, "m3.log");
    let mut play = |name: &str, scenario: &Scenario| {
        let ask = &mut |frame: &[u8]| board.ask(frame);
        compare(ask, &scenario.setup, &scenario.inputs)
            .unwrap_or_else(|report| panic!("{name}: {report}"))
            .steps
    };
    for seed in 1..6 {
        let steps = play(&format!("session {seed}"), &Scenario::seeded(seed));
        assert!(steps > 100, "session {seed}: {steps}");
    }
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/trace");
    for entry in fs::read_dir(folder).expect("the recordings") {
        let path = entry.expect("an entry").path();
        let text = fs::read_to_string(&path).expect("a recording");
        play(&path.display().to_string(), &Scenario::recorded(&text));
    }
}

/// Targets that nothing here emulates: what a board file would add to is built, with its size.
const FURTHER: [&str; 2] = ["thumbv6m-none-eabi", "riscv32imc-unknown-none-elf"];

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn core_and_loop_build_for_smaller_processors() {
    let mut table = String::new();
    for target in FURTHER {
        if !is_installed(target) {
            table += &format!("skipped: {target} is not installed (rustup target add {target})\n");
            continue;
        }
        let built = Command::new(env!("CARGO"))
            .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
            .args(["build", "--release", "--locked", "--target", target])
            .args([
                "--package",
                "pennyweight-core",
                "--package",
                "pennyweight-superloop",
            ])
            .arg("--target-dir")
            .arg(target_dir())
            .output()
            .expect("cargo starts");
        let errors = String::from_utf8_lossy(&built.stderr);
        assert!(built.status.success(), "{target}:\n{errors}");
        let folder = target_dir().join(target).join("release");
        let code = code_of(&folder.join("libpennyweight_core.rlib"));
        table += &format!("core for {target}: {code} bytes of code, not linked\n");
        assert!(code > 0.0, "{target}: nothing was built");
    }
    io::stdout()
        .lock()
        .write_all(table.as_bytes())
        .expect("printed");
}

fn is_installed(target: &str) -> bool {
    let sysroot = Command::new("rustc").args(["--print", "sysroot"]).output();
    let sysroot = sysroot.expect("rustc starts").stdout;
    let sysroot = String::from_utf8_lossy(&sysroot);
    let libraries = format!("{}/lib/rustlib/{target}/lib", sysroot.trim());
    fs::exists(libraries).unwrap_or(false)
}

/// Bytes of code in the objects of a library.
fn code_of(library: &std::path::Path) -> f64 {
    let bytes = fs::read(library).expect("the library was built");
    let archive = object::read::archive::ArchiveFile::parse(&*bytes).expect("an archive");
    let mut code = 0;
    for member in archive.members() {
        let data = member.expect("a member").data(&*bytes).expect("its bytes");
        let Ok(file) = object::File::parse(data) else {
            continue;
        };
        let sections = file.sections().filter(|it| it.kind() == SectionKind::Text);
        code += sections.map(|it| it.size()).sum::<u64>();
    }
    code as f64
}
