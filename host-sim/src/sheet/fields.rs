//! Reading keys and values of a sheet, and noting what is wrong with them.

use std::ops::RangeInclusive;

use pennyweight_core::spec::limits::MISTAKES_MAX;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::mistake::SheetMistake;
use super::near::nearest;

/// The text of a sheet and the mistakes found in it so far.
pub(super) struct Reader<'t> {
    text: &'t str,
    file: &'t str,
    mistakes: Vec<SheetMistake>,
}

/// A table of the sheet, with a place to point at when something is missing from it.
pub(super) struct Section<'a, 'i> {
    pub(super) table: &'a DeTable<'i>,
    pub(super) at: usize,
}

/// A text of the sheet and where its first letter stands.
#[derive(Clone)]
pub(super) struct Written {
    pub(super) text: String,
    pub(super) at: usize,
    /// The text stands in the sheet letter by letter, so that a place within it can be named.
    literal: bool,
}

/// A number of the sheet and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Figure {
    pub(super) value: f64,
    pub(super) at: usize,
}

impl Written {
    /// A text that does not stand in the sheet itself; whatever is said of it points at `at`.
    pub(super) fn new(text: String, at: usize) -> Self {
        Self {
            text,
            at,
            literal: false,
        }
    }

    /// A text that is the whole of what is read, from `at` on.
    pub(super) fn literal(text: String, at: usize) -> Self {
        Self {
            text,
            at,
            literal: true,
        }
    }

    /// `text`, which stands at byte `offset` of this one.
    pub(super) fn part(&self, offset: usize, text: &str) -> Self {
        Self {
            text: text.to_owned(),
            at: self.place(offset),
            literal: self.literal,
        }
    }

    /// The place of byte `offset` of the text.
    pub(super) fn place(&self, offset: usize) -> usize {
        if self.literal {
            self.at + offset
        } else {
            self.at
        }
    }
}

impl<'t> Reader<'t> {
    pub(super) fn new(text: &'t str, file: &'t str) -> Self {
        Self {
            text,
            file,
            mistakes: Vec::new(),
        }
    }

    pub(super) fn mistake(&mut self, at: usize, what: impl Into<String>, right: impl Into<String>) {
        let (what, right) = (what.into(), right.into());
        self.mistakes
            .push(SheetMistake::at(self.text, self.file, at, what, right));
    }

    /// A mistake of TOML itself. Its parser says what it expected after a comma, which helps
    /// with brackets but not with a value it could not make out.
    pub(super) fn toml_mistake(&mut self, error: &toml::de::Error) {
        let at = error.span().map_or(0, |span| span.start);
        let message = error.message().replace('\n', ", ");
        let (what, expected) = message.split_once(", expected ").unwrap_or((&message, ""));
        let (what, right) = match what {
            "string values must be quoted" | "invalid boolean" => (
                "the value is missing, or is a text without quotes",
                "write a number such as 1.5, or \"text\"".to_owned(),
            ),
            "invalid basic string" if expected == "`\"`" => (
                "the text has no end",
                "end it with a quote on the same line".to_owned(),
            ),
            "duplicate key" => ("the key stands twice", "write each key once".to_owned()),
            _ if expected.is_empty() => (
                what,
                "write key = \"text\", key = 1.5 or key = [\"text\", \"text\"]".to_owned(),
            ),
            _ => (what, format!("expected {expected}")),
        };
        self.mistake(at, what, right);
    }

    /// How many mistakes have been noted.
    pub(super) fn count(&self) -> usize {
        self.mistakes.len()
    }

    pub(super) fn into_mistakes(mut self) -> Vec<SheetMistake> {
        self.mistakes.sort();
        self.mistakes.dedup();
        self.mistakes.truncate(MISTAKES_MAX);
        self.mistakes
    }

