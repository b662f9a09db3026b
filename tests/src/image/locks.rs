//! The image and the desk build from the same dependencies, by the same toolchain.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use serde::Deserialize;

#[derive(Deserialize)]
struct Lock {
    package: Vec<Package>,
}

#[derive(Deserialize)]
struct Package {
    name: String,
    version: String,
}

/// What Cargo takes for one and the same: the first part of the version that is not 0.
fn line(version: &str) -> String {
    let parts: Vec<_> = version.split('.').collect();
    let first = parts.iter().position(|part| *part != "0");
    parts[..=first.unwrap_or(0)].join(".")
}

/// The versions of each package line of a lock file.
fn locked(path: &str) -> BTreeMap<(String, String), BTreeSet<String>> {
    let path = format!("{}/../{path}", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(&path).expect("a lock file is committed");
    let lock: Lock = toml::from_str(&text).expect("a lock file is TOML");
    let mut versions = BTreeMap::<_, BTreeSet<_>>::new();
    for Package { name, version } in lock.package {
        versions
            .entry((name, line(&version)))
            .or_default()
            .insert(version);
    }
    versions
}

#[test]
fn lock_files_agree_on_what_they_share() {
    let desk = locked("Cargo.lock");
    let image = locked("firmware/Cargo.lock");
    let shared: Vec<_> = image
        .iter()
        .filter_map(|(package, versions)| Some((package, versions, desk.get(package)?)))
        .collect();
    assert!(
        shared.iter().any(|((name, _), ..)| name == "libm"),
        "the lock files share nothing"
    );
    let differing: Vec<_> = shared
        .iter()
        .filter(|(_, image, desk)| image != desk)
        .map(|((name, _), image, desk)| format!("{name}: image {image:?}, desk {desk:?}"))
        .collect();
    assert!(
        differing.is_empty(),
        "bring the older one along with `cargo update --package NAME --precise VERSION` in its \
         workspace:\n{}",
        differing.join("\n")
    );
}

/// README names the toolchain a newcomer needs; the manifests make Cargo refuse an older one.
#[test]
fn manifests_and_readme_name_the_same_toolchain() {
    let read = |path: &str| {
        let path = format!("{}/../{path}", env!("CARGO_MANIFEST_DIR"));
        fs::read_to_string(path).expect("it is committed")
    };
    let manifest = |path: &str| -> toml::Table { toml::from_str(&read(path)).expect("TOML") };
    let desk = manifest("Cargo.toml")["workspace"]["package"]["rust-version"].clone();
    let image = manifest("firmware/Cargo.toml")["package"]["rust-version"].clone();
    assert_eq!(desk, image);
    let named = format!(
        "a Rust toolchain ({} or newer)",
        desk.as_str().expect("text")
    );
    assert!(read("README.md").contains(&named), "README: {named}");
}

#[test]
fn package_lines_follow_cargo() {
    for (version, expected) in [
        ("1.2.3", "1"),
        ("0.2.16", "0.2"),
        ("0.0.7", "0.0.7"),
        ("10.1.0", "10"),
    ] {
        assert_eq!(line(version), expected);
    }
}
