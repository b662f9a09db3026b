//! The sweep as a person reads it, 100 columns wide at most.

use std::fmt::Write;

use super::compact;
use super::document::{CellLine, Document, NOMINAL, RoundLine, SettleLine};
use super::r61::Filling;
use crate::trial::Method;

/// The whole sweep.
#[must_use]
pub fn table(document: &Document) -> String {
    let mut out = String::new();
    // Writing to a text cannot fail.
    let _ = writeln!(
        out,
        "{} pours a cell and method, seed {}. P95: 95 of 100 pours are off by no more, grams; \u{b1} is\n\
         its standard error (bootstrap over hands).\n",
        document.pours, document.seed
    );
    if document.worlds.iter().any(|world| world.name != NOMINAL) {
        worlds(&mut out, document);
    } else if document.cells.len() > compact::LONG {
        compact::cells(&mut out, document);
    } else {
        cells(&mut out, document);
    }
    settle(&mut out, &document.settle);
    if let Some(round) = &document.round {
        rounds(&mut out, round);
    }
    out
}

const HEADS: [&str; 11] = [
    "ml",
    "plain",
    "practised",
    "guided",
    "limit",
    "bias",
    "good%",
    "figure",
    "R 61",
    "share",
    "alc/g",
];

/// One line of the table; what is not there leaves its column empty.
fn columns(row: &[String; 11]) -> String {
    let [
        ml,
        plain,
        practised,
        guided,
        limit,
        bias,
        good,
        figure,
        r61,
        share,
        alcohol,
    ] = row;
    format!(
        "{ml:>5} {plain:>9} {practised:>9} {guided:>9} {limit:>9} {bias:>10} {good:>5}  \
         {figure:<9} {r61:<8} {share:>5} {alcohol:>6}"
    )
    .trim_end()
    .to_owned()
}

fn cells(out: &mut String, document: &Document) {
    let _ = writeln!(out, "{}", columns(&HEADS.map(str::to_owned)));
    let mut group = String::new();
    for methods in document.cells.chunk_by(same_cell) {
        let [one, ..] = methods else { continue };
        let heading = format!(
            "{}, {} ml/s, {} SPS, hand {}",
            one.liquid.name(),
            one.flow_ml_s,
            one.sps,
            one.hand.name()
        );
        if heading != group {
            let _ = writeln!(out, "{heading}");
            group = heading;
        }
        let _ = writeln!(out, "{}", row(methods));
    }
    out.push_str(
        "\nbias, good% (within max(1 ml, 5 %)) and all to the right of it: guided.\n\
         figure: what P95 shall be at most; \"?\" where the 95 % interval holds the figure.\n\
         R 61: least class X(x) of OIML R 61-1 that the worst lot of 60 keeps: furthest fill from the\n\
         mean of its lot; \"*\" where the mean is further off the preset than that class allows.\n\
         share: points by which the share of one of three equal parts is off at P95; alc/g: grams of\n\
         pure alcohol in P95.\n",
    );
    let later: Vec<String> = document
        .cells
        .iter()
        .filter(|line| line.later_p95_g.is_some())
        .map(|line| later(line, document))
        .collect();
    if !later.is_empty() {
        out.push_str("\nPours 9 to 16 of an unknown hand, P95 over that of a known hand:\n");
        for line in later {
            let _ = writeln!(out, "  {line}");
        }
    }
}

fn same_cell(one: &CellLine, other: &CellLine) -> bool {
    one.world == other.world
        && one.liquid == other.liquid
        && one.flow_ml_s == other.flow_ml_s
        && one.sps == other.sps
        && one.hand == other.hand
        && one.target_ml == other.target_ml
}

fn row(methods: &[CellLine]) -> String {
    let by = |method| methods.iter().find(|line| line.method == method);
    let ml = methods.first().map_or(0.0, |line| line.target_ml);
    let [plain, practised, guided, limit] =
        super::METHODS.map(|method| by(method).map_or_else(|| "-".to_owned(), p95));
    let mut row = [const { String::new() }; 11];
    row[..5].clone_from_slice(&[ml.to_string(), plain, practised, guided, limit]);
    if let Some(line) = by(Method::Guided) {
        let bias_se = line.spread.map(|spread| spread.bias_se_g);
        let digits = decimals(bias_se.unwrap_or(0.1));
        row[5..].clone_from_slice(&[
            with_error(format!("{:+.digits$}", line.summary.bias_g), bias_se),
            format!("{:.0}", 100.0 * line.summary.good_share),
            figure(line),
            line.r61.as_ref().map_or_else(|| "-".to_owned(), class),
            format!("{:.1}", line.in_a_drink.share_points),
            format!("{:.2}", line.in_a_drink.ethanol_g),
        ]);
    }
    columns(&row)
}

/// As many digits as the standard error leaves.
fn decimals(se: f64) -> usize {
    match se {
        se if se < 0.095 => 2,
        se if se < 0.95 => 1,
        _ => 0,
    }
}

fn p95(line: &CellLine) -> String {
    let se = line.spread.map(|spread| spread.p95_se_g);
    let decimals = decimals(se.unwrap_or(0.1));
    with_error(format!("{:.decimals$}", line.summary.p95_g), se)
}

fn with_error(value: String, se: Option<f64>) -> String {
    se.map_or_else(
        || value.clone(),
        |se| format!("{value}\u{b1}{:.*}", decimals(se), se.max(0.01)),
    )
}

