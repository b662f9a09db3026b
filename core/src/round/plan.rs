//! In which glass to go on: a plan that saves bottle pick-ups and glass moves.
//!
//! Every glass has its steps in its own order; which glass goes on next is free. A step costs a
//! pick-up when its bottle is not in the hand, and a move when its glass is not on the pan. The
//! best order of all is a shortest path over every combination of positions (eleven to the sixth
//! power of them for six glasses of ten steps), too many for the device. So it is looked for
//! along a beam: step by step the most promising beginnings are kept, judged by what
//! they took and by the least that the rest must take, every bottle picked up once and every
//! glass moved once. The first step of the one that ends cheapest is offered. Nothing is
//! remembered: what a person does instead is simply where the next plan begins.

use heapless::Vec;

use crate::limits::{GLASS_MOVE_S, PICK_UP_S};
use crate::spec::{DrinkId, LiquidId, Sheet, Step};

/// Glasses built side by side.
pub const GLASSES: usize = 6;
/// Steps of one glass that a plan looks at.
pub const STEPS: usize = 10;
/// Beginnings kept at a time: on small rounds nearly always the best is among them.
const WIDTH: usize = 24;
/// Steps that a plan looks ahead; what comes after them counts as the least that it must take.
const AHEAD: usize = 16;

/// Times are reckoned in tenths of a second.
const PICK_UP: u16 = tenths(PICK_UP_S);
const GLASS_MOVE: u16 = tenths(GLASS_MOVE_S);

const fn tenths(seconds: f32) -> u16 {
    (10.0 * seconds + 0.5) as u16
}

/// What a step takes into the hand: a number of its own for every bottle, for the ice scoop, and
/// for nothing that has to be fetched and put back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tool(u8);

impl Tool {
    /// The ice scoop.
    pub const SCOOP: Self = Self(0xFD);
    /// Nothing that has to be fetched and put back.
    pub const BARE: Self = Self(0xFE);
    /// An empty hand that nothing has been in yet.
    pub const NONE: Self = Self(NONE);

    /// A bottle.
    #[must_use]
    pub const fn bottle(liquid: LiquidId) -> Self {
        Self(liquid.0)
    }

    /// What a step takes into the hand; nothing at all for a note.
    #[must_use]
    pub const fn of(step: &Step<'_>) -> Self {
        match *step {
            Step::Pour { liquid, .. }
            | Step::Dash { liquid, .. }
            | Step::Barspoon { liquid, .. }
            | Step::Whole { liquid, .. }
            | Step::Rinse { liquid }
            | Step::Soda { liquid, .. } => Self::bottle(liquid),
            Step::Ice { .. } => Self::SCOOP,
            Step::Stir { .. } | Step::Shake { .. } | Step::Strain => Self::BARE,
            Step::Note { .. } => Self::NONE,
        }
    }

    /// Its bit in a set of tools. Two may share one: the least that is still to come is then
    /// taken for less than it is.
    fn bit(self) -> u32 {
        if self == Self::BARE || self == Self::NONE {
            0
        } else {
            1_u32.wrapping_shl(self.0.into())
        }
    }
}

/// No glass, or nothing in the hand.
const NONE: u8 = 0xFF;

/// What is still to be done in one glass, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Glass {
    /// Each with what it and all after it take into the hand.
    steps: Vec<(u32, Tool), STEPS>,
}

impl Glass {
    /// Of `steps`, the first [`STEPS`]: further ones join the plan as the first are done.
    pub fn of(steps: impl IntoIterator<Item = Tool>) -> Self {
        let mut glass = Self::default();
        for tool in steps.into_iter().take(STEPS) {
            for (rest, _) in &mut glass.steps {
                *rest |= tool.bit();
            }
            // There is room for so many.
            let _ = glass.steps.push((tool.bit(), tool));
        }
        glass
    }

    /// The steps of a drink from `number` until its vessel is taken away: what comes then has its
    /// own time.
    #[must_use]
    pub fn of_drink(sheet: &Sheet<'_>, drink: DrinkId, number: u8) -> Self {
        let mut worked = false;
        let steps = (number..u8::MAX).map_while(|number| {
            let step = sheet.step(drink, number).ok().filter(|_| !worked)?;
            worked = matches!(step, Step::Stir { .. } | Step::Shake { .. });
            Some(Tool::of(&step))
        });
        Self::of(steps.filter(|tool| *tool != Tool::NONE))
    }
}

/// What the plan begins with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Here {
    /// The glass on the pan.
    pub glass: Option<u8>,
    /// What is in the hand.
    pub tool: Tool,
}

/// The step to offer, and what it and all after it are expected to take beyond the pouring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offer {
    /// Which glass goes on.
    pub glass: u8,
    /// Reaching and moving from here to the last step, tenths of a second.
    pub tenths: u16,
}

/// Glasses under way, side by side.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    glasses: Vec<Glass, GLASSES>,
}

/// Where a round stands: how far each glass is, from the lowest byte on, then the glass on the pan,
/// then what is in the hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Point(u64);

impl Point {
    fn new(Here { glass, tool }: Here) -> Self {
        let (glass, tool) = (glass.unwrap_or(NONE), tool.0);
        Self(u64::from(u16::from_be_bytes([tool, glass])) << 48)
    }

    /// How far a glass is.
    fn done(self, glass: u8) -> usize {
        usize::from((self.0 >> (glass << 3)) as u8)
    }

    fn on_pan(self) -> u8 {
        (self.0 >> 48) as u8
    }

