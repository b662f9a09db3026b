//! The core's own conversions and comparisons of 64-bit floats, against this processor's, which
//! follow IEEE 754.

use pennyweight_core::double;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// Where rounding, carrying and the ends of the range show.
const ENDS: [u64; 20] = [
    0,
    1,
    2,
    (1 << 52) - 1,
    1 << 52,
    (1 << 53) - 1,
    0x36A0_0000_0000_0000,
    0x3690_0000_0000_0001,
    0x3FE0_0000_0000_0000,
    0x3FF0_0000_0000_0000,
    0x3FF0_0000_0000_0001,
    0x41DF_FFFF_FFC0_0000,
    0x41E0_0000_0000_0000,
    0x47EF_FFFF_E000_0000,
    0x47EF_FFFF_F000_0000,
    0x7FE0_0000_0000_0000,
    0x7FEF_FFFF_FFFF_FFFF,
    0x7FF0_0000_0000_0000,
    0x7FF0_0000_0000_0001,
    0x7FF8_0000_0000_0000,
];

/// Any bits, an end of the range, something near one, or something with few bits.
fn draw(rng: &mut Pcg64) -> u64 {
    let bits: u64 = rng.random();
    let sign = bits & (1 << 63);
    match rng.random_range(0..5) {
        0 => bits,
        1 => ENDS[rng.random_range(0..ENDS.len())] | sign,
        2 => (bits & !(0x7FF << 52)) | (rng.random_range(1000..1060) << 52),
        3 => sign | (bits & ((1 << rng.random_range(0..52)) - 1)),
        _ => bits & (u64::MAX << 32),
    }
}

/// A NaN is a NaN, whatever it carries.
fn same(found: u64, expected: f64) -> bool {
    let both_nan = f64::from_bits(found).is_nan() && expected.is_nan();
    both_nan || found == expected.to_bits()
}

#[test]
fn it_is_what_the_processor_of_the_desk_says() {
    let mut rng = Pcg64::seed_from_u64(rand::random());
    for _ in 0..1_000_000 {
        let (a, b) = (draw(&mut rng), draw(&mut rng));
        let (x, y) = (f64::from_bits(a), f64::from_bits(b));
        let order = x.partial_cmp(&y).map_or(2, |order| order as i32);
        assert_eq!(double::order(a, b), order, "{a:#x} and {b:#x}");
        let single = f32::from_bits(double::to_single(a));
        let nearest = x as f32;
        let both_nan = single.is_nan() && nearest.is_nan();
        assert!(
            both_nan || single.to_bits() == nearest.to_bits(),
            "{a:#x} as a single"
        );
        let word = (b >> 32) as u32;
        assert!(same(
            double::of_single(word),
            f64::from(f32::from_bits(word))
        ));
        assert!(same(double::of_whole(word), f64::from(word)));
        assert!(same(
            double::of_signed(word.cast_signed()),
            f64::from(word.cast_signed())
        ));
    }
}
