//! Liquids the house makes, against handbooks and against mixing by hand.

use pennyweight_core::liquid::Mixture;
use pennyweight_sim::sheet::{Basis, HouseLiquid, HouseSheet, allergen_words, parse};
use proptest::prelude::*;

use super::{assert_close, liquid};

fn house(liquids: &str) -> HouseSheet {
    let drink = "[[drink]]\nname = \"New\"\nvessel = \"rocks\"\nbuild = [\"ice 10-20 g\"]\n";
    parse(&format!("{liquids}\n{drink}"), "house.toml")
        .unwrap_or_else(|mistakes| panic!("{mistakes:?}"))
}

fn made(lines: &str) -> HouseLiquid {
    let sheet = house(&format!("{LIQUIDS}[liquid.mix]\n{lines}\n"));
    liquid(&sheet, "mix").clone()
}

const LIQUIDS: &str = r#"
[liquid.ethanol]
abv = 100
[liquid.rum]
abv = 40
[liquid.cream]
fat = 36
allergens = ["milk"]
[liquid.lemon]
pours = "juice"
density = 1.031
sugar = 25
acid = 60
[liquid.saline]
salt = 20
[liquid.thick]
pours = "syrup"
brix = 60
[liquid.wine]
abv = 12
sugar = 5
acid = 6
allergens = ["sulphites"]
"#;

fn density(liquid: &HouseLiquid) -> f64 {
    liquid.estimate(20.0).expect("a density").density
}

fn abv_percent(liquid: &HouseLiquid) -> f64 {
    f64::from(liquid.abv_centi) / 100.0
}

fn sugar_g_per_l(liquid: &HouseLiquid) -> f64 {
    f64::from(liquid.sugar_dg_per_l) / 10.0
}

/// CRC Handbook, aqueous sucrose at 20 degC: 50 % by mass is 1229.5 kg/m3, so 614.75 g/l; 60 % is
/// 1286.5, so 771.9. Table and formula may differ by 0.3 kg/m3.
#[test]
fn a_syrup_weighs_what_the_handbook_says() {
    for lines in [
        "made_of = [\"500 g sugar\", \"500 g water\"]",
        "made_of = [\"1 part sugar\", \"1 part water\"]\nmade_by = \"mass\"",
    ] {
        let syrup = made(lines);
        assert_close(density(&syrup), 1229.5, 0.3);
        assert_close(sugar_g_per_l(&syrup), 614.75, 0.2);
        assert_eq!((syrup.abv_centi, syrup.basis), (0, Basis::MadeOf));
    }
    let rich = made("made_of = [\"3 parts sugar\", \"2 parts water\"]\nmade_by = \"mass\"");
    assert_close(density(&rich), 1286.5, 0.3);
    assert_close(sugar_g_per_l(&rich), 771.9, 0.25);
}

/// Lange's Handbook at 20 degC: 33 % by mass is 948.57 kg/m3, ethanol 789.32, so 39.66 % vol.
#[test]
fn a_batch_contracts_as_the_handbook_says() {
    let batch = made("made_of = [\"33 g ethanol\", \"67 g water\"]");
    assert_close(density(&batch), 948.57, 0.1);
    assert_close(abv_percent(&batch), 33.0 * 948.57 / 789.32, 0.02);
}

/// By volume: 39.466 g and 49.91 g of 50 ml each (Lange's Handbook, 789.32 and 998.2 kg/m3) are
/// 44.157 % by mass, between its rows of 44 % (926.82) and 45 % (924.69).
#[test]
fn parts_are_by_volume_unless_said_otherwise() {
    let expected = 926.82 + 0.157 * (924.69 - 926.82);
    for lines in [
        "made_of = [\"1 part ethanol\", \"1 part water\"]",
        "made_of = [\"1/2 parts ethanol\", \"0.5 part of water\"]\nmade_by = \"volume\"",
        "made_of = [\"50 ml ethanol\", \"5 cl water\"]",
        "made_of = [\"\u{BD} oz ethanol\", \"1/2 oz water\"]",
    ] {
        assert_close(density(&made(lines)), expected, 0.1);
    }
}

