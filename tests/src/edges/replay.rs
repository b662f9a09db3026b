//! `replay` on good and bad traces.

use pennyweight_sim::commands::Failure;
use pennyweight_sim::commands::replay::{ReplayArgs, replay};
use proptest::prelude::*;

use super::{json_lines, pennyweight};

const HEAD: &str = "# counts_per_gram=420\n# zero_code=80000\n# place=desk\nt_us,code\n";

fn replayed(trace: &[u8], args: &ReplayArgs) -> (Vec<u8>, Result<(), Failure>) {
    let mut out = Vec::new();
    let outcome = replay("T", trace, args, &mut out);
    (out, outcome)
}

fn failure(trace: &[u8]) -> Failure {
    replayed(trace, &ReplayArgs::default())
        .1
        .expect_err("the trace is bad")
}

#[test]
fn every_malformed_trace_is_told_by_line_and_value() {
    let after_head = |rows: &str| format!("{HEAD}{rows}").into_bytes();
    let cases: Vec<(&str, Vec<u8>, &[&str])> = vec![
        ("empty", vec![], &["line 1", "empty"]),
        (
            "cut within the head",
            b"# counts_per_gram=420\n".to_vec(),
            &["line 1", "ends before the column names"],
        ),
        (
            "cut after the time",
            after_head("0,80000\n12500"),
            &["line 6", "'12500'", "cut short"],
        ),
        (
            "cut after the comma",
            after_head("0,80000\n12500,"),
            &["line 6", "'12500,'", "cut short"],
        ),
        (
            "cut after the sign",
            after_head("0,-"),
            &["line 5", "'-'", "not a whole number"],
        ),
        (
            "a column too many",
            after_head("0,80000\n1,2,3\n"),
            &["line 6", "'1,2,3'", "wrong columns"],
        ),
        (
            "other columns",
            b"# counts_per_gram=420\ntime;weight\n0;1\n".to_vec(),
            &["line 2", "'time;weight'", "t_us,code"],
        ),
        (
            "no header",
            b"# counts_per_gram=420\n# zero_code=0\n0,80000\n".to_vec(),
            &["line 3", "'0,80000'", "header"],
        ),
        (
            "time backwards",
            after_head("25000,80000\n12500,80000\n"),
            &["line 6", "'12500'", "backwards", "after 25000"],
        ),
        (
            "negative time",
            after_head("-5,80000\n"),
            &["line 5", "'-5'", "t_us"],
        ),
        (
            "code above",
            after_head("0,8388608\n"),
            &["line 5", "'8388608'", "24 bits"],
        ),
        (
            "code below",
            after_head("0,-8388609\n"),
            &["line 5", "'-8388609'", "24 bits"],
        ),
        (
            "fraction",
            after_head("0,80000.5\n"),
            &["line 5", "'80000.5'", "not a whole number"],
        ),
        (
            "binary",
            b"\x7fELF\x02\x01\x01\0\0\n".to_vec(),
            &["line 1", "\\u{7f}ELF", "binary"],
        ),
        (
            "binary without a line end",
            vec![0; 100_000],
            &["line 1", "binary"],
        ),
        (
            "binary in the middle",
            [HEAD.as_bytes(), b"0,80000\n\xff\xfe\n"].concat(),
            &["line 6", "\\xff\\xfe", "binary"],
        ),
        (
            "endless text",
            vec![b'x'; 100_000],
            &["line 1", "longer than 4096"],
        ),
        (
            "a factor that is none",
            b"# counts_per_gram=lots\nt_us,code\n".to_vec(),
            &["line 1", "'lots'", "counts_per_gram"],
        ),
        (
            "a factor of zero",
            b"# counts_per_gram=0\nt_us,code\n".to_vec(),
            &["line 1", "'0'", "counts_per_gram"],
        ),
        (
            "a zero beyond 24 bits",
            b"# zero_code=9000000\nt_us,code\n".to_vec(),
            &["line 1", "'9000000'", "24 bits"],
        ),
        (
            "no factor",
            b"# zero_code=5\nt_us,code\n0,5\n".to_vec(),
            &["# counts_per_gram=", "--counts-per-gram"],
        ),
        (
            "no zero",
            b"# counts_per_gram=420\nt_us,code\n0,5\n".to_vec(),
            &["# zero_code=", "--zero-code"],
        ),
        ("no rows", HEAD.into(), &["no conversions"]),
    ];
    for (case, trace, parts) in cases {
        let failure = failure(&trace);
        assert_eq!(failure.exit_code(), 2, "{case}");
        let text = failure.to_string();
        assert!(text.contains("where:  T"), "{case}: {text}");
        for part in parts {
            assert!(text.contains(part), "{case}: {part} is missing in: {text}");
        }
    }
}

