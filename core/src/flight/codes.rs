//! Numbers for a blind tasting, and the order in which the glasses stand.
//!
//! A sample is told by a random number of three digits, so that none seems first or best (ISO
//! 6658, from memory), and the samples stand in a random order.

use heapless::Vec;

use super::VARIANTS;

/// As many as a flight has at most.
const MOST: usize = VARIANTS.1;

/// The least and the greatest number of three digits.
const CODES: (u32, u32) = (100, 999);

/// A different number of three digits for each of so many glasses, at most six; the same seed gives
/// the same numbers.
#[must_use]
pub fn codes(seed: u64, glasses: usize) -> Vec<u16, MOST> {
    let mut draws = Draws::new(seed, 1);
    let mut codes: Vec<u16, MOST> = Vec::new();
    let span = CODES.1.saturating_sub(CODES.0).saturating_add(1);
    while codes.len() < glasses.min(MOST) {
        let code = CODES.0.saturating_add(draws.below(span));
        let code = u16::try_from(code).unwrap_or(0);
        if !codes.contains(&code) && codes.push(code).is_err() {
            break;
        }
    }
    codes
}

/// The order in which so many glasses stand, at most six; the same seed gives the same order.
#[must_use]
pub fn order(seed: u64, glasses: usize) -> Vec<u8, MOST> {
    let mut draws = Draws::new(seed, 2);
    let mut order: Vec<u8, MOST> = (0..=u8::MAX).take(glasses.min(MOST)).collect();
    // Fisher and Yates: each place is swapped with one of those up to it.
    for place in (1..order.len()).rev() {
        let reach = u32::try_from(place.saturating_add(1)).unwrap_or(1);
        let other = usize::try_from(draws.below(reach)).unwrap_or(0);
        order.swap(place, other.min(place));
    }
    order
}

/// A small generator: this hides glasses, not secrets.
struct Draws(u64);

impl Draws {
    /// Seed and stream are stirred into a state that is not 0.
    const fn new(seed: u64, stream: u64) -> Self {
        let stirred = seed
            .wrapping_mul(0x9E37_79B9_7F4A_7C15)
            .wrapping_add(stream.wrapping_mul(0xD1B5_4A32_D192_ED03));
        Self(stirred | 1)
    }

    /// A whole number below `bound`; 0 where there is none.
    fn below(&mut self, bound: u32) -> u32 {
        // xorshift64 (G. Marsaglia, J. Stat. Soft. 8 (2003) 14, triple 13, 7, 17).
        self.0 ^= self.0.wrapping_shl(13);
        self.0 ^= self.0.wrapping_shr(7);
        self.0 ^= self.0.wrapping_shl(17);
        let high = self.0.wrapping_shr(32);
        let scaled = high.wrapping_mul(u64::from(bound)).wrapping_shr(32);
        u32::try_from(scaled).unwrap_or(0)
    }
}
