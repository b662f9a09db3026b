//! The sweep as a picture: errors of every method in one cell, P95 against volume and flow.
//!
//! Nothing rests on colour alone: methods stand in rows of their own, curves have marks and
//! dashes of their own and their name at their end.

use std::fmt::{self, Write as _};

use super::super::svg::{Axis, Escaped, GRID, INK, line};
use super::Swept;
use super::document::CellLine;
use crate::trial::{Method, quantile};

const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 860.0;
/// The rows of the methods: top of the first, height of each, left and right.
const ROWS: (f64, f64) = (90.0, 78.0);
const LEFT: f64 = 110.0;
const RIGHT: f64 = 40.0;
/// The two lower panels: top, bottom, and the sides of each.
const PANEL: (f64, f64) = (500.0, 790.0);
const BY_VOLUME: (f64, f64) = (80.0, 500.0);
const BY_FLOW: (f64, f64) = (700.0, 1080.0);
/// Bins of an error distribution.
const BINS: usize = 80;
/// No error further off than this is drawn, grams.
const FURTHEST_G: f64 = 8.0;
/// Names at the ends of curves keep so far apart.
const NAME_STEP: f64 = 15.0;

const COLOURS: [&str; 6] = [
    "#0050a0", "#a03000", "#006b3c", "#7a2a8c", "#6b5200", "#444444",
];
const DASHES: [&str; 6] = ["", "7 4", "2 3", "10 3 2 3", "4 2", "1 2"];

/// Draws a sweep.
#[must_use]
pub fn picture(swept: &Swept) -> String {
    let mut out = String::new();
    // Writing to a text cannot fail.
    let _ = write!(out, "{}", Picture { swept });
    out
}

struct Picture<'s> {
    swept: &'s Swept,
}

impl fmt::Display for Picture<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{HEIGHT}\" \
             viewBox=\"0 0 {WIDTH} {HEIGHT}\" font-family=\"sans-serif\" font-size=\"13\" \
             fill=\"{INK}\">\n<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>"
        )?;
        self.distributions(f)?;
        let guided: Vec<&CellLine> = self.guided();
        self.curves(f, &guided, &Panel::BY_VOLUME)?;
        self.curves(f, &guided, &Panel::BY_FLOW)?;
        writeln!(f, "</svg>")
    }
}

/// One of the lower panels.
struct Panel {
    title: &'static str,
    along: &'static str,
    sides: (f64, f64),
    x: fn(&CellLine) -> f64,
    /// What tells one curve from the other.
    other: fn(&CellLine) -> f64,
    name: fn(&CellLine) -> String,
}

impl Panel {
    const BY_VOLUME: Self = Self {
        title: "P95 by volume",
        along: "ml",
        sides: BY_VOLUME,
        x: |line| line.target_ml,
        other: |line| line.flow_ml_s,
        name: |line| format!("{} {} ml/s", line.liquid.name(), line.flow_ml_s),
    };
    const BY_FLOW: Self = Self {
        title: "P95 by flow",
        along: "ml/s",
        sides: BY_FLOW,
        x: |line| line.flow_ml_s,
        other: |line| line.target_ml,
        name: |line| format!("{} {} ml", line.liquid.name(), line.target_ml),
    };
}

/// A logarithmic axis: cells that are near the limit lie beside cells that are far from it.
#[derive(Clone, Copy, Debug)]
struct Decades {
    axis: Axis,
}

impl Decades {
    /// Over all values above nought, with some room at both ends.
    fn over(values: impl Iterator<Item = f64>, from: f64, to: f64) -> Self {
        let logs = values.filter(|value| *value > 0.0).map(f64::log10);
        Self {
            axis: Axis::over(logs, 0.8, from, to),
        }
    }

    fn place(&self, value: f64) -> f64 {
        self.axis.place(value.max(1e-6).log10())
    }

    /// 1, 2 and 5 times powers of ten, as far as the axis reaches.
    fn ticks(&self) -> Vec<f64> {
        let steps = [
            0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0,
        ];
        let reach = self.axis.low..=self.axis.high;
        let within = |step: &f64| reach.contains(&step.log10());
        steps.into_iter().filter(within).collect()
    }
}

