//! Which sound an answer makes.

use super::Station;
use crate::limits::SOUND_S;
use crate::output::{Fault, Learned, Outputs, Verdict};
use crate::time::Instant;
use crate::view::Sound;

impl Station<'_> {
    pub(super) fn make_sound(&mut self, now: Instant, out: &Outputs) {
        let speaks = out
            .verdict
            .is_some_and(|judged| judged.verdict != Verdict::Good)
            || out.learned.as_ref().is_some_and(Learned::is_refused);
        let begun = if out.stop {
            Some(Sound::Stop)
        } else if out.ease {
            Some(Sound::Ease)
        } else if out.fault.is_some_and(|fault| fault != Fault::Glitch) || speaks {
            Some(Sound::Look)
        } else if out.step.is_some() || out.done.is_some() || out.learned.is_some() {
            Some(Sound::Next)
        } else {
            None
        };
        if let Some(sound) = begun {
            self.sound = sound;
            self.sound_until = now.offset(SOUND_S);
        } else if self.sound_until <= now {
            self.sound = Sound::Silent;
        }
    }
}