    fn in_hand(self) -> Tool {
        Tool((self.0 >> 56) as u8)
    }

    /// After the next step of `glass`, which takes `tool`: what needs nothing leaves the bottle
    /// where it is.
    fn after(self, glass: u8, tool: Tool) -> Self {
        let tool = if tool == Tool::BARE {
            self.in_hand()
        } else {
            tool
        };
        let here = Self::new(Here {
            glass: Some(glass),
            tool,
        });
        let done = self.0.wrapping_add(1 << (glass << 3)) & ((1 << 48) - 1);
        Self(here.0 | done)
    }

    /// Reaching and moving before a step.
    fn cost(self, glass: u8, tool: Tool) -> u16 {
        let moved = if self.on_pan() == glass {
            0
        } else {
            GLASS_MOVE
        };
        // Something has to be put back and something else fetched.
        let picks_up = tool != Tool::BARE && tool != self.in_hand();
        let picked_up = if picks_up { PICK_UP } else { 0 };
        picked_up.saturating_add(moved)
    }
}

/// A beginning of the round.
#[derive(Clone, Copy, Debug)]
struct Beginning {
    point: Point,
    /// What it took.
    tenths: u16,
    /// That and the least that is still to come.
    promises: u16,
    /// The glass of its first step.
    first: u8,
}

impl Plan {
    /// Adds a glass; of more than [`GLASSES`] the first count.
    pub fn add(&mut self, glass: Glass) {
        let _ = self.glasses.push(glass);
    }

    /// Where to go on, among the first `open` glasses; `None` when everything in them is done.
    #[must_use]
    pub fn next(&self, here: Here, open: usize) -> Option<Offer> {
        self.next_from(Point::new(here), open)
    }

    fn next_from(&self, point: Point, open: usize) -> Option<Offer> {
        let mut beam: Vec<Beginning, WIDTH> = Vec::new();
        let start = Beginning {
            point,
            tenths: 0,
            promises: 0,
            first: NONE,
        };
        self.grow(&mut beam, &start, open);
        for _ in 1..AHEAD {
            let mut longer = Vec::new();
            for kept in &beam {
                self.grow(&mut longer, kept, GLASSES);
            }
            if longer.is_empty() {
                break;
            }
            beam = longer;
        }
        let best = beam.first()?;
        Some(Offer {
            glass: best.first,
            tenths: best.promises,
        })
    }

    /// Adds every way on from a beginning, in the first `open` glasses, to the beam.
    fn grow(&self, beam: &mut Vec<Beginning, WIDTH>, from: &Beginning, open: usize) {
        for (number, glass) in (0..).zip(self.glasses.iter().take(open)) {
            let Some((_, tool)) = glass.steps.get(from.point.done(number)) else {
                continue;
            };
            let tenths = from.tenths.saturating_add(from.point.cost(number, *tool));
            let point = from.point.after(number, *tool);
            let first = if from.first == NONE {
                number
            } else {
                from.first
            };
            let promises = tenths.saturating_add(self.least(point));
            keep(
                beam,
                Beginning {
                    point,
                    tenths,
                    promises,
                    first,
                },
            );
        }
    }

    /// What the rest takes at least.
    fn least(&self, point: Point) -> u16 {
        let (mut tools, mut moves) = (0, 0_u16);
        for (number, glass) in (0..).zip(&self.glasses) {
            if let Some((rest, _)) = glass.steps.get(point.done(number)) {
                tools |= rest;
                moves = moves.saturating_add(u16::from(point.on_pan() != number));
            }
        }
        tools &= !point.in_hand().bit();
        let picked_up = (tools.count_ones() as u16).saturating_mul(PICK_UP);
        picked_up.saturating_add(moves.saturating_mul(GLASS_MOVE))
    }

    /// What it takes where every offer is followed, tenths of a second.
    #[must_use]
    pub fn side_by_side(&self, here: Here) -> u16 {
        let (mut at, mut took) = (Point::new(here), 0_u16);
        while let Some(Offer { glass, .. }) = self.next_from(at, GLASSES) {
            let steps = self
                .glasses
                .get(usize::from(glass))
                .map(|glass| &glass.steps);
            let Some((_, tool)) = steps.and_then(|steps| steps.get(at.done(glass))) else {
                break;
            };
            took = took.saturating_add(at.cost(glass, *tool));
            at = at.after(glass, *tool);
        }
        took
    }

    /// What it takes to finish each glass before the next is begun, tenths of a second: what the
    /// plan saves is measured against it.
    #[must_use]
    pub fn one_by_one(&self, here: Here) -> u16 {
        let (mut at, mut took) = (Point::new(here), 0_u16);
        for (number, glass) in (0..).zip(&self.glasses) {
            for (_, tool) in &glass.steps {
                took = took.saturating_add(at.cost(number, *tool));
                at = at.after(number, *tool);
            }
        }
        took
    }
}

/// Puts `new` in its place among the most promising, and drops the last of them where there are
/// too many, and whichever of two that lead to the same point took longer.
fn keep(beam: &mut Vec<Beginning, WIDTH>, new: Beginning) {
    // One place on, each: to insert by moving memory takes 1.5 KB of flash.
    let mut carried = new;
    let mut placed = false;
    for kept in beam.iter_mut() {
        if !placed && kept.point == new.point && kept.tenths <= new.tenths {
            return;
        }
        if placed || kept.promises > new.promises {
            core::mem::swap(kept, &mut carried);
            placed = true;
            if carried.point == new.point {
                return;
            }
        }
    }
    let _ = beam.push(carried);
}
