//! What a browser is told: the shapes behind the parts of the state.

use std::fmt::Write as _;

use pennyweight_core::panel::{self, Frame};
use pennyweight_core::view::{Cue, Light, Page, Sound, View};
use serde::Serialize;

/// What changes all the time.
#[derive(Clone, Debug, Serialize)]
pub struct Now {
    /// Scale time, seconds.
    pub t_s: f64,
    /// What the scale reads above the vessel that was set down, grams.
    pub net_g: f64,
    /// The same as it truly is.
    pub true_g: f64,
    /// A vessel is on its way to the pan or off it.
    pub moving: bool,
    /// All that the scale reads, grams.
    pub gross_g: f64,
    /// The flow the scale sees, g/s.
    pub flow_g_s: f64,
    /// The scale is switched on.
    pub on: bool,
    /// The panel, in words: what to do, how much of it.
    pub words: (String, String),
    /// The liquid that is asked for now.
    pub asked: Option<String>,
    /// What comes next, in words.
    pub next: Option<String>,
    /// `pour`, `ease` or `stop` while a pour is guided.
    pub cue: Option<&'static str>,
    /// `off`, `go`, `ease` or `stop`.
    pub light: &'static str,
    /// Which sound began last, and how many have begun since power-up.
    pub sound: (u64, &'static str),
    /// The ramp's pitch while it sounds, hertz.
    pub hz: Option<u16>,
    /// The bottle in the hand.
    pub tilt: Option<TiltTold>,
    /// The simulated hand works.
    pub watched: bool,
    /// The way of working.
    pub mode: &'static str,
    /// The drinks ordered and not yet done, the one under way first, by number.
    pub round: Vec<u8>,
}

/// A bottle in the hand.
#[derive(Clone, Debug, Serialize)]
pub struct TiltTold {
    /// Its number on the shelf, where it stands there.
    pub bottle: Option<usize>,
    /// How far it is tilted, 0 to 1.
    pub far: f64,
    /// What leaves it now, g/s.
    pub flow_g_s: f64,
}

/// One event.
#[derive(Clone, Debug, Serialize)]
pub struct EventTold {
    /// Grows by one with each.
    pub number: u64,
    /// Scale time, seconds.
    pub t_s: f64,
    /// What happened, in a word or two.
    pub word: String,
    /// The rest of it.
    pub rest: String,
    /// `scale`, or `desk` where it is no event of the scale.
    pub from: &'static str,
}

/// What stays the same.
#[derive(Clone, Debug, Serialize)]
pub struct DeskTold {
    /// Tells one start of the server from another.
    pub run: u64,
    /// The sounds by name, note for note.
    pub sounds: Vec<(&'static str, Vec<Note>)>,
    /// The panel's pixels.
    pub panel: (u16, u16),
    /// What is told with every drink.
    pub cautions: [&'static str; 4],
}

/// A note: when it begins and ends, seconds, and its pitch, hertz.
pub type Note = (f64, f64, u16);

/// A light's name.
#[must_use]
pub const fn light_name(light: Light) -> &'static str {
    match light {
        Light::Off => "off",
        Light::Go => "go",
        Light::Ease => "ease",
        Light::Stop => "stop",
    }
}

/// A sound's name.
#[must_use]
pub const fn sound_name(sound: Sound) -> &'static str {
    match sound {
        Sound::Silent => "silent",
        Sound::Ease => "ease",
        Sound::Ramp(_) => "ramp",
        Sound::Stop => "stop",
        Sound::Next => "next",
        Sound::Look => "look",
    }
}

/// The cue on a page, where it guides a pour.
#[must_use]
pub const fn cue_name(page: &Page<'_>) -> Option<&'static str> {
    match page {
        Page::Pour { cue, .. } | Page::Add { cue, .. } => Some(match cue {
            Cue::Pour => "pour",
            Cue::Ease => "ease",
            Cue::Stop => "stop",
        }),
        _ => None,
    }
}

/// The liquid that a page asks for.
#[must_use]
pub const fn asked<'s>(page: &Page<'s>) -> Option<&'s str> {
    match page {
        Page::Pour { liquid, .. } | Page::Add { liquid, .. } | Page::Count { liquid, .. } => {
            Some(liquid)
        }
        _ => None,
    }
}

/// The sounds that end by themselves, note for note, as the core plays them.
#[must_use]
pub fn sounds() -> Vec<(&'static str, Vec<Note>)> {
    /// No sound lasts longer, milliseconds.
    const LONGEST_MS: u32 = 1000;
    [Sound::Ease, Sound::Stop, Sound::Next, Sound::Look]
        .into_iter()
        .map(|sound| {
            let mut notes: Vec<Note> = Vec::new();
            let mut sounding = None;
            for ms in 0..=LONGEST_MS {
                let pitch = panel::pitch(sound, ms);
                let at_s = f64::from(ms) / 1e3;
                match (pitch, sounding) {
                    (Some(hertz), None) => notes.push((at_s, at_s, hertz)),
                    (None, Some(_)) => {
                        if let Some(note) = notes.last_mut() {
                            note.1 = at_s;
                        }
                    }
                    _ => {}
                }
                sounding = pitch;
            }
            (sound_name(sound), notes)
        })
        .collect()
}

/// The panel's picture as a JSON text: its bytes in hexadecimal, as a controller takes them.
#[must_use]
pub fn picture(view: Option<&View<'_>>) -> String {
    let mut frame = Frame::new();
    if let Some(view) = view {
        panel::draw(view, &mut frame);
    }
    let mut text = String::with_capacity(2 + 2 * frame.bytes().len());
    text.push('"');
    for byte in frame.bytes() {
        // Writing to a text does not fail.
        let _ = write!(text, "{byte:02x}");
    }
    text.push('"');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_notes_are_those_of_the_core() {
        let sounds = sounds();
        for (name, notes) in &sounds {
            assert!(!notes.is_empty(), "{name}");
            for (begin, end, _) in notes {
                assert!(end > begin, "{name}");
            }
        }
        let (_, ease) = &sounds[0];
        assert_eq!(ease.len(), 2);
        assert_eq!(ease[0].2, panel::EASE_HZ);
        let (_, stop) = &sounds[1];
        assert_eq!(stop.len(), 1);
        assert_eq!(stop[0].2, panel::STOP_HZ);
    }

    #[test]
    fn a_dark_panel_is_all_zeros() {
        let text = picture(None);
        assert_eq!(text.len(), 2 + 2048);
        assert!(text.trim_matches('"').bytes().all(|digit| digit == b'0'));
    }
}
