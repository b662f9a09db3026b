//! Every kind of mistake, as it is told.

use std::fmt::Write;

use pennyweight_sim::sheet::parse;

/// Line 1 of every sheet here, so that line numbers are those of a small real one.
pub(super) const LIQUIDS: &str = r#"[liquid.rye]
abv = 50
[liquid.ginger-syrup]
pours = "syrup"
brix = 50
[liquid.egg-white]
pours = "whole"
each = "33 g"
[liquid.soda]
pours = "soda"
"#;

pub(super) const DRINK: &str = r#"[[drink]]
name = "Slow Ledger"
vessel = "rocks"
build = ["45 ml rye"]
"#;

/// Each sheet (or the telling line of it) with its mistakes.
pub(super) fn told(cases: impl IntoIterator<Item = (String, String)>) -> String {
    let mut told = String::new();
    for (shown, text) in cases {
        writeln!(told, "{}", shown.trim_end()).expect("a string");
        match parse(&text, "house.toml") {
            Ok(_) => writeln!(told, "    no mistake").expect("a string"),
            Err(mistakes) => {
                for mistake in mistakes {
                    writeln!(told, "    {mistake}").expect("a string");
                }
            }
        }
    }
    told
}

fn whole(text: &str) -> (String, String) {
    (text.to_owned(), text.to_owned())
}

/// A sheet with this line in it.
fn line_of_a_build(line: &str) -> (String, String) {
    let drink = "[[drink]]\nname = \"New\"\nvessel = \"rocks\"";
    let text = format!("{LIQUIDS}{drink}\nbuild = [\n    \"{line}\",\n]\n");
    (line.to_owned(), text)
}

#[test]
fn of_toml() {
    let answers = told([
        whole(""),
        whole("[liquid.rye\nabv = 50\n"),
        whole("[liquid.rye]\nabv = \n"),
        whole("[liquid.rye]\nabv = 50\nabv = 40\n"),
        whole("[liquid.rye]\nname = \"rye\nabv = fifty\n"),
        whole("[house]\nname 'x'\n[[drink]\n"),
    ]);
    insta::assert_snapshot!(answers);
}

#[test]
fn of_the_top_and_the_house() {
    let answers = told(
        [
            "[houze]\n",
            "house = 3\n",
            "[bar]\nname = \"x\"\n",
            "[house]\ndash = 0.8\n",
            "[house]\ndash = \"0,8 ml\"\n",
            "[house]\nbarspoon = \"5 g\"\n",
            "[house]\nbarspoon = \"50 ml\"\n",
            "[house]\ndashes = \"0.8 ml\"\nname = 5\n",
        ]
        .map(|top| (top.to_owned(), format!("{top}{LIQUIDS}{DRINK}"))),
    );
    insta::assert_snapshot!(answers);
}

#[test]
fn of_a_liquid() {
    let answers = told(
        [
            "",
            "abv = 400",
            "abv = \"40 %\"",
            "abv = nan",
            "abv = 40\nsugar = 2000",
            "abv = 40\nsuger = 20",
            "abv = 80\nsugar = 700",
            "abv = 40\nbrix = 20",
            "pours = \"syrup\"\nsugar = 600\nbrix = 50",
            "pours = \"syrup\"\nbrix = 82",
            "pours = \"syrup\"\nbrix = 82\ndensity = 1.42\nat = 30",
            "pours = \"syrop\"",
            "pours = \"thick\"",
            "pours = \"juice\"\ndensity = 1034",
            "pours = \"juice\"\nat = 20",
            "pours = \"juice\"\ndensity = 1.03\nat = 80",
            "abv = 40\nallergens = [\"eggs\", \"wheat\", 3]",
            "abv = 40\nallergens = \"egg\"",
            "abv = 40\nname = \"a very long whiskey\"",
            "abv = 40\nname = \"t\u{151}ke\"",
            "abv = 40\nname = \"\"",
            "abv = 40\nname = \"Rye\"",
            "pours = \"whole\"",
            "pours = \"whole\"\neach = \"33 ml\"",
            "abv = 40\neach = \"33 g\"",
        ]
        .map(|keys| {
            let text = format!("{LIQUIDS}{DRINK}[liquid.new]\n{keys}\n");
            (format!("[liquid.new]\n{keys}"), text)
        })
        .into_iter()
        .chain([
            (
                "[liquid]\nrye = 50".to_owned(),
                format!("[liquid]\nrye = 50\n{DRINK}"),
            ),
            (
                "[liquid.a-name-that-is-too-long]".to_owned(),
                format!("{LIQUIDS}{DRINK}[liquid.a-name-that-is-too-long]\nabv = 40\n"),
            ),
        ]),
    );
    insta::assert_snapshot!(answers);
}

