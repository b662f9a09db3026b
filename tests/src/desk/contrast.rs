//! The contrast of every pair of colours that meets on the page, by WCAG 2.2: relative luminance
//! and contrast ratio as its glossary defines them; 4.5 for text (1.4.3), 3 for what marks a
//! control or a state (1.4.11).

use std::collections::BTreeMap;

use pennyweight_sim::desk::page::FILES;

/// Text, and what it stands on.
const TEXT: &[(&str, &[&str])] = &[
    ("ink", &["ground", "card", "well"]),
    ("quiet", &["ground", "card", "well"]),
    ("on-accent", &["accent"]),
    ("card", &["go", "stop"]),
    ("go", &["ground", "card", "well"]),
    ("ease", &["ground", "card"]),
    ("stop", &["ground", "card", "well"]),
    ("panel-lit", &["panel-dark"]),
];

/// Edges, lines and rings, and what they stand on.
const MARKS: &[(&str, &[&str])] = &[
    ("edge", &["ground", "card", "well"]),
    ("accent", &["ground", "card", "well"]),
    ("focus", &["ground", "card", "well"]),
];

#[test]
fn every_pair_of_colours_can_be_told_apart() {
    for (theme, colours) in themes() {
        for (pairs, least) in [(TEXT, 4.5), (MARKS, 3.0)] {
            for (front, grounds) in pairs {
                for ground in *grounds {
                    let ratio = contrast(&colours[*front], &colours[*ground]);
                    assert!(ratio >= least, "{theme}: {front} on {ground}: {ratio:.2}");
                }
            }
        }
    }
}

/// Black on white is 21 to 1; #777777 on white is the grey that just fails (4.48), as WebAIM's
/// and other tables have it.
#[test]
fn the_formula_is_that_of_the_guidelines() {
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#777777", "#ffffff") - 4.48).abs() < 0.005);
}

#[test]
fn colours_stand_in_one_file_only() {
    let styles = FILES
        .iter()
        .filter(|file| file.path.ends_with(".css") && file.path != "/colours.css");
    for file in styles {
        let stray = file.text.lines().find(|line| line.contains(": #"));
        assert_eq!(stray, None, "{}", file.path);
    }
}

/// The colours of each theme; the dark one says only what differs.
fn themes() -> [(&'static str, BTreeMap<String, String>); 2] {
    let file = FILES.iter().find(|file| file.path == "/colours.css");
    let (light, dark) = file.unwrap().text.split_once(":root[").unwrap();
    let light = properties(light);
    let mut night = light.clone();
    night.extend(properties(dark));
    assert!(light.len() > 10, "the colours were not found");
    [("light", light), ("dark", night)]
}

fn properties(block: &str) -> BTreeMap<String, String> {
    block
        .lines()
        .filter_map(|line| {
            line.trim()
                .strip_prefix("--")?
                .strip_suffix(';')?
                .split_once(": ")
        })
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect()
}

fn contrast(one: &str, other: &str) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

fn luminance(hex: &str) -> f64 {
    let channel = |at: usize| {
        let share = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
        if share <= 0.040_45 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
}
