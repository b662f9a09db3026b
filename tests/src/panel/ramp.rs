//! Tone and bar of the ramp against the platform's exact functions, and the other sounds.

use std::f64::consts::FRAC_PI_2;

use pennyweight_core::panel::{
    EASE_HZ, RAMP_FROM_HZ, RAMP_TO_HZ, STOP_HZ, filled, pitch, tone, travel,
};
use pennyweight_core::view::Sound;

fn steps() -> impl Iterator<Item = f32> {
    (0_u16..=10_000).map(|step| f32::from(step) / 10_000.0)
}

/// Worst error found: 1.7 cents. A trained ear tells 5 cents apart (common knowledge, no
/// source).
#[test]
fn tone_keeps_to_equal_intervals() {
    let cents = |ramp: f32| {
        let exact = f64::from(RAMP_FROM_HZ) * f64::from(ramp).exp2();
        1200.0 * (f64::from(tone(ramp)) / exact).log2()
    };
    let worst = steps().map(|ramp| cents(ramp).abs()).fold(0.0, f64::max);
    assert!(worst <= 2.0, "{worst:.2} cents");
}

#[test]
fn tone_never_falls_and_keeps_its_ends() {
    let tones: Vec<u16> = steps().map(tone).collect();
    assert!(tones.is_sorted());
    assert_eq!((tones[0], tones[10_000]), (RAMP_FROM_HZ, RAMP_TO_HZ));
    for (odd, hertz) in [
        (f32::NAN, RAMP_FROM_HZ),
        (f32::NEG_INFINITY, RAMP_FROM_HZ),
        (-0.1, RAMP_FROM_HZ),
        (1.1, RAMP_TO_HZ),
        (f32::INFINITY, RAMP_TO_HZ),
    ] {
        assert_eq!(tone(odd), hertz, "{odd}");
    }
}

/// Worst error found: 0.0011; the bar has 128 pixels and the ramp at most all of them.
#[test]
fn travel_follows_the_cosine() {
    let worst = steps()
        .map(|ramp| (f64::from(travel(ramp)) - (1.0 - (f64::from(ramp) * FRAC_PI_2).cos())).abs())
        .fold(0.0, f64::max);
    assert!(worst <= 0.0012, "{worst:.5}");
}

#[test]
fn the_bar_ends_when_the_hand_must_move() {
    for bar in [0, 1, 500, 930, 999, 1000, u16::MAX] {
        let edges: Vec<f32> = steps().map(|ramp| filled(bar, Some(ramp))).collect();
        // Nearly level where it starts: a last digit of rounding is no step back.
        let back = |pair: &[f32]| pair[0] - pair[1] > 1e-6;
        assert!(!edges.windows(2).any(back), "bar {bar} goes back");
        assert_eq!(edges[10_000], 1.0);
        assert_eq!(
            edges[0],
            filled(bar, None),
            "bar {bar} jumps as the ramp begins"
        );
        assert!(edges.iter().all(|edge| (0.0..=1.0).contains(edge)));
    }
    // A third of the panel's 55 mm is left for the ramp, however full the glass.
    assert!((1.0 - filled(999, None)) * 55.0 > 18.0);
    assert_eq!(filled(0, Some(f32::NAN)), 0.0);
}

/// Ease, ramp and stop keep at least a fifth of an octave and the shape apart.
#[test]
fn sounds_stand_apart() {
    let octaves = |low: u16, high: u16| (f64::from(high) / f64::from(low)).log2();
    assert!(octaves(EASE_HZ, RAMP_FROM_HZ) > 0.5);
    assert!(octaves(RAMP_TO_HZ, STOP_HZ) > 0.5);
    // (notes, milliseconds of sound) within two seconds.
    let shape = |sound| {
        let played: Vec<bool> = (0..2000).map(|ms| pitch(sound, ms).is_some()).collect();
        let begins = played.windows(2).filter(|pair| !pair[0] && pair[1]).count();
        let notes = begins + usize::from(played[0]);
        (notes, played.iter().filter(|on| **on).count())
    };
    assert_eq!(shape(Sound::Silent), (0, 0));
    assert_eq!(shape(Sound::Ease), (2, 180));
    assert_eq!(shape(Sound::Ramp(1500)), (1, 2000));
    assert_eq!(shape(Sound::Stop), (1, 600));
    assert_eq!(shape(Sound::Next), (1, 50));
    assert_eq!(shape(Sound::Look), (3, 240));
    assert_eq!(pitch(Sound::Stop, u32::MAX), None);
}
