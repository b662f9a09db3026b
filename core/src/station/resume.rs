//! Taking an open drink up again: what stands on the pan decides.
//!
//! | on the pan | what follows |
//! |---|---|
//! | what stood there last | the open step |
//! | a little more, and the step is poured or is ice | the open step, that much of it in |
//! | the empty vessel | the drink from its beginning |
//! | nothing | the vessel is awaited |
//! | anything else | the panel asks: pouring on means yes, a press anew; lifting it, another try |

use super::{Station, Task};
use crate::build::{Build, Turn};
use crate::limits::{RESUME_OVER, RESUME_SAME_G};
use crate::output::Outputs;
use crate::units::Grams;
use crate::weigh::pan::PanEvents;

/// A drink to be taken up again.
///
/// It brings the way how along: an image that keeps nothing never makes one, and so carries none
/// of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Resume {
    /// Takes what the pan told, with what it carried before, until it is known how the drink goes on;
    /// `false` where there is none any more.
    pub(super) follow: for<'a> fn(&mut Station<'a>, &PanEvents, Grams, &mut Outputs) -> bool,
    /// The drink's number.
    number: u16,
    /// The empty vessel.
    tare: Grams,
    /// What stood on the pan as the open step began; nothing while the drink was strained.
    gross: Option<Grams>,
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
    pub(super) fn new(number: u16, tare: Grams, gross: Option<Grams>) -> Self {
        Self {
            follow: |station, events, before, out| {
                let goes_on = station.is_to_go_on();
                if goes_on {
                    station.take_up_again(events, before, out);
                }
                goes_on
            },
            number,
            tare,
            gross,
            asked: false,
        }
    }

    fn way(&self, standing: Grams, gross: Grams, takes: Option<Grams>) -> Way {
        let is = |known: Grams| (standing - known).abs().0 <= RESUME_SAME_G;
        let came = standing - gross;
        let most = takes.map_or(0.0, |grams| grams.0 * RESUME_OVER);
        if is(gross) {
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

impl Station<'_> {
    /// Voided, or left for something else, it is forgotten: the pan belongs to what there is now.
    fn is_to_go_on(&mut self) -> bool {
        let number = self.resume.map(|resume| resume.number);
        let is_it = |build: &Build<'_>| number == Some(build.number()) && !build.is_done();
        let goes_on = matches!(self.task, Task::Round) && self.round.build().is_some_and(is_it);
        if !goes_on {
            self.resume = None;
        }
        goes_on
    }

    /// Finds out how the drink goes on, and lets it. Apart from what every sample passes through.
    #[cold]
    #[inline(never)]
    fn take_up_again(&mut self, events: &PanEvents, before: Grams, out: &mut Outputs) {
        let still = self.pan.is_still();
        let loaded = still && self.pan.is_loaded();
        let standing = self.pan.standing();
        let mut turn = Turn {
            now: self.now,
            crew: &mut self.crew,
            out,
        };
        let (Some(resume), Some(build)) = (&mut self.resume, self.round.build_mut()) else {
            return;
        };
        let Some(gross) = resume.gross else {
            if still {
                build.end(!loaded, turn.now);
                self.resume = None;
            }
            return;
        };
        if resume.asked {
            if events.pour_started || events.added.is_some() {
                build.go_on(Grams::ZERO, &mut turn);
                build.take(events, before, &mut turn);
            } else if events.pressed {
                build.begin_anew();
                build.adopt(&mut turn);
            } else {
                if events.lifted {
                    resume.asked = false;
                    build.await_again();
                }
                return;
            }
        } else if loaded {
            match resume.way(standing, gross, build.takes(turn.crew)) {
                Way::On(came) => build.go_on(came, &mut turn),
                Way::Anew => {
                    build.begin_anew();
                    build.adopt(&mut turn);
                }
                Way::Ask => {
                    resume.asked = true;
                    build.ask();
                    return;
                }
            }
        } else {
            return;
        }
        self.resume = None;
        let held = self.round.build().is_some_and(Build::has_open_step);
        self.pan.hold_zero(held);
    }
}
