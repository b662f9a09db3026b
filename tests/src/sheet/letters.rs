//! Names and notes with accents, from the text of a sheet to the glass.

use pennyweight_core::spec::Step;
use pennyweight_sim::sheet::{HouseSheet, parse};
use serde_json::Value;

use super::mistakes::LIQUIDS;
use crate::edges::pennyweight;

const FILE: &str = "data/sheet/accents.toml";

fn accents() -> HouseSheet {
    parse(include_str!("../../data/sheet/accents.toml"), FILE).expect("no mistake")
}

fn output(arguments: &[&str]) -> String {
    let output = pennyweight().args(arguments).output().unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {complaint}");
    String::from_utf8(output.stdout).expect("the output is UTF-8")
}

/// However an accent is typed, it is packed in one way.
#[test]
fn letters_are_packed_composed() {
    let house = accents();
    let sheet = house.sheet().expect("sound");
    let id = sheet.find_drink("SLOE FJ\u{C4}LL").expect("there");
    assert_eq!(sheet.drink(id).expect("there").name, "Sloe Fj\u{E4}ll");
    let names: Vec<_> = house.liquids().iter().map(|it| it.name.as_str()).collect();
    assert_eq!(names, ["cr\u{E8}me de m\u{FB}re", "a\u{F1}ejo"]);
    let note = Step::Note {
        text: "l'\u{E9}corce d'orange - r\u{E2}p\u{E9}e",
    };
    assert_eq!(sheet.step(id, 2), Ok(note));
}

#[test]
fn it_is_checked_and_played_under_its_names() {
    let checked = output(&["check", FILE]);
    for part in ["Sloe Fj\u{E4}ll, rocks", "45 ml", "15 ml"] {
        assert!(checked.contains(part), "{part}: {checked}");
    }
    // As some keyboards write it, in capitals.
    let order = "SLOE FJA\u{308}LL";
    let played = output(&["run", "--sheet", FILE, "--order", order, "--json"]);
    let played: Value = serde_json::from_str(&played).expect("JSON");
    let drink = &played["drinks"][0];
    assert_eq!(drink["name"], "Sloe Fj\u{E4}ll");
    assert_eq!(drink["pours"][0]["liquid"], "a\u{F1}ejo");
    assert_eq!(drink["pours"][1]["liquid"], "cr\u{E8}me de m\u{FB}re");
}

#[test]
fn without_its_accents_a_name_is_guessed() {
    let arguments = ["run", "--sheet", FILE, "--order", "sloe fjall"];
    let output = pennyweight().args(arguments).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).unwrap();
    let guess = "did you mean \"Sloe Fj\u{E4}ll\"?";
    assert!(told.contains(guess), "{told}");
}

/// Places in characters, from 1; a letter whose accent is typed apart has the place of its letter.
#[test]
fn what_the_panel_cannot_show_is_refused_with_its_place() {
    for (name, column, what) in [
        ("Sz\u{151}l\u{151}", 11, "'\u{151}' (U+0151)"),
        ("Szo\u{30B}lo", 11, "'\u{151}' (U+0151)"),
        ("\u{417}\u{438}\u{43C}\u{430}", 9, "'\u{417}' (U+0417)"),
        ("Long \u{1F378}", 14, "'\u{1F378}' (U+1F378)"),
        ("10 \u{20AC} Sour", 12, "'\u{20AC}' (U+20AC)"),
    ] {
        let text = format!(
            "{LIQUIDS}[[drink]]\nname = \"{name}\"\nvessel = \"rocks\"\nbuild = [\"45 ml rye\"]\n"
        );
        let mistakes = parse(&text, "house.toml").expect_err("a mistake");
        let told: Vec<_> = mistakes.iter().map(ToString::to_string).collect();
        let right = "write it with letters of Western European languages";
        assert_eq!(
            told,
            [format!(
                "house.toml:12:{column}: the panel can't show {what} in a name; {right}"
            )]
        );
    }
}

/// Sixteen characters that take two bytes each fit; one more is one too many.
#[test]
fn lengths_are_counted_in_characters() {
    let sheet = |name: &str| {
        format!(
            "{LIQUIDS}[[drink]]\nname = \"{name}\"\nvessel = \"rocks\"\nbuild = [\"45 ml rye\"]\n"
        )
    };
    assert!(parse(&sheet(&"\u{E9}".repeat(16)), "house.toml").is_ok());
    assert!(parse(&sheet(&"e\u{301}".repeat(16)), "house.toml").is_ok());
    let mistakes = parse(&sheet(&"e\u{301}".repeat(17)), "house.toml").expect_err("a mistake");
    let told = mistakes[0].to_string();
    assert!(told.contains("has 17 characters"), "{told}");
}
