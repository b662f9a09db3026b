//! The panel as text.

use pennyweight_core::panel::{Frame, HEIGHT, WIDTH};

/// Two rows to a character: 128 columns by 32 lines, for pictures a reviewer reads.
#[must_use]
pub fn half_blocks(frame: &Frame) -> String {
    lines(frame, 1, 2, |lit| match (lit(0, 0), lit(0, 1)) {
        (false, false) => ' ',
        (true, false) => '▀',
        (false, true) => '▄',
        (true, true) => '█',
    })
}

/// Two columns and four rows to a character: 64 columns by 16 lines, for the live view.
#[must_use]
pub fn braille(frame: &Frame) -> String {
    // Unicode numbers the dots of a braille pattern so, from bit 0 up.
    const DOTS: [(u16, u16); 8] = [
        (0, 0),
        (0, 1),
        (0, 2),
        (1, 0),
        (1, 1),
        (1, 2),
        (0, 3),
        (1, 3),
    ];
    lines(frame, 2, 4, |lit| {
        let bits = DOTS
            .iter()
            .enumerate()
            .filter(|(_, (x, y))| lit(*x, *y))
            .fold(0, |bits, (bit, _)| bits | 1 << bit);
        char::from_u32(0x2800 + bits).unwrap_or(' ')
    })
}

/// One character for every `wide` by `high` pixels, lines ended by a line feed.
fn lines(
    frame: &Frame,
    wide: u16,
    high: u16,
    character: impl Fn(&dyn Fn(u16, u16) -> bool) -> char,
) -> String {
    let mut text = String::new();
    for top in (0..HEIGHT).step_by(high.into()) {
        for left in (0..WIDTH).step_by(wide.into()) {
            text.push(character(&|x, y| frame.is_lit(left + x, top + y)));
        }
        text.push('\n');
    }
    text
}
