//! Letters of names and notes: typed in several ways, compared and shown in one.

use std::iter;

use pennyweight_core::spec::limits::is_shown;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// `text` with every letter and its accents as one character, and with the apostrophe and the
/// hyphens of a keyboard in place of those that word processors write.
///
/// Normal form C of Unicode Standard Annex #15, then ’ as ', and ‐, ‑ and – as -.
pub(crate) fn composed(text: &str) -> String {
    compose(text.chars()).collect()
}

/// The first character of `text`, composed, that the panel can't show, and the byte at which it is
/// written.
pub(super) fn not_shown(text: &str) -> Option<(usize, char)> {
    text.char_indices()
        .filter(|(at, letter)| *at == 0 || !is_combining_mark(*letter))
        .find_map(|(at, letter)| {
            let behind = text.get(at..)?.chars().skip(1);
            let accents = behind.take_while(|mark| is_combining_mark(*mark));
            let mut shown = compose(iter::once(letter).chain(accents));
            shown.find(|letter| !is_shown(*letter)).map(|odd| (at, odd))
        })
}

fn compose(letters: impl Iterator<Item = char>) -> impl Iterator<Item = char> {
    letters.nfc().map(|letter| match letter {
        '\u{2019}' => '\'',
        '\u{2010}' | '\u{2011}' | '\u{2013}' => '-',
        other => other,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Composition as the examples of Unicode Standard Annex #15, figure 4, have it; a letter that
    /// has no composed form leaves its accent.
    #[test]
    fn letters_and_accents_become_one() {
        assert_eq!(composed("A\u{30A}ngstro\u{308}m"), "\u{C5}ngstr\u{F6}m");
        assert_eq!(composed("s\u{323}\u{307}"), "\u{1E69}");
        assert_eq!(composed("x\u{301}"), "x\u{301}");
        assert_eq!(
            composed("host\u{2019}s re\u{2011}do\u{2013}er"),
            "host's re-do-er"
        );
    }

    #[test]
    fn what_is_not_shown_has_a_place() {
        assert_eq!(
            not_shown("cre\u{300}me, a\u{F1}ejo \u{BD} \u{AB}\u{BB}"),
            None
        );
        // Composed it is one letter, which begins where the o is written.
        assert_eq!(not_shown("e\u{301}ro\u{30B}"), Some((4, '\u{151}')));
        assert_eq!(not_shown("x\u{301}"), Some((0, '\u{301}')));
        assert_eq!(not_shown("\u{301}x"), Some((0, '\u{301}')));
        assert_eq!(not_shown("a\tb"), Some((1, '\t')));
        assert_eq!(not_shown("gin \u{1F378}"), Some((4, '\u{1F378}')));
    }
}
