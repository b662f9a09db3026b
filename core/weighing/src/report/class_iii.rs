//! OIML R 76-1:2006, class III: what may be stated, and the limits.

/// Verification scale intervals at most (Table 3, read in a public reprint).
pub const N_MOST: f64 = 10_000.0;
/// At least, for e up to 2 g ...
pub const N_LEAST: f64 = 100.0;
/// ... and from 5 g up (Table 3).
pub const N_LEAST_COARSE: f64 = 500.0;
/// The smallest e, grams (Table 3).
pub const E_LEAST_G: f64 = 0.1;
/// Min, in e (Table 3).
pub const MIN_E: f64 = 20.0;
/// Up to so many e, so many e may be wrong on initial verification (Table 6, read in a reprint).
pub const MPE_E: [(f64, f64); 3] = [(500.0, 0.5), (2000.0, 1.0), (10_000.0, 1.5)];
/// Change under a load within 30 minutes, in e (3.9.4.1, from memory).
pub const CREEP_E: f64 = 0.5;
/// Of which between the 15th and the 30th, in e (3.9.4.1, from memory).
pub const CREEP_LATE_E: f64 = 0.2;
/// Zero after 30 minutes under load, in e (3.9.4.2, from memory).
pub const ZERO_RETURN_E: f64 = 0.5;
/// Weights may be off by so much of the limit (3.7.1, from memory).
pub const WEIGHTS_SHARE: f64 = 1.0 / 3.0;

/// A scale as stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    max_g: f64,
    e_g: f64,
}

/// Why no class III scale can be so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unfit {
    /// No positive number.
    NotANumber,
    /// e is below [`E_LEAST_G`].
    TooFine {
        /// e, grams.
        e_g: f64,
    },
    /// e is not 1, 2 or 5 times a power of ten grams (R 76-1 3.1.2, 4.2.2.1 from memory).
    OddInterval {
        /// e, grams.
        e_g: f64,
    },
    /// More than [`N_MOST`] intervals.
    TooMany {
        /// n.
        n: f64,
    },
    /// Fewer than the class needs.
    TooFew {
        /// n.
        n: f64,
        /// The bound.
        least: f64,
    },
}

impl Stated {
    /// A scale of class III.
    ///
    /// # Errors
    /// What the class does not allow.
    pub fn new(max_g: f64, e_g: f64) -> Result<Self, Unfit> {
        let sound = |grams: f64| grams.is_finite() && grams > 0.0;
        if !sound(max_g) || !sound(e_g) {
            return Err(Unfit::NotANumber);
        }
        // 0.1 in binary is not a tenth.
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6 * b;
        if e_g < E_LEAST_G * (1.0 - 1e-6) {
            return Err(Unfit::TooFine { e_g });
        }
        let mut decade = E_LEAST_G;
        let mut is_usual = false;
        for _ in 0..6 {
            is_usual |= [1.0, 2.0, 5.0].iter().any(|step| near(e_g, step * decade));
            decade *= 10.0;
        }
        if !is_usual {
            return Err(Unfit::OddInterval { e_g });
        }
        let n = max_g / e_g;
        let least = if e_g > 4.0 { N_LEAST_COARSE } else { N_LEAST };
        if n > N_MOST * (1.0 + 1e-6) {
            Err(Unfit::TooMany { n })
        } else if n < least * (1.0 - 1e-6) {
            Err(Unfit::TooFew { n, least })
        } else {
            Ok(Self { max_g, e_g })
        }
    }

    /// The most it weighs, grams.
    #[must_use]
    pub const fn max_g(&self) -> f64 {
        self.max_g
    }

    /// Its verification scale interval, grams.
    #[must_use]
    pub const fn e_g(&self) -> f64 {
        self.e_g
    }

    /// Its number of intervals.
    #[must_use]
    pub fn n(&self) -> f64 {
        self.max_g / self.e_g
    }

    /// The least load it may be used for, grams.
    #[must_use]
    pub fn min_g(&self) -> f64 {
        MIN_E * self.e_g
    }

    /// Maximum permissible error on initial verification at a load, grams.
    #[must_use]
    pub fn mpe_g(&self, load_g: f64) -> f64 {
        let intervals = load_g.abs() / self.e_g;
        let row = MPE_E.iter().find(|(to, _)| intervals <= to * (1.0 + 1e-9));
        row.or(MPE_E.last())
            .map_or(0.0, |(_, error)| error * self.e_g)
    }
}
