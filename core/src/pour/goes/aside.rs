//! What comes onto the pan and may be no pour: a towel, a spoon, a cube beside the tin, a drip.

use crate::limits::{ASIDE_TIPPED, DRIP_SIGMA_G, LEFT_BEHIND, PASSING_SIGMA_G, SPLASH_G};
use crate::output::{Outputs, Settled};
use crate::units::Grams;

use super::{Pour, REWEIGHED_MOST_G, REWEIGHED_SIGMA_G, join};

impl Pour {
    /// So much at once may be what is asked for: a hand fills a jigger by eye, not by half. What
    /// is counted may come one by one. A `burst` was taken for the go under way.
    #[must_use]
    pub fn may_be(&self, grams: Grams, burst: bool) -> bool {
        let (least, most) = ASIDE_TIPPED;
        let least = if self.guided { least } else { 0.0 };
        let in_before = if burst { self.before } else { self.poured() };
        let missing = (self.judge.target - in_before.mass).0;
        let jigger = least * missing..=most * missing + SPLASH_G;
        let beside_a_pour = !burst && self.is_flowing();
        beside_a_pour || grams.0 <= SPLASH_G || jigger.contains(&grams.0)
    }

    /// So little at once begins no guided pour: no hand fills a jigger like that.
    #[must_use]
    pub fn is_too_little(&self, grams: Grams) -> bool {
        self.guided && !self.has_begun() && grams < self.judge.target * ASIDE_TIPPED.0
    }

    /// A vessel that weighs `more` than when it was lifted is the same one: water under its foot
    /// comes and goes, and a go that the lift cut short is weighed with it.
    #[must_use]
    pub fn explains(&self, more: Grams) -> bool {
        let cut = self.before_cut.map_or(0.0, |_| 1.5 * self.judge.target.0);
        (-REWEIGHED_MOST_G..REWEIGHED_MOST_G + cut).contains(&more.0)
    }

    /// All of it came at once: out of a jigger, or it is a spoon, or a hand that rests there.
    #[must_use]
    pub const fn came_at_once(&self) -> bool {
        self.guided && self.goes == 1 && self.control.is_none()
    }

    /// A stream begins where what came at once was taken for all that is asked for: that may have
    /// been a spoon laid on the glass, and is left out until it is clear. `false` where it was
    /// poured.
    pub fn doubt(&mut self) -> bool {
        let at_once = self.came_at_once();
        if at_once {
            self.doubtful = self.before.mass;
            self.before = Settled::default();
            self.goes = 0;
        }
        at_once
    }

    /// What the stream brought tells what came before it: where both together are nearer to what
    /// is asked for, they were both poured.
    pub(super) fn resolve(&mut self) {
        let missing = self.judge.target - self.poured().mass;
        if (missing - self.doubtful).abs() < missing.abs() {
            let tipped = Settled {
                mass: self.doubtful,
                sigma: Grams(PASSING_SIGMA_G),
            };
            self.before = join(self.before, tipped);
            self.doubtful = Grams::ZERO;
        }
    }

    /// What was doubted goes again: it never was in. `false` where there is no such thing.
    pub(super) fn dismiss(&mut self, grams: Grams) -> bool {
        let doubtful = self.doubtful;
        let gone = doubtful.0 > 0.0
            && (grams - doubtful).abs().0 <= LEFT_BEHIND.0.max(LEFT_BEHIND.1 * doubtful.0);
        if gone {
            self.doubtful = Grams::ZERO;
        }
        gone
    }

    /// All that came is `grams`: when that goes again without the vessel, it was a spoon, a cube
    /// or a puddle beside it.
    #[must_use]
    pub fn was_only(&self, grams: Grams) -> bool {
        let all = self.poured().mass;
        self.doubtful == Grams::ZERO && self.was_all(grams) && grams.0 < 1.0 + 1.05 * all.0
    }

    /// Once `grams` have gone nothing can be left of it.
    pub(super) fn was_all(&self, grams: Grams) -> bool {
        let all = self.poured().mass;
        !self.is_flowing() && all.0 > SPLASH_G && grams.0 > 0.95 * all.0 - 1.0
    }

    /// What began to land was no pour.
    pub fn void(&mut self) {
        self.control = None;
        self.current = None;
        self.landing = Grams::ZERO;
        self.goes = self.goes.saturating_sub(1);
        if self.goes == 0 {
            self.judged = None;
        }
    }

    /// The bottle on the pan lost so much while it was away.
    pub fn lose(&mut self, grams: Grams, out: &mut Outputs) {
        self.fold();
        if let Some(before) = self.before_cut.take() {
            // What the lift looked like.
            self.before = before;
        }
        self.control = None;
        self.goes = self.goes.saturating_add(1);
        let lost = Settled {
            mass: grams,
            sigma: Grams(REWEIGHED_SIGMA_G),
        };
        self.before = join(self.before, lost);
        self.speak(out);
    }

    /// So much came too slowly to be seen as a pour.
    pub fn drip(&mut self, grams: Grams) {
        self.goes = self.goes.max(1);
        let dripped = Settled {
            mass: grams,
            sigma: Grams(DRIP_SIGMA_G),
        };
        self.before = join(self.before, dripped);
    }
}
