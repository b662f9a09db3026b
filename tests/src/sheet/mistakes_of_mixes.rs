//! Mistakes in what a liquid is made of and goes by, in parts and in measures, as they are told.

use super::mistakes::{DRINK, LIQUIDS, told};

/// Each of these as the keys of a new liquid.
fn keys(keys: &str) -> (String, String) {
    let text = format!("{LIQUIDS}{DRINK}[liquid.new]\n{keys}\n");
    (keys.to_owned(), text)
}

#[test]
fn of_what_a_liquid_goes_by() {
    let answers = told(
        [
            "abv = 40\nproof = 80",
            "abw = 33\nproof = 80",
            "proof = 201",
            "abw = 40\nbrix = 20",
            "abw = 90\nsugar = 500",
            "salt = 27",
            "salt = 20\nsugar = 10",
            "salt = 5\nfat = 3",
            "fat = 36\nabv = 17",
            "fat = 90",
            "honey_water = 10",
            "honey_water = 17\nbrix = 83",
            "abv = 40\nacid = 300",
            "abv = 40\ntags = [\"\", 3]",
            "abv = 40\ntags = [\"a\", \"b\", \"c\", \"d\", \"e\", \"f\", \"g\", \"h\", \"i\"]",
            "abv = 40\ntemp = 60",
            "abv = 10\ntemp = -8",
            "fat = 36\ntemp = -2",
            "abv = 40\ntemp = \"cold\"",
            "salt = 20\ndensity = 1.15",
        ]
        .map(keys),
    );
    insta::assert_snapshot!(answers);
}

#[test]
fn of_what_a_liquid_is_made_of() {
    let answers = told(
        [
            "made_of = []",
            "made_of = \"1 part rye\"",
            "made_of = [\"1 part rhy\"]",
            "made_of = [\"500 g suger\", \"500 g water\"]",
            "made_of = [\"1 part moonlight\"]",
            "made_of = [\"100 ml sugar\", \"100 ml water\"]",
            "made_of = [\"1 part sugar\", \"1 part water\"]",
            "made_of = [\"1 part rye\", \"10 g water\"]",
            "made_of = [\"2 dashes rye\"]",
            "made_of = [\"rye\"]",
            "made_of = [\"5 rye\"]",
            "made_of = [\"10 ml\"]",
            "made_of = [\"1 part rye\"]\nabv = 40\nsugar = 3",
            "made_of = [\"1 part rye\"]\nsalt = 3",
            "made_of = [\"1 part rye\"]\nmade_by = \"eye\"",
            "abv = 40\nmade_by = \"mass\"",
            "made_of = [\"500 g sugar\", \"100 g water\"]",
            "made_of = [\"50 g salt\", \"100 g water\"]",
            "made_of = [\"5 g salt\"]",
            "made_of = [\"50 g citric acid\", \"100 g water\"]",
            "made_of = [\"1 part new\", \"1 part water\"]",
            "made_of = [\"1 part rye\"]\ndensity = 0.6",
        ]
        .map(keys),
    );
    insta::assert_snapshot!(answers);
}

#[test]
fn of_parts_and_volumes() {
    let answers = told(
        [
            "build = [\"2 parts rye\"]",
            "total = \"90 ml\"\nbuild = [\"45 ml rye\"]",
            "total = \"90 g\"\nbuild = [\"2 parts rye\"]",
            "total = \"much\"\nbuild = [\"2 parts rye\"]",
            "total = 90\nbuild = [\"2 parts rye\"]",
            "total = \"90 ml\"\nbuild = [\"0 parts rye\", \"1 part rye\"]",
            "total = \"90 ml\"\nbuild = [\"2,5 parts rye\", \"1 part rye\"]",
            "total = \"90 ml\"\nbuild = [\"2 parts ry\", \"1 part\"]",
            "total = \"1 ml\"\nbuild = [\"1 part rye\", \"9999 parts rye\"]",
            "volumes = \"cold\"\nbuild = [\"45 ml rye\"]",
            "volumes = \"as pourd\"\nbuild = [\"45 ml rye\"]",
            "volumes = 20\nbuild = [\"45 ml rye\"]",
        ]
        .map(|keys| {
            let drink = "[[drink]]\nname = \"New\"\nvessel = \"rocks\"";
            let text = format!("{LIQUIDS}{drink}\n{keys}\n");
            (keys.to_owned(), text)
        }),
    );
    insta::assert_snapshot!(answers);
}

#[test]
fn of_measured_measures() {
    let answers = told(
        [
            "dash = [\"0.7 ml\", \"0.8 ml\"]",
            "dash = []",
            "dash = [\"0.7 g\", \"0.8 g\", \"0.9 g\"]",
            "dash = [\"0.7 g\", \"0.8 g\", \"0.9 g\"]\nmeasured_with = \"ry\"",
            "dash = [\"0.7 ml\", \"0.8 ml\", \"0.9 ml\"]\nmeasured_with = \"rye\"",
            "dash = [\"0.7 ml\", 3, \"0.9 dash\"]",
            "dash = \"0.7 g\"\nmeasured_with = \"rye\"",
            "drop = [\"30 ml\", \"0.05 ml\", \"0.05 ml\"]",
            "volumes = \"at 15 C\"",
        ]
        .map(|keys| {
            let text = format!("[house]\n{keys}\n{LIQUIDS}{DRINK}");
            (keys.to_owned(), text)
        }),
    );
    insta::assert_snapshot!(answers);
}