/// The figure, and whether it is reached.
fn figure(line: &CellLine) -> String {
    let Some(figure_g) = line.figure_g else {
        return "-".to_owned();
    };
    let meets = if line.summary.p95_g <= figure_g {
        "met"
    } else {
        "over"
    };
    let sure = line
        .spread
        .is_some_and(|spread| !(spread.p95_low_g..=spread.p95_high_g).contains(&figure_g));
    format!("{figure_g} {meets}{}", if sure { "" } else { "?" })
}

fn class(filling: &Filling) -> String {
    let mark = if filling.set_point_meets { "" } else { "*" };
    filling
        .class_x
        .map_or_else(|| "none".to_owned(), |x| format!("X({x}){mark}"))
}

/// Pours 9 to 16 beside the same cell's known hand.
fn later(line: &CellLine, document: &Document) -> String {
    let cell = format!(
        "{}, {} ml/s, {} SPS, {} ml",
        line.liquid.name(),
        line.flow_ml_s,
        line.sps,
        line.target_ml
    );
    let later_g = line.later_p95_g.unwrap_or(0.0);
    let known = document.cells.iter().find(|known| {
        known.method == Method::Guided
            && known.hand == super::options::HandName::Known
            && (known.liquid, known.flow_ml_s) == (line.liquid, line.flow_ml_s)
            && (known.sps, known.target_ml) == (line.sps, line.target_ml)
    });
    match known {
        Some(known) => format!(
            "{cell:<34} {later_g:.2} g over {:.2} g: {:.2}",
            known.summary.p95_g,
            later_g / known.summary.p95_g
        ),
        None => format!("{cell:<34} {later_g:.2} g"),
    }
}

/// Moved worlds: the worst cell of each, and how many keep the figure.
fn worlds(out: &mut String, document: &Document) {
    let _ = writeln!(
        out,
        "{:<12} {:>10} {:>10}  {:<38} {:>8}",
        "world", "worst P95", "limit", "where", "figure"
    );
    for world in &document.worlds {
        let guided: Vec<&CellLine> = document
            .cells
            .iter()
            .filter(|line| line.world == world.name && line.method == Method::Guided)
            .collect();
        let share = |line: &CellLine| line.summary.p95_g / line.figure_g.unwrap_or(f64::INFINITY);
        let worst = guided.iter().max_by(|a, b| {
            let order = share(a).total_cmp(&share(b));
            order.then(a.summary.p95_g.total_cmp(&b.summary.p95_g))
        });
        let Some(worst) = worst else { continue };
        let limit = document
            .cells
            .iter()
            .find(|line| same_cell(line, worst) && line.method == Method::Limit);
        let of = guided.iter().filter(|line| line.figure_g.is_some());
        let kept = of.clone().filter(|line| share(line) <= 1.0).count();
        let _ = writeln!(
            out,
            "{:<12} {:>10} {:>10}  {:<38} {:>8}",
            world.name,
            p95(worst),
            limit.map_or_else(|| "-".to_owned(), p95),
            format!(
                "{}, {} ml/s, {} ml, {}",
                worst.liquid.name(),
                worst.flow_ml_s,
                worst.target_ml,
                worst.hand.name()
            ),
            format!("{kept} of {}", of.count()),
        );
    }
    out.push_str(
        "\nEvery hidden parameter is moved: flow, ramps, drips, thread, fall, slosh, noise, times of\n\
         the hand. figure: cells with P95 at most 0.65 g, of those up to 12 ml/s and 10 to 60 ml.\n",
    );
}

fn settle(out: &mut String, lines: &[SettleLine]) {
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(
        out,
        "\nEarly verdict, from the end of the stream on the surface\n\
         {:<8} {:>4} {:>9} {:>9} {:>6} {:>6} {:>15} {:>13} {:>6}",
        "liquid",
        "SPS",
        "landings",
        "median/s",
        "P95/s",
        "wrong",
        "within 2 sigma",
        "median sigma",
        "rms/g"
    );
    for line in lines {
        let _ = writeln!(
            out,
            "{:<8} {:>4} {:>9} {:>9.2} {:>6.2} {:>6} {:>13.1} % {:>11.3} g {:>6.3}",
            line.liquid.name(),
            line.sps,
            line.landings,
            line.median_s,
            line.p95_s,
            line.wrong,
            100.0 * line.within_2_sigma,
            line.median_sigma_g,
            line.rms_g
        );
    }
    out.push_str("wrong: off by more than 0.1 g from what had truly landed at that instant.\n");
}

fn rounds(out: &mut String, round: &RoundLine) {
    let _ = writeln!(
        out,
        "\nThe demo round, mean of {} ({} pours, {} of them spirits)\n\
         {:<46} {:>8} {:>12}\n\
         {:<46} {:>6.1} s {:>10.1} s\n\
         {:<46} {:>6.2} s {:>10.2} s\n\
         {:<46} {:>6.2} s {:>10.2} s\n\
         {:<46} {:>6.2} s {:>10.2} s",
        round.rounds,
        round.pours,
        round.spirit_pours,
        "",
        "guided",
        "plain scale",
        "whole round",
        round.guided_s,
        round.plain_s,
        "a pour, from the tilt to the next prompt",
        round.guided_pour_s,
        round.plain_pour_s,
        "last liquid landed to next prompt, spirits",
        round.guided_spirit_wait_s,
        round.plain_spirit_wait_s,
        "the same, everything poured",
        round.guided_wait_s,
        round.plain_wait_s,
    );
    out.push_str(
        "A plain scale's prompt is a number that stands still, read and tared (the waits end when it\n\
         stands still). All else of the round is the same by construction.\n",
    );
}
