//! The bench: everything that stands, falls, shakes and is measured, advanced step by step.

use pennyweight_core::spec::{Family, Vessel as Kind};

use super::beside::Seeping;
use super::bottle::{Bottle, Leaving};
use super::cell::Cell;
use super::converter::{Conversion, Converter, drawn_period_s};
use super::draw::{Draws, Process};
use super::handbook;
use super::hidden::Hidden;
use super::liquid::{Liquid, LiquidRef};
use super::slosh::{Basin, Slosh};
use super::stirring::Stirring;
use super::stream::{GRAVITY, Stream};
use super::surroundings::{Shaking, Surroundings};
use super::table::Table;
use super::touch::{Forces, Standing};
use super::vessel::{House, Vessel, VesselRef};

/// What a bench is built from.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchSetup {
    /// Nominal conversions per second.
    pub sps: f64,
    /// Everything random follows from it.
    pub seed: u64,
    /// How lively the bar is.
    pub surroundings: Surroundings,
    /// Factors on hidden parameters.
    pub hidden: Hidden,
    /// Seconds for which the scale has been powered at time zero.
    pub on_for_s: f64,
    /// The bottles of the bar.
    pub liquids: Vec<Liquid>,
}

impl BenchSetup {
    /// A usual bar, the scale on for twenty minutes.
    #[must_use]
    pub fn new(sps: f64, seed: u64, liquids: Vec<Liquid>) -> Self {
        Self {
            sps,
            seed,
            surroundings: Surroundings::Usual,
            hidden: Hidden::default(),
            on_for_s: 1200.0,
            liquids,
        }
    }
}

/// Something let go by hand: dashes, barspoons, whole things.
#[derive(Clone, Copy, Debug)]
pub(super) struct LetGo {
    pub(super) liquid: LiquidRef,
    pub(super) grams: f64,
    pub(super) begins_s: f64,
    pub(super) lasts_s: f64,
    pub(super) speed_m_s: f64,
    pub(super) fall_m: f64,
}

/// Ice on its way down.
#[derive(Clone, Copy, Debug)]
pub(super) struct FallingIce {
    pub(super) lands_s: f64,
    pub(super) grams: f64,
}

/// The simulated bench.
#[derive(Clone, Debug)]
pub struct Bench {
    pub(super) table: Table,
    pub(super) hidden: Hidden,
    pub(super) seed: u64,
    pub(super) sps: f64,
    pub(super) dt: f64,
    steps_per_conversion: usize,
    step: u64,
    pub(super) liquids: Vec<Liquid>,
    pub(super) blends: Vec<Vec<(LiquidRef, f64)>>,
    pub(super) bottles_known: usize,
    pub(super) vessels: Vec<Vessel>,
    pub(super) house: House,
    pub(super) on_pan: Option<VesselRef>,
    pub(super) standing: Standing,
    pub(super) stray_g: f64,
    pub(super) bottle: Option<Bottle>,
    pub(super) pours: u64,
    pub(super) let_go: Vec<LetGo>,
    pub(super) ice: Vec<FallingIce>,
    pub(super) seeping: Vec<Seeping>,
    stream: Stream,
    pub(super) slosh: Slosh,
    pub(super) forces: Forces,
    pub(super) stirring: Option<Stirring>,
    pub(super) shaking: Shaking,
    cell: Cell,
    converter: Converter,
    ready: Option<Conversion>,
    next_read_us: u64,
    pub(super) flow_at_stop_g_s: f64,
    pub(super) first_landed_us: Option<u64>,
    pub(super) last_landed_us: Option<u64>,
    pub(super) stream_ended_us: Option<u64>,
    pub(super) vessel_draws: Draws,
    pub(super) touch_draws: Draws,
    pub(super) dash_draws: Draws,
    pub(super) ice_draws: Draws,
    pub(super) stirring_draws: Draws,
    pub(super) resting_draws: Draws,
}

