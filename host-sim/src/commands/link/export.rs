//! `link PORT pull`: records as JSON Lines or CSV, a line each, however many there are.
//!
//! A time is UTC where the clock was set, and seconds since power-up otherwise, each in a column of
//! its own: they are never mixed. Times since power-up of different starts cannot be compared.

use std::io::{self, Write};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use pennyweight_core::input::Known;
use pennyweight_core::journal::payload::{Moment, Record, Stamp};
use pennyweight_core::journal::{Kept, Kind};
use pennyweight_core::link::{Reply, Request};
use pennyweight_core::output::{DilutionBasis, Learned, Lesson};
use pennyweight_core::spec::DrinkId;
use serde::Serialize;

use super::super::Failure;
use super::super::events::{fault_kind, verdict_name, whole_microlitres, write_json};
use super::super::learning;
use super::super::names::Names;
use super::client::Client;
use super::named;
use super::time::utc_text;

/// How records are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// One JSON object a line.
    #[default]
    Jsonl,
    /// Comma-separated, units in the header.
    Csv,
}

/// Which records, and how.
#[derive(Args, Clone, Debug)]
pub struct PullArgs {
    /// From the record of this number on
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub since: u32,

    /// How they are written
    #[arg(long, value_enum, default_value_t = Format::Jsonl)]
    pub format: Format,

    /// The sheet they were made by, for the names; the demo without it
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
}

/// One record. What does not apply is left out of JSON and empty in CSV.
#[derive(Clone, Debug, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub struct Row {
    /// Its number; numbers that are missing have given way to later ones.
    pub number: u32,
    /// `pour`, `drink`, `loss`, `bottle`, `fault`, or `unknown` where a later firmware wrote it.
    pub kind: &'static str,
    /// How often the power had come on.
    pub start: u16,
    /// When, where the clock was set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub utc: Option<String>,
    /// When, where it was not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since_power_up_s: Option<f64>,
    /// The number under which its drink was begun.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub order: Option<u16>,
    /// The drink.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drink: Option<String>,
    /// The step, from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<u8>,
    /// The liquid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub liquid: Option<String>,
    /// Good, short or over.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict: Option<&'static str>,
    /// A fault.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fault: Option<&'static str>,
    /// Asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub target_ml: Option<f32>,
    /// What the scale was to show.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub target_g: Option<f32>,
    /// What it showed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub poured_g: Option<f32>,
    /// One standard deviation of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sigma_g: Option<f32>,
    /// What did not come into the glass: a vessel set back, or back lighter than it went.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lost_g: Option<f32>,
    /// One standard deviation of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lost_sigma_g: Option<f32>,
    /// Volume of the glass at 20 degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_ml: Option<f32>,
    /// Strength: of a glass; of a bottle as its label has it, or as it was learned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub abv_percent: Option<f32>,
    /// Sugar, likewise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sugar_g_per_l: Option<f32>,
    /// Pure alcohol.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ethanol_g: Option<f32>,
    /// Water from ice, over the undiluted volume.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dilution_percent: Option<f32>,
    /// `weighed` or `expected`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dilution_basis: Option<&'static str>,
    /// A bottle, its last fill and those before.
    #[serde(flatten)]
    pub bottle: Option<BottleRow>,
}

/// What a record of a bottle has beside strength and sugar. Every sigma is one standard deviation.
#[derive(Clone, Debug, Serialize)]
pub struct BottleRow {
    /// Of what filled the measure.
    pub density_kg_m3: f32,
    /// Of the density.
    pub sigma_kg_m3: f32,
    /// Of a single fill, as the repeats show it; from the second on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread_kg_m3: Option<f32>,
    /// How warm it was.
    pub celsius: f64,
    /// How many fills.
    pub fills: u8,
    /// What the measure holds.
    pub measure_ml: f64,
    /// Of that.
    pub measure_sigma_ml: f64,
    /// Of the strength, where it was learned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub abv_sigma: Option<f32>,
    /// Of the sugar, where it was learned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sugar_sigma: Option<f32>,
    /// What belongs into a sheet, as `station --learn` tells it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lines: Option<String>,
    /// The same on one line, for CSV.
    #[serde(skip)]
    pub line: Option<String>,
    /// Why it teaches nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
}

/// The first line of CSV.
const HEADER: &str = "number,kind,start,utc,since_power_up (s),order,drink,step,liquid,verdict,\
fault,target (ml),target (g),poured (g),sigma (g),lost (g),lost sigma (g),volume at 20 degC (ml),strength (% vol),\
sugar (g/l),alcohol (g),dilution (% of the undiluted volume),dilution basis,density (kg/m3),\
density sigma (kg/m3),spread of a fill (kg/m3),at (degC),fills,measure (ml),measure sigma (ml),\
strength sigma (% vol),sugar sigma (g/l),for a sheet (g/ml; degC; % vol; g/l),refused";

