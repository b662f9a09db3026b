//! The order of a build: as written, or the house's by method.
//!
//! Common practice, no source. What is cheap and small goes in before what is dear, so that a
//! mistake costs little: shaken, what is muddled, then egg, dashes, spoons, the small pours, the
//! base, ice last; stirred, dashes, modifiers, the base, ice; built in the glass, ice first and
//! soda last. Only the lines before the first stir, shake or strain change places; a note stays
//! with the line behind it.

use pennyweight_core::spec::{Quantity, Step};

use super::house_sheet::{Action, BuildLine};

/// How a drink is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Method {
    Shaken,
    Stirred,
    Built,
}

/// Puts the lines into the order of the house.
pub(super) fn by_method(build: Vec<BuildLine>) -> Vec<BuildLine> {
    let method = method(&build);
    let worked = |line: &BuildLine| {
        matches!(
            line.action,
            Action::Figures(Step::Stir { .. } | Step::Shake { .. } | Step::Strain)
        )
    };
    let until = build.iter().position(worked).unwrap_or(build.len());
    let mut lines = build;
    let rest = lines.split_off(until);
    let mut groups: Vec<Vec<BuildLine>> = Vec::new();
    let mut notes = Vec::new();
    for line in lines {
        let is_note = matches!(line.action, Action::Note(_)) && !is_muddled(&line);
        notes.push(line);
        if !is_note {
            groups.push(std::mem::take(&mut notes));
        }
    }
    groups.sort_by_key(|group| group.last().map_or((0, 0), |line| rank(method, line)));
    groups
        .into_iter()
        .flatten()
        .chain(notes)
        .chain(rest)
        .collect()
}

fn method(build: &[BuildLine]) -> Method {
    let has = |found: fn(&Step<'_>) -> bool| {
        build
            .iter()
            .any(|line| matches!(&line.action, Action::Figures(step) if found(step)))
    };
    if has(|step| matches!(step, Step::Shake { .. })) {
        Method::Shaken
    } else if has(|step| matches!(step, Step::Stir { .. })) {
        Method::Stirred
    } else {
        Method::Built
    }
}

fn is_muddled(line: &BuildLine) -> bool {
    matches!(&line.action, Action::Note(text) if text.to_lowercase().contains("muddle"))
}

/// Where a line stands, and among its like the smaller first.
fn rank(method: Method, line: &BuildLine) -> (u8, u32) {
    match &line.action {
        Action::Note(_) => (0, 0),
        Action::Drops { .. } | Action::Figures(Step::Dash { .. }) => (3, 0),
        Action::Figures(step) => match step {
            // The vessel is rinsed before anything goes in.
            Step::Rinse { .. } => (0, 0),
            Step::Whole { .. } => (2, 0),
            Step::Barspoon { .. } => (4, 0),
            Step::Pour { amount, .. } => match (method, amount.quantity) {
                (Method::Built, _) => (5, 0),
                (_, Quantity::Volume(figure) | Quantity::Mass(figure)) => (5, figure),
                (_, Quantity::Count(count)) => (5, count.into()),
            },
            Step::Ice { .. } if method == Method::Built => (1, 0),
            Step::Ice { .. } => (6, 0),
            Step::Soda { .. } => (7, 0),
            Step::Dash { .. }
            | Step::Stir { .. }
            | Step::Shake { .. }
            | Step::Strain
            | Step::Note { .. } => (8, 0),
        },
    }
}
