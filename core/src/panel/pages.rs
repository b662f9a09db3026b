//! One function a page.

use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::pixelcolor::BinaryColor;

use super::amount::Amount;
use super::bar;
use super::frame::{HEIGHT, WIDTH};
use super::letters::Letters;
use super::pen::{Pen, wrap};
use super::words;
use crate::output::Verdict;
use crate::spec::{Unit, Vessel};
use crate::view::{Cue, Next, Offer, Page, Reading, View, Work};

/// The row on which the top line stands.
pub(super) const TOP_LINE: i32 = 10;
/// The row on which the large line stands.
pub(super) const LARGE_LINE: i32 = 41;
/// The row on which the bottom line stands.
pub(super) const BOTTOM_LINE: i32 = 61;
/// The first row of the band behind the large line.
const BAND_TOP: i32 = 14;
/// Rows of that band.
const BAND_HIGH: u32 = 30;
/// The column behind the last.
pub(super) const END: i32 = WIDTH as i32;
/// Columns between a word and a number.
const GAP: i32 = 5;

/// Draws the page of `view` on a dark target.
///
/// # Errors
/// What the target answers.
pub(super) fn page<D>(view: &View<'_>, target: &mut D) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let pen = &mut Pen::new(target, BinaryColor::On);
    match view.page {
        Page::Idle => large(pen, "ready"),
        Page::Weight(reading) => {
            line(pen, TOP_LINE, "weight")?;
            Amount::new(reading).draw(pen, 0, END, LARGE_LINE)
        }
        Page::Place { drink, vessel } => place(pen, drink, vessel),
        Page::Pour {
            liquid,
            remaining,
            bar,
            cue,
            next,
        } => {
            let share = Some(bar::filled(bar, view.ramp));
            pour(pen, liquid, "", remaining, cue, share, next)
        }
        Page::Add {
            liquid,
            missing,
            cue,
            next,
        } => {
            // A correction is too small for a share of it to tell anything: the ramp alone.
            let share = view.ramp.map(|ramp| bar::filled(0, Some(ramp)));
            pour(pen, liquid, "add", missing, cue, share, next)
        }
        Page::Count {
            liquid,
            done,
            of,
            unit,
            next,
        } => count(pen, liquid, done, of, unit, next),
        Page::Ice {
            so_far,
            low_g,
            high_g,
            next,
        } => ice(pen, so_far, low_g, high_g, next),
        Page::Away {
            work,
            seconds_left,
            running,
            next,
        } => away(pen, work, seconds_left, running, next),
        Page::Strain {
            drink,
            so_far,
            left: None,
            ..
        } => {
            line(pen, TOP_LINE, drink)?;
            let x = pen.text(Letters::Tall, 0, LARGE_LINE, "strain")?;
            Amount::new(so_far).draw(pen, x.saturating_add(GAP), END, LARGE_LINE)?;
            small(pen, "into the glass")
        }
        Page::Strain {
            drink,
            left: Some(left),
            cue,
            ..
        } => pour(pen, drink, "strain", left, cue, None, Next::Nothing),
        Page::Question { one, two } => question(pen, one, two),
        Page::Again { drink } => {
            large(pen, "ready")?;
            line(pen, TOP_LINE, drink)?;
            small(pen, "press: once more")
        }
        Page::Note { text, next } => note(pen, text, next),
        Page::Judged {
            liquid,
            error,
            verdict,
            offer,
            next,
        } => judged(pen, liquid, error, verdict, offer, next),
        Page::Ask { what, grams } => {
            line(pen, TOP_LINE, what)?;
            Amount::new(grams).signed().draw(pen, 0, END, LARGE_LINE)?;
            small(pen, "yes: press  no: go on")
        }
        Page::Done { drink } => {
            line(pen, TOP_LINE, drink)?;
            large(pen, "done")
        }
        Page::WeighedBack {
            water,
            expected,
            lost,
        } => super::learn::back(pen, water, expected, lost),
        Page::Learn(learn) => super::learn::page(pen, &learn),
        Page::Refused => broken(pen, words::REFUSED),
        Page::Fault(fault) => broken(pen, words::fault(fault)),
    }
}

/// Which of two drinks the vessel is for: the first unless somebody presses.
fn question<D>(pen: &mut Pen<'_, D>, one: &str, two: &str) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    line(pen, TOP_LINE, "1 or 2?")?;
    let x = pen.text(Letters::Bold, 0, 27, "1")?;
    pen.text(Letters::Small, x.saturating_add(GAP), 27, one)?;
    let x = pen.text(Letters::Bold, 0, 44, "2")?;
    pen.text(Letters::Small, x.saturating_add(GAP), 44, two)?;
    small(pen, "press for 2")
}

fn place<D>(pen: &mut Pen<'_, D>, drink: &str, vessel: Vessel) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    line(pen, TOP_LINE, drink)?;
    pen.text(Letters::Tall, 0, LARGE_LINE, words::vessel(vessel))?;
    small(pen, "set it on the pan")
}

