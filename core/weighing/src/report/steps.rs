//! What is put on, in which order.

use heapless::Vec;

use super::class_iii::Stated;

/// Weighings of one load.
pub const REPEATS: usize = 10;
/// How long creep is watched, seconds: R 76-1 A.4.11 (from memory).
pub const WATCH_S: f32 = 1800.0;
/// When zero and Max are read after power-up, seconds: R 76-1 A.5.2 (from memory).
pub const WARM_UP_S: [f32; 4] = [0.0, 300.0, 900.0, 1800.0];
/// Steps at most.
pub const STEPS: usize = 48;

/// Where on the pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// In the middle.
    Centre,
    /// A quarter of the pan.
    FrontLeft,
    /// A quarter of the pan.
    FrontRight,
    /// A quarter of the pan.
    BackRight,
    /// A quarter of the pan.
    BackLeft,
}

impl Place {
    /// The middle, then once around.
    pub const ALL: [Self; 5] = [
        Self::Centre,
        Self::FrontLeft,
        Self::FrontRight,
        Self::BackRight,
        Self::BackLeft,
    ];
}

/// Which part of the report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The empty pan and Max from power-up.
    WarmUp,
    /// The same load again and again.
    Repeatability,
    /// Rising loads.
    Up,
    /// Falling loads.
    Down,
    /// The same load in the middle and in the quarters.
    Eccentricity,
    /// One load for long.
    Creep,
}

/// One thing to put on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// For which part.
    pub part: Part,
    /// Grams; 0 for the empty pan.
    pub load_g: f64,
    /// Where.
    pub place: Place,
    /// It is watched for [`WATCH_S`].
    pub watched: bool,
    /// It is read no earlier than so long after the beginning, seconds.
    pub from_s: f32,
}

impl Step {
    const fn put(part: Part, load_g: f64) -> Self {
        Self {
            part,
            load_g,
            place: Place::Centre,
            watched: false,
            from_s: 0.0,
        }
    }

    const fn from(self, from_s: f32) -> Self {
        Self { from_s, ..self }
    }

    const fn watched(self) -> Self {
        Self {
            watched: true,
            ..self
        }
    }
}

/// The whole sequence: loads in whole grams, so that weights of a set can make them up.
#[must_use]
pub fn steps(stated: &Stated) -> Vec<Step, STEPS> {
    let mut all = Vec::new();
    let mut add = |step| {
        // `STEPS` holds them all; a check counts them.
        let _ = all.push(step);
    };
    let max_g = libm::floor(stated.max_g());
    for from_s in WARM_UP_S {
        add(Step::put(Part::WarmUp, 0.0).from(from_s));
        add(Step::put(Part::WarmUp, max_g).from(from_s));
    }
    add(Step::put(Part::WarmUp, 0.0));
    let half = libm::ceil(stated.max_g() / 2.0);
    for _ in 0..REPEATS {
        add(Step::put(Part::Repeatability, half));
        add(Step::put(Part::Repeatability, 0.0));
    }
    let loads = loads(stated);
    for &load in &loads {
        add(Step::put(Part::Up, load));
    }
    for &load in loads.iter().rev().skip(1) {
        add(Step::put(Part::Down, load));
    }
    add(Step::put(Part::Down, 0.0));
    let third = libm::ceil(stated.max_g() / 3.0);
    for place in Place::ALL {
        add(Step {
            place,
            ..Step::put(Part::Eccentricity, third)
        });
    }
    add(Step::put(Part::Eccentricity, 0.0));
    add(Step::put(Part::Creep, max_g).watched());
    add(Step::put(Part::Creep, 0.0));
    all
}

/// Min, Max, half of it, and where the limit changes, rising.
fn loads(stated: &Stated) -> Vec<f64, 5> {
    let (max_g, e_g) = (libm::floor(stated.max_g()), stated.e_g());
    let wanted = [
        libm::ceil(stated.min_g()),
        libm::floor(500.0 * e_g),
        libm::ceil(max_g / 2.0),
        libm::floor(2000.0 * e_g),
        max_g,
    ];
    let mut loads: Vec<f64, 5> = Vec::new();
    for load in wanted {
        if load > 0.0 && load <= max_g && !loads.contains(&load) {
            let _ = loads.push(load);
        }
    }
    loads.sort_unstable_by(f64::total_cmp);
    loads
}
