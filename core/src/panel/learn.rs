//! The pages of what was found by weighing: a bottle learned, and a drink weighed back.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::BinaryColor;

use super::amount::Amount;
use super::letters::Letters;
use super::pages::{BOTTOM_LINE, END, LARGE_LINE, TOP_LINE, line, small};
use super::pen::Pen;
use crate::limits::LEARN_FILLS;
use crate::output::{Learned, Lesson, Refused};
use crate::view::Learn;

/// The rows on which the two lines below the top one stand.
const LINES: [i32; 2] = [26, 42];

/// Where the learning stands.
pub(super) fn page<D>(pen: &mut Pen<'_, D>, learn: &Learn) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    match learn {
        Learn::Measure => {
            titles(pen, ["set empty", "measure on"])?;
            small(pen, "to learn a bottle")
        }
        Learn::Wait => {
            titles(pen, ["weighing it", "hands off"])?;
            small(pen, "then fill it")
        }
        Learn::Fill(mark) => {
            line(pen, TOP_LINE, "fill to")?;
            Amount::new(*mark).draw(pen, 0, END, LARGE_LINE)?;
            small(pen, "on the pan or off it")
        }
        Learn::Told(learned) => told(pen, learned),
    }
}

/// The density, what follows from it, and how sure it is.
fn told<D>(pen: &mut Pen<'_, D>, learned: &Learned) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let [first, second] = LINES;
    let density = |kg_per_m3: f32| Amount::of(nearest(kg_per_m3), 3, " g/ml");
    written(pen, TOP_LINE, "", &density(learned.density.value))?;
    match learned.lesson {
        Lesson::Density => {
            line(pen, first, "give or take")?;
            written(pen, second, "", &density(learned.density.sigma))?;
        }
        Lesson::Sugar(sugar) => {
            let grams = |value, unit| Amount::of(nearest(value), 0, unit);
            written(pen, first, "", &grams(sugar.value, " g/l sugar"))?;
            written(pen, second, "give or take ", &grams(sugar.sigma, ""))?;
        }
        Lesson::Strength(strength) => {
            let percent = |value: f32, unit| Amount::of(nearest(10.0 * value), 1, unit);
            written(pen, first, "", &percent(strength.value, " % vol"))?;
            written(pen, second, "give or take ", &percent(strength.sigma, ""))?;
        }
        Lesson::Refused(why) => {
            let (what, todo) = refused(why);
            line(pen, first, what)?;
            line(pen, second, todo)?;
            return small(pen, "check mark and label");
        }
    }
    let (words, number) = if learned.fills < LEARN_FILLS {
        ("empty it for fill ", learned.fills.saturating_add(1))
    } else {
        ("done, fills: ", learned.fills)
    };
    let x = pen.text(Letters::Small, 0, BOTTOM_LINE, words)?;
    let number = Amount::of(number.into(), 0, "");
    pen.text(Letters::Small, x, BOTTOM_LINE, number.digits())?;
    Ok(())
}

/// The water, the prediction beside it, and what was lost.
pub(super) fn back<D>(
    pen: &mut Pen<'_, D>,
    water: i16,
    expected: Option<i16>,
    lost: i16,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let [first, second] = LINES;
    let tenths = |figure: i16, unit| Amount::of(figure.into(), 1, unit);
    written(pen, TOP_LINE, "water ", &tenths(water, " %"))?;
    if let Some(expected) = expected {
        written(pen, first, "usual ", &tenths(expected, " %"))?;
    }
    written(pen, second, "lost ", &tenths(lost, " g"))
}

/// Why not, in two lines of at most 16.
const fn refused(why: Refused) -> (&'static str, &'static str) {
    match why {
        Refused::NoLiquid(_) => ("no drink is that", "look at the fill"),
        Refused::TooLight(_) => ("too light for", "what you know"),
        Refused::TooDense(_) => ("too dense for", "what you know"),
        Refused::Label => ("no such bottle:", "check the label"),
    }
}

/// Words, a number and its unit.
fn written<D>(
    pen: &mut Pen<'_, D>,
    baseline: i32,
    words: &str,
    amount: &Amount,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let x = pen.text(Letters::Bold, 0, baseline, words)?;
    let x = pen.text(Letters::Bold, x, baseline, amount.digits())?;
    pen.text(Letters::Bold, x, baseline, amount.unit())?;
    Ok(())
}

fn titles<D>(pen: &mut Pen<'_, D>, titles: [&str; 2]) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    for (baseline, text) in [17, 39].into_iter().zip(titles) {
        pen.text(Letters::Title, 0, baseline, text)?;
    }
    Ok(())
}

/// The nearest whole number; the cast takes what is no number to 0.
fn nearest(value: f32) -> i32 {
    (value + 0.5) as i32
}