/// The page while liquid runs. The amount stands in the same rows whatever the hand should do:
/// ease turns the band around it white and puts the word beside it, stop turns the whole panel
/// white and gives the word the amount's place.
fn pour<D>(
    pen: &mut Pen<'_, D>,
    liquid: &str,
    label: &str,
    amount: Reading,
    cue: Cue,
    bar: Option<f32>,
    following: Next<'_>,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let amount = Amount::new(amount);
    match cue {
        Cue::Pour => {
            let x = match label {
                "" => 0,
                label => pen
                    .text(Letters::Tall, 0, LARGE_LINE, label)?
                    .saturating_add(GAP),
            };
            amount.draw(pen, x, END, LARGE_LINE)?;
            around(pen, liquid, bar, following)
        }
        Cue::Ease => {
            let word = END.saturating_sub(Letters::Tall.width("EASE"));
            band(pen)?;
            let mut dark = pen.other();
            amount.draw(&mut dark, 0, word, LARGE_LINE)?;
            dark.text(Letters::Tall, word, LARGE_LINE, "EASE")?;
            around(pen, liquid, bar, following)
        }
        Cue::Stop => {
            pen.fill(0, 0, WIDTH.into(), HEIGHT.into())?;
            let mut dark = pen.other();
            // Closer letters, so that word and amount stay two things.
            let x = dark.spread(Letters::Wide, 0, LARGE_LINE, "STOP", |_| 18)?;
            amount.draw(&mut dark, x.saturating_add(GAP), END, LARGE_LINE)?;
            around(&mut dark, liquid, bar.map(|_| 1.0), following)
        }
    }
}

/// What stands around the large line of a pour.
fn around<D>(
    pen: &mut Pen<'_, D>,
    liquid: &str,
    bar: Option<f32>,
    following: Next<'_>,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    line(pen, TOP_LINE, liquid)?;
    if let Some(share) = bar {
        bar::pour(pen, share)?;
    }
    next(pen, following)
}

fn count<D>(
    pen: &mut Pen<'_, D>,
    liquid: &str,
    done: u8,
    of: u8,
    unit: Unit,
    following: Next<'_>,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    line(pen, TOP_LINE, liquid)?;
    let room = match done.max(of) {
        ..10 => Letters::Wide.pitch(),
        10..100 => Letters::Tall.pitch().saturating_mul(2),
        100.. => Letters::Tall.pitch().saturating_mul(3),
    };
    let number = |count: u8| Amount::of(count.into(), 0, "");
    number(done).draw(pen, 0, room, LARGE_LINE)?;
    let x = room.saturating_add(3);
    let x = pen.text(Letters::Bold, x, LARGE_LINE, "of")?;
    let x = x.saturating_add(3);
    let end = x.saturating_add(room);
    number(of).draw(pen, x, end, LARGE_LINE)?;
    let x = end.saturating_add(3);
    pen.text(Letters::Small, x, LARGE_LINE, words::counted(unit, of))?;
    next(pen, following)
}

fn ice<D>(
    pen: &mut Pen<'_, D>,
    so_far: Reading,
    low_g: u16,
    high_g: u16,
    following: Next<'_>,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let x = pen.text(Letters::Bold, 0, TOP_LINE, "ice ")?;
    let x = number(pen, x, low_g)?;
    let x = pen.text(Letters::Bold, x, TOP_LINE, "-")?;
    let x = number(pen, x, high_g)?;
    pen.text(Letters::Bold, x, TOP_LINE, " g")?;
    Amount::new(so_far).draw(pen, 0, END, LARGE_LINE)?;
    let scale = match so_far.decimals {
        0 => 1.0,
        1 => 10.0,
        _ => 100.0,
    };
    // The bar ends at the most that may go in, its notch at the least.
    let high = f32::from(high_g.max(1));
    let share = so_far.value as f32 / scale / high;
    bar::range(pen, share, f32::from(low_g) / high)?;
    next(pen, following)
}

/// A whole number in the top line.
fn number<D>(pen: &mut Pen<'_, D>, x: i32, grams: u16) -> Result<i32, D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    pen.text(
        Letters::Bold,
        x,
        TOP_LINE,
        Amount::of(grams.into(), 0, "").digits(),
    )
}

fn away<D>(
    pen: &mut Pen<'_, D>,
    work: Work,
    seconds_left: i16,
    running: bool,
    following: Next<'_>,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let over = running && seconds_left < 0;
    let seconds = Amount::of(i32::from(seconds_left).saturating_abs(), 0, "s");
    let (top, seconds) = match (running, over) {
        (false, _) => ("take it away", seconds),
        (true, false) => ("keep going", seconds),
        (true, true) => ("time is up", seconds.signed()),
    };
    line(pen, TOP_LINE, top)?;
    let x = if over { 2 } else { 0 };
    large_in_band(pen, over, |pen| {
        let x = pen.text(Letters::Tall, x, LARGE_LINE, words::work(work))?;
        seconds.draw(pen, x.saturating_add(GAP), END, LARGE_LINE)
    })?;
    next(pen, following)
}

