//! Parts: ratios without a volume of their own.
//!
//! `2 parts rye` in a build is a share of the drink's `total`, which is what all its parts come to
//! before any ice melts. Each share is rounded to the microlitre so that together they are the
//! total.

use pennyweight_core::spec::{Amount, AmountError, Quantity};

use super::fields::{Reader, Section, Written, quoted};

/// A sign for a fraction, and the fraction.
const SIGNS: [(char, &str); 9] = [
    ('\u{BC}', " 1/4"),
    ('\u{BD}', " 1/2"),
    ('\u{BE}', " 3/4"),
    ('\u{2153}', " 1/3"),
    ('\u{2154}', " 2/3"),
    ('\u{215B}', " 1/8"),
    ('\u{215C}', " 3/8"),
    ('\u{215D}', " 5/8"),
    ('\u{215E}', " 7/8"),
];

/// Whether `word` is the unit of a part.
pub(super) fn is_part(word: &str) -> bool {
    word.eq_ignore_ascii_case("part") || word.eq_ignore_ascii_case("parts")
}

/// How many parts `number` is.
pub(super) fn ratio(number: &str) -> Result<f64, AmountError> {
    // What may be written as a number is what may be written in front of any unit.
    Amount::parse(&format!("{} ml", number.trim()))?;
    let plain = SIGNS
        .iter()
        .fold(number.to_owned(), |text, (sign, fraction)| {
            text.replace(*sign, fraction)
        });
    let value = |word: &str| match word.split_once('/') {
        Some((above, below)) => Some(above.parse::<f64>().ok()? / below.parse::<f64>().ok()?),
        None => word.parse().ok(),
    };
    plain
        .split_whitespace()
        .map(value)
        .sum::<Option<f64>>()
        .ok_or(AmountError::Number)
}

/// The amount of each line that is written in parts, by its place among the lines.
pub(super) fn amounts(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    lines: &[Written],
) -> Vec<Option<Amount>> {
    let parts: Vec<Option<f64>> = lines.iter().map(|line| part(reader, line)).collect();
    let none = vec![None; lines.len()];
    let written = lines.iter().any(|line| number_of_part(line).is_some());
    let right = "write a volume for all parts together: total = \"90 ml\"";
    let total = match (reader.text(section, "total", right), written) {
        (Some(total), true) => total,
        (Some(total), false) => {
            let right = "write a line such as 2 parts rye, or leave out total";
            reader.mistake(total.at, "the drink has a total, but no parts", right);
            return none;
        }
        (None, true) if !section.table.contains_key("total") => {
            reader.mistake(section.at, "the drink has parts, but no total", right);
            return none;
        }
        (None, _) => return none,
    };
    let (ul, unit) = match Amount::parse(&total.text) {
        Ok(Amount {
            quantity: Quantity::Volume(ul),
            unit,
        }) => (ul, unit),
        Ok(_) => {
            let what = format!("{} is no volume", quoted(&total.text));
            reader.mistake(total.at, what, right);
            return none;
        }
        Err(error) => {
            let what = format!("{} cannot be read: {}", quoted(&total.text), error.what());
            reader.mistake(total.at, what, error.right());
            return none;
        }
    };
    let ratios: Vec<f64> = parts.iter().flatten().copied().collect();
    let mut shares = shares(ul, &ratios).into_iter();
    let mut amounts = none;
    for ((amount, part), line) in amounts.iter_mut().zip(&parts).zip(lines) {
        match part.and_then(|_| shares.next()) {
            Some(0) => {
                let what = format!("{} comes to nothing", quoted(line.text.trim()));
                reader.mistake(line.at, what, "write a larger part, or a larger total");
            }
            Some(ul) => {
                let quantity = Quantity::Volume(ul);
                *amount = Some(Amount { quantity, unit });
            }
            None => {}
        }
    }
    amounts
}

/// `total` in these ratios, each share rounded up or down so that all together are the total: those
/// that would lose most by rounding down are rounded up.
fn shares(total: u32, ratios: &[f64]) -> Vec<u32> {
    let sum: f64 = ratios.iter().sum();
    let exact = ratios.iter().map(|ratio| f64::from(total) * (ratio / sum));
    let mut shares: Vec<(u32, f64)> = exact.map(|ul| (ul.floor() as u32, ul.fract())).collect();
    let given: u32 = shares.iter().map(|(ul, _)| ul).sum();
    let mut by_loss: Vec<&mut (u32, f64)> = shares.iter_mut().collect();
    by_loss.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    let left = usize::try_from(total.saturating_sub(given)).unwrap_or(0);
    for (ul, _) in by_loss.into_iter().take(left) {
        *ul += 1;
    }
    shares.into_iter().map(|(ul, _)| ul).collect()
}

/// The parts of this line, if it is written in parts and they can be read.
fn part(reader: &mut Reader<'_>, line: &Written) -> Option<f64> {
    let number = number_of_part(line)?;
    match ratio(number) {
        Ok(ratio) => Some(ratio),
        Err(error) => {
            let offset = line.text.len() - line.text.trim_start().len();
            let what = format!("{}: {}", quoted(number.trim()), error.what());
            let right = match error {
                AmountError::Range => "write more than nothing, such as 2 parts",
                AmountError::Comma => "write a point: 2.5 parts",
                other => other.right(),
            };
            reader.mistake(line.place(offset), what, right);
            None
        }
    }
}

/// The number in front of `part` or `parts`.
fn number_of_part(line: &Written) -> Option<&str> {
    let unit_at = line.text.find(char::is_alphabetic)?;
    let (number, words) = line.text.split_at(unit_at);
    let unit = words.split_whitespace().next()?;
    (is_part(unit) && !number.trim().is_empty()).then_some(number)
}
