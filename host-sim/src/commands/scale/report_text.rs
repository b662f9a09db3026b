//! The report as a person reads it, 80 columns wide.

use std::fmt::Write;

use super::report::{Report, TestLine};

/// The whole report.
#[must_use]
pub fn text(report: &Report) -> String {
    let mut out = String::new();
    // Writing to a text cannot fail.
    let _ = writeln!(
        out,
        "The scale's own report, beside OIML R 76-1:2006 class III\n\
         Max {} g   e = {} g   n = {:.0}   Min {} g   weights of class {}\n",
        report.max_g, report.e_g, report.n, report.min_g, report.weights
    );
    let _ = writeln!(
        out,
        "{:<24}{:>8} {:>10} {:>9}   result",
        "test", "load/g", "found/g", "limit/g"
    );
    for test in &report.tests {
        let _ = writeln!(out, "{}", line(test));
    }
    let _ = writeln!(out, "\n{}", verdict(report));
    if report.tests.iter().any(|test| test.in_doubt) {
        out.push_str("? the weights' tolerance and the noise could turn this answer round\n");
    }
    if report.tests.iter().any(|test| test.weights_too_coarse) {
        out.push_str("w the weights may be off by more than a third of the limit\n");
    }
    out.push_str("* limit told from memory\n");
    out.push_str(report.caution);
    out.push('\n');
    out
}

/// In one sentence; where it does not meet, by how much at the worst.
fn verdict(report: &Report) -> String {
    let over = report.tests.iter().filter(|test| !test.meets);
    let worst = over.max_by(|a, b| {
        let used = |test: &TestLine| test.over_g / test.limit_g;
        used(a).total_cmp(&used(b))
    });
    match worst {
        Some(worst) => format!(
            "The scale does not meet these limits,\nby {:.3} g at the worst: {} at {} g.",
            worst.over_g,
            name(worst),
            worst.load_g
        ),
        None if report.meets => "The scale meets these limits.".to_owned(),
        None => "The scale does not meet these limits: a test was left out.".to_owned(),
    }
}

fn name(test: &TestLine) -> &'static str {
    match test.test {
        "warm_up" => "zero while warming up",
        "warm_up_span" => "error, warming up",
        "repeatability" => "repeatability of 10",
        "linearity_up" => "error, rising loads",
        "linearity_down" => "error, falling loads",
        "eccentricity" => "error off the centre",
        "creep" => "creep in 30 minutes",
        "creep_late" => "of it in the last 15",
        _ => "zero afterwards",
    }
}

fn line(test: &TestLine) -> String {
    let name = name(test);
    let result = if test.meets {
        "meets".to_owned()
    } else {
        format!("does not, by {:.3} g", test.over_g)
    };
    let mark = |is: bool, sign: &'static str| if is { sign } else { "" };
    format!(
        "{name:<22}{:<2}{:>8} {:>+10.3} {:>9.3}   {result}{}{}",
        mark(test.from_memory, "*"),
        test.load_g,
        test.found_g,
        test.limit_g,
        mark(test.in_doubt, " ?"),
        mark(test.weights_too_coarse, " w"),
    )
}
