//! What could stand in for a liquid of a drink, and how much of it.
//!
//! The amounts keep the drink's sugar to its acid first, then its alcohol, then its volume: a
//! least-squares problem in one or two unknown volumes with bounds,
//!
//! `minimise |w_1 r_1|^2 + |w_2 r_2|^2 + |w_3 r_3|^2  with  low <= x_i <= high`
//!
//! whose residuals are shares of what the drink was meant to hold. Volumes are taken to add up:
//! contraction is under 2 % of them, and taste decides anyway. The minimum of a convex function
//! over a box lies inside it, on an edge or at a corner; with two unknowns all nine are tried.

/// How much more the sugar-to-acid ratio weighs than the alcohol, and that than the volume.
/// Far enough apart that the first is kept where it can be, near enough that the last still
/// decides where the others do not care. Chosen, no source.
const WEIGHTS: [f64; 3] = [1.0, 0.1, 0.02];

/// A drink is sour from this much acid on, grams a millilitre: 3 g/l, less than any wine has
/// (common practice, no source). Below it there is no balance to keep.
const SOUR_G_PER_ML: f64 = 0.003;

/// Where nothing is sour, sugar is reckoned against this much in the whole drink at least, grams
/// a millilitre: 50 g/l, a drink with a little sugar. Chosen, no source.
const SWEET_G_PER_ML: f64 = 0.05;

/// What a liquid brings in, or what a drink holds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Profile {
    /// Millilitres.
    pub volume_ml: f64,
    /// Pure ethanol, grams.
    pub ethanol_g: f64,
    /// Sugar, grams.
    pub sugar_g: f64,
    /// Acid, grams, as citric.
    pub acid_g: f64,
}

impl Profile {
    /// Both together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            volume_ml: self.volume_ml + other.volume_ml,
            ethanol_g: self.ethanol_g + other.ethanol_g,
            sugar_g: self.sugar_g + other.sugar_g,
            acid_g: self.acid_g + other.acid_g,
        }
    }

    /// `times` as much of it.
    #[must_use]
    pub fn times(self, times: f64) -> Self {
        Self {
            volume_ml: self.volume_ml * times,
            ethanol_g: self.ethanol_g * times,
            sugar_g: self.sugar_g * times,
            acid_g: self.acid_g * times,
        }
    }

    /// Grams of sugar to a gram of acid; nothing for what is not sour.
    #[must_use]
    pub fn sugar_to_acid(&self) -> Option<f64> {
        (self.acid_g > SOUR_G_PER_ML * self.volume_ml).then(|| self.sugar_g / self.acid_g)
    }
}

/// Amounts found, and how far the drink then is from what it was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Millilitres of each, the second 0 where there is but one.
    pub ml: [f64; 2],
    /// How far sugar to acid, alcohol and volume are off, as shares of what they were.
    pub off: [f64; 3],
    /// The sum of squares that was made least.
    pub cost: f64,
}

/// How much of the liquids `with` (each as a millilitre of it) stands in for `removed` beside
/// `rest`, each within `bounds` (least and most millilitres). `None` where nothing finite comes
/// out of it or the bounds are none.
#[must_use]
pub fn amounts(
    rest: Profile,
    removed: Profile,
    with: [Profile; 2],
    bounds: [(f64, f64); 2],
) -> Option<Found> {
    let whole = rest.and(removed);
    let rows = Rows::new(rest, whole, with);
    let boxed = bounds.iter().all(|(low, high)| low <= high);
    if !boxed {
        return None;
    }
    let [first, second] = bounds;
    let mut best: Option<Found> = None;
    let ends = |(low, high): (f64, f64)| [None, Some(low), Some(high)];
    for x in ends(first) {
        for y in ends(second) {
            let Some(ml) = rows.least(x, y) else { continue };
            let [a, b] = ml;
            let inside = |value: f64, (low, high): (f64, f64)| (low..=high).contains(&value);
            if !inside(a, first) || !inside(b, second) {
                continue;
            }
            let found = rows.at(ml);
            let better = best.is_none_or(|best| found.cost < best.cost);
            if found.cost.is_finite() && better {
                best = Some(found);
            }
        }
    }
    best
}

/// The three residuals, each `a x + b y + c`, unweighted.
struct Rows([[f64; 3]; 3]);

impl Rows {
    fn new(rest: Profile, whole: Profile, with: [Profile; 2]) -> Self {
        let row = |figure: fn(&Profile, f64) -> f64, k: f64, scale: f64, meant: f64| {
            let [x, y] = with;
            [
                figure(&x, k) / scale,
                figure(&y, k) / scale,
                (figure(&rest, k) - meant) / scale,
            ]
        };
        let taste = match whole.sugar_to_acid() {
            // Sugar less k times acid is 0 in the drink as it was; its sugar sets the scale, its
            // acid where it is dry.
            Some(k) => row(
                |p, k| p.sugar_g - k * p.acid_g,
                k,
                whole.sugar_g.max(whole.acid_g),
                0.0,
            ),
            None => {
                let scale = whole.sugar_g.max(SWEET_G_PER_ML * whole.volume_ml);
                row(|p, _| p.sugar_g, 0.0, scale.max(1e-3), whole.sugar_g)
            }
        };
        let alcohol = row(
            |p, _| p.ethanol_g,
            0.0,
            whole.ethanol_g.max(1.0),
            whole.ethanol_g,
        );
        let volume = row(
            |p, _| p.volume_ml,
            0.0,
            whole.volume_ml.max(1.0),
            whole.volume_ml,
        );
        Self([taste, alcohol, volume])
    }

    /// Where the sum of squares is least with `x` and `y` fixed or free. `None` where that is
    /// nowhere in particular.
    fn least(&self, x: Option<f64>, y: Option<f64>) -> Option<[f64; 2]> {
        let mut normal = [0.0; 5];
        for (row, weight) in self.0.iter().zip(WEIGHTS) {
            let [a, b, c] = row.map(|figure| figure * weight);
            let products = [a * a, a * b, b * b, a * c, b * c];
            for (sum, product) in normal.iter_mut().zip(products) {
                *sum += product;
            }
        }
        let [aa, ab, bb, ac, bc] = normal;
        let point = match (x, y) {
            (Some(x), Some(y)) => [x, y],
            (Some(x), None) => [x, -(bc + ab * x) / bb],
            (None, Some(y)) => [-(ac + ab * y) / aa, y],
            (None, None) => {
                let determinant = aa * bb - ab * ab;
                if determinant <= 1e-12 * aa * bb {
                    return None;
                }
                [
                    (ab * bc - bb * ac) / determinant,
                    (ab * ac - aa * bc) / determinant,
                ]
            }
        };
        point.iter().all(|ml| ml.is_finite()).then_some(point)
    }

    fn at(&self, ml: [f64; 2]) -> Found {
        let [x, y] = ml;
        let off = self.0.map(|[a, b, c]| a * x + b * y + c);
        let cost = off
            .iter()
            .zip(WEIGHTS)
            .map(|(residual, weight)| {
                let weighted = residual * weight;
                weighted * weighted
            })
            .sum();
        Found { ml, off, cost }
    }
}
