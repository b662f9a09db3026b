//! What the sounder plays.
//!
//! Three sounds belong to a pour, told apart by pitch and by shape, so that one of them is
//! enough: *ease* is low and comes in two notes, the *ramp* glides up by an octave above it,
//! *stop* is one long note a fifth above the ramp's end. Everything can be followed with the
//! sound off. The pitches are a choice, no source: small sounders are loud from 1 to 3 kHz.

use core::f32::consts::LN_2;

use micromath::F32Ext;

use crate::view::Sound;

/// Both notes of ease, hertz: half an octave below the ramp.
pub const EASE_HZ: u16 = 700;
/// The ramp's first pitch, hertz.
pub const RAMP_FROM_HZ: u16 = 1000;
/// The ramp's last pitch, hertz: an octave higher.
pub const RAMP_TO_HZ: u16 = 2000;
/// The note of stop, hertz: a fifth above the ramp's end.
pub const STOP_HZ: u16 = 3000;
/// The note of a closed step, hertz.
pub const NEXT_HZ: u16 = 1200;
/// The three notes that ask for a look, hertz.
pub const LOOK_HZ: u16 = 900;

/// How long stop sounds, milliseconds.
const STOP_MS: u32 = 600;

/// The pitch of the ramp, hertz, at `ramp` from 0 to 1.
///
/// Equal steps of `ramp` are equal musical intervals: 1000 Hz * 2^ramp. The exponential is an
/// approximation that only an ear judges; with the rounding to whole hertz it stays within
/// 2 cents of the true pitch. Values outside 0 to 1, and NaN, give the nearer end.
#[must_use]
pub fn tone(ramp: f32) -> u16 {
    let ramp = if ramp > 0.0 { ramp.min(1.0) } else { 0.0 };
    let hertz = f32::from(RAMP_FROM_HZ) * F32Ext::exp(ramp * LN_2);
    // Half is added to round; the cast saturates.
    ((hertz + 0.5) as u16).clamp(RAMP_FROM_HZ, RAMP_TO_HZ)
}

/// The pitch to play `since_ms` milliseconds after `sound` began, hertz; `None` is silence.
///
/// The ramp sounds as long as it stands in the view; all others end by themselves.
#[must_use]
pub fn pitch(sound: Sound, since_ms: u32) -> Option<u16> {
    match sound {
        Sound::Silent => None,
        Sound::Ease => notes(since_ms, 2, 90, 70).then_some(EASE_HZ),
        Sound::Ramp(hertz) => Some(hertz),
        Sound::Stop => (since_ms < STOP_MS).then_some(STOP_HZ),
        Sound::Next => notes(since_ms, 1, 50, 0).then_some(NEXT_HZ),
        Sound::Look => notes(since_ms, 3, 80, 80).then_some(LOOK_HZ),
    }
}

/// Whether one of `count` notes of `on_ms` with `off_ms` between them sounds at `since_ms`.
fn notes(since_ms: u32, count: u8, on_ms: u32, off_ms: u32) -> bool {
    let mut begin = 0_u32;
    for _ in 0..count {
        if (begin..begin.saturating_add(on_ms)).contains(&since_ms) {
            return true;
        }
        begin = begin.saturating_add(on_ms).saturating_add(off_ms);
    }
    false
}
