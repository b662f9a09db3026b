//! A batch that the hands have made, and then pour like a bottle of the shelf.

use super::{EMPTY_G, FRESH_BOTTLE_G, Hands};
use crate::plant::{Bench, LiquidRef, VesselRef};
use crate::session::{FILM_G, MadeAhead};

impl Hands {
    /// The bottle of this number is a batch, which is made first.
    pub fn await_ahead(&mut self, number: usize) {
        self.set_ahead(number, MadeAhead::default());
    }

    /// The number of the bottle that is a batch.
    #[must_use]
    pub fn batch(&self) -> Option<usize> {
        self.ahead.map(|(number, _)| number)
    }

    /// The batch as it stands.
    #[must_use]
    pub fn ahead(&self) -> Option<MadeAhead> {
        let (number, made) = self.ahead?;
        let left_g = self.left_g.get(number).copied().unwrap_or_default();
        let poured = made.poured.map(|(mixed, _)| (mixed, left_g));
        Some(MadeAhead { poured, ..made })
    }

    /// Takes the batch as somebody else has left it.
    pub fn set_ahead(&mut self, number: usize, made: MadeAhead) {
        if let Some(left_g) = self.left_g.get_mut(number) {
            *left_g = made.poured.map_or(0.0, |(_, left_g)| left_g);
        }
        self.ahead = Some((number, made));
    }

    /// The batch is made: it stands in this vessel.
    pub fn made_ahead(&mut self, vessel: VesselRef) {
        if let Some((_, made)) = &mut self.ahead {
            made.vessel = Some(vessel);
        }
    }

    /// What the bottle of this number pours: its own liquid, or the batch that was made.
    pub(super) fn liquid_of(
        &mut self,
        number: usize,
        bench: &mut Bench,
    ) -> Result<LiquidRef, String> {
        let batch = self.ahead.as_mut().filter(|(batch, _)| *batch == number);
        let Some((_, made)) = batch else {
            if self.left_g[number] < EMPTY_G {
                self.left_g[number] = FRESH_BOTTLE_G;
            }
            return Ok(LiquidRef(number));
        };
        let vessel = made.vessel.ok_or("the batch is not made yet")?;
        if bench.vessel_on_pan() == Some(vessel) {
            return Err("the batch stands on the pan: lift it first".to_owned());
        }
        let mixed = match made.poured {
            Some((mixed, _)) => mixed,
            None => {
                let (mixed, grams) = bench.strain_from(vessel, FILM_G);
                made.poured = Some((mixed, grams));
                self.left_g[number] = grams;
                mixed
            }
        };
        if self.left_g[number] < EMPTY_G {
            return Err("the batch is used up".to_owned());
        }
        Ok(mixed)
    }

    /// A batch is poured: nobody dashes from a mixing glass.
    pub(super) fn is_no_batch(&self, number: usize) -> Result<(), String> {
        if self.ahead.is_some_and(|(batch, _)| batch == number) {
            return Err("the batch is poured".to_owned());
        }
        Ok(())
    }
}