    pub(super) fn unknown_keys(&mut self, table: &DeTable<'_>, known: &[&str], place: &str) {
        for key in table.keys() {
            if known.contains(&key.get_ref().as_ref()) {
                continue;
            }
            let what = format!("there is no {} {place}", quoted(key.get_ref()));
            let right = did_you_mean(key.get_ref(), known.iter().copied())
                .unwrap_or_else(|| format!("use {}", listed(known)));
            self.mistake(key.span().start, what, right);
        }
    }

    /// The table of `key`, if there is one.
    pub(super) fn section<'a, 'i>(
        &mut self,
        parent: &'a DeTable<'i>,
        key: &str,
        right: &str,
    ) -> Option<Section<'a, 'i>> {
        let (name, value) = parent.get_key_value(key)?;
        let at = name.span().start;
        match value.get_ref() {
            DeValue::Table(table) => Some(Section { table, at }),
            other => {
                self.wrong_type(value.span().start, &quoted(key), other, right);
                None
            }
        }
    }

    pub(super) fn text(
        &mut self,
        section: &Section<'_, '_>,
        key: &str,
        right: &str,
    ) -> Option<Written> {
        let value = section.table.get(key)?;
        self.as_text(value, &quoted(key), right)
    }

    fn as_text(
        &mut self,
        value: &Spanned<DeValue<'_>>,
        name: &str,
        right: &str,
    ) -> Option<Written> {
        let DeValue::String(text) = value.get_ref() else {
            self.wrong_type(value.span().start, name, value.get_ref(), right);
            return None;
        };
        let source = self.text.get(value.span()).unwrap_or("");
        let inner = source.get(1..source.len().saturating_sub(1));
        Some(Written {
            text: text.to_string(),
            at: value.span().start + 1,
            literal: inner == Some(text.as_ref()),
        })
    }

    /// The texts of a list.
    pub(super) fn texts(
        &mut self,
        section: &Section<'_, '_>,
        key: &str,
        right: &str,
    ) -> Option<Vec<Written>> {
        let value = section.table.get(key)?;
        let DeValue::Array(items) = value.get_ref() else {
            self.wrong_type(value.span().start, &quoted(key), value.get_ref(), right);
            return None;
        };
        let name = format!("an entry of {}", quoted(key));
        let texts = items.iter().map(|item| self.as_text(item, &name, right));
        Some(texts.collect::<Vec<_>>().into_iter().flatten().collect())
    }

    /// A number within `range`; `right` says what a right one looks like.
    pub(super) fn figure(
        &mut self,
        section: &Section<'_, '_>,
        key: &str,
        range: RangeInclusive<f64>,
        right: &str,
    ) -> Option<Figure> {
        let value = section.table.get(key)?;
        let at = value.span().start;
        let read = match value.get_ref() {
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
                .ok()
                .map(|number| number as f64),
            DeValue::Float(number) => number.as_str().parse().ok(),
            other => {
                self.wrong_type(at, &quoted(key), other, right);
                return None;
            }
        };
        let value = read.filter(|number| range.contains(number));
        if value.is_none() {
            let (low, high) = (range.start(), range.end());
            let what = format!("{key} must lie between {low} and {high}");
            self.mistake(at, what, right);
        }
        value.map(|value| Figure { value, at })
    }

    fn wrong_type(&mut self, at: usize, name: &str, found: &DeValue<'_>, right: &str) {
        let found = match found {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.mistake(at, format!("{name} is {found}"), right);
    }
}

/// A word of the sheet as it is repeated in a message.
pub(super) fn quoted(text: &str) -> String {
    if text.chars().count() <= 40 {
        format!("\"{}\"", text.escape_debug())
    } else {
        let start: String = text.chars().take(37).collect();
        format!("\"{}...\"", start.escape_debug())
    }
}

/// `did you mean "rye"?`, if a known word is near.
pub(super) fn did_you_mean<'k>(
    word: &str,
    known: impl IntoIterator<Item = &'k str>,
) -> Option<String> {
    nearest(word, known).map(|near| format!("did you mean {}?", quoted(near)))
}

/// `a, b or c`.
pub(super) fn listed(words: &[&str]) -> String {
    match words {
        [] => "nothing".to_owned(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}