impl Picture<'_> {
    /// Guided pours of the drawn cell's hand, rate and world.
    fn guided(&self) -> Vec<&CellLine> {
        let cell = &self.swept.drawn_cell;
        let cells = &self.swept.document.cells;
        let world = cells.first().map(|line| line.world.as_str());
        cells
            .iter()
            .filter(|line| {
                line.method == Method::Guided
                    && line.hand == cell.hand
                    && line.sps == cell.sps
                    && Some(line.world.as_str()) == world
            })
            .collect()
    }

    fn distributions(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cell = &self.swept.drawn_cell;
        text(
            f,
            (LEFT, 30.0),
            "start",
            &format!(
                "Errors of {} ml of {}, {} ml/s, {} conversions a second, hand {}",
                cell.target_ml,
                cell.liquid.name(),
                cell.flow_ml_s,
                cell.sps,
                cell.hand.name()
            ),
        )?;
        let drawn = &self.swept.drawn;
        let furthest = drawn
            .iter()
            .map(|(_, errors)| quantile(errors.iter().map(|error| error.abs()).collect(), 0.99))
            .fold(0.5, f64::max)
            .min(FURTHEST_G);
        let errors = Axis {
            low: -furthest,
            high: furthest,
            from: LEFT,
            to: WIDTH - RIGHT,
        };
        let (top, step) = ROWS;
        let bottom = top + step * drawn.len() as f64;
        let (ticks, decimals) = errors.ticks(12.0);
        for value in ticks {
            let x = errors.place(value);
            line(f, (x, top - 20.0), (x, bottom), GRID)?;
            let tick = if value == 0.0 {
                "0".to_owned()
            } else {
                format!("{value:+.decimals$}")
            };
            text(f, (x, bottom + 18.0), "middle", &tick)?;
        }
        line(
            f,
            (errors.place(0.0), top - 20.0),
            (errors.place(0.0), bottom),
            INK,
        )?;
        text(
            f,
            (errors.place(0.0), bottom + 38.0),
            "middle",
            "landed less target, g (bars: 2.5th to 97.5th of 100 pours; further off stands at the edge)",
        )?;
        for (row, (method, errors_g)) in drawn.iter().enumerate() {
            let floor = top + step * (row + 1) as f64 - 8.0;
            self.distribution(f, &errors, floor, *method, errors_g)?;
        }
        Ok(())
    }

    /// One method: its histogram, and a bar from its 2.5th to its 97.5th percentile.
    fn distribution(
        &self,
        f: &mut fmt::Formatter<'_>,
        errors: &Axis,
        floor: f64,
        method: Method,
        errors_g: &[f64],
    ) -> fmt::Result {
        let width = (errors.high - errors.low) / BINS as f64;
        let mut bins = [0_usize; BINS];
        for error in errors_g {
            let bin = ((error - errors.low) / width).clamp(0.0, BINS as f64 - 1.0);
            bins[bin as usize] += 1;
        }
        let most = bins.iter().copied().max().unwrap_or(1).max(1) as f64;
        let colour = COLOURS[method as usize % COLOURS.len()];
        let height = ROWS.1 - 26.0;
        let mut points = format!("{:.1},{floor:.1}", errors.from);
        for (bin, count) in bins.iter().enumerate() {
            let y = floor - height * *count as f64 / most;
            let from = errors.place(errors.low + width * bin as f64);
            let to = errors.place(errors.low + width * (bin + 1) as f64);
            let _ = write!(points, " {from:.1},{y:.1} {to:.1},{y:.1}");
        }
        let _ = write!(points, " {:.1},{floor:.1}", errors.to);
        writeln!(
            f,
            "<polygon class=\"errors\" points=\"{points}\" fill=\"{colour}\" fill-opacity=\"0.25\" \
             stroke=\"{colour}\"/>"
        )?;
        let [low, high] =
            [0.025, 0.975].map(|share| errors.place(quantile(errors_g.to_vec(), share)));
        writeln!(
            f,
            "<line x1=\"{low:.1}\" y1=\"{y:.1}\" x2=\"{high:.1}\" y2=\"{y:.1}\" stroke=\"{INK}\" \
             stroke-width=\"3\"/>",
            y = floor + 3.0
        )?;
        let p95 = quantile(errors_g.iter().map(|error| error.abs()).collect(), 0.95);
        text(f, (LEFT - 8.0, floor - 18.0), "end", name(method))?;
        text(f, (LEFT - 8.0, floor), "end", &format!("P95 {p95:.2} g"))
    }

    fn curves(
        &self,
        f: &mut fmt::Formatter<'_>,
        guided: &[&CellLine],
        panel: &Panel,
    ) -> fmt::Result {
        let (top, bottom) = PANEL;
        let (left, right) = panel.sides;
        let cell = &self.swept.drawn_cell;
        let title = format!("{}, guided, hand {}", panel.title, cell.hand.name());
        text(f, (left, top - 14.0), "start", &title)?;
        let grams = Decades::over(guided.iter().map(|line| line.summary.p95_g), bottom, top);
        let mut along = Axis::over(guided.iter().map(|line| (panel.x)(line)), 1.0, left, right);
        along.low = along.low.max(0.0);
        for value in grams.ticks() {
            let y = grams.place(value);
            line(f, (left, y), (right, y), GRID)?;
            text(f, (left - 6.0, y + 4.0), "end", &value.to_string())?;
        }
        let (ticks, decimals) = along.ticks(7.0);
        for value in ticks {
            let x = along.place(value);
            line(f, (x, bottom), (x, bottom + 5.0), INK)?;
            text(
                f,
                (x, bottom + 20.0),
                "middle",
                &format!("{value:.decimals$}"),
            )?;
        }
        text(
            f,
            ((left + right) / 2.0, bottom + 40.0),
            "middle",
            panel.along,
        )?;
        let middle = (top + bottom) / 2.0;
        writeln!(
            f,
            "<text x=\"{x:.1}\" y=\"{middle:.1}\" text-anchor=\"middle\" \
             transform=\"rotate(-90 {x:.1} {middle:.1})\">P95, g</text>",
            x = left - 48.0
        )?;
        self.named_curves(f, guided, panel, &along, &grams)
    }

    fn named_curves(
        &self,
        f: &mut fmt::Formatter<'_>,
        guided: &[&CellLine],
        panel: &Panel,
        along: &Axis,
        grams: &Decades,
    ) -> fmt::Result {
        let mut keys: Vec<(String, Vec<&CellLine>)> = Vec::new();
        for &one in guided {
            let same = keys.iter_mut().find(|(_, lines)| {
                let first = lines[0];
                first.liquid == one.liquid && (panel.other)(first) == (panel.other)(one)
            });
            match same {
                Some((_, lines)) => lines.push(one),
                None => keys.push(((panel.name)(one), vec![one])),
            }
        }
        // A lone point tells nothing beside curves.
        if keys.iter().any(|(_, lines)| lines.len() > 1) {
            keys.retain(|(_, lines)| lines.len() > 1);
        }
        let mut names = Vec::new();
        for (nth, (name, lines)) in keys.iter().enumerate() {
            let places: Vec<(f64, f64)> = lines
                .iter()
                .map(|line| {
                    (
                        along.place((panel.x)(line)),
                        grams.place(line.summary.p95_g),
                    )
                })
                .collect();
            curve(f, nth, &places)?;
            for (place, line) in places.iter().zip(lines) {
                interval(f, place.0, line, grams, nth)?;
            }
            if let Some(&(x, y)) = places.last() {
                names.push((y, x, nth, name));
            }
        }
        // Names stand beside each other's, with a thin line to the end of the curve.
        names.sort_by(|a, b| a.0.total_cmp(&b.0));
        let beside = panel.sides.1 + 26.0;
        let mut least = PANEL.0;
        for (left, (y, x, nth, name)) in (0..names.len()).rev().zip(names) {
            // What is still to come needs room as well.
            let lowest = PANEL.1 + 40.0 - NAME_STEP * left as f64;
            let at = y.min(lowest).max(least);
            least = at + NAME_STEP;
            line(f, (x + 6.0, y), (beside - 16.0, at), GRID)?;
            mark(f, nth, (beside - 8.0, at))?;
            text(f, (beside + 4.0, at + 4.0), "start", name)?;
        }
        Ok(())
    }
}

