//! Capture: pours come first, their names before or after, and a spec is what remains.
//!
//! Words: *entry*, one thing that came into the vessel or went from it; *taken*, what it was;
//! *loss*, what is gone and nothing explains, a sip or a spill; *struck*, an entry that is not to
//! be in the spec.
//!
//! Nothing is guided and nothing judged. What the pan sees becomes an entry: a pour, something
//! tipped in at once (a jigger, a cube), a loss, the time the vessel was away (to be stirred or
//! shaken), a strain. Every entry is told as soon as it is known and again whenever it changes, so
//! that whoever listens keeps the last of each number. The text of the spec is made where there
//! is a keyboard.
//!
//! ```text
//! Empty --placed--> On the pan --lifted--> Away --the same, back--> On the pan
//!                                           |
//!                                           +-- another one: what is poured now is strained
//! ```

mod entry;

pub use entry::{Captured, ENTRIES, Taken, Which};

use heapless::Vec;

use crate::limits::{
    ADDED_G, AWAY_LEAST_S, LOST_LEAST_G, LOST_SIGMA_G, PASSING_SIGMA_G, REWEIGHED_G, SAME_VESSEL,
};
use crate::output::{Outputs, Settled};
use crate::spec::{LiquidId, Reading, Unit};
use crate::time::Instant;
use crate::units::Grams;
use crate::view::Page;
use crate::weigh::pan::{Expectation, PanEvents, settled_of};
use crate::weigh::settle::{Body, Settling};

use entry::Entry;

/// What stands on the pan.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Vessel {
    /// None has been set down yet.
    Awaited,
    /// It stands there.
    Here,
    /// It left with this on the pan before, at that time.
    Away { gross: Grams, since: Instant },
}

/// A drink that is made up as it goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Capture {
    entries: Vec<Entry, ENTRIES>,
    vessel: Vessel,
    /// The pour that lands or may still drip.
    open: Option<u8>,
    /// It was lifted while it landed.
    cut: bool,
    /// Its grams so far.
    landing: Grams,
    /// What the next pour is.
    next: Option<LiquidId>,
    /// What comes now is strained.
    straining: bool,
    /// Entries that are to be told, one bit each.
    untold: u32,
}

impl Capture {
    /// Nothing has been poured. With `loaded`, what stands on the pan is the vessel.
    #[must_use]
    pub const fn new(loaded: bool) -> Self {
        Self {
            entries: Vec::new(),
            vessel: if loaded {
                Vessel::Here
            } else {
                Vessel::Awaited
            },
            open: None,
            cut: false,
            landing: Grams::ZERO,
            next: None,
            straining: false,
            untold: 0,
        }
    }

    /// What the pan is to expect: any flow may end by itself, and the next is another bottle.
    #[must_use]
    pub const fn expectation(&self) -> Expectation {
        Expectation {
            body: Body::Unknown,
            stopping: true,
            passes: Some(Grams(LOST_LEAST_G)),
        }
    }

