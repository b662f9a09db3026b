//! Every character of ISO/IEC 8859-1 has letters of every size.

use pennyweight_core::panel::{Frame, draw};
use pennyweight_core::spec::limits::is_shown;
use pennyweight_core::view::{Next, Page};

use super::view;

/// The printable characters of ISO/IEC 8859-1:1998, table 1: columns 2 to 7 without 7/15, and
/// 10 to 15. Unicode gives them the same numbers.
fn latin_1() -> impl Iterator<Item = char> {
    (0x20..=0x7E).chain(0xA0..=0xFF_u8).map(char::from)
}

/// The character between two others, in the three fonts: as a note, a drink, and what is next.
fn pictures(letter: char) -> [Frame; 3] {
    let text = &format!("x{letter}x");
    let next = Next::Nothing;
    [
        Page::Note { text, next },
        Page::Done { drink: text },
        Page::Note {
            text: "x",
            next: Next::Note(text),
        },
    ]
    .map(|page| {
        let mut frame = Frame::new();
        draw(&view(page), &mut frame);
        frame
    })
}

#[test]
fn no_letter_shows_as_a_question_mark() {
    let question_mark = pictures('?');
    for letter in latin_1().filter(|letter| *letter != '?') {
        for (shown, instead) in pictures(letter).iter().zip(&question_mark) {
            assert_ne!(shown, instead, "{letter:?}");
        }
    }
    assert_eq!(pictures('\u{151}'), question_mark);
}

#[test]
fn only_blanks_are_blank() {
    let blank = pictures(' ');
    for letter in latin_1() {
        let shown = pictures(letter);
        let nothing = matches!(letter, ' ' | '\u{A0}');
        for (shown, blank) in shown.iter().zip(&blank) {
            assert_eq!(shown == blank, nothing, "{letter:?}");
        }
    }
}

#[test]
fn a_sheet_may_name_what_the_panel_shows() {
    let shown: Vec<char> = ('\0'..=char::MAX).filter(|it| is_shown(*it)).collect();
    assert_eq!(shown, latin_1().collect::<Vec<_>>());
}
