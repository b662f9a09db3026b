//! A grid too large for a line a cell: volumes side by side.

use std::fmt::Write;

use super::document::{CellLine, Document};
use crate::trial::Method;

/// More cells than this, every method counted, are told side by side.
pub(super) const LONG: usize = 200;

/// P95 of the guided pours, the others' range beside it.
pub(super) fn cells(out: &mut String, document: &Document) {
    let mut volumes: Vec<f64> = document.cells.iter().map(|line| line.target_ml).collect();
    volumes.sort_by(f64::total_cmp);
    volumes.dedup();
    let heads: String = volumes
        .iter()
        .map(|ml| format!("{:>8}", format!("{ml} ml")))
        .collect();
    let _ = writeln!(out, "{:<18}{heads}{:>11}{:>10}", "", "practised", "limit");
    let mut group = String::new();
    for row in document.cells.chunk_by(|one, other| key(one) == key(other)) {
        let [one, ..] = row else { continue };
        let heading = format!("{}, {} ml/s", one.liquid.name(), one.flow_ml_s);
        if heading != group {
            let _ = writeln!(out, "{heading}");
            group = heading;
        }
        let by = |method| row.iter().filter(move |line| line.method == method);
        let guided: String = volumes
            .iter()
            .map(|ml| {
                by(Method::Guided)
                    .find(|line| line.target_ml == *ml)
                    .map_or_else(|| format!("{:>8}", "-"), guided)
            })
            .collect();
        let _ = writeln!(
            out,
            "{:>7} {:<10}{guided}{:>11}{:>10}",
            format!("{} SPS", one.sps),
            one.hand.name(),
            range(by(Method::Practised), 1),
            range(by(Method::Limit), 2),
        );
    }
    out.push_str(
        "\nP95 of the guided pours; \"*\" where it is over the design's figure. practised (at a plain\n\
         scale) and limit: least and most of the row. A line a cell: fewer cells, or --json.\n",
    );
    later(out, document);
}

fn key(line: &CellLine) -> (&str, &str, u64, u64, &str) {
    (
        &line.world,
        line.liquid.name(),
        line.flow_ml_s.to_bits(),
        line.sps.to_bits(),
        line.hand.name(),
    )
}

fn guided(line: &CellLine) -> String {
    let p95_g = line.summary.p95_g;
    let over = line.figure_g.is_some_and(|figure_g| p95_g > figure_g);
    format!("{p95_g:>7.2}{}", if over { '*' } else { ' ' })
}

fn range<'l>(lines: impl Iterator<Item = &'l CellLine>, digits: usize) -> String {
    let ends =
        lines
            .map(|line| line.summary.p95_g)
            .fold(None, |ends: Option<(f64, f64)>, p95_g| {
                let (least, most) = ends.unwrap_or((p95_g, p95_g));
                Some((least.min(p95_g), most.max(p95_g)))
            });
    ends.map_or_else(
        || "-".to_owned(),
        |(least, most)| format!("{least:.digits$}-{most:.digits$}"),
    )
}

/// Pours 9 to 16 of an unknown hand beside a known one's, over all cells.
fn later(out: &mut String, document: &Document) {
    let known_g = |line: &CellLine| {
        let known = document.cells.iter().find(|known| {
            known.method == Method::Guided
                && known.hand == super::options::HandName::Known
                && (known.liquid, known.flow_ml_s) == (line.liquid, line.flow_ml_s)
                && (known.sps, known.target_ml) == (line.sps, line.target_ml)
        })?;
        Some(known.summary.p95_g)
    };
    let mut ratios: Vec<f64> = document
        .cells
        .iter()
        .filter_map(|line| Some(line.later_p95_g? / known_g(line)?))
        .collect();
    ratios.sort_by(f64::total_cmp);
    let (Some(middle), Some(most)) = (ratios.get(ratios.len() / 2), ratios.last()) else {
        return;
    };
    let within = ratios.iter().filter(|ratio| **ratio <= 1.1).count();
    let _ = writeln!(
        out,
        "\nPours 9 to 16 of an unknown hand: P95 {middle:.2} times a known hand's (median), {most:.2} \
         at most,\nwithin 1.1 in {within} of {} cells.",
        ratios.len()
    );
}
