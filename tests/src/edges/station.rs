//! `station` in lockstep: every line that is not blank gets its events and one idle line.

use pennyweight_sim::commands::station::{LINE_MAX, station};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::{json_lines, station_args as args};

/// The answers, each up to and with its idle line.
fn answers(lines: &[u8]) -> Vec<Vec<Value>> {
    let mut out = Vec::new();
    station(&args(), lines, &mut out).expect("a station never gives up");
    let events = json_lines(&out);
    let whole = events.last().is_none_or(|last| last["event"] == "idle");
    assert!(whole, "the last answer has its idle line: {events:?}");
    events
        .split_inclusive(|event| event["event"] == "idle")
        .map(<[Value]>::to_vec)
        .collect()
}

/// The fault that answers this line; a good line after it must be understood again.
fn fault(line: &[u8]) -> Value {
    let good = b"{\"t_us\":5000000,\"command\":\"zeal\"}";
    let answers = answers(&[b"{\"t_us\":1000,\"tick\":true}\n", line, b"\n", good].concat());
    assert_eq!(answers.len(), 3, "one answer a line: {answers:?}");
    assert_eq!(answers[2][0]["kind"], "command", "the line after is read");
    assert_eq!(answers[2][0]["t_us"], 5_000_000);
    let fault = answers[1][0].clone();
    assert_eq!(fault["event"], "fault", "{fault}");
    assert!(
        fault["t_us"].is_u64() && fault["message"].is_string(),
        "{fault}"
    );
    fault
}

#[test]
fn an_idle_line_has_its_three_fields() {
    let answers = answers(b"{\"t_us\":1000,\"code\":80000}\n");
    let idle = answers[0].last().unwrap();
    let fields: Vec<&String> = idle.as_object().unwrap().keys().collect();
    assert_eq!(fields, ["deadline_us", "event", "ramp"]);
    assert!(idle["deadline_us"].is_null() || idle["deadline_us"].is_u64());
    assert!(idle["ramp"].is_null() || idle["ramp"].is_f64());
}

#[test]
fn blank_lines_are_passed_over() {
    assert!(answers(b"\n  \r\n\t\n").is_empty());
    assert_eq!(answers(b"\n{\"t_us\":1,\"tick\":true}\r\n\n").len(), 1);
}

#[test]
fn every_malformed_line_gets_a_fault_of_its_kind() {
    let cases: Vec<(&[u8], &str)> = vec![
        (b"{\"t_us\":2000,\"co", "line"),
        (b"{", "line"),
        (b"null", "line"),
        (b"5", "line"),
        (b"[2000,80000]", "line"),
        (b"{}", "line"),
        (b"{\"code\":80000}", "line"),
        (b"{\"t_us\":2000}", "line"),
        (b"{\"t_us\":2000} {}", "line"),
        (b"{\"t_us\":-5,\"code\":80000}", "line"),
        (b"{\"t_us\":2000.5,\"code\":80000}", "line"),
        (b"{\"t_us\":\"2000\",\"code\":80000}", "line"),
        (b"{\"t_us\":1e30,\"code\":80000}", "line"),
        (b"{\"t_us\":2000,\"code\":\"80000\"}", "line"),
        (b"{\"t_us\":2000,\"code\":80000.5}", "line"),
        (b"{\"t_us\":2000,\"code\":null}", "line"),
        (b"{\"t_us\":2000,\"code\":NaN}", "line"),
        (b"{\"t_us\":2000,\"tick\":false}", "line"),
        (b"{\"t_us\":2000,\"tick\":1}", "line"),
        (b"{\"t_us\":2000,\"tick\":true,\"code\":80000}", "line"),
        (b"{\"t_us\":2000,\"command\":7}", "line"),
        (b"{\"t_us\":2000,\"code\":8388608}", "range"),
        (b"{\"t_us\":2000,\"code\":-8388609}", "range"),
        (b"{\"t_us\":2000,\"code\":99999999999999999999999}", "range"),
        (b"{\"t_us\":999,\"code\":80000}", "time"),
        (b"{\"t_us\":0,\"tick\":true}", "time"),
        (b"{\"t_us\":2000,\"command\":\"\"}", "command"),
        (b"{\"t_us\":2000,\"command\":\"dance\"}", "command"),
        (b"{\"t_us\":2000,\"command\":\"skip two\"}", "command"),
        (b"{\"t_us\":2000,\"command\":\"mode fast\"}", "command"),
        (b"{\"t_us\":2000,\"command\":\"hand 256\"}", "command"),
        (b"{\"t_us\":2000,\"command\":\"target NaN\"}", "command"),
        (b"{\"t_us\":2000,\"command\":\"target -3\"}", "command"),
        (b"{\"t_us\":2000,\"command\":\"target 1e9\"}", "command"),
        (
            b"{\"t_us\":2000,\"command\":\"order Long Pier\"}",
            "command",
        ),
        (b"\x7fELF\x02\x01\0\0\xff\xfe", "line"),
        (b"{\"t_us\":2000,\"command\":\"\xff\"}", "line"),
        (b"\0\0\0\0", "line"),
    ];
    for (line, kind) in cases {
        let shown = line.escape_ascii();
        assert_eq!(fault(line)["kind"], kind, "{shown}");
    }
    let deep = "[".repeat(50_000);
    assert_eq!(fault(deep.as_bytes())["kind"], "line");
    let deep = format!("{{\"t_us\":2000,\"code\":{deep}");
    assert_eq!(fault(deep.as_bytes())["kind"], "line");
}

