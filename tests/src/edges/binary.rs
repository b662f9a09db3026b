//! The built program, where a test needs the process itself: exit codes, pipes.

use std::process::{Command, Stdio};

/// The program, ready to be given arguments. Cargo built it before these tests.
pub(crate) fn pennyweight() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pennyweight-tested"));
    command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

#[test]
fn wrong_options_end_with_code_2() {
    for arguments in [
        &["nonsense"][..],
        &["run", "--seed", "many"],
        &["run", "--speed", "0"],
        &["station", "--zero-code", "0"],
        &[
            "station",
            "--zero-code",
            "8388608",
            "--counts-per-gram",
            "420",
        ],
        &["station", "--zero-code", "0", "--counts-per-gram", "nan"],
        &["replay"],
        &["replay", "no-such-trace.csv"],
        &["run", "--sheet", "no-such-sheet.toml"],
        &["run", "--order", "no such drink"],
        &["check", "no-such-sheet.toml"],
        &["check", "data/sheet/many_mistakes.toml"],
        &["liquid"],
        &["liquid", "--abv", "140"],
    ] {
        let output = pennyweight().args(arguments).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
        assert!(!output.stderr.is_empty(), "{arguments:?}");
    }
}

#[test]
fn a_reader_that_leaves_is_no_panic() {
    use std::io::Write;
    let mut child = pennyweight()
        .args(["station", "--zero-code", "0", "--counts-per-gram", "420"])
        .stdin(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut input = child.stdin.take().unwrap();
    // The station may be gone before everything is written; that is the point.
    let _ = (0..10_000).try_for_each(|i| writeln!(input, "{{\"t_us\":{i},\"code\":0}}"));
    drop(input);
    let output = child.wait_with_output().unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{complaint}");
    assert!(complaint.is_empty(), "{complaint}");
}

/// `head` and its like leave when they have seen enough; that is no fault of anybody.
#[test]
fn no_verb_complains_of_a_reader_that_leaves() {
    for arguments in [
        &["run"][..],
        &["run", "--json"],
        &["check"],
        &["check", "--json"],
        &["liquid", "--abv", "40"],
        &["liquid", "--abv", "40", "--json"],
        &["replay", "data/trace/quiet.csv"],
    ] {
        let mut child = pennyweight().args(arguments).spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        let complaint = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {complaint}");
        assert!(complaint.is_empty(), "{arguments:?}: {complaint}");
    }
}

#[test]
fn check_tells_mistakes_to_programs_and_to_people() {
    let output = pennyweight()
        .args(["check", "--json", "data/sheet/many_mistakes.toml"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let first = &document["mistakes"][0];
    for key in ["file", "line", "column", "what", "right"] {
        assert!(first.get(key).is_some(), "{key}: {first}");
    }
    let told = String::from_utf8(output.stderr).unwrap();
    for part in ["error: ", "where:", "cause:", "to do:"] {
        assert!(told.contains(part), "{part}: {told}");
    }
}
