//! A replayed trace as a picture: mass of the codes, the estimate, the flow, and the events.
//!
//! However long the trace, what is kept is bounded: the course halves its resolution when it is
//! full, so that a picture has at most [`COURSE_MAX`] stretches and [`MARKS_MAX`] events.

mod picture;

use pennyweight_core::{Event, Instant};

use super::names::Names;
use super::sentences::sentence;

pub use picture::Picture;

/// Stretches of time in a picture; each gives two points of codes, one of estimate, one of flow.
pub const COURSE_MAX: usize = 1000;
/// Events in a picture; more are counted.
pub const MARKS_MAX: usize = 400;

/// One conversion as it was weighed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// When it was read, seconds.
    pub t_s: f64,
    /// What its code alone weighs, grams.
    pub code_g: f64,
    /// What the station makes of it, grams.
    pub reading_g: f64,
    /// How fast that rises, grams per second.
    pub flow_g_s: f64,
}

/// A stretch of conversions.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stretch {
    begins_s: f64,
    ends_s: f64,
    code_g: (f64, f64),
    reading_g: f64,
    flow_g_s: f64,
}

impl Stretch {
    fn of(weighed: Weighed) -> Self {
        Self {
            begins_s: weighed.t_s,
            ends_s: weighed.t_s,
            code_g: (weighed.code_g, weighed.code_g),
            reading_g: weighed.reading_g,
            flow_g_s: weighed.flow_g_s,
        }
    }

    /// Both together: the extremes of the codes and of the flow stay.
    fn joined(self, later: Self) -> Self {
        Self {
            begins_s: self.begins_s,
            ends_s: later.ends_s,
            code_g: (
                self.code_g.0.min(later.code_g.0),
                self.code_g.1.max(later.code_g.1),
            ),
            reading_g: later.reading_g,
            flow_g_s: if self.flow_g_s.abs() > later.flow_g_s.abs() {
                self.flow_g_s
            } else {
                later.flow_g_s
            },
        }
    }
}

/// The course of a trace, thinned while it grows.
#[derive(Clone, Debug)]
struct Course {
    stretches: Vec<Stretch>,
    /// Conversions in a stretch.
    each: usize,
    /// Conversions in the last one.
    in_last: usize,
}

impl Course {
    fn new() -> Self {
        Self {
            stretches: Vec::new(),
            each: 1,
            in_last: 0,
        }
    }

    fn push(&mut self, weighed: Weighed) {
        let stretch = Stretch::of(weighed);
        if let Some(last) = self.stretches.last_mut()
            && self.in_last < self.each
        {
            *last = last.joined(stretch);
            self.in_last += 1;
            return;
        }
        if self.stretches.len() == COURSE_MAX {
            self.stretches = self
                .stretches
                .chunks(2)
                .filter_map(|pair| pair.iter().copied().reduce(Stretch::joined))
                .collect();
            self.each *= 2;
        }
        self.stretches.push(stretch);
        self.in_last = 1;
    }
}

/// An event with the time it was told and its sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Mark {
    at: Instant,
    words: String,
    fault: bool,
}

/// What a picture is drawn from.
#[derive(Clone, Debug)]
pub struct Plot {
    title: String,
    course: Course,
    marks: Vec<Mark>,
    /// Events beyond [`MARKS_MAX`].
    left_out: usize,
}

impl Plot {
    /// An empty plot with the trace's name over it.
    #[must_use]
    pub fn new(title: &str) -> Self {
        Self {
            title: title.to_owned(),
            course: Course::new(),
            marks: Vec::new(),
            left_out: 0,
        }
    }

    /// Adds a conversion; times do not fall.
    pub fn weigh(&mut self, weighed: Weighed) {
        self.course.push(weighed);
    }

    /// Adds an event.
    pub fn mark(&mut self, at: Instant, event: &Event, names: &Names) {
        if self.marks.len() == MARKS_MAX {
            self.left_out += 1;
            return;
        }
        let told = sentence(at, event, names);
        let words: Vec<&str> = told.split_whitespace().skip(2).collect();
        self.marks.push(Mark {
            at,
            words: words.join(" "),
            fault: matches!(event, Event::Fault(_)),
        });
    }

    /// The picture as SVG; `counted` is a line of text under it.
    #[must_use]
    pub fn picture<'p>(&'p self, counted: &'p str) -> Picture<'p> {
        Picture::of(self, counted)
    }
}
