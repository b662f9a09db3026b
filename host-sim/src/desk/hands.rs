//! The hands of whoever sits at the page: what they hold, carry and let go.

use pennyweight_core::spec::Family;

use super::glasses::{Glasses, kind_named};
use super::wish::Wish;
use crate::plant::draw::{Draws, Process};
use crate::plant::ice::{Chilling, melted_g};
use crate::plant::{Bench, LiquidRef, VesselRef};
use crate::session::BarBottle;

/// What a fresh bottle holds, grams (0.7 l of a thin liquid).
const FRESH_BOTTLE_G: f64 = 660.0;

/// A bottle with less than this is put away, and a fresh one taken, grams.
const EMPTY_G: f64 = 1.0;

/// A tilt that is not repeated for so long has been let go: the page, its browser or the wire
/// is gone.
const LET_GO_US: u64 = 700_000;

/// A hand follows a changed tilt within so long, seconds (assumption).
const FOLLOWS_S: f64 = 0.12;

/// A vessel just lifted is clear of the pan after so long, microseconds.
const CLEAR_US: u64 = 400_000;

/// Cubes fall one after the other, so far apart, microseconds.
const CUBES_APART_US: u64 = 280_000;

/// A barspoon, ml, and how evenly it is filled (common practice, no source).
const BARSPOON_ML: f64 = 5.0;
const BARSPOON_CV: f64 = 0.08;

/// A spoonful taken out of a glass, grams.
const SPOONFUL_G: f64 = 3.0;

/// A bar spoon and a wet towel lying on the pan, grams (assumption).
const SPOON_G: f64 = 32.0;
const TOWEL_G: f64 = 140.0;

/// A strainer lets so much through, ml/s, and so much stays behind, grams.
const STRAINED_ML_S: f64 = 18.0;
const STAYS_BEHIND_G: f64 = 3.0;

/// How the flow follows the tilt: see [`share`].
const MOST_SHARE: f64 = 2.2;
const TILT_POWER: f64 = 1.15;
const CAREFUL_ML_S: f64 = 8.0;

/// A hand that rests, grams and seconds.
const PRESS: (f64, f64) = (500.0, 1.2);

/// A bottle in the hand.
#[derive(Clone, Copy, Debug)]
struct Tilted {
    bottle: usize,
    far: f64,
    full_g_s: f64,
    left_before_g: f64,
    heard_us: u64,
}

/// A vessel being stirred or shaken.
#[derive(Clone, Copy, Debug)]
struct Worked {
    glass: VesselRef,
    chilling: Chilling,
    since_us: u64,
}

/// What happens a little later.
#[derive(Clone, Copy, Debug)]
enum Later {
    Place(VesselRef),
    Cube,
}

/// The hands.
#[derive(Debug)]
pub struct Hands {
    bar: Vec<BarBottle>,
    left_g: Vec<f64>,
    tilted: Option<Tilted>,
    poured_from: Option<(usize, f64)>,
    straining: bool,
    later: Vec<(u64, Later)>,
    worked: Option<Worked>,
    lifted_us: u64,
    spoon: bool,
    towel: bool,
    draws: Draws,
}

impl Hands {
    /// Hands that hold nothing, and a bar of full bottles.
    #[must_use]
    pub fn new(bar: Vec<BarBottle>, seed: u64) -> Self {
        Self {
            left_g: vec![FRESH_BOTTLE_G; bar.len()],
            bar,
            tilted: None,
            poured_from: None,
            straining: false,
            later: Vec::new(),
            worked: None,
            lifted_us: 0,
            spoon: false,
            towel: false,
            draws: Draws::new(seed, Process::Fetch, 7_000),
        }
    }

    /// The bottle in the hand and how far it is tilted.
    #[must_use]
    pub fn tilted(&self) -> Option<(usize, f64)> {
        self.tilted.map(|tilted| (tilted.bottle, tilted.far))
    }

