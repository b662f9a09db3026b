//! Recorded traces: read row by row in flat memory, and written.
//!
//! A trace begins with lines such as `# counts_per_gram=420`, then has the header `t_us,code`
//! and one row per conversion: microseconds as the host read them, and the signed 24-bit code.
//! Keys that are not known are ignored; blank lines are too.

use std::io::{self, BufRead, Write};

use pennyweight_core::Instant;
use pennyweight_core::units::AdcCode;

use super::bounded::{BoundedLines, TextLine};
use super::failure::{Failure, excerpt};
use super::options;

/// The columns, as the header names them.
const HEADER: &str = "t_us,code";
/// No line of a trace needs more bytes; beyond it the file is something else.
const LINE_MAX: usize = 4096;

/// What a trace says about the converter that made it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TraceHead {
    /// Codes per gram.
    pub counts_per_gram: Option<f32>,
    /// The code of the empty pan.
    pub zero_code: Option<i32>,
    /// Nominal conversions per second.
    pub sps: Option<f32>,
    /// Delay of the converter's filter, periods.
    pub filter_delay: Option<f32>,
}

/// One conversion of a trace.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Conversion {
    /// When the host read it.
    pub at: Instant,
    /// What it read.
    pub code: AdcCode,
}

/// Reads a trace; after its head it is an iterator over conversions.
#[derive(Debug)]
pub struct TraceReader<R> {
    name: String,
    lines: BoundedLines<R>,
    line: u64,
    last: Option<Instant>,
    head: TraceHead,
}

impl<R: BufRead> TraceReader<R> {
    /// Reads the head, up to and with the column names. `name` is used in messages.
    ///
    /// # Errors
    /// An empty or binary file, a value that cannot be used, no column names.
    pub fn new(name: &str, reader: R) -> Result<Self, Failure> {
        let mut trace = Self {
            name: name.to_owned(),
            lines: BoundedLines::new(reader, LINE_MAX),
            line: 0,
            last: None,
            head: TraceHead::default(),
        };
        trace.read_head()?;
        Ok(trace)
    }

    /// What the head said.
    #[must_use]
    pub fn head(&self) -> TraceHead {
        self.head
    }

    /// The next conversion, or `None` at the end.
    ///
    /// # Errors
    /// A row that cannot be used, with its line and value.
    pub fn next_row(&mut self) -> Result<Option<Conversion>, Failure> {
        let Some(text) = self.next_line()? else {
            return Ok(None);
        };
        let fields: Vec<&str> = text.split(',').map(str::trim).collect();
        let &[t_us, code] = fields.as_slice() else {
            let cause = if fields.len() < 2 {
                "the row is cut short: it has one column, not two"
            } else {
                "wrong columns: a row has two, the time and the code"
            };
            return Err(self.wrong(text.as_bytes(), cause));
        };
        if t_us.is_empty() || code.is_empty() {
            let cause = "the row is cut short: a time or a code is missing";
            return Err(self.wrong(text.as_bytes(), cause));
        }
        let at = match t_us.parse::<u64>() {
            Ok(us) => Instant::from_micros(us),
            Err(_) => {
                let cause = "t_us is not a whole number of microseconds, 0 or more";
                return Err(self.wrong(t_us.as_bytes(), cause));
            }
        };
        if let Some(last) = self.last.filter(|last| at < *last) {
            let cause = format!(
                "time goes backwards: t_us {} comes after {}",
                at.micros(),
                last.micros()
            );
            return Err(self.wrong(t_us.as_bytes(), &cause));
        }
        let code = match options::code(code) {
            Ok(code) => AdcCode(code),
            Err(cause) => return Err(self.wrong(code.as_bytes(), &format!("code is {cause}"))),
        };
        self.last = Some(at);
        Ok(Some(Conversion { at, code }))
    }

    fn read_head(&mut self) -> Result<(), Failure> {
        loop {
            let Some(text) = self.next_line()? else {
                let cause = if self.line == 0 {
                    "the file is empty"
                } else {
                    "the file ends before the column names"
                };
                return Err(self.wrong(b"", cause));
            };
            // Spreadsheets put a byte-order mark in front.
            let text = match self.line {
                1 => text.strip_prefix('\u{feff}').unwrap_or(&text),
                _ => text.as_str(),
            };
            if let Some(note) = text.strip_prefix('#') {
                self.read_note(note)?;
            } else if text.split(',').map(str::trim).eq(HEADER.split(',')) {
                return Ok(());
            } else {
                let cause = format!("wrong columns: the header {HEADER} should stand here");
                return Err(self.wrong(text.as_bytes(), &cause));
            }
        }
    }

