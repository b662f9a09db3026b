//! Lines of bounded length: whatever comes in, memory stays flat.

use std::io::{self, BufRead, Read};

/// Reads lines as bytes, none of them longer than a bound.
#[derive(Debug)]
pub struct BoundedLines<R> {
    reader: R,
    longest: usize,
    bytes: Vec<u8>,
}

/// One line, without its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TextLine<'l> {
    /// All of it.
    Whole(&'l [u8]),
    /// Only its beginning: it was longer than the bound. The rest was passed over.
    TooLong(&'l [u8]),
}

impl<R: BufRead> BoundedLines<R> {
    /// Lines of at most `longest` bytes.
    pub fn new(reader: R, longest: usize) -> Self {
        Self {
            reader,
            longest,
            bytes: Vec::new(),
        }
    }

    /// The next line; `None` at the end. A last line need not be ended.
    ///
    /// # Errors
    /// As the reader.
    pub fn next_line(&mut self) -> io::Result<Option<TextLine<'_>>> {
        self.bytes.clear();
        let most = u64::try_from(self.longest)
            .unwrap_or(u64::MAX)
            .saturating_add(1);
        let read = self
            .reader
            .by_ref()
            .take(most)
            .read_until(b'\n', &mut self.bytes)?;
        if read == 0 {
            return Ok(None);
        }
        if self.bytes.last() == Some(&b'\n') {
            self.bytes.pop();
        } else if self.bytes.len() > self.longest {
            self.reader.skip_until(b'\n')?;
            return Ok(Some(TextLine::TooLong(&self.bytes)));
        }
        Ok(Some(TextLine::Whole(&self.bytes)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_line_is_passed_over_and_the_next_one_read() {
        let mut lines = BoundedLines::new(&b"abcd\nabcde\n\nabcdefghij\nxy"[..], 4);
        assert_eq!(lines.next_line().unwrap(), Some(TextLine::Whole(b"abcd")));
        assert_eq!(
            lines.next_line().unwrap(),
            Some(TextLine::TooLong(b"abcde"))
        );
        assert_eq!(lines.next_line().unwrap(), Some(TextLine::Whole(b"")));
        assert_eq!(
            lines.next_line().unwrap(),
            Some(TextLine::TooLong(b"abcde"))
        );
        assert_eq!(lines.next_line().unwrap(), Some(TextLine::Whole(b"xy")));
        assert_eq!(lines.next_line().unwrap(), None);
    }
}
