//! From what the station tells to entries.
//!
//! ```text
//! Empty --placed--> On the pan --lifted--> Away --the same, back--> On the pan
//!                                           |
//!                                           +-- another one: what is poured now is strained
//! ```

use std::collections::{BTreeSet, VecDeque};

use pennyweight_core::limits::{ADDED_G, LOST_SIGMA_G, PASSING_SIGMA_G, SAME_VESSEL};
use pennyweight_core::output::{Outputs, Settled};
use pennyweight_core::spec::LiquidId;
use pennyweight_core::units::Grams;
use pennyweight_core::{Instant, Station};

use super::entry::{Captured, ENTRIES, Said, Taken, Which};

/// A vessel that weighs less by this, grams, has lost some of what was in it: the water under its
/// foot comes and goes by less (assumption).
const LOST_LEAST_G: f32 = 4.0;

/// Away for so long, seconds, a vessel may have been stirred or shaken; sooner it was only moved
/// (assumption).
const AWAY_LEAST_S: f32 = 6.0;

/// Sigma of a pour weighed with its vessel, grams: water under the foot comes and goes (assumption).
const REWEIGHED_G: f32 = 0.5;

/// A hand takes hold of a vessel for so long, seconds, before it is off the pan: what the pan shows
/// meanwhile is no liquid (assumption).
const GRASP_S: f32 = 0.4;

/// A reading that stays within so many grams for so many seconds is what stands there
/// (assumption).
const STANDS: (f32, f32) = (0.3, 2.0);

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
#[derive(Clone, Debug)]
pub struct Capture {
    entries: Vec<Captured>,
    vessel: Vessel,
    /// What the vessel weighed when it was set down, and the first entry since.
    set_down: (Grams, usize),
    /// The pour that lands or may still drip.
    open: Option<usize>,
    /// Its grams so far, with the times; empty once they are settled.
    landing: VecDeque<(Instant, Grams)>,
    /// It was lifted while it landed.
    cut: bool,
    /// What the next pour is.
    next: Option<LiquidId>,
    /// What comes now is strained.
    straining: bool,
    /// Since when the pan has shown about this.
    stands: (Instant, Grams),
    /// Entries that are to be told.
    untold: BTreeSet<usize>,
}

impl Capture {
    /// Nothing has been poured; what stands on the pan of this station is the vessel.
    #[must_use]
    pub fn begin(now: Instant, station: &Station<'_>) -> Self {
        let (pan, _) = station.weight();
        let loaded = pan.0 >= ADDED_G;
        Self {
            entries: Vec::new(),
            vessel: if loaded {
                Vessel::Here
            } else {
                Vessel::Awaited
            },
            set_down: (pan, 0),
            open: None,
            landing: VecDeque::new(),
            cut: false,
            next: None,
            straining: false,
            stands: (now, pan),
            untold: BTreeSet::new(),
        }
    }

    /// Takes what the station told at `now`, with `pan` on it ([`Station::weight`]); gives the
    /// entries that are known now, or known better.
    pub fn take(&mut self, now: Instant, outputs: &Outputs, pan: Grams) -> Vec<Captured> {
        let settled = outputs.landed.or(outputs.amended).or(outputs.steady);
        if let (Some(place), Some(settled)) = (self.open, settled) {
            self.landing.clear();
            self.amend(place, settled);
            if outputs.steady.is_some() {
                self.open = None;
            }
        }
        self.follow(now, pan);
        if outputs.pour_started {
            self.begin_pour(now);
        }
        if let Some(mass) = outputs.added {
            let liquid = self.next.take();
            self.push(Taken::Tipped, liquid, in_passing(mass), true);
        }
        self.stand(now, pan);
        if outputs.lifted {
            self.leave(now);
        }
        if let Some(placed) = outputs.placed {
            self.come(now, placed);
            self.set_down = (placed, self.entries.len());
            self.stands = (now, pan);
        }
        self.told()
    }

    /// Takes what is said of the entries; `None` where there is none that it could be of.
    pub fn hear(&mut self, said: Said) -> Option<Vec<Captured>> {
        match said {
            Said::Name(Which::Next, liquid) => self.next = Some(liquid),
            Said::Name(which, liquid) => {
                let place = match which {
                    Which::Entry(number) => usize::from(number),
                    Which::Last | Which::Next => {
                        self.entries.iter().rposition(|one| one.taken.is_named())?
                    }
                };
                let entry = self.entries.get_mut(place)?;
                if !entry.taken.is_named() {
                    return None;
                }
                entry.liquid = Some(liquid);
                if entry.taken == Taken::Strained {
                    entry.taken = Taken::Poured;
                }
                self.untold.insert(place);
            }
            // What it brought is in the vessel all the same.
            Said::Strike(number) => {
                let place = usize::from(number);
                self.entries.get_mut(place)?.struck = true;
                self.untold.insert(place);
            }
        }
        Some(self.told())
    }

    fn begin_pour(&mut self, now: Instant) {
        let taken = if std::mem::take(&mut self.straining) {
            Taken::Strained
        } else {
            Taken::Poured
        };
        let liquid = self.next.take();
        self.open = self.push(taken, liquid, Settled::default(), false);
        self.landing.clear();
        if self.open.is_some() {
            self.landing.push_back((now, Grams::ZERO));
        }
    }

    /// Follows a pour that has not settled, back to before a hand may have taken hold.
    fn follow(&mut self, now: Instant, pan: Grams) {
        if self.landing.is_empty() {
            return;
        }
        self.landing.push_back((now, pan - self.gross()));
        while let Some((at, _)) = self.landing.get(1)
            && now.seconds_since(*at) >= GRASP_S
        {
            self.landing.pop_front();
        }
    }

