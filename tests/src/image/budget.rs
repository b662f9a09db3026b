//! What the product may cost, and what it costs.

use std::fs;
use std::io::{self, Write};

use object::elf::FileHeader32;
use object::read::elf::ElfFile;
use object::{Endianness, Object, ObjectSection, SectionFlags, elf};

use super::build::{self, Cpu};
use super::emulator::INSTRUCTIONS_PER_SECOND;
use super::figures::{FLASH, INSTRUCTIONS_A_REPAINT, INSTRUCTIONS_A_SAMPLE, STACK, STATIC_RAM};
use super::lockstep::run;

/// Where memory that is not flash begins on every Cortex-M (Armv7-M Architecture Reference
/// Manual, B3.1: SRAM from 0x2000_0000).
const RAM_BEGINS: u64 = 0x2000_0000;

/// Bytes in flash and in RAM.
pub fn memory(image: &[u8]) -> (u64, u64) {
    let image = ElfFile::<FileHeader32<Endianness>>::parse(image).expect("an ELF file");
    let (mut flash, mut ram) = (0, 0);
    for section in image.sections() {
        let SectionFlags::Elf { sh_flags, .. } = section.flags() else {
            continue;
        };
        if !sh_flags.contains(elf::SHF_ALLOC) {
            continue;
        }
        let in_ram = section.address() >= RAM_BEGINS;
        let filled = section.kind() != object::SectionKind::UninitializedData;
        ram += if in_ram { section.size() } else { 0 };
        // What begins with a value lies in flash too, wherever it is used.
        flash += if filled { section.size() } else { 0 };
    }
    (flash, ram)
}

/// A figure, and what it may be.
pub type Row = (&'static str, f64, Option<f64>);

/// Everything that is measured of the product, and how many instructions a count is good to.
pub fn measured() -> ([Row; 11], f64) {
    let image = fs::read(build::product(Cpu::M4)).expect("the image");
    let (flash, ram) = memory(&image);
    let stats = run().stats;
    let tick = INSTRUCTIONS_PER_SECOND / f64::from(stats.ticks_per_second);
    let mean = |effort: pennyweight_core::link::Effort| {
        effort.total as f64 / f64::from(effort.times.max(1)) * tick
    };
    // A single measurement may be short by up to one tick.
    let worst = |effort: pennyweight_core::link::Effort| f64::from(effort.worst + 1) * tick;
    let rows: [Row; 11] = [
        ("flash, bytes", flash as f64, Some(FLASH)),
        ("static RAM, bytes", ram as f64, Some(STATIC_RAM)),
        (
            "stack high-water, bytes",
            f64::from(stats.stack_peak),
            Some(STACK),
        ),
        (
            "instructions a sample, mean",
            mean(stats.sample),
            Some(INSTRUCTIONS_A_SAMPLE),
        ),
        // The sample that settles a pour looks back over 1.6 s; it has no figure of its own.
        ("instructions a sample, worst", worst(stats.sample), None),
        (
            "instructions a repaint, mean",
            mean(stats.paint),
            Some(INSTRUCTIONS_A_REPAINT),
        ),
        (
            "instructions a repaint, worst",
            worst(stats.paint),
            Some(INSTRUCTIONS_A_REPAINT),
        ),
        // For the reader: once a step, where densities are worked out; and after every sample.
        ("instructions a turn, mean", mean(stats.turn), None),
        ("instructions a turn, worst", worst(stats.turn), None),
        ("instructions a view, mean", mean(stats.view), None),
        ("instructions a view, worst", worst(stats.view), None),
    ];
    (rows, tick)
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn the_image_is_within_its_budget() {
    let (rows, tick) = measured();
    let stats = run().stats;
    let mut table = table("image (thumbv7em-none-eabihf)", &rows);
    table += &format!(
        "{} samples and ticks, {} turns, {} repaints; a single count is good to {tick:.0} \
         instructions\n",
        stats.sample.times, stats.turn.times, stats.paint.times
    );
    print(&table);
    let over: Vec<_> = rows
        .iter()
        .filter_map(|&(what, is, limit)| {
            let limit = limit.filter(|limit| is > *limit)?;
            Some(format!("{what}: {is:.0} is more than {limit:.0}"))
        })
        .collect();
    assert!(over.is_empty(), "over budget:\n{}", over.join("\n"));
}

fn table(title: &str, rows: &[Row]) -> String {
    let mut table = format!("\n{title:<32}{:>10}{:>10}{:>8}\n", "is", "may be", "used");
    for (what, is, limit) in rows {
        table += &format!("{what:<32}{is:>10.0}");
        table += &limit.map_or_else(String::new, |limit| {
            format!("{limit:>10.0}{:>7.1}%", is / limit * 100.0)
        });
        table += "\n";
    }
    table
}

/// Past the test harness, which would keep it to itself when all is well.
fn print(table: &str) {
    io::stdout()
        .lock()
        .write_all(table.as_bytes())
        .expect("printed");
}