    /// What came last, or comes now.
    #[must_use]
    pub fn page(&self) -> Page<'static> {
        let mass = match (self.open, self.entries.last()) {
            (Some(_), _) if self.landing.0 > 0.0 => self.landing,
            (_, Some(entry)) => entry.amount.mass,
            (_, None) => Grams::ZERO,
        };
        Page::Weight(Reading::of_mass(mass, 1.0, Unit::Gram))
    }

    /// Takes what the pan told; `gross` is what it carried before.
    pub fn take(&mut self, now: Instant, events: &PanEvents, gross: Grams, out: &mut Outputs) {
        if let Some(settling) = events.settling {
            self.settle(settling);
        }
        if let Some(pouring) = &events.pouring
            && !events.pour_started
        {
            self.landing = pouring.line.mass;
        }
        if events.pour_started {
            let taken = if self.straining {
                Taken::Strained
            } else {
                Taken::Poured
            };
            self.straining = false;
            self.landing = Grams::ZERO;
            let liquid = self.next.take();
            self.open = self.push(
                taken,
                liquid,
                Settled {
                    mass: Grams::ZERO,
                    sigma: Grams::ZERO,
                },
                false,
            );
        }
        if let Some(mass) = events.added {
            let liquid = self.next.take();
            self.push(Taken::Tipped, liquid, in_passing(mass), true);
        }
        if let Some(mass) = events.removed {
            self.push(Taken::Lost, None, in_passing(mass), true);
        }
        if events.lifted {
            self.leave(now, gross);
        }
        if let Some(placed) = events.placed {
            self.come(now, placed);
        }
        self.tell(out);
    }

    /// Names an entry: the last that came in, the next, or that of a number. False where there is
    /// none that has a name.
    pub fn name(&mut self, which: Which, liquid: LiquidId, out: &mut Outputs) -> bool {
        let place = match which {
            Which::Next => {
                self.next = Some(liquid);
                return true;
            }
            Which::Last => self.entries.iter().rposition(|one| one.taken.is_named()),
            Which::Entry(number) => Some(usize::from(number)),
        };
        let Some((place, entry)) =
            place.and_then(|place| Some((place, self.entries.get_mut(place)?)))
        else {
            return false;
        };
        if !entry.taken.is_named() {
            return false;
        }
        entry.liquid = Some(liquid);
        if entry.taken == Taken::Strained {
            entry.taken = Taken::Poured;
        }
        self.mark(place);
        self.tell(out);
        true
    }

    /// Takes an entry out of the spec; what it brought is in the vessel all the same. False where
    /// there is none of that number.
    pub fn strike(&mut self, number: u8, out: &mut Outputs) -> bool {
        let place = usize::from(number);
        let Some(entry) = self.entries.get_mut(place) else {
            return false;
        };
        entry.struck = true;
        self.mark(place);
        self.tell(out);
        true
    }

    fn settle(&mut self, settling: Settling) {
        let last = matches!(settling, Settling::Steady(_));
        let Some(number) = self.open else {
            return;
        };
        let settled = settled_of(settling);
        self.landing = Grams::ZERO;
        self.amend(number, settled);
        if last {
            self.open = None;
        }
    }

    fn amend(&mut self, number: u8, amount: Settled) {
        let place = usize::from(number);
        if let Some(entry) = self.entries.get_mut(place) {
            entry.amount = amount;
            self.mark(place);
        }
    }

    fn leave(&mut self, now: Instant, gross: Grams) {
        // What had landed when the vessel went is known in passing.
        self.cut = self.landing.0 > 0.0;
        if let (true, Some(number)) = (self.cut, self.open) {
            self.amend(number, in_passing(self.landing));
        }
        if !self.cut {
            self.open = None;
        }
        self.landing = Grams::ZERO;
        self.vessel = Vessel::Away { gross, since: now };
    }

    fn come(&mut self, now: Instant, placed: Grams) {
        let before = core::mem::replace(&mut self.vessel, Vessel::Here);
        let (cut, open) = (core::mem::take(&mut self.cut), self.open.take());
        let Vessel::Away { gross, since } = before else {
            return;
        };
        let came = placed - gross;
        let contents = self.contents();
        let (grams, share) = SAME_VESSEL;
        let more = grams.max(share * gross.0);
        let landed = match (cut, open) {
            (true, Some(number)) => self.amount_of(number),
            _ => Grams::ZERO,
        };
        let seconds = now.seconds_since(since);
        let away = Taken::Away(seconds as u16);
        let same = came.0 <= more + 1.5 * landed.0 && came.0 >= -(contents.0 + more);
        if !same {
            if let (true, Some(number)) = (landed.0 < LOST_LEAST_G, open.filter(|_| cut)) {
                self.unpour(number, Grams::ZERO);
            }
            if seconds >= AWAY_LEAST_S && contents.0 > 0.0 {
                self.push(away, None, nothing(), true);
            }
            self.straining = contents.0 > 0.0;
            return;
        }
        // A hand that takes hold leans on the pan, which looks like a pour until it is weighed.
        let only_a_hand = came.0 < ADDED_G;
        if let (true, true, Some(number)) = (cut, only_a_hand, open) {
            self.unpour(number, came);
            if came.0 > -LOST_LEAST_G && seconds >= AWAY_LEAST_S && contents.0 > 0.0 {
                self.push(away, None, nothing(), true);
            }
        } else if let (true, Some(number)) = (cut, open) {
            let amount = Settled {
                mass: Grams(came.0.max(0.0)),
                sigma: Grams(REWEIGHED_G),
            };
            self.amend(number, amount);
        } else if came.0 <= -LOST_LEAST_G {
            self.push(Taken::Lost, None, reweighed(-came), true);
        } else {
            if came.0 >= LOST_LEAST_G {
                let liquid = self.next.take();
                self.push(Taken::Tipped, liquid, reweighed(came), true);
            }
            if seconds >= AWAY_LEAST_S && contents.0 > 0.0 {
                self.push(away, None, nothing(), true);
            }
        }
    }

    /// The entry was no pour: what is missing now is a loss, and where nothing is, it is struck.
    fn unpour(&mut self, number: u8, came: Grams) {
        let place = usize::from(number);
        if let Some(entry) = self.entries.get_mut(place) {
            self.next = entry.liquid.take().or(self.next);
            entry.taken = Taken::Lost;
            entry.struck = came.0 > -LOST_LEAST_G;
            entry.amount = if entry.struck {
                nothing()
            } else {
                reweighed(-came)
            };
            self.mark(place);
        }
    }

    /// What is in the vessel, as far as it is known.
    fn contents(&self) -> Grams {
        self.entries.iter().fold(Grams::ZERO, |held, entry| {
            let mass = entry.amount.mass;
            match entry.taken {
                Taken::Poured | Taken::Tipped => held + mass,
                Taken::Lost => Grams((held - mass).0.max(0.0)),
                Taken::Strained => mass,
                Taken::Away(_) => held,
            }
        })
    }

    fn amount_of(&self, number: u8) -> Grams {
        let entry = self.entries.get(usize::from(number));
        entry.map_or(Grams::ZERO, |entry| entry.amount.mass)
    }

    /// A new entry, to be told where `known`; what is beyond [`ENTRIES`] is not kept.
    fn push(
        &mut self,
        taken: Taken,
        liquid: Option<LiquidId>,
        amount: Settled,
        known: bool,
    ) -> Option<u8> {
        let place = self.entries.len();
        let entry = Entry {
            taken,
            liquid,
            amount,
            struck: false,
        };
        self.entries.push(entry).ok()?;
        if known {
            self.mark(place);
        }
        u8::try_from(place).ok()
    }

    fn mark(&mut self, place: usize) {
        let bit = u32::try_from(place)
            .ok()
            .and_then(|place| 1_u32.checked_shl(place));
        self.untold |= bit.unwrap_or(0);
    }

    /// One entry a call; the next sample tells the next.
    fn tell(&mut self, out: &mut Outputs) {
        if self.untold == 0 || out.captured.is_some() {
            return;
        }
        let place = self.untold.trailing_zeros();
        self.untold &= self.untold.wrapping_sub(1);
        if let (Ok(number), Some(entry)) = (
            u8::try_from(place),
            usize::try_from(place)
                .ok()
                .and_then(|place| self.entries.get(place)),
        ) {
            out.captured = Some(entry.told(number));
        }
    }
}

const fn nothing() -> Settled {
    Settled {
        mass: Grams::ZERO,
        sigma: Grams::ZERO,
    }
}

const fn in_passing(mass: Grams) -> Settled {
    Settled {
        mass,
        sigma: Grams(PASSING_SIGMA_G),
    }
}

const fn reweighed(mass: Grams) -> Settled {
    Settled {
        mass,
        sigma: Grams(LOST_SIGMA_G),
    }
}
