//! The picture of a plot, as SVG 1.1 (W3C): plain elements, no script, no style sheet.

use std::fmt::{self, Write as _};

use super::super::svg::{Axis, Escaped, GRID, INK, line};
use super::{MARKS_MAX, Mark, Plot, Stretch};

const WIDTH: f64 = 1200.0;
const HEIGHT: f64 = 760.0;
const LEFT: f64 = 80.0;
/// No pour flows faster, g/s (an open neck); a glass set down rises a hundred times as fast and
/// would press every pour flat.
const FASTEST_G_S: f64 = 60.0;
const RIGHT: f64 = 20.0;
/// Of the mass and of the flow: top and bottom.
const MASS: (f64, f64) = (190.0, 510.0);
const FLOW: (f64, f64) = (550.0, 680.0);
/// Between two upright labels.
const LABEL_STEP: f64 = 14.0;
/// How far a label may stand beside its tick.
const LABEL_SHIFT: f64 = 70.0;
/// What a letter of a label takes at most, along it.
const LETTER: f64 = 6.4;
/// Letters of a label that have room without a taller picture.
const LABEL_LETTERS: usize = 26;
/// Beyond so many seconds the axis counts minutes.
const MINUTES_FROM_S: f64 = 600.0;

const CODES: &str = "#9a9a9a";
const READING: &str = "#0050a0";
const FLOWING: &str = "#006b3c";
const FAULT: &str = "#b00020";

/// A plot on its way to text.
#[derive(Debug)]
pub struct Picture<'p> {
    plot: &'p Plot,
    counted: &'p str,
    time: Axis,
    mass: Axis,
    flow: Axis,
    /// How much taller it is, at the top, for the longest label.
    above: f64,
}

impl<'p> Picture<'p> {
    pub(super) fn of(plot: &'p Plot, counted: &'p str) -> Self {
        let stretches = &plot.course.stretches;
        let ends = stretches.first().into_iter().chain(stretches.last());
        let mut time = Axis::over(
            ends.flat_map(|stretch| [stretch.begins_s, stretch.ends_s]),
            0.1,
            LEFT,
            WIDTH - RIGHT,
        );
        time.low = time.low.max(0.0);
        let longest = plot.marks.iter().map(|mark| mark.words.chars().count());
        let beyond = longest.max().unwrap_or(0).saturating_sub(LABEL_LETTERS);
        Self {
            above: LETTER * beyond as f64,
            plot,
            counted,
            time,
            // By the estimate: one code at a rail would press all else flat.
            mass: Axis::over(
                stretches.iter().map(|stretch| stretch.reading_g),
                1.0,
                MASS.1,
                MASS.0,
            ),
            flow: Axis::over(
                stretches.iter().map(|stretch| poured(stretch.flow_g_s)),
                1.0,
                FLOW.1,
                FLOW.0,
            ),
        }
    }

    fn frame(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (top, height) = (-self.above, HEIGHT + self.above);
        writeln!(
            f,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{height}\" \
             viewBox=\"0 {top} {WIDTH} {height}\" font-family=\"sans-serif\" font-size=\"13\" \
             fill=\"{INK}\">"
        )?;
        writeln!(
            f,
            "<rect y=\"{top}\" width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>"
        )?;
        let title = Escaped(&self.plot.title);
        writeln!(
            f,
            "<text x=\"{LEFT}\" y=\"{:.1}\" font-size=\"16\">{title}</text>",
            top + 22.0
        )?;
        let panels = [
            (&self.mass, MASS, "mass, g", 6.0),
            (&self.flow, FLOW, "flow, g/s", 4.0),
        ];
        for (axis, (top, bottom), name, count) in panels {
            let (ticks, decimals) = axis.ticks(count);
            for value in ticks {
                let y = axis.place(value);
                line(f, (LEFT, y), (WIDTH - RIGHT, y), GRID)?;
                writeln!(
                    f,
                    "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{value:.decimals$}</text>",
                    LEFT - 6.0,
                    y + 4.0
                )?;
            }
            let middle = (top + bottom) / 2.0;
            writeln!(
                f,
                "<text x=\"18\" y=\"{middle:.1}\" text-anchor=\"middle\" \
                 transform=\"rotate(-90 18 {middle:.1})\">{name}</text>"
            )?;
        }
        self.times(f)
    }

