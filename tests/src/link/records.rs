//! Records on their way out: units in the header, times of two kinds never mixed, flat memory.

use std::io::{self, Write};
use std::process::Command;

use pennyweight_core::input::{Known, Sample};
use pennyweight_core::journal::payload::{Bottle, Drink, FaultSeen, Loss, Moment, Pour, Stamp};
use pennyweight_core::journal::{Kind, Payload};
use pennyweight_core::output::{Fault, Figure, Learned, Lesson};
use pennyweight_core::spec::{DrinkId, Sheet};
use pennyweight_sim::commands::link::{Format, write_header, write_rows};
use pennyweight_sim::commands::names::Names;
use pennyweight_sim::sheet::parse;
use rand::SeedableRng;
use rand_pcg::Pcg64;
use serde_json::Value;

use super::device::SHEET;
use crate::journal::things;

/// One record as an answer of the link has it.
fn told<P: Payload>(number: u32, kind: Kind, record: &P) -> Vec<u8> {
    let mut payload = [0; 248];
    let length = postcard::to_slice(record, &mut payload)
        .expect("it fits")
        .len();
    let head = [kind.number(), P::VERSION, length as u8];
    [&number.to_le_bytes()[..], &head, &payload[..length]].concat()
}

fn stamped(at: Moment) -> Stamp {
    Stamp {
        start: 3,
        at,
        sheet: Sheet::new(SHEET).expect("the demo").checksum() as u16,
    }
}

fn one_of_each(rng: &mut Pcg64) -> Vec<u8> {
    let utc = stamped(Moment::Utc(1_790_000_000));
    let since = stamped(Moment::SincePowerUp(905));
    let pour = Pour {
        stamp: utc,
        drink: Some(DrinkId(0)),
        ..things::pour(rng)
    };
    let drink = Drink {
        stamp: since,
        ..things::drink(rng)
    };
    let loss = Loss {
        stamp: since,
        order: 4,
        drink: DrinkId(1),
        lost: drink.back.map_or_else(Default::default, |it| it.lost),
    };
    let seen = FaultSeen {
        stamp: utc,
        fault: Fault::Memory,
    };
    let bottle = Bottle {
        stamp: utc,
        ..things::bottle(rng)
    };
    [
        told(0, Kind::Pour, &pour),
        told(1, Kind::Drink, &drink),
        told(2, Kind::Loss, &loss),
        told(3, Kind::Fault, &seen),
        told(4, Kind::Bottle, &bottle),
    ]
    .concat()
}

fn names() -> (Names, u16) {
    let sheet = Sheet::new(SHEET).expect("the demo");
    (Names::of(&sheet), sheet.checksum() as u16)
}

#[test]
fn every_kind_is_written_and_a_time_is_one_or_the_other() {
    let (names, sheet) = names();
    let bytes = one_of_each(&mut Pcg64::seed_from_u64(4));
    let mut json = Vec::new();
    write_rows(&bytes, (&names, sheet), Format::Jsonl, &mut json).expect("written");
    let rows: Vec<Value> = json
        .split(|byte| *byte == b'\n')
        .filter(|line| !line.is_empty())
        .map(|line| serde_json::from_slice(line).expect("JSON"))
        .collect();
    let kinds: Vec<_> = rows.iter().map(|row| row["kind"].as_str()).collect();
    assert_eq!(
        kinds,
        ["pour", "drink", "loss", "fault", "bottle"].map(Some)
    );
    for row in &rows {
        let (utc, since) = (row["utc"].is_string(), row["since_power_up_s"].is_number());
        assert!(utc != since, "{row}");
    }
    // By `date -u -d @1790000000`.
    assert_eq!(rows[0]["utc"], "2026-09-21T14:13:20Z");
    assert_eq!(rows[1]["since_power_up_s"], 90.5);
    assert_eq!(rows[0]["drink"], "Slow Ledger");

    let mut csv = Vec::new();
    write_header(Format::Csv, &mut csv).expect("written");
    write_rows(&bytes, (&names, sheet), Format::Csv, &mut csv).expect("written");
    let mut reader = csv::Reader::from_reader(csv.as_slice());
    let header = reader.headers().expect("a header").clone();
    let unit = |name: &str| header.iter().any(|it| it == name);
    for name in [
        "since_power_up (s)",
        "poured (g)",
        "lost (g)",
        "alcohol (g)",
        "density (kg/m3)",
        "sugar sigma (g/l)",
    ] {
        assert!(unit(name), "{name}: {header:?}");
    }
    let lines: Vec<_> = reader.records().map(|it| it.expect("a line")).collect();
    assert!(lines.iter().all(|line| line.len() == header.len()));
    assert_eq!(lines.len(), rows.len());
}

/// Strong coffee liqueur of `tests/data/liquid`: 26.5 % vol and 470 g/l have 1144.5 kg/m3.
fn coffee_liqueur() -> Learned {
    let figure = |value, sigma| Figure { value, sigma };
    Learned {
        sample: Sample {
            volume_ul: 50_000,
            sigma_ul: 250,
            celsius: 1_950,
            known: Known::Strength(2_650),
        },
        fills: 2,
        density: figure(1_144.5, 5.73),
        spread: 2.25,
        lesson: Lesson::Sugar(figure(470.25, 13.5)),
    }
}

