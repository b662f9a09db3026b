//! The house's order by method: common practice, no source.

use pennyweight_sim::sheet::parse;

const SHEET: &str = r#"
[liquid.rye]
abv = 50
[liquid.fino]
abv = 15
[liquid.lemon]
pours = "juice"
brix = 9
[liquid.soda]
pours = "soda"
density = 1.001
[liquid.bitters]
pours = "bitters"
abv = 44.7
[liquid.egg-white]
pours = "whole"
each = "33 g"
density = 1.035

[[drink]]
name = "Shaken"
vessel = "tin"
glass = "coupe"
order = "house"
build = ["60 ml rye", "ice 80-140 g", "22 ml lemon", "1 egg white", "2 dashes bitters", "note: muddle the mint", "shake 10 s", "strain", "note: zest over"]

[[drink]]
name = "Stirred"
vessel = "mixing glass"
glass = "coupe"
order = "house"
build = ["60 ml rye", "25 ml fino", "2 dashes bitters", "ice 120-200 g", "stir 20 s", "strain"]

[[drink]]
name = "Built"
vessel = "highball"
order = "house"
build = ["60 ml soda", "45 ml rye", "ice 80-140 g", "note: lemon wedge"]

[[drink]]
name = "Written"
vessel = "rocks"
order = "written"
build = ["60 ml rye", "2 dashes bitters"]
"#;

#[test]
fn a_build_is_put_in_the_order_of_its_method() {
    let sheet = parse(SHEET, "orders").expect("the sheet is sound");
    let told: Vec<Vec<&str>> = sheet
        .drinks()
        .iter()
        .map(|drink| {
            drink
                .build
                .iter()
                .map(|line| line.written.as_str())
                .collect()
        })
        .collect();
    let expected: [&[&str]; 4] = [
        &[
            "note: muddle the mint",
            "1 egg white",
            "2 dashes bitters",
            "22 ml lemon",
            "60 ml rye",
            "ice 80-140 g",
            "shake 10 s",
            "strain",
            "note: zest over",
        ],
        &[
            "2 dashes bitters",
            "25 ml fino",
            "60 ml rye",
            "ice 120-200 g",
            "stir 20 s",
            "strain",
        ],
        &[
            "ice 80-140 g",
            "45 ml rye",
            "60 ml soda",
            "note: lemon wedge",
        ],
        &["60 ml rye", "2 dashes bitters"],
    ];
    assert_eq!(told, expected);
}

#[test]
fn an_unknown_order_is_refused_with_the_right_words() {
    let text = SHEET.replace("order = \"written\"", "order = \"backwards\"");
    let mistakes = parse(&text, "orders").expect_err("there is no such order");
    let told = format!("{mistakes:?}");
    assert!(told.contains("order = \\\"house\\\""), "{told}");
}
