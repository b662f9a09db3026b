//! Weights: nominal mass, class, and what they may be off by.

/// A class of OIML R 111.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Class {
    /// E2.
    E2,
    /// F1.
    F1,
    /// F2.
    F2,
    /// M1.
    M1,
    /// M2.
    M2,
    /// M3.
    M3,
}

/// Nominal grams; then maximum permissible errors, milligrams, in the order of [`Class`].
type Row = (u16, [f64; 6]);

/// OIML R 111-1:2004, Table 1, 1 g to 5 kg. F1, F2 and M1 as read in a weight maker's reprint;
/// E2, M2 and M3 from memory.
const TABLE_1: [Row; 12] = [
    (1, [0.03, 0.10, 0.3, 1.0, 3.0, 10.0]),
    (2, [0.04, 0.12, 0.4, 1.2, 4.0, 12.0]),
    (5, [0.05, 0.16, 0.5, 1.6, 5.0, 16.0]),
    (10, [0.06, 0.20, 0.6, 2.0, 6.0, 20.0]),
    (20, [0.08, 0.25, 0.8, 2.5, 8.0, 25.0]),
    (50, [0.10, 0.3, 1.0, 3.0, 10.0, 30.0]),
    (100, [0.16, 0.5, 1.6, 5.0, 16.0, 50.0]),
    (200, [0.3, 1.0, 3.0, 10.0, 30.0, 100.0]),
    (500, [0.8, 2.5, 8.0, 25.0, 80.0, 250.0]),
    (1000, [1.6, 5.0, 16.0, 50.0, 160.0, 500.0]),
    (2000, [3.0, 10.0, 30.0, 100.0, 300.0, 1000.0]),
    (5000, [8.0, 25.0, 80.0, 250.0, 800.0, 2500.0]),
];

impl Class {
    /// Every class, the finest first.
    pub const ALL: [Self; 6] = [Self::E2, Self::F1, Self::F2, Self::M1, Self::M2, Self::M3];

    /// As it is stamped.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::E2 => "E2",
            Self::F1 => "F1",
            Self::F2 => "F2",
            Self::M1 => "M1",
            Self::M2 => "M2",
            Self::M3 => "M3",
        }
    }

    fn of_row(self, row: &Row) -> f64 {
        let place = Self::ALL.iter().position(|class| *class == self);
        let milligrams = place.and_then(|place| row.1.get(place));
        milligrams.map_or(0.0, |milligrams| milligrams / 1000.0)
    }

    /// Maximum permissible error of one weight of `grams`, grams; `None` for a weight that the
    /// table does not hold (1, 2 or 5 times a power of ten, 1 g to 5 kg).
    #[must_use]
    pub fn mpe_g(self, grams: f64) -> Option<f64> {
        TABLE_1
            .iter()
            .find(|row| f64::from(row.0) == grams)
            .map(|row| self.of_row(row))
    }

    /// The same for a load made up of the fewest weights of a set: the sum of theirs, grams. Of
    /// what is left below 1 g, that of a weight of 1 g.
    #[must_use]
    pub fn load_mpe_g(self, grams: f64) -> f64 {
        let mut left = grams;
        let mut sum = 0.0;
        for row in TABLE_1.iter().rev() {
            // 5 kg at most a dozen times: more than any cell here carries.
            for _ in 0..12 {
                if left >= f64::from(row.0) {
                    left -= f64::from(row.0);
                    sum += self.of_row(row);
                }
            }
        }
        if left > 0.0 {
            sum += TABLE_1.first().map_or(0.0, |row| self.of_row(row));
        }
        sum
    }
}

/// One weight, as known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weight {
    /// Conventional mass, grams.
    pub grams: f64,
    /// It may be off by so much either way, grams.
    pub tolerance_g: f64,
}

impl Weight {
    /// A weight of a class; `None` where R 111 has no such weight.
    #[must_use]
    pub fn of_class(grams: f64, class: Class) -> Option<Self> {
        let tolerance_g = class.mpe_g(grams)?;
        Some(Self { grams, tolerance_g })
    }

    /// Standard uncertainty, grams: an even spread over its tolerance.
    #[must_use]
    pub fn sigma_g(&self) -> f64 {
        self.tolerance_g / libm::sqrt(3.0)
    }
}
