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
use crate::spec::LiquidId;

/// Glasses built side by side.
pub const GLASSES: usize = 6;
/// Steps of one glass that a plan looks at.
pub const STEPS: usize = 10;
/// Beginnings kept at a time: on small rounds nearly always the best is among them.
const WIDTH: usize = 32;

/// What a step takes into the hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tool {
    /// A bottle.
    Bottle(LiquidId),
    /// The ice scoop.
    Scoop,
    /// Nothing that has to be fetched and put back.
    Bare,
}

/// What is still to be done in one glass, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Glass {
    steps: Vec<Tool, STEPS>,
}

impl Glass {
    /// Of `steps`, the first [`STEPS`]: further ones join the plan as the first are done.
    pub fn of(steps: impl IntoIterator<Item = Tool>) -> Self {
        Self {
            steps: steps.into_iter().take(STEPS).collect(),
        }
    }

    /// How much is left to do.
    #[must_use]
    pub fn left(&self) -> usize {
        self.steps.len()
    }
}

/// What the plan begins with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Here {
    /// The glass on the pan.
    pub glass: Option<u8>,
    /// What is in the hand.
    pub tool: Option<Tool>,
}

/// The step to offer, and what it and all after it are expected to take beyond the pouring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offer {
    /// Which glass goes on.
    pub glass: u8,
    /// Reaching and moving from here to the last step, seconds.
    pub seconds: f32,
}

/// Glasses under way, side by side.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    glasses: Vec<Glass, GLASSES>,
}

/// How far each glass is.
type Done = [u8; GLASSES];

/// A beginning of the round.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Beginning {
    done: Done,
    here: Here,
    /// The glass of its first step.
    first: u8,
    seconds: f32,
    /// What it took and the least that is still to come, seconds.
    promises: f32,
}

impl Plan {
    /// A plan for these glasses; of more than [`GLASSES`] the first.
    pub fn of(glasses: impl IntoIterator<Item = Glass>) -> Self {
        Self {
            glasses: glasses.into_iter().take(GLASSES).collect(),
        }
    }

    /// Where to go on, `None` when everything is done.
    #[must_use]
    pub fn next(&self, here: Here) -> Option<Offer> {
        let mut beam: Vec<Beginning, WIDTH> = Vec::new();
        self.grow(&mut beam, Done::default(), here, None, 0.0);
        loop {
            let mut longer = Vec::new();
            for kept in &beam {
                let Beginning {
                    done,
                    here,
                    first,
                    seconds,
                    ..
                } = *kept;
                self.grow(&mut longer, done, here, Some(first), seconds);
            }
            if longer.is_empty() {
                let best = beam.first()?;
                return Some(Offer {
                    glass: best.first,
                    seconds: best.seconds,
                });
            }
            beam = longer;
        }
    }

    /// Adds every way on from a beginning to the beam.
    fn grow(
        &self,
        beam: &mut Vec<Beginning, WIDTH>,
        done: Done,
        here: Here,
        first: Option<u8>,
        seconds: f32,
    ) {
        for (glass, tool) in self.open(&done) {
            let mut done = done;
            let seconds = seconds + cost(here, glass, tool);
            let here = step(&mut done, here, glass, tool);
            let beginning = Beginning {
                done,
                here,
                first: first.unwrap_or(glass),
                seconds,
                promises: seconds + self.least_s(&done, here),
            };
            keep(beam, beginning);
        }
    }

    /// What the rest takes at least, seconds.
    fn least_s(&self, done: &Done, here: Here) -> f32 {
        let mut bottles = 0_u128;
        let mut scoop = false;
        let mut moves = 0_u8;
        for (number, (glass, done)) in (0..).zip(self.glasses.iter().zip(done)) {
            let rest = glass.steps.get(usize::from(*done)..).unwrap_or_default();
            if !rest.is_empty() && here.glass != Some(number) {
                moves = moves.saturating_add(1);
            }
            for tool in rest {
                match tool {
                    Tool::Bottle(LiquidId(bottle)) => {
                        bottles |= 1_u128.unbounded_shl((*bottle).into())
                    }
                    Tool::Scoop => scoop = true,
                    Tool::Bare => {}
                }
            }
        }
        let in_hand = match here.tool {
            Some(Tool::Bottle(LiquidId(bottle))) => {
                bottles & 1_u128.unbounded_shl(bottle.into()) != 0
            }
            Some(Tool::Scoop) => scoop,
            Some(Tool::Bare) | None => false,
        };
        let tools =
            bottles.count_ones() as f32 + f32::from(u8::from(scoop)) - f32::from(u8::from(in_hand));
        tools * PICK_UP_S + f32::from(moves) * GLASS_MOVE_S
    }

    /// What it takes to finish each glass before the next is begun, seconds: what the plan saves
    /// is measured against it.
    #[must_use]
    pub fn one_by_one_s(&self, here: Here) -> f32 {
        let mut at = here;
        let mut seconds = 0.0;
        for (number, glass) in (0..).zip(&self.glasses) {
            for tool in &glass.steps {
                seconds += cost(at, number, *tool);
                at = after(at, number, *tool);
            }
        }
        seconds
    }

    /// The next step of every glass that is not done.
    fn open(&self, done: &Done) -> impl Iterator<Item = (u8, Tool)> {
        (0..)
            .zip(self.glasses.iter().zip(done))
            .filter_map(|(number, (glass, done))| {
                let tool = glass.steps.get(usize::from(*done))?;
                Some((number, *tool))
            })
    }
}

/// Keeps `new` in its place if it is among the most promising, and no other beginning that leads
/// to the same point promises as much.
fn keep(beam: &mut Vec<Beginning, WIDTH>, new: Beginning) {
    let same = |kept: &Beginning| kept.done == new.done && kept.here == new.here;
    if let Some(at) = beam.iter().position(same) {
        if beam.get(at).is_some_and(|kept| kept.seconds <= new.seconds) {
            return;
        }
        beam.remove(at);
    }
    let at = beam
        .iter()
        .position(|kept| kept.promises > new.promises)
        .unwrap_or(beam.len());
    if at < WIDTH {
        beam.truncate(WIDTH.saturating_sub(1));
        // There is room, and the place is within it.
        let _ = beam.insert(at, new);
    }
}

/// Does the next step of `glass`, and what stands and lies there then.
fn step(done: &mut Done, here: Here, glass: u8, tool: Tool) -> Here {
    if let Some(done) = done.get_mut(usize::from(glass)) {
        *done = done.saturating_add(1);
    }
    after(here, glass, tool)
}

/// What stands and lies there after a step: what needs nothing leaves the bottle where it is.
fn after(here: Here, glass: u8, tool: Tool) -> Here {
    Here {
        glass: Some(glass),
        tool: if tool == Tool::Bare {
            here.tool
        } else {
            Some(tool)
        },
    }
}

/// Something has to be put back and something else fetched.
fn picks_up(here: Here, tool: Tool) -> bool {
    tool != Tool::Bare && here.tool != Some(tool)
}

/// Reaching and moving before a step, seconds.
fn cost(here: Here, glass: u8, tool: Tool) -> f32 {
    let move_s = if here.glass == Some(glass) {
        0.0
    } else {
        GLASS_MOVE_S
    };
    let pick_up_s = if picks_up(here, tool) { PICK_UP_S } else { 0.0 };
    move_s + pick_up_s
}