#[test]
fn an_endless_line_is_passed_over() {
    for length in [LINE_MAX + 1, 3 * LINE_MAX, 40 * LINE_MAX] {
        let fault = fault(&vec![b'7'; length]);
        assert_eq!(fault["kind"], "line");
        assert!(
            fault["message"].as_str().unwrap().contains("65536"),
            "{fault}"
        );
    }
    // The longest line that may be: a proper object, padded.
    let mut line = b"{\"t_us\":2000,\"command\":\"dance\"}".to_vec();
    line.resize(LINE_MAX, b' ');
    assert_eq!(fault(&line)["kind"], "command");
}

#[test]
fn a_fault_tells_the_place_in_time() {
    assert_eq!(fault(b"{\"t_us\":2000,\"code\":9000000}")["t_us"], 2000);
    let backwards = fault(b"{\"t_us\":7,\"code\":80000}");
    assert_eq!(backwards["t_us"], 1000);
    assert!(
        backwards["message"]
            .as_str()
            .unwrap()
            .contains("t_us 7 comes after 1000")
    );
}

#[test]
fn what_is_not_possible_now_says_why() {
    let cases = [
        ("skip", "nothing is open: no pour, no step and no drink"),
        ("fix", "no sheet is loaded"),
        ("two", "no sheet is loaded"),
        ("again", "no sheet is loaded"),
        ("other", "no sheet is loaded"),
        ("zero", "the pan is not still: wait a moment"),
    ];
    for (command, why) in cases {
        let line = format!("{{\"t_us\":2000,\"command\":\"{command}\"}}");
        let fault = fault(line.as_bytes());
        assert_eq!(fault["kind"], "command", "{command}");
        assert_eq!(fault["reason"], why, "{command}");
        assert_eq!(fault["message"], why, "{command}");
    }
}

#[test]
fn a_refused_line_moves_no_clock() {
    let out: Vec<Value> = answers(
        b"{\"t_us\":1000,\"code\":80000}
{\"t_us\":18446744073709551615,\"code\":99999999}
{\"t_us\":18446744073709551615,\"command\":\"dance\"}
{\"t_us\":2000,\"code\":80000}
",
    )
    .concat();
    let faults: Vec<_> = out.iter().filter(|it| it["event"] == "fault").collect();
    assert_eq!(faults.len(), 2, "{faults:?}");
    assert_eq!(faults[0]["kind"], "range");
    assert_eq!(faults[1]["kind"], "command");
}

#[test]
fn every_command_is_understood() {
    let commands = [
        "skip",
        "zero",
        " taught ",
        "forget",
        "mode service",
        "mode develop",
        "mode prep",
        "mode plain",
        "hand 0",
        "hand 255",
        "target 28.4",
        " target  3000 ",
        "learn 50 ml abv 24 at 20",
        "learn 1 2/3 oz sugar 238.5 at -2.5 sigma 0.4 ml",
        "learn 5 cl",
    ];
    for command in commands {
        let line = json!({"t_us": 1000, "command": command}).to_string();
        // The station itself may refuse what it cannot do now.
        let not_now = ["nothing is open", "the pan is not still"];
        for event in answers(line.as_bytes()).concat() {
            let message = event["message"].as_str().unwrap_or(not_now[0]);
            let is_understood = not_now.iter().any(|why| message.starts_with(why));
            assert!(is_understood, "{command}: {message}");
        }
    }
}

#[test]
fn two_calls_at_the_same_time_are_allowed() {
    let answers = answers(b"{\"t_us\":5,\"tick\":true}\n{\"t_us\":5,\"code\":80000}\n");
    assert_eq!(answers.len(), 2);
    assert!(
        answers
            .concat()
            .iter()
            .all(|event| event["event"] != "fault")
    );
}

/// Whatever comes in, there is one answer for each line that is not blank.
fn check_lockstep(input: &[u8]) -> Result<(), TestCaseError> {
    let asked = input
        .split(|byte| *byte == b'\n')
        .filter(|line| !line.trim_ascii().is_empty())
        .count();
    prop_assert_eq!(answers(input).len(), asked);
    Ok(())
}

proptest! {
    #[test]
    fn random_bytes_keep_the_lockstep(input in proptest::collection::vec(any::<u8>(), 0..2000)) {
        check_lockstep(&input)?;
    }

    #[test]
    fn nearly_good_lines_keep_the_lockstep(
        input in "(\\{\"(t_us|code|tick)\":(-?[0-9]{1,20}|true|null),\"(code|tick|command)\":(-?[0-9]{1,8}|true|\"[a-z 0-9]{0,9}\")\\}?\n){0,30}"
    ) {
        check_lockstep(input.as_bytes())?;
    }
}