    /// What went while the vessel stood there: drawn off with a spoon or a straw.
    fn stand(&mut self, now: Instant, pan: Grams) {
        let (within, seconds) = STANDS;
        let (since, level) = self.stands;
        if (pan - level).abs().0 > within {
            self.stands = (now, pan);
        } else if self.vessel == Vessel::Here
            && self.open.is_none()
            && now.seconds_since(since) >= seconds
            && !self.entries.is_empty()
        {
            let gone = self.gross() - pan;
            if gone.0 >= LOST_LEAST_G && gone.0 <= self.contents().0 + LOST_LEAST_G {
                self.push(Taken::Lost, None, in_passing(gone), true);
            }
        }
    }

    fn leave(&mut self, now: Instant) {
        let landed = self.landing.front().map(|(_, landed)| *landed);
        self.cut = landed.is_some();
        if let (Some(place), Some(landed)) = (self.open, landed) {
            // What had landed when the vessel went is known in passing.
            self.amend(place, in_passing(Grams(landed.0.max(0.0))));
        } else {
            self.open = None;
        }
        self.landing.clear();
        let gross = self.gross();
        self.vessel = Vessel::Away { gross, since: now };
    }

    fn come(&mut self, now: Instant, placed: Grams) {
        let before = std::mem::replace(&mut self.vessel, Vessel::Here);
        let cut = self.open.take().filter(|_| std::mem::take(&mut self.cut));
        let Vessel::Away { gross, since } = before else {
            return;
        };
        let came = placed - gross;
        let contents = self.contents();
        let (grams, share) = SAME_VESSEL;
        let more = grams.max(share * gross.0);
        let landed = cut.map_or(0.0, |place| self.amount_of(place).0);
        let same = came.0 <= more + 1.5 * landed && came.0 >= -(contents.0 + more);
        let seconds = now.seconds_since(since);
        let worked = seconds >= AWAY_LEAST_S && contents.0 > 0.0;
        let away = Taken::Away(seconds as u16);
        // A hand that takes hold leans on the pan, which looks like a pour until it is weighed.
        let hand = if same {
            came.0 < ADDED_G
        } else {
            landed < LOST_LEAST_G
        };
        match cut {
            Some(place) if hand => {
                self.unpour(place, if same { came } else { Grams::ZERO });
                if worked && (!same || came.0 > -LOST_LEAST_G) {
                    self.push(away, None, Settled::default(), true);
                }
            }
            Some(place) if same => {
                let amount = Settled {
                    mass: came,
                    sigma: Grams(REWEIGHED_G),
                };
                self.amend(place, amount);
            }
            None if same && came.0 <= -LOST_LEAST_G => {
                self.push(Taken::Lost, None, reweighed(-came), true);
            }
            Some(_) | None => {
                if same && came.0 >= LOST_LEAST_G {
                    let liquid = self.next.take();
                    self.push(Taken::Tipped, liquid, reweighed(came), true);
                }
                if worked {
                    self.push(away, None, Settled::default(), true);
                }
            }
        }
        if !same {
            self.straining = contents.0 > 0.0;
        }
    }

    /// The entry was no pour: what is missing now is a loss, and where nothing is, it is struck.
    fn unpour(&mut self, place: usize, came: Grams) {
        let Some(entry) = self.entries.get_mut(place) else {
            return;
        };
        self.next = entry.liquid.take().or(self.next);
        entry.taken = Taken::Lost;
        entry.struck = came.0 > -LOST_LEAST_G;
        entry.amount = if entry.struck {
            Settled::default()
        } else {
            reweighed(-came)
        };
        self.untold.insert(place);
    }

    fn amend(&mut self, place: usize, amount: Settled) {
        if let Some(entry) = self.entries.get_mut(place) {
            entry.amount = amount;
            self.untold.insert(place);
        }
    }

    /// What the pan ought to carry without the pour that has not settled.
    fn gross(&self) -> Grams {
        let (placed, first) = self.set_down;
        let unsettled = self.open.filter(|_| !self.landing.is_empty() || self.cut);
        let since = self.entries.iter().enumerate().skip(first);
        since.fold(placed, |gross, (place, entry)| {
            let mass = entry.amount.mass;
            match entry.taken {
                _ if Some(place) == unsettled => gross,
                Taken::Poured | Taken::Tipped | Taken::Strained => gross + mass,
                Taken::Lost => gross - mass,
                Taken::Away(_) => gross,
            }
        })
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

    fn amount_of(&self, place: usize) -> Grams {
        let entry = self.entries.get(place);
        entry.map_or(Grams::ZERO, |entry| entry.amount.mass)
    }

    /// A new entry, to be told where `known`; what is beyond [`ENTRIES`] is not kept.
    fn push(
        &mut self,
        taken: Taken,
        liquid: Option<LiquidId>,
        amount: Settled,
        known: bool,
    ) -> Option<usize> {
        let place = self.entries.len();
        if place >= ENTRIES {
            return None;
        }
        self.entries.push(Captured {
            entry: place as u8,
            taken,
            liquid,
            amount,
            struck: false,
        });
        if known {
            self.untold.insert(place);
        }
        Some(place)
    }

    fn told(&mut self) -> Vec<Captured> {
        let untold = std::mem::take(&mut self.untold);
        let told = untold.iter().filter_map(|place| self.entries.get(*place));
        told.copied().collect()
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
