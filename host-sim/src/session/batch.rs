//! What was made ahead: a batch poured into other vessels.

use super::bartender::{Bartender, Doing};
use crate::plant::reflex::micros;
use crate::plant::{Bench, LiquidRef, VesselRef};

/// A mixing glass or tin is poured from its lip, ml/s (assumption: as a slow open neck).
const LIP_ML_S: f64 = 12.0;

/// What stays in it when it is poured out, grams (assumption: a film).
const FILM_G: f64 = 1.0;

/// What is tipped back out by eye is so far from what was meant: one standard deviation, as a share
/// (assumption), and takes so long, seconds (assumption).
const TIPPED_CV: f64 = 0.15;
const TIPPING_S: f64 = 2.5;

/// A batch, from when it is asked for until it is used up.
#[derive(Clone, Debug)]
pub(super) struct Jug {
    /// What the panel calls it.
    name: String,
    /// What it stands in.
    vessel: Option<VesselRef>,
    /// As a liquid, once the first of it is poured.
    mixed: Option<LiquidRef>,
    /// Left of it, grams as shown.
    left_g: f64,
}

impl Jug {
    /// The batch that will be called `name`: the first drink that is made.
    pub(super) fn awaited(name: String) -> Self {
        Self {
            name,
            vessel: None,
            mixed: None,
            left_g: 0.0,
        }
    }

    /// A finished vessel: the first is the batch and stays within reach; any other is served.
    pub(super) fn take_up(&mut self, vessel: Option<VesselRef>) -> Option<VesselRef> {
        if self.vessel.is_some() {
            return vessel;
        }
        self.vessel = vessel;
        None
    }

    pub(super) fn gave(&mut self, name: &str, grams: f64) {
        if self.name == name {
            self.left_g = (self.left_g - grams).max(0.0);
        }
    }
}

impl<'s> Bartender<'s> {
    /// The first drink is a batch of this name, poured into the others.
    pub(super) fn make_ahead(&mut self, name: String) {
        self.jug = Some(Jug::awaited(name));
    }

    /// Tips so many grams out of the vessel on the pan: back to the batch where it came from there.
    pub(super) fn tip_out(&mut self, grams: f64, now_us: u64, bench: &mut Bench) {
        bench.lift();
        if let Some(vessel) = self.vessel {
            let grams = grams * (1.0 + TIPPED_CV * self.fetch.normal()).max(0.0);
            let held_g = bench.contents_shown_g(vessel);
            let (_, tipped_g) = bench.strain_from(vessel, (held_g - grams).max(0.0));
            if let Some(jug) = &mut self.jug
                && jug.mixed.is_some()
            {
                jug.left_g += tipped_g;
            }
        }
        self.doing = Doing::Tipping(now_us + micros(TIPPING_S));
    }

    /// Pours the batch, where that is asked for.
    pub(super) fn pour_made_ahead(
        &mut self,
        name: &'s str,
        share: f64,
        now_us: u64,
        bench: &mut Bench,
    ) -> bool {
        let Some(jug) = self.jug.as_mut().filter(|jug| jug.name == name) else {
            return false;
        };
        let Some(vessel) = jug.vessel else {
            return false;
        };
        let mixed = *jug.mixed.get_or_insert_with(|| {
            let (mixed, grams) = bench.strain_from(vessel, FILM_G);
            jug.left_g = grams;
            mixed
        });
        let left_g = jug.left_g;
        self.note_landing(name, bench);
        self.dropped = None;
        self.rest_of = None;
        let draw = bench.next_pour(mixed, LIP_ML_S * share);
        bench.tilt_drawn(mixed, draw, left_g);
        self.attend(now_us, bench);
        true
    }
}
