//! Heat capacities of what goes into a drink.
//!
//! | heat capacity of | from |
//! |---|---|
//! | ethanol and water, -10 to 40 degC, to 60 % by mass | Melinder 2010, straight between the points of a table |
//! | water | IAPWS-95; below 0 degC held at its value there |
//! | sugar in solution | `1673 + 7.5 t` J/(kg K): what `4184 - 2971 w + 460 w + 7.5 w t` (Llano 2005, after Bubnik 1995) leaves per kilogram of sucrose. Beside alcohol it is assumed to keep it |
//! | ice | IAPWS-06, straight through 0 and -20 degC |

/// Heat that melts a gram of ice at 0 degC, J: IAPWS-95 less IAPWS-06, 333.42 kJ/kg.
pub const LATENT: f64 = 333.42;

/// The most ethanol whose heat capacity is known, as a share of ethanol and water by mass.
pub const HIGHEST_ETHANOL: f64 = 0.60;

/// Shares by mass of ethanol in ethanol and water, percent: the columns of [`HEAT_CAPACITY`].
const COLUMNS: [f64; 10] = [0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0];

/// J/(g K) by temperature, degC: Melinder, Properties of Secondary Working Fluids, IIR 2010, as
/// evaluated by CoolProp 8.0.0 (INCOMP::MEA); pure water by IAPWS-95 (at 40 degC from memory).
/// Where a mixture would be frozen at -10 degC, what leads there through its value at -5 degC, or
/// the value at 0 degC. Between its points this is within 0.17 % of the source.
const HEAT_CAPACITY: [(f64, [f64; 10]); 6] = [
    (
        -10.0,
        [
            4.2194, 4.3339, 4.4017, 4.4487, 4.3827, 4.2696, 4.1242, 3.8045, 3.5132, 3.1943,
        ],
    ),
    (
        0.0,
        [
            4.2194, 4.3339, 4.4017, 4.4127, 4.3694, 4.2816, 4.1632, 3.8926, 3.6336, 3.3297,
        ],
    ),
    (
        10.0,
        [
            4.1952, 4.2857, 4.3506, 4.3724, 4.3488, 4.2854, 4.1926, 3.9672, 3.7377, 3.4493,
        ],
    ),
    (
        20.0,
        [
            4.1841, 4.2414, 4.3033, 4.3348, 4.3287, 4.2866, 4.2161, 4.0293, 3.8245, 3.5508,
        ],
    ),
    (
        30.0,
        [
            4.1798, 4.2160, 4.2722, 4.3096, 4.3165, 4.2910, 4.2376, 4.0799, 3.8929, 3.6321,
        ],
    ),
    (
        40.0,
        [
            4.1794, 4.2245, 4.2696, 4.3067, 4.3200, 4.3041, 4.2610, 4.1199, 3.9419, 3.6911,
        ],
    ),
];

/// Heat capacity of ice at 0 degC and what it loses per kelvin below, J/(g K): IAPWS-06, 2.0967
/// at 0 and 1.9498 at -20 degC.
const ICE: (f64, f64) = (2.0967, 0.007_345);

/// Heat capacity of sugar in solution at 0 degC and what it gains per kelvin, J/(g K).
const SUGAR: (f64, f64) = (1.673, 0.0075);

/// Heat that a gram of water takes from 0 degC to `celsius`, J; negative below.
pub(super) fn of_water(celsius: f64) -> f64 {
    if celsius >= 0.0 {
        of_ethanol_and_water(0.0, 0.0, celsius)
    } else {
        -of_ethanol_and_water(0.0, celsius, 0.0)
    }
}

/// Heat that a gram of ethanol and water takes from `low` to `high` degC, J.
pub(super) fn of_ethanol_and_water(percent: f64, low: f64, high: f64) -> f64 {
    let rows = HEAT_CAPACITY.iter().zip(HEAT_CAPACITY.iter().skip(1));
    rows.map(|((t0, below), (t1, above))| {
        let from = low.max(*t0);
        let to = high.min(*t1);
        if from >= to {
            return 0.0;
        }
        let (start, end) = (at_percent(below, percent), at_percent(above, percent));
        let middle = (0.5 * (from + to) - t0) / (t1 - t0);
        (to - from) * (start + (end - start) * middle)
    })
    .sum()
}

/// Straight between the columns of a row.
fn at_percent(row: &[f64; 10], percent: f64) -> f64 {
    let points = COLUMNS.iter().zip(row.iter());
    let mut pairs = points.clone().zip(points.skip(1));
    pairs
        .find(|(_, (p1, _))| percent <= **p1)
        .map_or(0.0, |((p0, c0), (p1, c1))| {
            c0 + (c1 - c0) * (percent - p0) / (p1 - p0)
        })
}

/// Heat that a gram of sugar in solution takes from `low` to `high` degC, J.
pub(super) fn of_sugar(low: f64, high: f64) -> f64 {
    (high - low) * (SUGAR.0 + SUGAR.1 * 0.5 * (high + low))
}

/// Heat that a gram of ice takes from `celsius` to 0 degC, J.
pub(super) fn of_ice(celsius: f64) -> f64 {
    -celsius * (ICE.0 + 0.5 * ICE.1 * celsius)
}