pub(super) fn pull(
    client: &mut Client,
    args: &PullArgs,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (_, names, checksum) = named(args.sheet.as_deref())?;
    let sheet = (&names, checksum as u16);
    let mut since = args.since;
    let mut headed = false;
    loop {
        let message = client.request(Request::Records { since })?;
        let (next, newest, bytes) = match client.reply(&message)? {
            Reply::Records {
                next,
                newest,
                bytes,
            } => (next, newest, bytes),
            other => return Err(client.unexpected(&other)),
        };
        if newest < args.since {
            return Err(Failure::bad_input(
                "there are no such records",
                format!("--since {}", args.since),
                format!("the next record of the scale gets number {newest}"),
                "its memory may have begun anew: pull without --since",
            ));
        }
        if !headed {
            write_header(args.format, out).map_err(Failure::writing)?;
            headed = true;
        }
        write_rows(bytes, sheet, args.format, out).map_err(Failure::writing)?;
        if next <= since && next < newest {
            return Err(Failure::failed_run(
                "not all of the records can be fetched",
                format!("record {next} of {newest}"),
                "the scale cannot tell it over this link: it is longer than a message",
                format!("fetch those behind it: --since {}", next.saturating_add(1)),
            ));
        }
        if next >= newest {
            return Ok(());
        }
        since = next;
    }
}

/// Writes what stands above the records.
///
/// # Errors
/// As the writer.
pub fn write_header(format: Format, out: &mut dyn Write) -> io::Result<()> {
    match format {
        Format::Csv => writeln!(out, "{HEADER}"),
        Format::Jsonl => Ok(()),
    }
}

/// Writes the records of one answer; `sheet` has the names behind its own numbers.
///
/// # Errors
/// As the writer.
pub fn write_rows(
    mut bytes: &[u8],
    sheet: (&Names, u16),
    format: Format,
    out: &mut dyn Write,
) -> io::Result<()> {
    while let Some((head, rest)) = bytes.split_first_chunk::<7>() {
        let [a, b, c, d, kind, version, length] = *head;
        let Some((payload, rest)) = rest.split_at_checked(usize::from(length)) else {
            break;
        };
        bytes = rest;
        let number = u32::from_le_bytes([a, b, c, d]);
        let record = Kind::of_record(kind).and_then(|kind| {
            let kept = Kept {
                number,
                kind,
                version,
                payload,
            };
            kept.record().ok()
        });
        let row = row(number, record.as_ref(), sheet);
        match format {
            Format::Jsonl => write_json(&mut &mut *out, &row)?,
            Format::Csv => write_csv(&row, out)?,
        }
    }
    Ok(())
}

fn row(number: u32, record: Option<&Record>, (names, sheet): (&Names, u16)) -> Row {
    let mut row = Row {
        number,
        kind: "unknown",
        ..Row::default()
    };
    let drink_name = |id: DrinkId, of: u16| {
        let name = names.drink(id).filter(|_| of == sheet);
        name.map_or_else(|| format!("drink {}", id.0), str::to_owned)
    };
    let stamp = match record {
        None => return row,
        Some(Record::Pour(pour)) => {
            row.kind = "pour";
            row.order = Some(pour.order);
            row.drink = pour.drink.map(|id| drink_name(id, pour.stamp.sheet));
            let record = &pour.record;
            let id = record.liquid;
            let name = names.liquid(id).filter(|_| pour.stamp.sheet == sheet);
            row.step = Some(record.step);
            row.liquid = Some(name.map_or_else(|| format!("liquid {}", id.0), str::to_owned));
            row.verdict = Some(verdict_name(record.verdict));
            row.target_ml = Some(whole_microlitres(record.target_volume));
            row.target_g = Some(record.target.0);
            row.poured_g = Some(record.poured.mass.0);
            row.sigma_g = Some(record.poured.sigma.0);
            pour.stamp
        }
        Some(Record::Drink(drink)) => {
            row.kind = "drink";
            row.order = Some(drink.order);
            let record = &drink.record;
            row.drink = Some(drink_name(record.drink, drink.stamp.sheet));
            row.lost_g = drink.back.map(|back| back.lost.mass.0);
            row.lost_sigma_g = drink.back.map(|back| back.lost.sigma.0);
            row.volume_ml = Some(record.volume.0);
            row.abv_percent = Some(record.abv_percent);
            row.sugar_g_per_l = Some(record.sugar_g_per_l);
            row.ethanol_g = Some(record.ethanol.0);
            row.dilution_percent = record.dilution.map(|dilution| dilution.percent);
            row.dilution_basis = record.dilution.map(|dilution| match dilution.basis {
                DilutionBasis::Weighed => "weighed",
                DilutionBasis::Expected => "expected",
            });
            drink.stamp
        }
        Some(Record::Loss(loss)) => {
            row.kind = "loss";
            row.order = Some(loss.order);
            row.drink = Some(drink_name(loss.drink, loss.stamp.sheet));
            row.lost_g = Some(loss.lost.mass.0);
            row.lost_sigma_g = Some(loss.lost.sigma.0);
            loss.stamp
        }
        Some(Record::Bottle(bottle)) => {
            row.kind = "bottle";
            tell_bottle(&bottle.learned, &mut row);
            bottle.stamp
        }
        Some(Record::Fault(seen)) => {
            row.kind = "fault";
            row.fault = Some(fault_kind(seen.fault));
            seen.stamp
        }
    };
    time_of(&stamp, &mut row);
    row
}

