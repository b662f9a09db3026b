//! How well it is known what a glass holds, against a Monte Carlo propagation (JCGM 101:2008,
//! Supplement 1 to the Guide to the Expression of Uncertainty in Measurement).

use pennyweight_core::liquid::dilution::{Weighed, strain};
use pennyweight_core::liquid::{Composition, Contents, ContentsSigma, Measured, Mixture};
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

use super::assert_close;

/// Half the width of a label's tolerance, strength as a fraction.
const LABEL: f64 = 0.003;

/// Draws: a standard deviation is then known to 0.5 % (1/sqrt(2n)).
const DRAWS: usize = 20_000;

fn label(abv: f64, sugar: f64) -> Composition {
    Composition::from_label(abv, sugar).unwrap()
}

fn of_density(abv: f64, sugar: f64, density: f64) -> Composition {
    Composition {
        strength: abv / 100.0,
        sugar_g_per_l: sugar,
        measured: Some(Measured { density, at: 20.0 }),
    }
}

/// A pour: the liquid, grams, and the sigma of those.
type Pour = (Composition, f64, f64);

fn built(pours: &[Pour]) -> Mixture {
    let mut glass = Mixture::default();
    for (liquid, grams, sigma) in pours {
        glass.add(liquid, *grams, *sigma).unwrap();
    }
    glass
}

/// Draws of what the scale, the density and the label may be off by, each put through the whole
/// reckoning, contraction included.
struct Bench(Pcg64Mcg);

impl Bench {
    fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    /// A liquid as it may truly be: its strength within the label's tolerance, evenly; its
    /// density off the model by the model's own sigma.
    fn truly(&mut self, liquid: &Composition) -> Composition {
        let mut truth = *liquid;
        if liquid.strength > 0.0 {
            truth.strength += self.0.random_range(-LABEL..LABEL);
        }
        let stated = liquid.density(20.0).unwrap();
        let model_percent =
            (stated.sigma_percent.powi(2) - stated.label_sigma_percent.powi(2)).sqrt();
        let density = truth.density(20.0).unwrap().density;
        truth.measured = Some(Measured {
            density: density * (1.0 + model_percent / 100.0 * self.normal()),
            at: 20.0,
        });
        truth
    }

    fn pour(&mut self, pours: &[Pour]) -> Mixture {
        let mut glass = Mixture::default();
        for (liquid, grams, sigma) in pours {
            let truth = self.truly(liquid);
            let mass = grams + sigma * self.normal();
            glass.add(&truth, mass, 0.0).unwrap();
        }
        glass
    }
}

/// Standard deviations of volume, strength, sugar and alcohol over the draws.
fn monte_carlo(mut glass: impl FnMut(&mut Bench) -> Mixture) -> ContentsSigma {
    let mut bench = Bench(Pcg64Mcg::seed_from_u64(101));
    let held: Vec<Contents> = (0..DRAWS)
        .map(|_| glass(&mut bench).contents().unwrap())
        .collect();
    ContentsSigma {
        volume_ml: deviation(held.iter().map(|c| c.volume_ml)),
        abv_percent: deviation(held.iter().map(|c| c.abv_percent)),
        sugar_g_per_l: deviation(held.iter().map(|c| c.sugar_g_per_l)),
        ethanol_g: deviation(held.iter().map(|c| c.ethanol_g)),
    }
}