    fn times(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minutes = self.time.high - self.time.low > MINUTES_FROM_S;
        let (unit_s, name) = if minutes {
            (60.0, "time, min")
        } else {
            (1.0, "time, s")
        };
        let axis = Axis {
            low: self.time.low / unit_s,
            high: self.time.high / unit_s,
            ..self.time
        };
        let (ticks, decimals) = axis.ticks(12.0);
        for value in ticks {
            let x = axis.place(value);
            line(f, (x, MASS.1), (x, MASS.1 + 5.0), INK)?;
            line(f, (x, FLOW.1), (x, FLOW.1 + 5.0), INK)?;
            writeln!(
                f,
                "<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{value:.decimals$}</text>",
                FLOW.1 + 20.0
            )?;
        }
        let middle = (LEFT + WIDTH - RIGHT) / 2.0;
        writeln!(
            f,
            "<text x=\"{middle:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{name}</text>",
            FLOW.1 + 38.0
        )
    }

    fn curve(
        &self,
        f: &mut fmt::Formatter<'_>,
        class: &str,
        colour: &str,
        points: impl Fn(&Stretch) -> [Option<(f64, f64)>; 2],
    ) -> fmt::Result {
        let mut drawn = String::new();
        let stretches = &self.plot.course.stretches;
        for (x, y) in stretches.iter().flat_map(points).flatten() {
            write!(drawn, "{x:.1},{y:.1} ")?;
        }
        writeln!(
            f,
            "<polyline class=\"{class}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.3\" \
             points=\"{}\"/>",
            drawn.trim_end()
        )
    }

    fn curves(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.curve(f, "codes", CODES, |stretch| {
            let (low, high) = stretch.code_g;
            let whole = (stretch.ends_s > stretch.begins_s)
                .then(|| (self.time.place(stretch.ends_s), self.mass.place(high)));
            [
                Some((self.time.place(stretch.begins_s), self.mass.place(low))),
                whole,
            ]
        })?;
        self.curve(f, "reading", READING, |stretch| {
            let x = self.time.place(stretch.ends_s);
            [Some((x, self.mass.place(stretch.reading_g))), None]
        })?;
        self.curve(f, "flow", FLOWING, |stretch| {
            let x = self.time.place(stretch.ends_s);
            [Some((x, self.flow.place(poured(stretch.flow_g_s)))), None]
        })
    }

    fn mark(&self, f: &mut fmt::Formatter<'_>, mark: &Mark, beyond: &mut f64) -> fmt::Result {
        let t_s = mark.at.micros() as f64 / 1e6;
        let x = self.time.place(t_s);
        let colour = if mark.fault { FAULT } else { INK };
        let words = Escaped(&mark.words);
        writeln!(
            f,
            "<line class=\"event\" x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{:.1}\" \
             stroke=\"{colour}\" stroke-opacity=\"0.5\"><title>{t_s:.3} s: {words}</title></line>",
            MASS.0 - 10.0,
            FLOW.1
        )?;
        let label_x = x.max(*beyond);
        if label_x - x > LABEL_SHIFT || label_x > WIDTH - 5.0 {
            return Ok(());
        }
        *beyond = label_x + LABEL_STEP;
        line(
            f,
            (x, MASS.0 - 10.0),
            (label_x - 4.0, MASS.0 - 22.0),
            colour,
        )?;
        let (x, y) = (label_x, MASS.0 - 25.0);
        writeln!(
            f,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"12\" fill=\"{colour}\" \
             transform=\"rotate(-90 {x:.1} {y:.1})\">{words}</text>"
        )
    }

    fn key(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let y = HEIGHT - 14.0;
        let parts = [
            (CODES, "mass of each code"),
            (READING, "estimate"),
            (FLOWING, "flow, as far as anything pours"),
        ];
        for (index, (colour, name)) in parts.into_iter().enumerate() {
            let x = LEFT + 170.0 * index as f64;
            line(f, (x, y - 4.0), (x + 24.0, y - 4.0), colour)?;
            writeln!(f, "<text x=\"{:.1}\" y=\"{y:.1}\">{name}</text>", x + 30.0)?;
        }
        let left_out = match self.plot.left_out {
            0 => String::new(),
            count => format!("; {count} events after the first {MARKS_MAX} are not shown"),
        };
        writeln!(
            f,
            "<text x=\"{:.1}\" y=\"{y:.1}\" text-anchor=\"end\">{}{left_out}</text>",
            WIDTH - RIGHT,
            Escaped(self.counted)
        )
    }
}

impl fmt::Display for Picture<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.frame(f)?;
        self.curves(f)?;
        let mut beyond = LEFT;
        for mark in &self.plot.marks {
            self.mark(f, mark, &mut beyond)?;
        }
        self.key(f)?;
        writeln!(f, "</svg>")
    }
}

/// A flow within what pours.
fn poured(flow_g_s: f64) -> f64 {
    flow_g_s.clamp(-FASTEST_G_S, FASTEST_G_S)
}