/// Model of Laliberte and Cooper, evaluated elsewhere: 1 to 4 is 1148.1 kg/m3, 1 to 5 1121.8.
/// Saline of the sheet, diluted from 20 to 10 %: 1070.8; salt takes a little more room the
/// less of it there is, which mixing by apparent volume leaves out.
#[test]
fn salt_takes_the_room_it_takes_in_water() {
    let strong = made("made_of = [\"20 g salt\", \"80 g water\"]");
    assert_close(density(&strong), 1148.1, 0.1);
    let weak = made("made_of = [\"10 g salt\", \"50 g water\"]");
    assert_close(density(&weak), 1121.8, 0.1);
    let diluted = made("made_of = [\"50 g saline\", \"50 g water\"]");
    assert_close(density(&diluted), 1070.8, 4.0);
}

/// Citric acid of 10 % by mass at 20 degC: 1039 kg/m3 (CRC Handbook, from memory), so 104 g/l.
#[test]
fn acid_takes_room_and_is_counted() {
    let acid = made("made_of = [\"10 g citric acid\", \"90 g water\"]");
    assert_close(density(&acid), 1039.0, 1.0);
    assert_close(acid.acid_g_per_l, 103.9, 0.2);
    let cordial = made("made_of = [\"100 ml lemon\", \"100 g sugar\", \"5 g citric-acid\"]");
    let volume_ml = 1000.0 * (103.1 + 105.0) / density(&cordial);
    assert_close(cordial.acid_g_per_l, 1000.0 * 11.0 / volume_ml, 0.1);
    assert_close(sugar_g_per_l(&cordial), 1000.0 * 102.5 / volume_ml, 0.1);
}

#[test]
fn allergens_are_those_of_all_and_its_own() {
    let mix = made("made_of = [\"1 part cream\", \"1 part wine\"]\nallergens = [\"nuts\"]");
    assert_eq!(allergen_words(mix.allergens), ["milk", "nuts", "sulphites"]);
}

/// Of as much sugar and ethanol in a gram, the denser liquid has more in a litre.
#[test]
fn a_measured_density_wins() {
    let lines = "made_of = [\"500 g sugar\", \"500 g water\"]\ndensity = 1.24";
    let syrup = made(lines);
    assert_close(density(&syrup), 1240.0, 1e-9);
    assert_close(sugar_g_per_l(&syrup), 620.0, 0.06);
    assert_eq!(syrup.basis, Basis::Measured);
}

/// A mix is no surer than the formula for a liquid of its strength and sugar.
#[test]
fn a_mix_of_spirit_and_sugar_is_as_unsure_as_a_liqueur() {
    let liqueur = made("made_of = [\"700 ml ethanol\", \"300 g sugar\", \"700 ml water\"]");
    let label = liqueur.as_composition();
    let formula = pennyweight_core::liquid::Composition {
        measured: None,
        ..label
    };
    let sigma = liqueur.estimate(20.0).expect("a density").sigma_percent;
    assert!(sigma >= formula.density(20.0).expect("a density").sigma_percent);
    assert!(sigma > 0.5, "{sigma}");
}

#[test]
fn what_a_mix_pours_like_follows_from_it() {
    use pennyweight_core::spec::Family;
    for (lines, family) in [
        ("made_of = [\"1 g sugar\", \"1 g water\"]", Family::Syrup),
        (
            "made_of = [\"1 part rum\", \"1 part wine\"]",
            Family::Spirit,
        ),
        (
            "made_of = [\"1 part lemon\", \"1 part water\"]",
            Family::Juice,
        ),
        (
            "made_of = [\"1 g sugar\", \"1 g water\"]\npours = \"bitters\"",
            Family::Bitters,
        ),
    ] {
        assert_eq!(made(lines).family, family, "{lines}");
    }
}

/// Whatever their order in the sheet, a mix of mixes is what all of it mixes to.
#[test]
fn mixes_of_mixes_are_worked_out_in_any_order() {
    let first = "[liquid.cordial]\nmade_of = [\"200 g syrup\", \"100 g base\"]\n";
    let base = "[liquid.base]\nmade_of = [\"60 g rum\", \"40 g lemon\"]\n";
    let syrup = "[liquid.syrup]\nmade_of = [\"100 g sugar\", \"100 g water\"]\n";
    let orders = [
        [first, base, syrup].concat(),
        [syrup, base, first].concat(),
        [base, first, syrup].concat(),
    ];
    let straight = "made_of = [\"100 g sugar\", \"100 g water\", \"60 g rum\", \"40 g lemon\"]";
    let straight = made(straight);
    for order in orders {
        let sheet = house(&format!("{LIQUIDS}{order}"));
        let cordial = liquid(&sheet, "cordial");
        assert_close(density(cordial), density(&straight), 0.02);
        assert_close(abv_percent(cordial), abv_percent(&straight), 0.011);
        assert_close(sugar_g_per_l(cordial), sugar_g_per_l(&straight), 0.11);
        assert_close(cordial.acid_g_per_l, straight.acid_g_per_l, 0.01);
    }
}