fn deviation(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let count = values.clone().count() as f64;
    let mean = values.clone().sum::<f64>() / count;
    (values.map(|v| (v - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt()
}

/// The four figures side by side: by the sums over by the draws.
fn ratios(sums: &ContentsSigma, drawn: &ContentsSigma) -> [f64; 4] {
    // One liquid alone is as sweet as it is: nothing but rounding is left of its deviation.
    let ratio = |a: f64, b: f64| if a < 0.01 && b < 0.01 { 1.0 } else { a / b };
    [
        ratio(sums.volume_ml, drawn.volume_ml),
        ratio(sums.abv_percent, drawn.abv_percent),
        ratio(sums.sugar_g_per_l, drawn.sugar_g_per_l),
        ratio(sums.ethanol_g, drawn.ethanol_g),
    ]
}

#[track_caller]
fn assert_near_one(ratios: [f64; 4], what: &str) {
    for ratio in ratios {
        assert!((ratio - 1.0).abs() <= 0.05, "{what}: {ratios:.3?}");
    }
}

fn drinks() -> Vec<(&'static str, Vec<Pour>)> {
    let rye = label(45.0, 0.0);
    let syrup = Composition::from_brix(60.0).unwrap();
    let juice = of_density(0.0, 25.0, 1035.0);
    vec![
        ("one spirit", vec![(rye, 42.0, 0.25)]),
        ("one spirit, weighed exactly", vec![(rye, 42.0, 0.0)]),
        ("one syrup", vec![(syrup, 19.0, 0.3)]),
        ("one liqueur", vec![(label(25.0, 300.0), 33.0, 0.25)]),
        (
            "spirit, sherry, syrup, bitters",
            vec![
                (rye, 46.45, 0.25),
                (label(15.0, 5.0), 22.02, 0.2),
                (syrup, 6.14, 0.15),
                (label(44.7, 0.0), 1.5, 0.2),
            ],
        ),
        (
            "spirit, juice, syrup",
            vec![(rye, 56.0, 0.25), (juice, 23.0, 0.2), (syrup, 24.0, 0.3)],
        ),
        (
            "strong and long",
            vec![(label(63.0, 0.0), 27.0, 0.2), (juice, 120.0, 0.8)],
        ),
        (
            "liqueur and cream",
            vec![
                (label(24.0, 250.0), 32.0, 0.25),
                (of_density(0.0, 30.0, 994.0), 30.0, 0.2),
                (label(40.0, 0.0), 14.0, 0.2),
            ],
        ),
    ]
}

/// Every figure within 5 % of the standard deviation of the draws (in fact within 1.2 %); the draws
/// know contraction, the sums do not.
#[test]
fn it_agrees_with_a_monte_carlo_propagation() {
    for (name, pours) in drinks() {
        let sums = built(&pours).contents().unwrap().sigma;
        let drawn = monte_carlo(|bench| bench.pour(&pours));
        assert_near_one(ratios(&sums, &drawn), name);
    }
}

/// The same for a drink strained on the scale: its mass is what was weighed, the hold-up lies
/// evenly between 2 and 5 g, the water is what is missing.
#[test]
fn a_strained_drink_agrees_with_a_monte_carlo_propagation() {
    let hold_up = Weighed::between(2.0, 5.0);
    let strained = Weighed {
        mass_g: 103.0,
        sigma_g: 0.3,
    };
    for (name, pours) in drinks() {
        let mut glass = built(&pours);
        let liquids_g = glass.total_g;
        // A third of water came to it, and 3.5 g stayed behind.
        let strained = Weighed {
            mass_g: 1.33 * liquids_g - 3.5,
            ..strained
        };
        let dilution = strain(&mut glass, strained, hold_up).unwrap();
        let sums = glass.contents().unwrap().sigma;
        let mut shares = Vec::new();
        let drawn = monte_carlo(|bench| {
            let built = bench.pour(&pours);
            let came = strained.mass_g + strained.sigma_g * bench.normal();
            let all = came + bench.0.random_range(2.0..5.0);
            let water = all - built.total_g;
            let mut diluted = built;
            diluted.add_water(water, 0.0);
            shares.push(water / 0.998_207 / built.contents().unwrap().volume_ml);
            diluted.share(came / all)
        });
        assert_near_one(ratios(&sums, &drawn), name);
        let spread = deviation(shares.iter().copied());
        assert_close(dilution.spread / spread, 1.0, 0.05, name);
        let mean = shares.iter().sum::<f64>() / shares.len() as f64;
        assert_close(dilution.share, mean, 0.002, name);
    }
}

/// What contraction is worth in the sensitivities, measured: without draws, by turning one pour
/// up by a gram. A gram of water brings 1.002 ml by itself; into a spirit it brings less.
#[test]
fn contraction_is_worth_two_percent_of_a_sensitivity() {
    let mut worst: f64 = 0.0;
    for (name, pours) in drinks() {
        for turned in 0..pours.len() {
            let volume = |extra: f64| {
                let mut pours = pours.clone();
                pours[turned].1 += extra;
                built(&pours).contents().unwrap().volume_ml
            };
            let brought = volume(0.5) - volume(-0.5);
            let own = 1000.0 / pours[turned].0.density(20.0).unwrap().density;
            worst = worst.max((brought / own - 1.0).abs());
            assert!((brought / own - 1.0).abs() < 0.025, "{name}, pour {turned}");
        }
    }
    // The strongest spirit in a long drink.
    assert_close(worst, 0.022, 0.001, "worst");
}

/// Worked by hand: 42 g with a sigma of 0.25 g of 45 % vol. Lange's Handbook has 941.11 and 939.16
/// kg/m3 for 37 and 38 % by mass at 20 degC, so 939.55 at the 37.80 % that 45 % vol of ethanol
/// (789.34) are, and 44.70 ml. The label's sigma is 0.003/sqrt(3) = 0.001732; two rows of the same
/// table are 1.09 % vol apart, so a slope of -179 kg/m3 per unit of strength, by which it moves
/// the density by 0.033 %. The model's own sigma is 0.01 %.
#[test]
fn one_spirit_worked_by_hand() {
    let held = built(&[(label(45.0, 0.0), 42.0, 0.25)]).contents().unwrap();
    let ml: f64 = 42.0 / 0.939_55;
    let by_scale: f64 = 0.25 / 42.0;
    let by_model: f64 = 1e-4;
    let by_label: f64 = 0.001_732 * 179.0 / 939.55;
    let sum = |parts: [f64; 3]| parts.iter().map(|p| p * p).sum::<f64>().sqrt();
    let expected = ml * sum([by_scale, by_model, by_label]);
    assert_close(held.sigma.volume_ml, expected, 0.005 * expected, "volume");
    // Strength alone moves by the label; a strength higher by 1 % of itself is 1 % more alcohol,
    // and a little more volume for the same mass.
    assert_close(held.sigma.abv_percent, 0.1732, 0.0005, "strength");
    let ethanol = 0.45 * ml * 0.78924;
    let share = sum([by_scale, by_model, 0.001_732 / 0.45 + by_label]);
    assert_close(held.ethanol_g, ethanol, 0.01, "alcohol");
    assert_close(held.sigma.ethanol_g, ethanol * share, 5e-4, "alcohol");
    assert_eq!(held.sigma.sugar_g_per_l, 0.0);
}

/// Two pours of one bottle count as two bottles. What is off in the label is then off in both:
/// the truth is what one pour of twice the amount gives.
#[test]
fn two_pours_of_one_bottle_cost_at_most_a_share_of_the_label() {
    let spirit = label(40.0, 0.0);
    let ratio = |sigma_g: f64| {
        let twice = built(&[(spirit, 28.0, sigma_g), (spirit, 28.0, sigma_g)]);
        // The scale's two errors are independent all the same.
        let once = built(&[(spirit, 56.0, sigma_g * 2f64.sqrt())]);
        let (twice, once) = (twice.contents().unwrap(), once.contents().unwrap());
        twice.sigma.ethanol_g / once.sigma.ethanol_g
    };
    // With nothing but the label: too small by the square root of two.
    assert_close(ratio(0.0), 0.5f64.sqrt(), 0.001, "label alone");
    // By hand: the scale is off by 0.25 / 28 = 0.89 %, the label by 0.433 + 0.024 = 0.457 %;
    // sqrt((0.89^2 + 0.457^2) / 2) / sqrt(0.89^2 / 2 + 0.457^2) = 0.91.
    assert_close(ratio(0.25), 0.91, 0.003, "as poured");
}

/// A share of a drink has that share of its deviations, and the same strength.
#[test]
fn a_share_is_as_uncertain_as_its_share() {
    let (_, pours) = &drinks()[4];
    let glass = built(pours);
    let (all, half) = (
        glass.contents().unwrap(),
        glass.share(0.5).contents().unwrap(),
    );
    assert_close(
        half.sigma.volume_ml,
        0.5 * all.sigma.volume_ml,
        1e-6,
        "volume",
    );
    assert_close(
        half.sigma.ethanol_g,
        0.5 * all.sigma.ethanol_g,
        1e-6,
        "alcohol",
    );
    assert_close(
        half.sigma.abv_percent,
        all.sigma.abv_percent,
        1e-6,
        "strength",
    );
    let both = glass.share(0.5).and(&glass.share(0.5)).contents().unwrap();
    assert_close(both.volume_ml, all.volume_ml, 1e-9, "together");
    let apart = 0.5f64.sqrt() * all.sigma.volume_ml;
    assert_close(both.sigma.volume_ml, apart, 1e-6, "as if independent");
}
