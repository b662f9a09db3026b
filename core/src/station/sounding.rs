//! What the sounder says.

use crate::limits::SOUND_S;
use crate::output::{Fault, Learned, Outputs, Verdict};
use crate::time::Instant;
use crate::view::{Page, Sound};

use super::Station;

impl Station<'_> {
    pub(super) fn make_sound(&mut self, now: Instant, out: &Outputs) {
        let judged = out
            .verdict
            .is_some_and(|judged| judged.verdict != Verdict::Good);
        let looks = out.fault.is_some_and(|fault| fault != Fault::Glitch)
            || out.refused.is_some()
            || out.due.is_some()
            || out.learned.as_ref().is_some_and(Learned::is_refused);
        let untold = if out.stop {
            Sound::Stop
        } else if out.ease {
            Sound::Ease
        } else if looks {
            Sound::Look
        } else if out.step.is_some() || out.done.is_some() || out.learned.is_some() {
            Sound::Next
        } else {
            Sound::Silent
        };
        let told = if judged && !out.stop && !out.ease {
            Sound::Look
        } else {
            untold
        };
        if told != Sound::Silent {
            self.sound = (told, untold);
            self.sound_until = now.offset(SOUND_S);
        } else if self.sound_until <= now {
            self.sound = (Sound::Silent, Sound::Silent);
        }
    }

    /// What the sounder says beside this page: what is only recorded interrupts nobody.
    pub(super) const fn sound_beside(&self, page: &Page<'_>) -> Sound {
        match page {
            Page::Add { .. } | Page::Judged { .. } => self.sound.0,
            _ => self.sound.1,
        }
    }
}
