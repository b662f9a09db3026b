//! What leaves a glass again: strained into the one on the pan, or tipped out.

use super::{EMPTY_G, Hands, find};
use crate::desk::glasses::Glasses;
use crate::plant::{Bench, LiquidRef, VesselRef};

/// A strainer lets so much through, ml/s, and so much stays behind, grams.
const STRAINED_ML_S: f64 = 18.0;
const STAYS_BEHIND_G: f64 = 3.0;

/// What is tipped out by eye is so far from what was meant: one standard deviation, as a share
/// (assumption), and takes so long, microseconds (assumption).
const TIPPED_CV: f64 = 0.15;
const TIPPING_US: u64 = 2_500_000;

/// What is strained from a vessel: so many grams of it before.
#[derive(Clone, Copy, Debug)]
struct Strained {
    from: VesselRef,
    mixture: LiquidRef,
    grams: f64,
}

/// Both hands at a strainer.
#[derive(Clone, Debug, Default)]
pub(super) struct Straining {
    on: Option<VesselRef>,
    /// What runs, or ran last.
    runs: Option<Strained>,
    /// What has not been strained of a vessel, for the next glass.
    rest: Option<Strained>,
}

impl Straining {
    pub(super) const fn is_on(&self) -> bool {
        self.on.is_some()
    }

    pub(super) fn is_from(&self, glass: VesselRef) -> bool {
        self.on == Some(glass)
    }
}

impl Hands {
    /// Begins to strain a glass that stands aside; the same again puts the strainer up.
    pub(super) fn strain(
        &mut self,
        number: usize,
        now_us: u64,
        bench: &mut Bench,
        glasses: &Glasses,
    ) -> Result<(), String> {
        let source = find(glasses, bench, number)?;
        if self.straining.is_from(source) {
            self.stop_straining(bench);
            return Ok(());
        }
        if bench.vessel_on_pan().is_none() {
            return Err("set the glass on the pan first".to_owned());
        }
        if self.straining.is_on() || self.tilted.is_some() {
            return Err("both hands are full".to_owned());
        }
        self.end_work(now_us, bench);
        self.settle_poured(bench);
        let rest = self.straining.rest.take_if(|rest| rest.from == source);
        let strained = rest.unwrap_or_else(|| {
            let (mixture, grams) = bench.strain_from(source, STAYS_BEHIND_G);
            Strained {
                from: source,
                mixture,
                grams,
            }
        });
        if strained.grams <= 0.0 {
            return Err("there is nothing in it to strain".to_owned());
        }
        let draw = bench.next_pour(strained.mixture, STRAINED_ML_S);
        bench.tilt_drawn(strained.mixture, draw, strained.grams);
        self.straining.on = Some(source);
        self.straining.runs = Some(strained);
        Ok(())
    }

    /// Lifts what stands on the pan, tips so many grams out of it by eye, and puts it back.
    ///
    /// # Errors
    /// Nothing stands there, or a hand is not free.
    pub fn tip_out(&mut self, grams: f64, now_us: u64, bench: &mut Bench) -> Result<(), String> {
        let Some(vessel) = bench.vessel_on_pan() else {
            return Err("nothing stands on the pan to tip out of".to_owned());
        };
        if self.straining.is_on() || self.tilted.is_some() {
            return Err("both hands are full".to_owned());
        }
        let grams = grams * (1.0 + TIPPED_CV * self.draws.normal()).max(0.0);
        bench.lift();
        let held_g = bench.contents_shown_g(vessel);
        // What is tipped out is gone.
        let _ = bench.strain_from(vessel, (held_g - grams).max(0.0));
        self.set_down(vessel, now_us + TIPPING_US);
        Ok(())
    }

    /// Puts the strainer up.
    pub(super) fn stop_straining(&mut self, bench: &mut Bench) {
        if self.straining.on.take().is_some() {
            bench.tilt_back();
        }
    }

    /// What has left a bottle or a vessel is gone from it.
    pub(super) fn settle_poured(&mut self, bench: &Bench) {
        if let Some((number, before_g)) = self.poured_from.take()
            && let Some(left_g) = self.left_g.get_mut(number)
        {
            *left_g = before_g - bench.out_g();
        }
        if let Some(strained) = self.straining.runs.take() {
            let grams = strained.grams - bench.out_g();
            self.straining.rest = (grams > EMPTY_G).then_some(Strained { grams, ..strained });
        }
    }

    /// What was not strained has never left its vessel, which stands on the pan again.
    pub(super) fn put_back_unstrained(&mut self, glass: VesselRef, bench: &mut Bench) {
        if self.tilted.is_none() {
            self.settle_poured(bench);
        }
        if let Some(rest) = self.straining.rest.take_if(|rest| rest.from == glass) {
            bench.tip_in(rest.mixture, rest.grams);
        }
    }
}
