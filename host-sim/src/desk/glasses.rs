//! The vessels of the desk and what is truly in them.

use pennyweight_core::spec::Vessel as Kind;
use serde::Serialize;

use crate::plant::{Bench, VesselRef};
use crate::sheet::vessel_word;

/// Glasses served or rinsed that are still told of.
const SERVED_TOLD: usize = 4;

/// Every vessel a sheet can name.
const KINDS: [Kind; 5] = [
    Kind::Rocks,
    Kind::Highball,
    Kind::Coupe,
    Kind::MixingGlass,
    Kind::Tin,
];

/// The vessel of this name in a sheet.
#[must_use]
pub fn kind_named(word: &str) -> Option<Kind> {
    KINDS.into_iter().find(|kind| vessel_word(*kind) == word)
}

/// Where the vessels of a bench are. The bench knows what stands on its pan; the rest stands
/// aside until it is served or rinsed.
#[derive(Clone, Debug, Default)]
pub struct Glasses {
    aside: Vec<VesselRef>,
    served: Vec<VesselRef>,
    known: usize,
}

/// One vessel, as the page shows it.
#[derive(Clone, Debug, Serialize)]
pub struct GlassTold {
    number: usize,
    vessel: &'static str,
    /// `pan`, `aside` or `served`.
    place: &'static str,
    /// `stir` or `shake` while it is worked.
    work: Option<&'static str>,
    parts: Vec<(String, f64)>,
    ice_g: f64,
    volume_ml: f64,
    abv_percent: f64,
    sugar_g_per_l: f64,
    alcohol_g: f64,
}

impl Glasses {
    /// Looks at which vessels there are and which of them stands on the pan.
    pub fn follow(&mut self, bench: &Bench) {
        while bench.vessel(VesselRef(self.known)).is_some() {
            self.aside.push(VesselRef(self.known));
            self.known += 1;
        }
    }

    /// The vessels that stand aside.
    pub fn aside<'g>(&'g self, bench: &Bench) -> impl Iterator<Item = VesselRef> + 'g {
        let on_pan = bench.vessel_on_pan();
        self.aside
            .iter()
            .copied()
            .filter(move |glass| Some(*glass) != on_pan)
    }

    /// The vessel of this number, where it stands aside.
    #[must_use]
    pub fn find_aside(&self, bench: &Bench, number: usize) -> Option<VesselRef> {
        self.aside(bench).find(|glass| glass.0 == number)
    }

    /// A vessel leaves the bench.
    pub fn serve(&mut self, glass: VesselRef) {
        let before = self.aside.len();
        self.aside.retain(|&other| other != glass);
        if self.aside.len() < before {
            self.served.push(glass);
            let surplus = self.served.len().saturating_sub(SERVED_TOLD);
            self.served.drain(..surplus);
        }
    }

    /// Everything leaves the bench that stands aside, apart from `kept`.
    pub fn serve_all_but(&mut self, bench: &Bench, kept: &[VesselRef]) {
        let leaving: Vec<VesselRef> = self
            .aside(bench)
            .filter(|glass| !kept.contains(glass))
            .collect();
        leaving.into_iter().for_each(|glass| self.serve(glass));
    }

    /// What is told of them: the pan first, then aside, then served, the latest first.
    #[must_use]
    pub fn told(
        &self,
        bench: &Bench,
        work: impl Fn(VesselRef) -> Option<&'static str>,
    ) -> Vec<GlassTold> {
        let pan = bench.vessel_on_pan().map(|glass| (glass, "pan"));
        let aside = self.aside(bench).map(|glass| (glass, "aside"));
        let served = self.served.iter().rev().map(|&glass| (glass, "served"));
        pan.into_iter()
            .chain(aside)
            .chain(served)
            .filter_map(|(glass, place)| one(bench, glass, place, work(glass)))
            .collect()
    }
}

fn one(
    bench: &Bench,
    glass: VesselRef,
    place: &'static str,
    work: Option<&'static str>,
) -> Option<GlassTold> {
    let vessel = bench.vessel(glass)?;
    let held = bench.held(glass);
    let parts = bench
        .contents(glass)
        .into_iter()
        .filter_map(|(liquid, grams)| {
            let name = if liquid == bench.water() {
                "melted ice".to_owned()
            } else {
                bench.liquid(liquid)?.name.clone()
            };
            Some((name, tenths(grams)))
        });
    Some(GlassTold {
        number: glass.0,
        vessel: vessel_word(vessel.kind),
        place,
        work,
        parts: parts.collect(),
        ice_g: vessel.ice_g.round(),
        volume_ml: tenths(held.volume_ml),
        abv_percent: tenths(held.abv_percent),
        sugar_g_per_l: held.sugar_g_per_l.round(),
        alcohol_g: tenths(held.ethanol_g),
    })
}

fn tenths(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}