#[test]
fn of_a_drink() {
    let answers = told(
        [
            "",
            "name = \"New\"\nvessel = \"rocks\"\nbuild = []",
            "name = \"New\"\nvessel = \"rocks\"\nbuild = \"45 ml rye\"",
            "name = \"New\"\nvessel = \"rocks\"\nbuild = [45, \"30 ml rye\"]",
            "name = \"New\"\nvessel = \"rock\"\nbuild = [\"45 ml rye\"]",
            "name = \"New\"\nvessel = \"bucket\"\nbuild = [\"45 ml rye\"]",
            "name = \"New\"\nvessel = \"rocks\"\nglas = \"rocks\"\nbuild = [\"45 ml rye\"]",
            "name = \"slow ledger\"\nvessel = \"rocks\"\nbuild = [\"45 ml rye\"]",
            "name = \"A name beyond the panel\"\nvessel = \"rocks\"\nbuild = [\"45 ml rye\"]",
            "name = \"New\"\nvessel = \"tin\"\nbuild = [\"45 ml rye\"]",
            "name = \"New\"\nvessel = \"tin\"\nbuild = [\"45 ml rye\", \"strain\"]",
            "name = \"New\"\nvessel = \"tin\"\nglass = \"coupe\"\nbuild = [\"45 ml rye\"]",
            "name = \"New\"\nvessel = \"tin\"\nglass = \"coupe\"\nbuild = [\n\"strain\",\n\"strain\"]",
        ]
        .map(|keys| {
            let text = format!("{LIQUIDS}{DRINK}[[drink]]\n{keys}\n");
            (format!("[[drink]]\n{keys}"), text)
        })
        .into_iter()
        .chain([
            whole("[liquid.rye]\nabv = 50\n"),
            ("drink = 3".to_owned(), format!("drink = 3\n{LIQUIDS}")),
            ("drink = []".to_owned(), format!("drink = []\n{LIQUIDS}")),
            ("25 lines".to_owned(), {
                let lines = "\"45 ml rye\", ".repeat(25);
                format!("{LIQUIDS}[[drink]]\nname = \"New\"\nvessel = \"rocks\"\nbuild = [{lines}]\n")
            }),
        ])
    );
    insta::assert_snapshot!(answers);
}

#[test]
fn of_a_line_of_a_build() {
    let answers = told(
        [
            "",
            "45 ml ry",
            "45 ml absinthe",
            "45 ml",
            "45",
            "45 rye",
            "rye",
            "45 mll rye",
            "45 pints rye",
            "45 jiggers of whatever",
            "4,5 cl rye",
            "0 ml rye",
            "-5 ml rye",
            "30000 ml rye",
            "1 3/2 oz rye",
            "1/2 dash rye",
            "45 ml egg wite",
            "1 egg wite",
            "1.5 egg white",
            "2 pieces rye",
            "stirr 25 s",
            "stir",
            "stir 25",
            "stir 25 min",
            "stir 300 s",
            "dry shake",
            "muddle mint",
            "strain coupe",
            "ice",
            "ice 150 g",
            "ice 200-120 g",
            "ice 120-180 ml",
            "ice 120-9000 g",
            "150 g ice",
            "note:",
            "note: flame the peel of an orange over the glass, then drop it",
            "note: c\u{153}ur d\u{2019}artichaut",
            "45 ml r\\u00ffe",
        ]
        .map(line_of_a_build),
    );
    insta::assert_snapshot!(answers);
}

/// The kinds of lines a bartender may write and that are right.
#[test]
fn of_none() {
    let answers = told(
        [
            "45 ml rye",
            "45ml RYE",
            "1 1/2 oz rye",
            "1\u{BD} oz of rye",
            "2 fl oz rye",
            "2 dashes of rye",
            "1 barspoon ginger syrup",
            "1 bsp ginger-syrup",
            "3 drops rye",
            "1 egg white",
            "2 pieces egg-white",
            "90 ml soda",
            "12 g rye",
            "ice 120-180 g",
            "Ice 120 - 180 g",
            "120-180 g ice",
            "stir 25 s",
            "Stir 25s",
            "shake 12 seconds",
            "dry shake 10 s",
            "note: express a zest",
        ]
        .map(line_of_a_build),
    );
    insta::assert_snapshot!(answers);
}

#[test]
fn several_at_once() {
    let text = include_str!("../../data/sheet/many_mistakes.toml");
    let answers = told([("many_mistakes.toml".to_owned(), text.to_owned())]);
    insta::assert_snapshot!(answers);
}

/// Lines may end as they do elsewhere, and a byte order mark may stand in front.
#[test]
fn places_are_right_with_other_line_ends() {
    let text = format!("{LIQUIDS}{DRINK}")
        .replace("45 ml rye", "45 ml ry")
        .replace('\n', "\r\n");
    let plain = parse(&text, "house.toml").expect_err("a mistake");
    assert_eq!((plain[0].line, plain[0].column), (14, 17));
    let marked = format!(
        "\u{FEFF}{}",
        text.replace("[liquid.rye]", "x = 1\n[liquid.rye]")
    );
    let marked = parse(&marked, "house.toml").expect_err("two mistakes");
    assert_eq!((marked[0].line, marked[0].column), (1, 1));
}
