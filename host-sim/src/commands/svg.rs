//! What pictures have in common: SVG 1.1 (W3C), plain elements, no script, no style sheet.

use std::fmt::{self, Display, Write as _};
use std::fs::File;
use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};

use super::failure::Failure;

/// Ink of text and ticks.
pub(super) const INK: &str = "#222222";
/// Lines of the grid.
pub(super) const GRID: &str = "#dddddd";

/// A file for one picture, made before the work so that nobody waits for what cannot be kept.
#[derive(Debug)]
pub(super) struct Paper {
    file: File,
    path: PathBuf,
}

impl Paper {
    /// Makes the file that `--plot` names.
    pub(super) fn create(path: &Path) -> Result<Self, Failure> {
        let file = File::create(path).map_err(|error| {
            Failure::bad_input(
                "the picture cannot be written",
                format!("--plot {}", path.display()),
                error.to_string(),
                "name a file in a folder that is there and may be written",
            )
        })?;
        Ok(Self {
            file,
            path: path.to_owned(),
        })
    }

    /// Puts the picture on it.
    pub(super) fn draw(self, picture: &impl Display) -> Result<(), Failure> {
        let mut file = BufWriter::new(self.file);
        let drawn = write!(file, "{picture}").and_then(|()| file.flush());
        drawn.map_err(|error| {
            Failure::failed_run(
                "the picture cannot be written",
                self.path.display().to_string(),
                error.to_string(),
                "check that the disk is not full",
            )
        })
    }
}

/// From a quantity to a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axis {
    /// The least value.
    pub(super) low: f64,
    /// The greatest.
    pub(super) high: f64,
    /// Where the least lies.
    pub(super) from: f64,
    /// Where the greatest lies.
    pub(super) to: f64,
}

impl Axis {
    /// Over all values, at least `least` wide, with some room at both ends.
    pub(super) fn over(values: impl Iterator<Item = f64>, least: f64, from: f64, to: f64) -> Self {
        let (low, high) = values
            .filter(|value| value.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                (low.min(value), high.max(value))
            });
        let (low, high) = if low <= high { (low, high) } else { (0.0, 0.0) };
        let room = 0.05 * (high - low) + 0.5 * (least - (high - low)).max(0.0);
        Self {
            low: low - room,
            high: high + room,
            from,
            to,
        }
    }

    /// Where a value lies; what is off the axis lies at its end.
    pub(super) fn place(&self, value: f64) -> f64 {
        let along = (value - self.low) / (self.high - self.low);
        self.from + along.clamp(0.0, 1.0) * (self.to - self.from)
    }

    /// About `count` round values along the axis, and their decimals.
    pub(super) fn ticks(&self, count: f64) -> (Vec<f64>, usize) {
        let rough = (self.high - self.low) / count;
        let decade = 10f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .map(|part| part * decade)
            .into_iter()
            .find(|step| *step >= rough)
            .unwrap_or(10.0 * decade);
        let decimals = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
        let first = (self.low / step).ceil() as i64;
        let last = (self.high / step).floor() as i64;
        // Adding nothing turns a negative zero into a plain one.
        let ticks = (first..=last).map(|index| index as f64 * step + 0.0);
        (ticks.collect(), decimals)
    }
}

/// A line between two places.
pub(super) fn line(
    f: &mut fmt::Formatter<'_>,
    from: (f64, f64),
    to: (f64, f64),
    colour: &str,
) -> fmt::Result {
    writeln!(
        f,
        "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke=\"{colour}\"/>",
        from.0, from.1, to.0, to.1
    )
}

/// Text as XML may hold it: markup escaped, and no control letters, which XML 1.0 forbids.
pub(super) struct Escaped<'t>(pub(super) &'t str);

impl Display for Escaped<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for letter in self.0.chars() {
            match letter {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                letter if letter.is_control() || matches!(letter, '\u{fffe}' | '\u{ffff}') => {
                    f.write_char('\u{fffd}')?;
                }
                letter => f.write_char(letter)?,
            }
        }
        Ok(())
    }
}
