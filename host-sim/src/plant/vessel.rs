//! Glasses and tins: what they weigh, and what is in them.

use pennyweight_core::spec::Vessel as Kind;

use super::draw::Draws;
use super::liquid::LiquidRef;
use super::table::Table;

/// The number of a vessel on its bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VesselRef(pub usize);

/// A vessel and what is in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Vessel {
    /// What it is.
    pub kind: Kind,
    /// Empty and dry, grams as shown.
    pub tare_g: f64,
    /// Water under its foot, grams.
    pub wet_base_g: f64,
    /// Inner radius, metres.
    pub radius_m: f64,
    /// Where it stands, centimetres off the centre, signed along the cell.
    pub off_centre_cm: f64,
    /// True grams of each liquid, as they came.
    pub liquids: Vec<(LiquidRef, f64)>,
    /// True grams of ice.
    pub ice_g: f64,
    shown_g: f64,
}

impl Vessel {
    /// Draws an empty vessel out of a house's set whose usual one weighs `usual_g`.
    #[must_use]
    pub fn drawn(table: &Table, kind: Kind, usual_g: f64, draws: &mut Draws) -> Self {
        let tare_g = usual_g * (1.0 + table.glass.same_kind_spread * draws.normal());
        let wet_base_g = table.glass.wet_base_g.draw(draws);
        let [_, _, least_mm, most_mm, ..] = table.glass.slosh.figures;
        Self {
            kind,
            tare_g,
            wet_base_g,
            radius_m: draws.between(least_mm, most_mm) / 1000.0,
            off_centre_cm: 0.0,
            liquids: Vec::new(),
            ice_g: 0.0,
            shown_g: 0.0,
        }
    }

    /// Takes in `grams` of a liquid that shows `shown_share` of its mass.
    pub fn take_in(&mut self, liquid: LiquidRef, grams: f64, shown_share: f64) {
        self.shown_g += grams * shown_share;
        match self.liquids.iter_mut().find(|(held, _)| *held == liquid) {
            Some((_, held_g)) => *held_g += grams,
            None => self.liquids.push((liquid, grams)),
        }
    }

    /// Takes in ice that shows `shown_share` of its mass.
    pub fn take_ice(&mut self, grams: f64, shown_share: f64) {
        self.ice_g += grams;
        self.shown_g += grams * shown_share;
    }

    /// Turns ice into water; no more than there is.
    pub fn melt(&mut self, grams: f64, water: LiquidRef, ice_share: f64, water_share: f64) {
        let grams = grams.clamp(0.0, self.ice_g);
        self.take_ice(-grams, ice_share);
        self.take_in(water, grams, water_share);
    }

    /// Takes everything liquid out except `hold_up_g`; what is left keeps the same proportions.
    /// The ice stays. Returns what came out.
    pub fn drain(
        &mut self,
        hold_up_g: f64,
        shown_share: impl Fn(LiquidRef) -> f64,
    ) -> Vec<(LiquidRef, f64)> {
        let whole = self.liquid_g();
        let kept = if whole > 0.0 {
            (hold_up_g / whole).min(1.0)
        } else {
            1.0
        };
        let mut out = Vec::new();
        for (liquid, grams) in &mut self.liquids {
            let leaving = *grams * (1.0 - kept);
            *grams -= leaving;
            self.shown_g -= leaving * shown_share(*liquid);
            out.push((*liquid, leaving));
        }
        out
    }

    /// True grams of liquid in it.
    #[must_use]
    pub fn liquid_g(&self) -> f64 {
        self.liquids.iter().map(|(_, grams)| grams).sum()
    }

    /// What the scale shows of its contents, liquid and ice.
    #[must_use]
    pub fn contents_shown_g(&self) -> f64 {
        self.shown_g
    }

    /// What the scale shows of it as it stands, wet foot and contents included.
    #[must_use]
    pub fn shown_g(&self) -> f64 {
        self.tare_g + self.wet_base_g + self.shown_g
    }
}

/// The usual weight of each kind in one house, drawn once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct House {
    coupe_g: f64,
    rocks_g: f64,
    highball_g: f64,
    tin_g: f64,
    mixing_glass_g: f64,
}

impl House {
    /// Draws a house.
    #[must_use]
    pub fn drawn(table: &Table, draws: &mut Draws) -> Self {
        let tares = &table.glass.tare_g;
        Self {
            coupe_g: tares.coupe.draw(draws),
            rocks_g: tares.rocks.draw(draws),
            highball_g: tares.highball.draw(draws),
            tin_g: tares.tin.draw(draws),
            mixing_glass_g: tares.mixing_glass.draw(draws),
        }
    }

    /// The usual weight of a kind, grams.
    #[must_use]
    pub fn usual_g(&self, kind: Kind) -> f64 {
        match kind {
            Kind::Coupe => self.coupe_g,
            Kind::Rocks => self.rocks_g,
            Kind::Highball => self.highball_g,
            Kind::Tin => self.tin_g,
            Kind::MixingGlass => self.mixing_glass_g,
        }
    }
}
