//! The core's data runs one way, and no check is forgotten.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Which modules of the core each module may name: what the core's own description of its data
/// flow allows (code -> weigh -> pour -> build -> round -> station), and no more.
///
/// Liquids and weighing are crates of their own, where the compiler sees to it. `limits` and `spec`
/// lie below everything that flows; `input`, `output` and `view` are the words at the edges. A
/// module that is not listed may name nothing and be named by nobody.
const MAY_NAME: &[(&str, &[&str])] = &[
    ("codec", &[]),
    ("limits", &[]),
    ("spec", &["codec"]),
    ("input", &["spec"]),
    ("output", &["input", "spec"]),
    ("view", &["output", "spec"]),
    ("pour", &["input", "limits", "output", "spec", "view"]),
    (
        "build",
        &["input", "limits", "output", "pour", "spec", "view"],
    ),
    (
        "round",
        &["build", "input", "limits", "output", "pour", "spec", "view"],
    ),
    ("panel", &["limits", "output", "spec", "view"]),
    ("learn", &["input", "limits", "output", "spec", "view"]),
    (
        "station",
        &[
            "build", "input", "learn", "limits", "output", "panel", "pour", "round", "spec", "view",
        ],
    ),
    (
        "journal",
        &[
            "build", "codec", "input", "limits", "output", "pour", "round", "spec", "station",
        ],
    ),
    (
        "keep",
        &[
            "build", "codec", "input", "journal", "output", "pour", "spec", "station",
        ],
    ),
    (
        "link",
        &[
            "codec", "input", "journal", "keep", "limits", "output", "panel", "round", "spec",
            "station", "view",
        ],
    ),
    ("flight", &["limits", "output"]),
];