/// Words of the sheet: two lines of large letters where they fit, else three or four of smaller
/// ones; what does not fit then is cut.
fn note<D>(pen: &mut Pen<'_, D>, text: &str, following: Next<'_>) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let (first, rest) = wrap(text, 12);
    let (second, rest) = wrap(rest, 12);
    if rest.is_empty() {
        pen.text(Letters::Title, 0, 17, first)?;
        pen.text(Letters::Title, 0, 39, second)?;
    } else if !lines(pen, Letters::Bold, 16, &[TOP_LINE, 26, 42], text)? {
        lines(pen, Letters::Small, 21, &[9, 22, 35, 48], text)?;
    }
    next(pen, following)
}

/// Words wrapped into lines of `count` letters that stand on `baselines`; draws nothing and says
/// so where more lines are needed, unless the letters are the smallest.
fn lines<D>(
    pen: &mut Pen<'_, D>,
    letters: Letters,
    count: usize,
    baselines: &[i32],
    text: &str,
) -> Result<bool, D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let left = baselines.iter().fold(text, |rest, _| wrap(rest, count).1);
    if letters != Letters::Small && !left.is_empty() {
        return Ok(false);
    }
    let mut rest = text;
    for baseline in baselines {
        let (words, after) = wrap(rest, count);
        pen.text(letters, 0, *baseline, words)?;
        rest = after;
    }
    Ok(true)
}

fn judged<D>(
    pen: &mut Pen<'_, D>,
    liquid: &str,
    error: Reading,
    verdict: Verdict,
    offer: Offer,
    following: Next<'_>,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    line(pen, TOP_LINE, liquid)?;
    let error = Amount::new(error);
    let error = match verdict {
        Verdict::Good => error.signed(),
        // The word says the direction.
        Verdict::Short | Verdict::Over => error.unsigned(),
    };
    let over = verdict == Verdict::Over;
    let x = if over { 2 } else { 0 };
    large_in_band(pen, over, |pen| {
        let x = pen.text(Letters::Tall, x, LARGE_LINE, words::verdict(verdict))?;
        error.draw(pen, x.saturating_add(GAP), END, LARGE_LINE)
    })?;
    match offer {
        Offer::Nothing => next(pen, following),
        Offer::TipOut => small(pen, "tip it out, put back"),
        Offer::Fix => small(pen, "press: fix it"),
    }
}

fn broken<D>(pen: &mut Pen<'_, D>, (what, todo): (&str, [&str; 2])) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    pen.fill(0, 0, WIDTH.into(), 22)?;
    pen.other().text(Letters::Title, 2, 16, what)?;
    for (baseline, text) in [38, 55].into_iter().zip(todo) {
        line(pen, baseline, text)?;
    }
    Ok(())
}

/// What comes next, in the bottom line.
fn next<D>(pen: &mut Pen<'_, D>, next: Next<'_>) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    let mut small = |x, text: &str| pen.text(Letters::Small, x, BOTTOM_LINE, text);
    let x = if let Next::Glass { saves, .. } = next {
        let seconds = Amount::of((saves.saturating_add(5) / 10).into(), 0, "");
        let x = small(0, seconds.digits())?;
        small(x, " s less: ")?
    } else {
        small(0, "then ")?
    };
    let (x, text) = match next {
        Next::Nothing => (x, "done"),
        Next::Liquid(name) => (x, name),
        Next::Ice => (x, "ice"),
        Next::Work(work) => (x, words::work(work)),
        Next::Strain(vessel) => (small(x, "strain: ")?, words::vessel_in_short(vessel)),
        Next::Note(text) => (x, text),
        Next::Glass { drink, .. } => (x, drink),
    };
    small(x, text)?;
    Ok(())
}

/// The large line, dark on a white band where `white`.
fn large_in_band<D>(
    pen: &mut Pen<'_, D>,
    white: bool,
    draw: impl FnOnce(&mut Pen<'_, D>) -> Result<(), D::Error>,
) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    if white {
        band(pen)?;
        draw(&mut pen.other())
    } else {
        draw(pen)
    }
}

fn band<D>(pen: &mut Pen<'_, D>) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    pen.fill(0, BAND_TOP, WIDTH.into(), BAND_HIGH)
}

fn large<D>(pen: &mut Pen<'_, D>, text: &str) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    pen.text(Letters::Wide, 0, LARGE_LINE, text)?;
    Ok(())
}

pub(super) fn line<D>(pen: &mut Pen<'_, D>, baseline: i32, text: &str) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    pen.text(Letters::Bold, 0, baseline, text)?;
    Ok(())
}

pub(super) fn small<D>(pen: &mut Pen<'_, D>, text: &str) -> Result<(), D::Error>
where
    D: DrawTarget<Color = BinaryColor>,
{
    pen.text(Letters::Small, 0, BOTTOM_LINE, text)?;
    Ok(())
}