    /// What is being done to a glass that stands aside.
    #[must_use]
    pub fn work_on(&self, glass: VesselRef) -> Option<&'static str> {
        let worked = self.worked.filter(|worked| worked.glass == glass)?;
        Some(match worked.chilling {
            Chilling::Stirred => "stir",
            Chilling::Shaken => "shake",
        })
    }

    /// When these hands move next by themselves.
    #[must_use]
    pub fn next_us(&self, now_us: u64) -> Option<u64> {
        let let_go = self.tilted.map(|tilted| tilted.heard_us + LET_GO_US);
        let strained = self.straining.then_some(now_us + 50_000);
        let later = self.later.iter().map(|(due, _)| *due).min();
        [let_go, strained, later].into_iter().flatten().min()
    }

    /// Does what is due.
    pub fn act(&mut self, now_us: u64, bench: &mut Bench) {
        if self
            .tilted
            .is_some_and(|tilted| now_us >= tilted.heard_us + LET_GO_US)
        {
            self.upright(bench);
        }
        if self.straining && bench.bottle_is_empty() {
            self.straining = false;
            bench.tilt_back();
        }
        while let Some(index) = self.later.iter().position(|(due, _)| *due <= now_us) {
            let (_, act) = self.later.remove(index);
            match act {
                Later::Place(glass) => bench.place(glass),
                Later::Cube => {
                    let grams = bench.usual_cube_g();
                    bench.drop_ice(grams);
                }
            }
        }
    }

    /// Puts everything out of these hands.
    pub fn drop_all(&mut self, now_us: u64, bench: &mut Bench) {
        self.upright(bench);
        if std::mem::take(&mut self.straining) {
            bench.tilt_back();
        }
        self.later.clear();
        self.end_work(now_us, bench);
    }

    /// Does what was wished for, as far as hands do it.
    ///
    /// # Errors
    /// Why it cannot be done now, in a sentence.
    pub fn carry_out(
        &mut self,
        wish: &Wish,
        now_us: u64,
        bench: &mut Bench,
        glasses: &mut Glasses,
    ) -> Result<(), String> {
        match wish {
            Wish::Tilt { bottle, far } => self.tilt(*bottle, *far, now_us, bench)?,
            Wish::Upright => self.upright(bench),
            Wish::Dash { bottle } => self.dash(*bottle, bench)?,
            Wish::Barspoon { bottle } => self.barspoon(*bottle, bench)?,
            Wish::Take { vessel } => {
                let kind = kind_named(vessel).ok_or_else(|| format!("no vessel is a {vessel}"))?;
                self.pan_is_free(bench)?;
                let glass = bench.take_vessel(kind);
                self.set_down(glass, now_us);
            }
            Wish::Place { glass } => {
                let glass = find(glasses, bench, *glass)?;
                self.pan_is_free(bench)?;
                self.end_work(now_us, bench);
                self.set_down(glass, now_us);
            }
            Wish::Lift => {
                if bench.vessel_on_pan().is_none() {
                    return Err("nothing stands on the pan".to_owned());
                }
                self.lifted_us = now_us;
                bench.lift();
            }
            Wish::Serve { glass } => {
                let glass = find(glasses, bench, *glass)?;
                self.end_work(now_us, bench);
                glasses.serve(glass);
            }
            Wish::Ice { cubes } => {
                let first_us = self.later.iter().map(|(due, _)| *due).max();
                let mut due_us = first_us.map_or(now_us, |last| last.max(now_us) + CUBES_APART_US);
                for _ in 0..*cubes {
                    self.later.push((due_us, Later::Cube));
                    due_us += CUBES_APART_US;
                }
            }
            Wish::Stir { glass } => self.work(*glass, Chilling::Stirred, now_us, bench, glasses)?,
            Wish::Shake { glass } => self.work(*glass, Chilling::Shaken, now_us, bench, glasses)?,
            Wish::Strain { glass } => self.strain(*glass, now_us, bench, glasses)?,
            Wish::SpoonOut => {
                if bench.vessel_on_pan().is_none() {
                    return Err("nothing stands on the pan to take a spoonful from".to_owned());
                }
                bench.spoon_out(SPOONFUL_G);
            }
            Wish::Spoon => lay(bench, &mut self.spoon, SPOON_G),
            Wish::Towel => lay(bench, &mut self.towel, TOWEL_G),
            Wish::Wipe => {
                self.spoon = false;
                self.towel = false;
                bench.wipe();
            }
            Wish::Press => bench.press(PRESS.0, PRESS.1),
            Wish::Knock => {
                let grams = self.draws.between(20.0, 60.0);
                bench.knock(grams);
            }
            Wish::Power { .. }
            | Wish::Order { .. }
            | Wish::Afresh { .. }
            | Wish::Skip
            | Wish::Zero
            | Wish::Mode { .. }
            | Wish::Watch { .. } => {}
        }
        Ok(())
    }

    fn bottle(&self, number: usize) -> Result<&BarBottle, String> {
        let count = self.bar.len();
        self.bar
            .get(number)
            .ok_or_else(|| format!("the shelf has {count} bottles, none is number {number}"))
    }

    fn tilt(
        &mut self,
        number: usize,
        far: f64,
        now_us: u64,
        bench: &mut Bench,
    ) -> Result<(), String> {
        let flow_ml_s = self.bottle(number)?.flow_ml_s;
        if self.straining {
            return Err("both hands are straining".to_owned());
        }
        if let Some(tilted) = &mut self.tilted
            && tilted.bottle == number
        {
            tilted.heard_us = now_us;
            if (far - tilted.far).abs() > 1e-3 {
                tilted.far = far;
                bench.set_flow(tilted.full_g_s * share(far), FOLLOWS_S);
            }
            return Ok(());
        }
        self.upright(bench);
        self.settle_bottle(bench);
        if self.left_g[number] < EMPTY_G {
            self.left_g[number] = FRESH_BOTTLE_G;
        }
        let left_before_g = self.left_g[number];
        let draw = bench.next_pour(LiquidRef(number), flow_ml_s);
        let (full_g_s, ramp_up_s) = (draw.full_g_s, draw.ramp_up_s);
        bench.tilt_drawn(LiquidRef(number), draw, left_before_g);
        bench.set_flow(full_g_s * share(far), ramp_up_s);
        self.poured_from = Some((number, left_before_g));
        self.tilted = Some(Tilted {
            bottle: number,
            far,
            full_g_s,
            left_before_g,
            heard_us: now_us,
        });
        Ok(())
    }

    fn upright(&mut self, bench: &mut Bench) {
        if self.tilted.take().is_some() {
            bench.tilt_back();
        }
    }

    /// What the last pour took is gone from its bottle.
    fn settle_bottle(&mut self, bench: &Bench) {
        if let Some((number, before_g)) = self.poured_from.take()
            && let Some(left_g) = self.left_g.get_mut(number)
        {
            *left_g = before_g - bench.out_g();
        }
    }

    /// The bottle in the hand has run dry.
    #[must_use]
    pub fn runs_dry(&self, bench: &Bench) -> bool {
        self.tilted
            .is_some_and(|tilted| tilted.left_before_g - bench.out_g() < EMPTY_G)
    }

    fn dash(&mut self, number: usize, bench: &mut Bench) -> Result<(), String> {
        let bottle = self.bottle(number)?;
        let liquid = LiquidRef(number);
        if bottle.liquid.family == Family::Whole {
            let grams = bottle.piece_g * (1.0 + BARSPOON_CV * self.draws.normal());
            bench.tip_in(liquid, grams);
        } else {
            let usual_ml = bench.usual_dash_ml(liquid);
            bench.dash(liquid, usual_ml);
        }
        Ok(())
    }

    fn barspoon(&mut self, number: usize, bench: &mut Bench) -> Result<(), String> {
        let density = self.bottle(number)?.liquid.density_g_ml;
        let evenly = 1.0 + BARSPOON_CV * self.draws.normal();
        bench.tip_in(LiquidRef(number), BARSPOON_ML * density * evenly);
        Ok(())
    }

    /// Nothing stands on the pan, and nothing is about to; what is being lifted counts as gone.
    fn pan_is_free(&self, bench: &Bench) -> Result<(), String> {
        let coming = |(_, act): &(u64, Later)| matches!(act, Later::Place(_));
        let leaving = self.lifted_us > 0 && bench.now_us() < self.lifted_us + CLEAR_US;
        if (bench.vessel_on_pan().is_some() && !leaving) || self.later.iter().any(coming) {
            return Err("something stands on the pan: lift it first".to_owned());
        }
        Ok(())
    }

    fn set_down(&mut self, glass: VesselRef, now_us: u64) {
        let due_us = now_us.max(self.lifted_us + CLEAR_US);
        self.later.push((due_us, Later::Place(glass)));
    }

    /// Begins to stir or shake; the same again ends it.
    fn work(
        &mut self,
        number: usize,
        chilling: Chilling,
        now_us: u64,
        bench: &mut Bench,
        glasses: &Glasses,
    ) -> Result<(), String> {
        let glass = find(glasses, bench, number)?;
        let same = self
            .worked
            .is_some_and(|worked| worked.glass == glass && worked.chilling == chilling);
        self.end_work(now_us, bench);
        if !same {
            self.worked = Some(Worked {
                glass,
                chilling,
                since_us: now_us,
            });
        }
        Ok(())
    }

    /// What was worked has melted some of its ice.
    fn end_work(&mut self, now_us: u64, bench: &mut Bench) {
        if let Some(worked) = self.worked.take() {
            let seconds = now_us.saturating_sub(worked.since_us) as f64 * 1e-6;
            let held = bench.held(worked.glass);
            let grams = melted_g(&held, worked.chilling, seconds, &mut self.draws);
            bench.melt(worked.glass, grams);
        }
    }

    fn strain(
        &mut self,
        number: usize,
        now_us: u64,
        bench: &mut Bench,
        glasses: &Glasses,
    ) -> Result<(), String> {
        let source = find(glasses, bench, number)?;
        if bench.vessel_on_pan().is_none() {
            return Err("set the glass on the pan first".to_owned());
        }
        if self.straining || self.tilted.is_some() {
            return Err("both hands are full".to_owned());
        }
        self.end_work(now_us, bench);
        self.settle_bottle(bench);
        let (mixture, grams) = bench.strain_from(source, STAYS_BEHIND_G);
        if grams <= 0.0 {
            return Err("there is nothing in it to strain".to_owned());
        }
        let draw = bench.next_pour(mixture, STRAINED_ML_S);
        bench.tilt_drawn(mixture, draw, grams);
        self.straining = true;
        Ok(())
    }
}