#[test]
fn a_bottle_learned_is_pasted_into_a_sheet_from_either_format() {
    let (names, sheet) = names();
    let stamp = stamped(Moment::SincePowerUp(905));
    let learned = coffee_liqueur();
    let bytes = told(7, Kind::Bottle, &Bottle { stamp, learned });
    let mut json = Vec::new();
    write_rows(&bytes, (&names, sheet), Format::Jsonl, &mut json).expect("written");
    let row: Value = serde_json::from_slice(&json).expect("JSON");
    let expected = serde_json::json!({
        "number": 7, "kind": "bottle", "start": 3, "since_power_up_s": 90.5,
        "abv_percent": 26.5, "sugar_g_per_l": 470.25, "sugar_sigma": 13.5,
        "density_kg_m3": 1144.5, "spread_kg_m3": 2.25, "celsius": 19.5, "fills": 2,
        "measure_ml": 50.0, "measure_sigma_ml": 0.25,
        "sigma_kg_m3": row["sigma_kg_m3"], "lines": row["lines"],
    });
    assert_eq!(row, expected);
    let sigma = row["sigma_kg_m3"].as_f64().expect("kg/m3");
    assert!((sigma - 5.73).abs() < 0.001, "{sigma}");

    let mut csv = Vec::new();
    write_header(Format::Csv, &mut csv).expect("written");
    write_rows(&bytes, (&names, sheet), Format::Csv, &mut csv).expect("written");
    let lines = csv.iter().filter(|byte| **byte == b'\n').count();
    assert_eq!(lines, 2, "a record is a line");
    let mut reader = csv::Reader::from_reader(csv.as_slice());
    let header = reader.headers().expect("a header").clone();
    let line = reader.records().next().expect("a line").expect("CSV");
    let cell = |name: &str| {
        let place = header.iter().position(|it| it == name).expect("a column");
        &line[place]
    };
    assert_eq!(cell("strength (% vol)"), "26.5");
    assert_eq!(cell("strength sigma (% vol)"), "");
    assert_eq!(cell("sugar (g/l)"), "470.25");
    assert_eq!(cell("density (kg/m3)"), "1144.5");
    assert_eq!(cell("at (degC)"), "19.5");
    assert_eq!(cell("refused"), "");

    let lines = row["lines"].as_str().expect("lines");
    let in_a_table = format!("[liquid.learned]\n{lines}\n");
    let in_braces = format!(
        "liquid.learned = {{ {} }}\n",
        cell("for a sheet (g/ml; degC; % vol; g/l)")
    );
    for liquid in [in_a_table, in_braces] {
        let drink = "[[drink]]\nname = \"Test\"\nvessel = \"rocks\"\nbuild = [\"50 ml learned\"]\n";
        let house = parse(&format!("{liquid}\n{drink}"), "learned.toml").expect(&liquid);
        let found = &house.liquids()[0];
        assert_eq!(found.density_g_per_m3, Some(1_144_500), "{liquid}");
        assert_eq!(found.density_at_centi_c, 1_950, "{liquid}");
        assert_eq!((found.abv_centi, found.sugar_dg_per_l), (2_650, 4_700));
    }
}

/// Counts, and keeps nothing.
#[derive(Default)]
struct Counter {
    lines: u64,
}

impl Write for Counter {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.lines += bytes.iter().filter(|byte| **byte == b'\n').count() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// What this process has in memory, bytes (proc(5), `statm`, pages of 4 KiB); nothing elsewhere.
fn resident() -> Option<u64> {
    let statm = std::fs::read_to_string("/proc/self/statm").ok()?;
    let pages: u64 = statm.split(' ').nth(1)?.parse().ok()?;
    Some(pages * 4096)
}

/// Set where this check has the process to itself.
const ALONE: &str = "PENNYWEIGHT_ALONE";

#[test]
fn a_million_records_take_no_more_memory_than_a_few() {
    if std::env::var_os(ALONE).is_none() {
        // What other checks take beside this one is not to be counted.
        let itself = "link::records::a_million_records_take_no_more_memory_than_a_few";
        let run = Command::new(std::env::current_exe().expect("it runs"))
            .args(["--exact", itself, "--nocapture"])
            .env(ALONE, "1")
            .output()
            .expect("it starts");
        let told = String::from_utf8_lossy(&run.stdout).into_owned();
        assert!(run.status.success() && told.contains("1 passed"), "{told}");
        return;
    }
    let (names, sheet) = names();
    let bytes = one_of_each(&mut Pcg64::seed_from_u64(5));
    let mut out = Counter::default();
    write_rows(&bytes, (&names, sheet), Format::Csv, &mut out).expect("written");
    let before = resident();
    for _ in 0..200_000 {
        write_rows(&bytes, (&names, sheet), Format::Csv, &mut out).expect("written");
    }
    assert_eq!(out.lines, 1_000_005);
    if let (Some(before), Some(after)) = (before, resident()) {
        let more = after.saturating_sub(before);
        println!("a million records: {more} bytes more in memory");
        // The lines alone would be 100 MB.
        assert!(more < 1 << 20, "{more}");
    }
}