    fn read_note(&mut self, note: &str) -> Result<(), Failure> {
        let Some((key, value)) = note.split_once('=') else {
            return Ok(());
        };
        let value = value.trim();
        let read = match key.trim() {
            "counts_per_gram" => {
                options::counts_per_gram(value).map(|it| self.head.counts_per_gram = Some(it))
            }
            "zero_code" => options::zero_code(value).map(|it| self.head.zero_code = Some(it)),
            "sps" => options::sps(value).map(|it| self.head.sps = Some(it)),
            "filter_delay_periods" => {
                options::filter_delay(value).map(|it| self.head.filter_delay = Some(it))
            }
            _ => Ok(()),
        };
        read.map_err(|cause| self.wrong(value.as_bytes(), &format!("{}: {cause}", key.trim())))
    }

    /// The next line that is not blank.
    fn next_line(&mut self) -> Result<Option<String>, Failure> {
        loop {
            let line = self.lines.next_line().map_err(|error| {
                Failure::failed_run(
                    "the trace cannot be read",
                    format!("{}, after line {}", self.name, self.line),
                    error.to_string(),
                    "check that the file is still there and may be read",
                )
            })?;
            let Some(line) = line else {
                return Ok(None);
            };
            self.line += 1;
            match line {
                TextLine::Whole(bytes) => match std::str::from_utf8(bytes) {
                    Ok(text) if text.contains('\0') => {
                        let shown = text.as_bytes().to_vec();
                        return Err(self.binary(&shown));
                    }
                    Ok(text) if text.trim().is_empty() => {}
                    Ok(text) => return Ok(Some(text.trim().to_owned())),
                    Err(_) => {
                        let shown = bytes.to_vec();
                        return Err(self.binary(&shown));
                    }
                },
                TextLine::TooLong(start) => {
                    let shown = start.to_vec();
                    // The bound may have cut a letter in two; that alone is no binary file.
                    let text = std::str::from_utf8(&shown);
                    let binary = text.is_err_and(|error| error.error_len().is_some());
                    if binary || shown.contains(&0) {
                        return Err(self.binary(&shown));
                    }
                    let cause = format!("the line is longer than {LINE_MAX} bytes: not a trace");
                    return Err(self.wrong(&shown, &cause));
                }
            }
        }
    }

    fn binary(&self, shown: &[u8]) -> Failure {
        self.wrong(shown, "the file is binary, not text")
    }

    fn wrong(&self, value: &[u8], cause: &str) -> Failure {
        Failure::bad_input(
            "the trace cannot be read",
            format!(
                "{}, line {}: {}",
                self.name,
                self.line.max(1),
                excerpt(value)
            ),
            cause,
            "a trace is CSV: lines \"# key=value\", then \"t_us,code\", then one row per conversion",
        )
    }
}

/// Writes a trace as [`TraceReader`] reads it.
#[derive(Debug)]
pub struct TraceWriter<W> {
    out: W,
}

impl<W: Write> TraceWriter<W> {
    /// Writes the head; what is unknown in it is left out.
    ///
    /// # Errors
    /// As the writer.
    pub fn new(mut out: W, head: &TraceHead) -> io::Result<Self> {
        if let Some(factor) = head.counts_per_gram {
            writeln!(out, "# counts_per_gram={factor}")?;
        }
        if let Some(code) = head.zero_code {
            writeln!(out, "# zero_code={code}")?;
        }
        if let Some(rate) = head.sps {
            writeln!(out, "# sps={rate}")?;
        }
        if let Some(periods) = head.filter_delay {
            writeln!(out, "# filter_delay_periods={periods}")?;
        }
        writeln!(out, "{HEADER}")?;
        Ok(Self { out })
    }

    /// Writes one conversion.
    ///
    /// # Errors
    /// As the writer.
    pub fn row(&mut self, conversion: Conversion) -> io::Result<()> {
        writeln!(self.out, "{},{}", conversion.at.micros(), conversion.code.0)
    }

    /// Gives the writer back, flushed.
    ///
    /// # Errors
    /// As the writer.
    pub fn finish(mut self) -> io::Result<W> {
        self.out.flush()?;
        Ok(self.out)
    }
}