fn mistakes(liquids: &str) -> Vec<String> {
    let drink = "[[drink]]\nname = \"New\"\nvessel = \"rocks\"\nbuild = [\"ice 10-20 g\"]\n";
    let told = parse(&format!("{liquids}\n{drink}"), "house.toml").expect_err("a mistake");
    told.iter().map(ToString::to_string).collect()
}

#[test]
fn a_circle_is_refused_with_its_path() {
    let told = mistakes(
        "[liquid.syrup]\nmade_of = [\"1 part cordial\", \"1 part water\"]\n\
         [liquid.cordial]\nmade_of = [\"1 part syrup\"]\n\
         [liquid.needs-both]\nmade_of = [\"1 part syrup\", \"1 part cordial\"]\n",
    );
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("syrup -> cordial -> syrup"), "{told:?}");
    let told = mistakes("[liquid.mother]\nmade_of = [\"1 part mother\", \"1 part water\"]\n");
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("mother -> mother"), "{told:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    /// Each liquid is made of some others, at random: either there is an order, or a circle is
    /// told. Neither hangs.
    #[test]
    fn circles_never_hang(links in proptest::collection::vec(
        proptest::collection::vec(0_usize..12, 1..4), 12,
    )) {
        let mut text = String::new();
        for (number, links) in links.iter().enumerate() {
            let lines: Vec<String> = links.iter().map(|link| format!("1 part l{link}")).collect();
            text += &format!("[liquid.l{number}]\nmade_of = {lines:?}\n");
        }
        // Every liquid needs another, so some circle there is.
        let told = mistakes(&text);
        prop_assert!(told.iter().any(|told| told.contains(" -> ")), "{:?}", told);
    }

    /// Mixed in two steps or in one, by mass, a liquid is the same, as far as the sheet rounds:
    /// 0.005 % vol, 0.05 g/l, 0.001 kg/m3 of the mix in between.
    #[test]
    fn a_mix_of_mixes_is_the_mix_of_all(
        a in 1.0..100.0, b in 1.0..100.0, c in 1.0..100.0, sweet in 0.0..1.0,
    ) {
        let grams = |figure: f64| (figure * 1_000.0).round() / 1_000.0;
        // As much sugar as surely dissolves.
        let sugar = sweet * (0.5 * a + b);
        let (a, b, c, sugar) = (grams(a), grams(b), grams(c), grams(sugar).max(0.001));
        let all = a + b + sugar;
        let text = format!(
            "{LIQUIDS}[liquid.inner]\nmade_of = [\"{a} g rum\", \"{b} g lemon\", \"{sugar} g sugar\"]\n\
             [liquid.outer]\nmade_of = [\"{all:.3} g inner\", \"{c} g wine\"]\n\
             [liquid.flat]\nmade_of = [\"{a} g rum\", \"{b} g lemon\", \"{sugar} g sugar\", \"{c} g wine\"]\n",
        );
        let sheet = house(&text);
        let (outer, flat) = (liquid(&sheet, "outer"), liquid(&sheet, "flat"));
        prop_assert!((density(outer) - density(flat)).abs() < 0.1);
        prop_assert!((abv_percent(outer) - abv_percent(flat)).abs() < 0.021);
        prop_assert!((sugar_g_per_l(outer) - sugar_g_per_l(flat)).abs() < 0.21);
        // And the same as mixing them by hand.
        let mut glass = Mixture::default();
        for (key, mass) in [("rum", a), ("lemon", b), ("wine", c)] {
            glass.add(&liquid(&sheet, key).as_composition(), mass, 0.0).unwrap();
        }
        glass.total_g += sugar;
        glass.sugar_g += sugar;
        let held = glass.contents().unwrap();
        prop_assert!((held.abv_percent - abv_percent(flat)).abs() < 0.006);
        prop_assert!((held.sugar_g_per_l - sugar_g_per_l(flat)).abs() < 0.06);
    }
}