fn curve(f: &mut fmt::Formatter<'_>, nth: usize, places: &[(f64, f64)]) -> fmt::Result {
    let points: Vec<String> = places
        .iter()
        .map(|(x, y)| format!("{x:.1},{y:.1}"))
        .collect();
    writeln!(
        f,
        "<polyline class=\"curve\" fill=\"none\" stroke=\"{}\" stroke-width=\"1.5\" \
         stroke-dasharray=\"{}\" points=\"{}\"/>",
        COLOURS[nth % COLOURS.len()],
        DASHES[nth % DASHES.len()],
        points.join(" ")
    )?;
    places.iter().try_for_each(|&place| mark(f, nth, place))
}

/// The 95 % interval, upright.
fn interval(
    f: &mut fmt::Formatter<'_>,
    x: f64,
    cell: &CellLine,
    grams: &Decades,
    nth: usize,
) -> fmt::Result {
    let Some(spread) = cell.spread else {
        return Ok(());
    };
    let (low, high) = (
        grams.place(spread.p95_low_g),
        grams.place(spread.p95_high_g),
    );
    line(f, (x, low), (x, high), COLOURS[nth % COLOURS.len()])
}

/// A mark of a shape of its own.
fn mark(f: &mut fmt::Formatter<'_>, nth: usize, (x, y): (f64, f64)) -> fmt::Result {
    let colour = COLOURS[nth % COLOURS.len()];
    let d = match nth % 6 {
        0 => "M-4 0a4 4 0 1 0 8 0a4 4 0 1 0 -8 0z",
        1 => "M-4 -4h8v8h-8z",
        2 => "M0 -5L5 4H-5z",
        3 => "M0 -5L5 0L0 5L-5 0z",
        4 => "M0 5L5 -4H-5z",
        _ => "M-5 -1h4v-4h2v4h4v2h-4v4h-2v-4h-4z",
    };
    // Of two times as many curves the second half is hollow.
    let fill = if (nth / 6).is_multiple_of(2) {
        colour
    } else {
        "#ffffff"
    };
    writeln!(
        f,
        "<path d=\"{d}\" transform=\"translate({x:.1} {y:.1})\" fill=\"{fill}\" stroke=\"{colour}\"/>"
    )
}

fn text(f: &mut fmt::Formatter<'_>, (x, y): (f64, f64), anchor: &str, words: &str) -> fmt::Result {
    writeln!(
        f,
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\">{}</text>",
        Escaped(words)
    )
}

fn name(method: Method) -> &'static str {
    match method {
        Method::Plain => "plain scale",
        Method::Practised => "practised",
        Method::Guided => "guided",
        Method::Limit => "limit",
    }
}