/// The crates below, under the names that the core gives them.
const BELOW: [&str; 4] = ["liquid", "time", "units", "weigh"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Every Rust file below `folder`, in a fixed order.
fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

/// The module path of a file below a source folder: `weigh/pan/mod.rs` is `[weigh, pan]`.
fn module_path(file: &Path) -> Vec<String> {
    let mut parts: Vec<String> = file
        .with_extension("")
        .iter()
        .map(|part| part.to_str().unwrap().to_owned())
        .collect();
    if parts
        .last()
        .is_some_and(|last| last == "mod" || last == "lib")
    {
        parts.pop();
    }
    parts
}

/// Source without comments, and with the content of texts and characters blanked.
fn code_only(source: &str) -> String {
    let mut code = String::new();
    let mut rest = source;
    while let Some(first) = rest.chars().next() {
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else if first == '"' {
            let bytes = rest.as_bytes();
            let mut end = 1;
            while end < bytes.len() && bytes[end] != b'"' {
                end += if bytes[end] == b'\\' { 2 } else { 1 };
            }
            (end + 1).min(rest.len())
        } else if first == '\'' && character_length(rest) > 0 {
            character_length(rest)
        } else {
            code.push(first);
            rest = &rest[first.len_utf8()..];
            continue;
        };
        code.push(' ');
        rest = &rest[skipped..];
    }
    code
}

/// Length of the character literal that `rest` begins with; none for a lifetime.
fn character_length(rest: &str) -> usize {
    let from = if rest.starts_with("'\\") { 3 } else { 2 };
    rest.char_indices()
        .filter(|(at, _)| *at >= from)
        .take(if from == 3 { 8 } else { 1 })
        .find(|(_, letter)| *letter == '\'')
        .map_or(0, |(at, _)| at + 1)
}

/// Identifiers and the punctuation that paths are made of.
fn tokens(code: &str) -> Vec<String> {
    let mut tokens: Vec<String> = Vec::new();
    let mut word = String::new();
    for letter in code.chars().chain([' ']) {
        if letter.is_alphanumeric() || letter == '_' {
            word.push(letter);
            continue;
        }
        if !word.is_empty() {
            tokens.push(std::mem::take(&mut word));
        }
        if letter == ':' && tokens.last().is_some_and(|last| last == ":") {
            tokens.pop();
            tokens.push("::".to_owned());
        } else if !letter.is_whitespace() {
            tokens.push(letter.to_string());
        }
    }
    tokens
}

/// The first names of what stands at `at`: one name, or each of a group in braces.
fn first_names(tokens: &[String], at: usize) -> Vec<String> {
    if tokens.get(at).is_none_or(|token| token != "{") {
        return tokens.get(at).cloned().into_iter().collect();
    }
    let mut names = Vec::new();
    let mut depth = 0;
    let mut expected = false;
    for token in &tokens[at..] {
        match token.as_str() {
            "{" => {
                depth += 1;
                expected = depth == 1;
            }
            "}" => {
                depth -= 1;
                if depth == 0 {
                    break;
                }
            }
            "," => expected = depth == 1,
            name if expected => {
                names.push(name.to_owned());
                expected = false;
            }
            _ => {}
        }
    }
    names
}

/// The top modules of the core that a file at `module` names, by `crate::` or by `super::`.
fn named_modules(module: &[String], source: &str) -> BTreeSet<String> {
    let tokens = tokens(&code_only(source));
    let mut named = BTreeSet::new();
    for (at, token) in tokens.iter().enumerate() {
        let continues = at > 0 && tokens[at - 1] == "::";
        let leads = tokens.get(at + 1).is_some_and(|next| next == "::");
        if continues || !leads {
            continue;
        }
        let (mut above, mut next) = match token.as_str() {
            "crate" => (module.len(), at + 2),
            "super" => (1, at + 2),
            _ => continue,
        };
        while tokens.get(next).is_some_and(|token| token == "super") {
            above += 1;
            next += 2;
        }
        if above >= module.len() {
            named.extend(first_names(&tokens, next));
        }
    }
    named
}

/// What is wrong with what a file of the core names.
fn against_the_flow(module: &[String], source: &str) -> Vec<String> {
    let Some(top) = module.first() else {
        // The list of modules itself.
        return Vec::new();
    };
    let Some((_, allowed)) = MAY_NAME.iter().find(|(name, _)| name == top) else {
        return vec![format!("{top} is not in the table of modules")];
    };
    named_modules(module, source)
        .into_iter()
        .filter(|named| named != top && !BELOW.contains(&named.as_str()))
        .filter(|named| !allowed.contains(&named.as_str()))
        .map(|named| format!("{} names {named}", module.join("::")))
        .collect()
}

#[test]
fn the_core_names_nothing_against_the_data_flow() {
    let folder = root().join("core/src");
    let files = rust_files(&folder);
    assert!(files.len() > 50, "the core was not found");
    let wrong: Vec<String> = files
        .iter()
        .flat_map(|file| {
            let module = module_path(file.strip_prefix(&folder).unwrap());
            against_the_flow(&module, &std::fs::read_to_string(file).unwrap())
        })
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_table_of_modules_has_no_circle() {
    // Each may only name what stands above it in the table, or words of the edges.
    for (place, (module, allowed)) in MAY_NAME.iter().enumerate() {
        for named in *allowed {
            let above = MAY_NAME[..place].iter().any(|(name, _)| name == named);
            assert!(above, "{module} may name {named}, which stands below it");
        }
    }
}

#[test]
fn a_planted_import_is_found() {
    let wrong = |module: &[&str], source: &str| {
        let module: Vec<String> = module.iter().map(|part| (*part).to_owned()).collect();
        against_the_flow(&module, source)
    };
    let planted = [
        "use crate::pour::Pour;",
        "use crate::{time::Instant, pour::{Pour, Judge}};",
        "use crate::{\n    units::Grams,\n    station,\n};",
        "fn f() -> crate::round::Round<'static> { loop {} }",
        "use super::super::super::build::Build;",
        "use crate::Station;",
        "use crate::*;",
        "let letter = '\"'; use crate::pour::Pour; let other = '\"';",
    ];
    for source in planted {
        assert_eq!(
            wrong(&["panel", "pages", "line"], source).len(),
            1,
            "{source}"
        );
    }
    let allowed = [
        "use crate::limits::DIM_S;\nuse crate::time::Instant;",
        "//! See [`crate::Station`].\n/* crate::pour */ use super::Pen;",
        "use super::super::frame::Frame;",
        "pub(crate) fn f() -> &'static str { \"crate::pour::Pour\" }",
        "use core::fmt; use heapless::Deque;",
    ];
    for source in allowed {
        assert!(
            wrong(&["panel", "pages", "line"], source).is_empty(),
            "{source}"
        );
    }
    // Up from a file at the top, and out of a module the table does not know.
    assert_eq!(
        wrong(&["limits"], "use super::pour::Pour;"),
        ["limits names pour"]
    );
    assert_eq!(wrong(&["gadget"], "").len(), 1);
    assert_eq!(
        wrong(&["panel", "pages"], "use crate::pour::Pour;").len(),
        1
    );
    assert!(wrong(&["station"], "use crate::round::Round;").is_empty());
}

/// The files that are compiled: from `file`, through every `mod name;`.
fn reached_from(file: &Path, folder: &Path, reached: &mut BTreeSet<PathBuf>) {
    reached.insert(file.to_owned());
    let tokens = tokens(&code_only(&std::fs::read_to_string(file).unwrap()));
    for words in tokens.windows(3) {
        let [keyword, name, end] = words else {
            continue;
        };
        if keyword != "mod" || end != ";" {
            continue;
        }
        let beside = folder.join(format!("{name}.rs"));
        let within = folder.join(name).join("mod.rs");
        let next = if beside.exists() { beside } else { within };
        reached_from(&next, &folder.join(name), reached);
    }
}

#[test]
fn every_file_of_checks_is_compiled() {
    let folder = root().join("tests/src");
    let mut reached = BTreeSet::new();
    reached_from(&folder.join("lib.rs"), &folder, &mut reached);
    let forgotten: Vec<PathBuf> = rust_files(&folder)
        .into_iter()
        .filter(|file| !reached.contains(file))
        .collect();
    assert!(forgotten.is_empty(), "{forgotten:#?}");
    assert!(reached.len() > 30);
}