#[test]
fn options_stand_in_for_missing_metadata() {
    let args = ReplayArgs {
        counts_per_gram: Some(420.0),
        zero_code: Some(80_000),
        ..ReplayArgs::default()
    };
    let (_, outcome) = replayed(b"t_us,code\n0,80000\n", &args);
    assert_eq!(outcome, Ok(()));
}

#[test]
fn line_ends_blanks_and_a_byte_order_mark_are_no_mistake() {
    let trace = "\u{feff}# counts_per_gram = 420\r\n# zero_code=80000\r\n# a remark\r\n\
                 t_us, code\r\n0, 80000\r\n\r\n12500,80001\r\n12500,-5";
    let (_, outcome) = replayed(trace.as_bytes(), &ReplayArgs::default());
    assert_eq!(outcome, Ok(()));
}

#[test]
fn the_sample_trace_replays_to_json_lines() {
    let trace = include_bytes!("../../data/trace/quiet.csv");
    let args = ReplayArgs {
        json: true,
        ..ReplayArgs::default()
    };
    let (out, outcome) = replayed(trace, &args);
    assert_eq!(outcome, Ok(()));
    for event in json_lines(&out) {
        assert!(
            event["t_us"].is_u64() && event["event"].is_string(),
            "{event}"
        );
    }
}

#[test]
fn the_process_ends_with_code_2_and_the_place() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/data/trace/backwards.csv");
    let output = pennyweight().args(["replay", path]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(
        complaint.contains("backwards.csv, line 7: '25000'"),
        "{complaint}"
    );
}

proptest! {
    /// Whatever the file holds, the answer is an outcome and not a panic.
    #[test]
    fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        let failure = failure(&bytes);
        prop_assert_eq!(failure.exit_code(), 2);
    }

    /// Rows that look like rows, after a proper head.
    #[test]
    fn random_rows_never_panic(rows in "([0-9]{1,21},-?[0-9]{1,9}\n|[,0-9.#x-]{0,12}\n){0,40}") {
        let trace = format!("{HEAD}{rows}");
        if let Err(failure) = replayed(trace.as_bytes(), &ReplayArgs::default()).1 {
            prop_assert_eq!(failure.exit_code(), 2);
        }
    }
}

/// Two glasses of 300 g, 28.4 g poured into each over four seconds, at 80 conversions a second.
fn two_glasses() -> String {
    let mass = |t: f64| {
        [0.0, 20.0]
            .into_iter()
            .map(|start| t - start)
            .filter(|t| (4.0..18.0).contains(t))
            .map(|t| 300.0 + ((t - 6.0) * 7.1).clamp(0.0, 28.4))
            .sum::<f64>()
    };
    let rows = (0..40 * 80u32).map(|i| {
        // Noise of a few codes, by a linear congruential generator.
        let noise = i.wrapping_mul(1_664_525).wrapping_add(1_013_904_223) >> 28;
        let code = 80_000.0 + 420.0 * mass(f64::from(i) / 80.0) + f64::from(noise);
        format!("{},{code:.0}\n", i * 12_500)
    });
    format!("{HEAD}{}", rows.collect::<String>())
}

#[test]
fn only_the_first_pour_is_judged() {
    let args = ReplayArgs {
        json: true,
        target_g: Some(28.4),
        ..ReplayArgs::default()
    };
    let (out, outcome) = replayed(two_glasses().as_bytes(), &args);
    assert_eq!(outcome, Ok(()));
    let events = json_lines(&out);
    let times: Vec<_> = events.iter().map(|it| it["t_us"].as_u64()).collect();
    assert!(times.is_sorted(), "{times:?}");
    let of = |name: &str| events.iter().filter(|it| it["event"] == name).count();
    assert_eq!(of("verdict"), of("landed").min(1));
    assert!(of("stop") <= 1 && of("ease") <= 1, "{events:?}");
}
