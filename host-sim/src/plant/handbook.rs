//! Densities at 20 degC out of handbook tables, by interpolation: no formula of the scale's own.

/// Ethanol in water at 20 degC, kg/m3 at 0, 2, 4 .. 100 percent by mass.
///
/// Lange's Handbook of Chemistry, 10th edition, relative densities d(20/4) times 999.972 kg/m3.
const ETHANOL_20C: [f64; 51] = [
    998.20, 994.50, 991.00, 987.77, 984.75, 981.84, 979.07, 976.40, 973.84, 971.26, 968.61, 965.89,
    963.09, 960.17, 957.07, 953.79, 950.35, 946.76, 943.03, 939.16, 935.15, 931.04, 926.82, 922.54,
    918.20, 913.81, 909.33, 904.82, 900.28, 895.71, 891.11, 886.48, 881.81, 877.11, 872.39, 867.64,
    862.85, 858.04, 853.20, 848.33, 843.42, 838.46, 833.46, 828.38, 823.21, 817.95, 812.55, 807.03,
    801.36, 795.45, 789.32,
];

/// Sucrose in water at 20 degC: percent by mass, kg/m3.
///
/// CRC Handbook of Chemistry and Physics, concentrative properties of aqueous solutions.
const SUCROSE_20C: [(f64, f64); 23] = [
    (0.0, 998.2),
    (2.0, 1006.0),
    (4.0, 1013.9),
    (6.0, 1021.8),
    (8.0, 1029.9),
    (10.0, 1038.1),
    (14.0, 1054.9),
    (18.0, 1072.2),
    (22.0, 1089.9),
    (26.0, 1108.2),
    (30.0, 1127.0),
    (34.0, 1146.4),
    (38.0, 1166.3),
    (42.0, 1186.8),
    (46.0, 1207.9),
    (50.0, 1229.5),
    (54.0, 1251.8),
    (58.0, 1274.7),
    (62.0, 1298.3),
    (66.0, 1322.4),
    (70.0, 1347.2),
    (76.0, 1385.5),
    (84.0, 1438.3),
];

/// Density of water at 20 degC, kg/m3 (first row of both tables).
pub const WATER_20C: f64 = 998.2;

/// Density of ice at -10 degC, kg/m3 (IAPWS-06).
pub const ICE: f64 = 918.17;

/// Density in kg/m3 at 20 degC of a liquid of `abv_percent` by volume with `sugar_g_per_l`.
///
/// The sugar takes up what it takes up in water by the sucrose table; what is left of the litre
/// is ethanol and water, at the strength it then has, by the ethanol table. Good to a few kg/m3
/// for strong sweet liqueurs, where no table exists. Beyond the tables their ends are used.
#[must_use]
pub fn density_kg_m3(abv_percent: f64, sugar_g_per_l: f64) -> f64 {
    let sugar_l = sugar_g_per_l * sugar_volume_ml_per_g(sugar_g_per_l) / 1000.0;
    let rest_l = (1.0 - sugar_l).max(0.05);
    let strength = (abv_percent / rest_l).clamp(0.0, 100.0);
    sugar_g_per_l + rest_l * ethanol_density_kg_m3(strength)
}

/// Density in kg/m3 at 20 degC of ethanol and water at `abv_percent` by volume.
fn ethanol_density_kg_m3(abv_percent: f64) -> f64 {
    let pure = ETHANOL_20C[ETHANOL_20C.len() - 1];
    let rows = ETHANOL_20C.iter().enumerate().map(|(row, &density)| {
        let by_mass = 2.0 * row as f64;
        (by_mass * density / pure, density)
    });
    interpolated(rows, abv_percent)
}

/// Millilitres a gram of sucrose takes up in water at this many grams a litre.
fn sugar_volume_ml_per_g(sugar_g_per_l: f64) -> f64 {
    let rows = SUCROSE_20C.iter().skip(1).map(|&(by_mass, density)| {
        let concentration = by_mass / 100.0 * density;
        let water_l = (density - concentration) / WATER_20C;
        (concentration, (1.0 - water_l) * 1000.0 / concentration)
    });
    interpolated(rows, sugar_g_per_l)
}

/// Linear between the two rows about `at`; the first or last value beyond them.
fn interpolated(rows: impl Iterator<Item = (f64, f64)>, at: f64) -> f64 {
    let mut before: Option<(f64, f64)> = None;
    for (x, y) in rows {
        if at <= x {
            return before.map_or(y, |(x0, y0)| y0 + (y - y0) * (at - x0) / (x - x0));
        }
        before = Some((x, y));
    }
    before.map_or(WATER_20C, |(_, y)| y)
}

/// What a scale shows of a true mass, for a density in kg/m3.
///
/// A scale adjusted with conventional mass: weights of 8000 kg/m3 in air of 1.2 kg/m3
/// (OIML D 28).
#[must_use]
pub fn shown_share(density_kg_m3: f64) -> f64 {
    const AIR: f64 = 1.2;
    const WEIGHTS: f64 = 8000.0;
    let liquid_lift = AIR / density_kg_m3;
    let weight_lift = AIR / WEIGHTS;
    (1.0 - liquid_lift) / (1.0 - weight_lift)
}