impl Bench {
    /// Builds a bench: device, house and bar drawn from `table` by the seed.
    #[must_use]
    pub fn new(table: &Table, setup: BenchSetup) -> Self {
        let BenchSetup {
            sps,
            seed,
            surroundings,
            hidden,
            on_for_s,
            mut liquids,
        } = setup;
        let table = hidden.applied(table);
        let mut draws = Draws::new(seed, Process::Device, 0);
        let period_s = drawn_period_s(&table, sps, &mut draws);
        // About 0.75 ms, a whole number of steps a conversion.
        let steps = (1280.0 / sps).round().max(4.0) as usize;
        let dt = period_s / steps as f64;
        let cell = Cell::drawn(&table, seed, dt, on_for_s, &mut draws);
        let mut converter = Converter::drawn(&table, &cell, sps, steps, seed, &mut draws);
        let shaking = Shaking::drawn(&table, surroundings, seed, dt, &mut draws);
        let mut vessel_draws = Draws::new(seed, Process::Vessels, 0);
        let house = House::drawn(&table, &mut vessel_draws);
        let bottles_known = liquids.len();
        liquids.push(Liquid {
            name: "water".to_owned(),
            density_g_ml: handbook::WATER_20C / 1000.0,
            family: Family::Juice,
            abv_percent: 0.0,
            sugar_g_per_l: 0.0,
        });
        let jet = Draws::new(seed, Process::Jet, 0);
        let next_read_us = (period_s * 1e6 + converter.next_jitter_us()).round() as u64;
        Self {
            dt,
            steps_per_conversion: steps,
            step: 0,
            blends: Vec::new(),
            bottles_known,
            liquids,
            vessels: Vec::new(),
            house,
            on_pan: None,
            standing: Standing::absent(),
            stray_g: 0.0,
            bottle: None,
            pours: 0,
            let_go: Vec::new(),
            ice: Vec::new(),
            seeping: Vec::new(),
            stream: Stream::new(dt, table.stream.jet_roughness, jet),
            slosh: Slosh::new(dt, hidden.slosh, Draws::new(seed, Process::Slosh, 0)),
            forces: Forces::default(),
            stirring: None,
            shaking,
            cell,
            converter,
            ready: None,
            next_read_us,
            flow_at_stop_g_s: 0.0,
            first_landed_us: None,
            last_landed_us: None,
            stream_ended_us: None,
            vessel_draws,
            touch_draws: Draws::new(seed, Process::Touch, 0),
            dash_draws: Draws::new(seed, Process::Dash, 0),
            ice_draws: Draws::new(seed, Process::Ice, 0),
            stirring_draws: Draws::new(seed, Process::Stirring, 0),
            resting_draws: Draws::new(seed, Process::Resting, 0),
            table,
            hidden,
            seed,
            sps,
        }
    }

    /// The room warms by so much.
    pub fn warm_room(&mut self, kelvin_per_hour: f64) {
        self.cell.warm_room(kelvin_per_hour);
    }

    /// Codes per gram, as a calibration found them.
    #[must_use]
    pub fn counts_per_gram(&self) -> f64 {
        self.converter.counts_per_gram()
    }

    /// Code of the empty pan at that calibration.
    #[must_use]
    pub fn zero_code(&self) -> i32 {
        self.converter.zero_code()
    }

    /// Noise of one conversion with the bench at rest, grams root mean square.
    #[must_use]
    pub fn converter_noise_g(&self) -> f64 {
        self.converter.noise_g()
    }

    /// Nominal conversions per second.
    #[must_use]
    pub fn sps(&self) -> f64 {
        self.sps
    }

    /// True seconds between conversions.
    #[must_use]
    pub fn period_s(&self) -> f64 {
        self.dt * self.steps_per_conversion as f64
    }

    /// Time now, seconds since the bench began.
    #[must_use]
    pub fn now_s(&self) -> f64 {
        self.step as f64 * self.dt
    }

    /// Time now, microseconds.
    #[must_use]
    pub fn now_us(&self) -> u64 {
        (self.now_s() * 1e6).round() as u64
    }

    /// When the next conversion will be read, microseconds.
    #[must_use]
    pub fn next_conversion_us(&self) -> u64 {
        self.next_read_us
    }

    /// Lets time pass until `to_us`. A conversion that nobody reads before the next is lost, as
    /// it is on the wire.
    pub fn advance(&mut self, to_us: u64) {
        let to_s = to_us as f64 * 1e-6;
        while self.now_s() + self.dt <= to_s {
            self.time_step();
        }
    }

    /// Lets time pass until the next conversion and reads it.
    pub fn read(&mut self) -> Conversion {
        loop {
            if let Some(conversion) = self.ready.take() {
                self.schedule();
                return conversion;
            }
            self.time_step();
        }
    }

    /// The next "ready" lies a period after the last one.
    fn schedule(&mut self) {
        let per = self.steps_per_conversion as u64;
        let ready_s = ((self.step / per + 1) * per) as f64 * self.dt;
        let jitter_us = self.converter.next_jitter_us();
        self.next_read_us = (ready_s * 1e6 + jitter_us).round() as u64;
    }

    fn time_step(&mut self) {
        self.step += 1;
        let now_s = self.now_s();
        self.pour_step(now_s);
        self.let_go_step(now_s);
        let (landing, jet_g) = self.stream.land();
        if landing.grams > 0.0 {
            self.take_in(landing.liquid, landing.grams, now_s);
        }
        self.ice_step(now_s);
        if !self.seeping.is_empty() {
            self.seep();
        }
        let (standing_g, off_centre_cm) = self.standing(now_s);
        let mut load_g = standing_g + self.stray_g + jet_g;
        load_g += self.slosh.step(off_centre_cm);
        load_g += self.forces.step(now_s);
        load_g += self.stirring_step(now_s);
        let felt =
            self.cell.step(load_g, standing_g, off_centre_cm, now_s) + self.shaking.step(now_s);
        if let Some(code) = self.converter.step(felt) {
            if self.ready.is_some() {
                self.schedule_lost();
            }
            self.ready = Some(Conversion {
                t_us: self.next_read_us,
                code,
            });
        }
    }

