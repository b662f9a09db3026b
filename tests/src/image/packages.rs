//! The packages that the project names do real work in the image: how much of its code comes from
//! each, read from the line table of its debug information, which knows inlined code too.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::Path;

use gimli::{EndianSlice, LittleEndian};
use object::{Object, ObjectSection};

use super::boards;
use super::build::{self, Cpu};

/// Bytes of code by package; what no package of a registry brought is not listed.
pub fn bytes_by_package(image: &Path) -> BTreeMap<String, u64> {
    let file = fs::read(image).expect("the image");
    let file = object::File::parse(&*file).expect("an ELF file");
    let section = |id: gimli::SectionId| -> Result<EndianSlice<'_, LittleEndian>, gimli::Error> {
        let section = file.section_by_name(id.name());
        let data = section.and_then(|section| section.data().ok());
        Ok(EndianSlice::new(data.unwrap_or(&[]), LittleEndian))
    };
    let dwarf = gimli::Dwarf::load(section).expect("debug information");
    let mut bytes = BTreeMap::new();
    let mut units = dwarf.units();
    while let Some(header) = units.next().expect("a unit") {
        let unit = dwarf.unit(header).expect("a unit");
        let Some(program) = unit.line_program.clone() else {
            continue;
        };
        let mut rows = program.rows();
        let mut from: Option<(u64, Option<String>)> = None;
        while let Some((header, row)) = rows.next_row().expect("a row") {
            if let Some((begun, package)) = from.take()
                && let Some(package) = package
                // What the linker dropped lies at 0.
                && begun > 0
            {
                *bytes.entry(package).or_default() += row.address().saturating_sub(begun);
            }
            if !row.end_sequence() {
                let directory = row.file(header).and_then(|file| file.directory(header));
                let directory = directory.and_then(|it| dwarf.attr_string(&unit, it).ok());
                let package = directory.and_then(|it| package(&it.to_string_lossy()));
                from = Some((row.address(), package));
            }
        }
    }
    bytes
}

/// `.../registry/src/<index>/postcard-1.1.3/src/ser` is of postcard.
fn package(directory: &str) -> Option<String> {
    let (_, inside) = directory.split_once("/registry/src/")?;
    let named = inside.split('/').nth(1)?;
    let (name, _) = named.rsplit_once('-')?;
    Some(name.to_owned())
}

#[test]
fn a_package_is_read_off_its_folder() {
    let name = |path| package(path);
    assert_eq!(
        name("/home/a/.cargo/registry/src/index-1f/serde_core-1.0.229/src/ser").as_deref(),
        Some("serde_core")
    );
    assert_eq!(
        name("/home/a/.cargo/registry/src/index-1f/embedded-hal-1.0.0/src").as_deref(),
        Some("embedded-hal")
    );
    assert_eq!(name("/home/a/core/src"), None);
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn the_packages_the_project_names_are_at_work() {
    let lockstep = bytes_by_package(build::product(Cpu::M4));
    let f411 = bytes_by_package(boards::f411());
    let mut table = format!(
        "\n{:<16}{:>12}{:>12}\n",
        "bytes of code", "lockstep", "F411"
    );
    let mut missing = Vec::new();
    for (name, crates) in [
        ("heapless", &["heapless"][..]),
        // Traits whose own code is a few default methods; drivers are on the real board alone.
        ("embedded-hal", &["embedded-hal"]),
        ("defmt", &["defmt"]),
        ("micromath", &["micromath"]),
        ("serde", &["serde", "serde_core"]),
        ("postcard", &["postcard"]),
    ] {
        let of = |image: &BTreeMap<String, u64>| -> u64 {
            crates.iter().filter_map(|it| image.get(*it)).sum()
        };
        let (lockstep, f411) = (of(&lockstep), of(&f411));
        table += &format!("{name:<16}{lockstep:>12}{f411:>12}\n");
        if f411 == 0 || (lockstep == 0 && name != "embedded-hal") {
            missing.push(name);
        }
    }
    io::stdout()
        .lock()
        .write_all(table.as_bytes())
        .expect("printed");
    assert!(missing.is_empty(), "not in the image: {missing:?}");
}