fn tell_bottle(learned: &Learned, row: &mut Row) {
    let sample = &learned.sample;
    match sample.known {
        Known::Nothing => {}
        Known::Strength(hundredths) => row.abv_percent = Some(f32::from(hundredths) / 100.0),
        Known::Sugar(tenths) => row.sugar_g_per_l = Some(f32::from(tenths) / 10.0),
    }
    let (mut abv_sigma, mut sugar_sigma) = (None, None);
    match learned.lesson {
        Lesson::Density | Lesson::Refused(_) => {}
        Lesson::Sugar(sugar) => {
            row.sugar_g_per_l = Some(sugar.value);
            sugar_sigma = Some(sugar.sigma);
        }
        Lesson::Strength(strength) => {
            row.abv_percent = Some(strength.value);
            abv_sigma = Some(strength.sigma);
        }
    }
    let refused = learning::refusal(learned);
    let taught = refused.is_none();
    row.bottle = Some(BottleRow {
        density_kg_m3: learned.density.value,
        sigma_kg_m3: learned.density.sigma,
        spread_kg_m3: (learned.fills > 1).then_some(learned.spread),
        celsius: f64::from(sample.celsius) / 100.0,
        fills: learned.fills,
        measure_ml: f64::from(sample.volume_ul) / 1000.0,
        measure_sigma_ml: f64::from(sample.sigma_ul) / 1000.0,
        abv_sigma,
        sugar_sigma,
        lines: taught.then(|| learning::lines(learned)),
        line: taught.then(|| learning::in_one_line(learned)),
        refused,
    });
}

fn time_of(stamp: &Stamp, row: &mut Row) {
    row.start = stamp.start;
    match stamp.at {
        Moment::Utc(seconds) => row.utc = Some(utc_text(seconds)),
        Moment::SincePowerUp(tenths) => row.since_power_up_s = Some(f64::from(tenths) / 10.0),
    }
}

fn write_csv(row: &Row, out: &mut dyn Write) -> io::Result<()> {
    fn cell<T: ToString>(value: Option<T>) -> String {
        value.map_or_else(String::new, |value| quoted(&value.to_string()))
    }
    let bottle = row.bottle.as_ref();
    let cells = [
        row.number.to_string(),
        row.kind.to_owned(),
        row.start.to_string(),
        cell(row.utc.as_deref()),
        cell(row.since_power_up_s),
        cell(row.order),
        cell(row.drink.as_deref()),
        cell(row.step),
        cell(row.liquid.as_deref()),
        cell(row.verdict),
        cell(row.fault),
        cell(row.target_ml),
        cell(row.target_g),
        cell(row.poured_g),
        cell(row.sigma_g),
        cell(row.lost_g),
        cell(row.lost_sigma_g),
        cell(row.volume_ml),
        cell(row.abv_percent),
        cell(row.sugar_g_per_l),
        cell(row.ethanol_g),
        cell(row.dilution_percent),
        cell(row.dilution_basis),
        cell(bottle.map(|it| it.density_kg_m3)),
        cell(bottle.map(|it| it.sigma_kg_m3)),
        cell(bottle.and_then(|it| it.spread_kg_m3)),
        cell(bottle.map(|it| it.celsius)),
        cell(bottle.map(|it| it.fills)),
        cell(bottle.map(|it| it.measure_ml)),
        cell(bottle.map(|it| it.measure_sigma_ml)),
        cell(bottle.and_then(|it| it.abv_sigma)),
        cell(bottle.and_then(|it| it.sugar_sigma)),
        cell(bottle.and_then(|it| it.line.as_deref())),
        cell(bottle.and_then(|it| it.refused.as_deref())),
    ];
    writeln!(out, "{}", cells.join(","))
}

/// As RFC 4180 has it.
fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}