    /// Nobody has read the conversion before; the one just made is read in its stead.
    fn schedule_lost(&mut self) {
        let jitter_us = self.converter.next_jitter_us();
        self.next_read_us = (self.now_s() * 1e6 + jitter_us).round() as u64;
    }

    fn pour_step(&mut self, now_s: f64) {
        let Some(bottle) = &mut self.bottle else {
            return;
        };
        let (leaving, ended) = bottle.step(now_s, self.dt);
        let Leaving { grams, speed_m_s } = leaving;
        if grams > 0.0 {
            let fall_m = bottle.draw().fall_m;
            self.stream.release(bottle.liquid, grams, speed_m_s, fall_m);
        }
        if ended {
            let fall_s = (2.0 * bottle.draw().fall_m / GRAVITY).sqrt();
            self.stream_ended_us = Some(((now_s + fall_s) * 1e6).round() as u64);
            if let Some(basin) = self.basin() {
                self.slosh
                    .after_pour(&self.table, basin, self.flow_at_stop_g_s);
            }
        }
    }

    fn let_go_step(&mut self, now_s: f64) {
        if self.let_go.is_empty() {
            return;
        }
        for thing in &self.let_go {
            let along = (now_s - thing.begins_s) / thing.lasts_s;
            let before = (now_s - self.dt - thing.begins_s) / thing.lasts_s;
            let share = eased(along) - eased(before);
            if share > 0.0 {
                let grams = thing.grams * share;
                self.stream
                    .release(thing.liquid, grams, thing.speed_m_s, thing.fall_m);
            }
        }
        let before = self.let_go.len();
        self.let_go
            .retain(|thing| now_s < thing.begins_s + thing.lasts_s);
        if self.let_go.len() < before
            && let Some(basin) = self.basin()
        {
            self.slosh.after_pour(&self.table, basin, 10.0);
        }
    }

    fn ice_step(&mut self, now_s: f64) {
        while let Some(index) = self.ice.iter().position(|cube| cube.lands_s <= now_s) {
            let cube = self.ice.swap_remove(index);
            self.ice_lands(cube.grams, now_s);
        }
    }

    /// What lands goes into the vessel, or beside it where none stands.
    fn take_in(&mut self, liquid: LiquidRef, grams: f64, now_s: f64) {
        let shown_share = self.shown_share(liquid);
        let now_us = (now_s * 1e6).round() as u64;
        self.first_landed_us.get_or_insert(now_us);
        self.last_landed_us = Some(now_us);
        match self
            .on_pan
            .and_then(|vessel| self.vessels.get_mut(vessel.0))
        {
            Some(vessel) => vessel.take_in(liquid, grams, shown_share),
            None => self.stray_g += grams * shown_share,
        }
    }

    /// What stands on the pan, grams as shown, and how far off the centre.
    fn standing(&mut self, now_s: f64) -> (f64, f64) {
        if self.on_pan.is_some() && self.standing.gone(now_s) {
            self.vessel_gone();
        }
        match self.on_pan.and_then(|vessel| self.vessels.get(vessel.0)) {
            Some(vessel) => {
                let share = self.standing.share(now_s);
                (vessel.shown_g() * share, vessel.off_centre_cm)
            }
            None => (0.0, 0.0),
        }
    }

    /// The liquid on the pan as waves see it.
    pub(super) fn basin(&self) -> Option<Basin> {
        let vessel = self.vessels.get(self.on_pan?.0)?;
        let mut liquid_ml = 0.0;
        let mut syrup_g = 0.0;
        let mut whole_g = 0.0;
        for &(liquid, grams) in &vessel.liquids {
            let liquid = &self.liquids[liquid.0];
            liquid_ml += grams / liquid.density_g_ml;
            whole_g += grams;
            if liquid.family == Family::Syrup {
                syrup_g += grams;
            }
        }
        (liquid_ml > 0.5).then(|| Basin {
            radius_m: vessel.radius_m,
            liquid_ml,
            syrup_share: syrup_g / whole_g,
            ice: vessel.ice_g > 0.0,
        })
    }

    /// Shown grams per true gram of a liquid.
    #[must_use]
    pub fn shown_share(&self, liquid: LiquidRef) -> f64 {
        self.liquids.get(liquid.0).map_or(1.0, Liquid::shown_share)
    }

    /// Grams between spout and surface.
    #[must_use]
    pub fn in_air_g(&self) -> f64 {
        self.stream.in_air_g()
    }

    /// A vessel of the house's set, empty, not yet on the pan.
    pub fn take_vessel(&mut self, kind: Kind) -> VesselRef {
        let usual_g = self.house.usual_g(kind);
        let vessel = Vessel::drawn(&self.table, kind, usual_g, &mut self.vessel_draws);
        self.vessels.push(vessel);
        VesselRef(self.vessels.len() - 1)
    }
}

/// A smooth step from 0 to 1.
fn eased(along: f64) -> f64 {
    let along = along.clamp(0.0, 1.0);
    along * along * (3.0 - 2.0 * along)
}
