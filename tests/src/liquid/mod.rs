//! Liquids against published tables.
//!
//! Every table stands in `tests/data/liquid/` with its source in its first line.

mod buoyancy;
mod compositions;
mod dilution;
mod ethanol;
mod ice;
mod learn;
mod measured;
mod mixture;
mod properties;
mod solved;
mod spread;
mod stand_in;
mod standard;
mod sucrose;
mod tabarie;
mod verb;

/// The rows of a table below its heading; lines that start with `#` are remarks.
fn table(text: &str) -> Vec<csv::StringRecord> {
    let rows: Vec<_> = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes())
        .into_records()
        .collect::<Result<_, _>>()
        .expect("the tables of the tests are well formed");
    assert!(!rows.is_empty());
    rows
}

/// The number in a column of a row.
fn number(row: &csv::StringRecord, column: usize) -> f64 {
    row[column]
        .trim()
        .parse()
        .unwrap_or_else(|_| panic!("no number in column {column} of {row:?}"))
}

#[track_caller]
fn assert_close(value: f64, expected: f64, within: f64, what: impl std::fmt::Debug) {
    assert!(
        (value - expected).abs() <= within,
        "{what:?}: {value} is not within {within} of {expected}"
    );
}
