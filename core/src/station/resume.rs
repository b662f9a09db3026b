//! Taking an open drink up again: what stands on the pan decides.
//!
//! | on the pan | what follows |
//! |---|---|
//! | what stood there last | the open step |
//! | a little more, and the step is poured | the open step, that much of it in |
//! | the empty vessel | the drink from its beginning |
//! | nothing | the vessel is awaited |
//! | anything else | the panel asks: pouring on, or a press, means yes; lifting it, anew |

use super::{Station, Task};
use crate::limits::{RESUME_OVER, RESUME_SAME_G};
use crate::output::Outputs;
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Page;
use crate::weigh::pan::PanEvents;

/// A drink to be taken up again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Resume {
    tare: Grams,
    gross: Grams,
    asked: bool,
}

/// How it goes on.
enum Way {
    /// With the open step, so much of it in.
    On(Grams),
    /// From the beginning, in what stands there.
    Anew,
    /// Somebody has to say.
    Ask,
}

impl Resume {
    pub(super) const fn new(tare: Grams, gross: Grams) -> Self {
        Self {
            tare,
            gross,
            asked: false,
        }
    }

    fn way(&self, standing: Grams, target: Option<Grams>) -> Way {
        let is = |known: Grams| (standing - known).abs().0 <= RESUME_SAME_G;
        let came = standing - self.gross;
        let most = target.map_or(0.0, |target| target.0 * RESUME_OVER);
        if is(self.gross) {
            Way::On(Grams::ZERO)
        } else if came.0 > 0.0 && came.0 <= most {
            Way::On(came)
        } else if is(self.tare) {
            Way::Anew
        } else {
            Way::Ask
        }
    }
}

impl<'s> Station<'s> {
    /// Finds out how the drink goes on, and lets it.
    #[cold]
    #[inline(never)]
    pub(super) fn take_up_again(&mut self, now: Instant, events: &PanEvents, out: &mut Outputs) {
        let loaded = self.pan.is_still() && self.pan.is_loaded();
        let (Some(resume), Task::Round(round)) = (&mut self.resume, &mut self.task) else {
            self.resume = None;
            return;
        };
        let Some(build) = round.build_mut() else {
            self.resume = None;
            return;
        };
        if resume.asked {
            let goes_on = events.pour_started || events.added.is_some() || events.pressed;
            if goes_on {
                build.adopt(now, &mut self.crew, out);
                build.take(now, events, self.pan.gross(), &mut self.crew, out);
            } else if events.lifted {
                build.restart();
            }
            if goes_on || events.lifted {
                self.resume = None;
            }
            return;
        }
        if !loaded {
            return;
        }
        match resume.way(self.pan.standing(), build.target(&self.crew)) {
            Way::On(came) => {
                build.adopt(now, &mut self.crew, out);
                if came.0 > 0.0 {
                    build.bring(now, came, &mut self.crew, out);
                }
            }
            Way::Anew => {
                build.restart();
                build.adopt(now, &mut self.crew, out);
            }
            Way::Ask => {
                resume.asked = true;
                return;
            }
        }
        self.resume = None;
    }

    /// The page while it asks.
    pub(super) fn asking(&self) -> Option<Page<'s>> {
        let drink = self.round()?.build()?.name();
        let resume = self.resume.as_ref()?;
        resume.asked.then_some(Page::Resume { drink })
    }
}