/// The share of the usual flow at a tilt: half way is about the usual, all the way down a
/// little over twice that (assumption).
fn share(far: f64) -> f64 {
    MOST_SHARE * far.powf(TILT_POWER)
}

/// The tilt at which a bottle that usually gives `flow_ml_s` gives what a careful hand pours:
/// 8 ml/s, or what it has.
#[must_use]
pub fn careful_tilt(flow_ml_s: f64) -> f64 {
    let far = (CAREFUL_ML_S / flow_ml_s / MOST_SHARE).powf(1.0 / TILT_POWER);
    (100.0 * far.clamp(0.2, 0.6)).round() / 100.0
}

fn lay(bench: &mut Bench, lies: &mut bool, grams: f64) {
    *lies = !*lies;
    bench.lay_down(if *lies { grams } else { -grams });
}

fn find(glasses: &Glasses, bench: &Bench, number: usize) -> Result<VesselRef, String> {
    glasses
        .find_aside(bench, number)
        .ok_or_else(|| format!("no glass of number {number} stands aside"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tilt_is_a_flow() {
        assert!((share(0.5) - 1.0).abs() < 0.02);
        assert!((share(1.0) - MOST_SHARE).abs() < 1e-9);
        // A usual speed pourer: the careful tilt gives the careful flow, within its rounding.
        let careful = share(careful_tilt(20.0)) * 20.0;
        assert!((careful - CAREFUL_ML_S).abs() < 0.4, "{careful}");
        assert!(careful_tilt(2.0) <= 0.6);
    }
}
