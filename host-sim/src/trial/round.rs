//! A round by the station, and how long it would have taken by a plain scale's number.
//!
//! Where the bottle is tilted for a pour, the bench is copied and the same pour played once more
//! by somebody practised at a plain scale: the same bottle, vessel, flow, fall and drops. Fetching,
//! dashes, ice, stirring and straining are the same by construction, so the plain round is the
//! guided one with, for each pour, the plain scale's time in place of the station's.

use pennyweight_core::spec::{Family, Sheet, SheetError};
use pennyweight_core::view::Page;
use pennyweight_core::{Input, Outputs};

use crate::plant::{Bench, HandNature, Reader, Table};
use crate::session::{BarBottle, Outcome, Session, SessionSetup, bar_of};

/// The number stands still when so many means over [`STILL_MEAN_S`] lie together within
/// [`STILL_WITHIN_G`]: two steps of a scale that shows tenths of a gram (assumption).
const STILL_MEANS: usize = 4;
const STILL_MEAN_S: f64 = 0.25;
const STILL_WITHIN_G: f64 = 0.2;
/// Nobody waits longer for it, seconds.
const STILL_AT_MOST_S: f64 = 4.0;
/// A finger to the tare key, and the number at nought (assumption).
const TARE_S: f64 = 0.5;
/// A number is tared to the mean of so many seconds.
const TARED_OVER_S: f64 = 0.25;
/// Nobody pours longer than this, seconds.
const LONGEST_POUR_S: f64 = 40.0;

/// One pour of the round by both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PourTimes {
    /// How the liquid pours.
    pub family: Family,
    /// From the tilt to the station's next prompt, seconds.
    pub guided_s: f64,
    /// From the last liquid landed before it to that prompt, seconds.
    pub guided_wait_s: f64,
    /// From the tilt until the plain scale's number stands still, read, and tared, seconds.
    pub plain_s: f64,
    /// From the last liquid landed until it stands still, seconds.
    pub plain_wait_s: f64,
}

/// A round by both.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoundTimes {
    /// Station time of the round as it was played, seconds.
    pub guided_s: f64,
    /// The same by a plain scale, seconds.
    pub plain_s: f64,
    /// The pours that have a target and were guided by cues.
    pub pours: Vec<PourTimes>,
}

/// Plays a round; `None` where it is given up.
///
/// # Errors
/// A sheet that cannot be read.
pub fn play(
    table: &Table,
    sheet: Sheet<'_>,
    setup: &SessionSetup,
) -> Result<Option<RoundTimes>, SheetError> {
    let bar = bar_of(&sheet, table, setup.seed)?;
    let mut session = Session::new(table, sheet, setup)?;
    let mut watch = Watch {
        table: setup.hidden.applied(table),
        bar,
        hand: HandNature::drawn(&setup.hidden.applied(table), setup.seed),
        recent: Vec::new(),
        target_g: None,
        tilted: None,
        flowing: false,
        tilts: 0,
        pours: Vec::new(),
    };
    let mut begun_us = None;
    let mut ended_us = 0;
    while let Some(moment) = session.next() {
        let now_us = moment.at.micros();
        begun_us.get_or_insert(now_us);
        ended_us = now_us;
        watch.take(
            now_us,
            moment.input,
            &moment.outputs,
            &moment.view.page,
            session.bench(),
        );
    }
    if session.outcome() != Outcome::Finished {
        return Ok(None);
    }
    let guided_s = seconds(begun_us.unwrap_or(ended_us), ended_us);
    let longer_s: f64 = watch
        .pours
        .iter()
        .map(|pour| pour.plain_s - pour.guided_s)
        .sum();
    Ok(Some(RoundTimes {
        guided_s,
        plain_s: guided_s + longer_s,
        pours: watch.pours,
    }))
}

fn seconds(from_us: u64, to_us: u64) -> f64 {
    to_us as f64 * 1e-6 - from_us as f64 * 1e-6
}

/// A pour that has begun.
struct Tilted {
    since_us: u64,
    family: Family,
    plain_s: f64,
    plain_wait_s: f64,
}

/// Looks on at a round.
struct Watch {
    table: Table,
    bar: Vec<BarBottle>,
    hand: HandNature,
    recent: Vec<(u64, f64)>,
    target_g: Option<f64>,
    tilted: Option<Tilted>,
    flowing: bool,
    tilts: u64,
    pours: Vec<PourTimes>,
}

impl Watch {
    fn take(
        &mut self,
        now_us: u64,
        input: Input,
        outputs: &Outputs,
        page: &Page<'_>,
        bench: &Bench,
    ) {
        self.prompted(now_us, outputs, page, bench);
        if let Some(step) = outputs.step {
            self.target_g = step.target.map(|target| f64::from(target.0));
        }
        let flows = bench.flow_g_s() > 0.0;
        if flows && !self.flowing {
            self.tilts += 1;
            if let (Page::Pour { liquid, .. }, Some(target_g), None) =
                (page, self.target_g, &self.tilted)
            {
                self.tilted = self.tilt(now_us, liquid, target_g, bench);
            }
        }
        self.flowing = flows;
        if let Input::Code(code) = input
            && !flows
        {
            let since = now_us.saturating_sub((TARED_OVER_S * 1e6) as u64);
            self.recent.retain(|&(at, _)| at >= since);
            self.recent.push((now_us, grams(bench, code.0)));
        }
    }

    /// The station asks for the next thing: a step, a correction, the finished glass.
    fn prompted(&mut self, now_us: u64, outputs: &Outputs, page: &Page<'_>, bench: &Bench) {
        let next = outputs.step.is_some()
            || outputs.done.is_some()
            || outputs.fix.is_some()
            || matches!(page, Page::Add { .. });
        if bench.flow_g_s() > 0.0 || !next {
            return;
        }
        let Some(tilted) = self.tilted.take() else {
            return;
        };
        let landed_us = bench.last_landed_us().unwrap_or(now_us);
        self.pours.push(PourTimes {
            family: tilted.family,
            guided_s: seconds(tilted.since_us, now_us),
            guided_wait_s: seconds(landed_us, now_us),
            plain_s: tilted.plain_s,
            plain_wait_s: tilted.plain_wait_s,
        });
    }

    /// The same pour by a plain scale, on a copy of the bench.
    fn tilt(&self, now_us: u64, name: &str, target_g: f64, bench: &Bench) -> Option<Tilted> {
        let bottle = self.bar.iter().find(|bottle| bottle.liquid.name == name)?;
        let hours = bench.now_s() / 3600.0;
        let draw = self.hand.pour(&self.table, self.tilts, hours);
        let usual_g_s = bottle.flow_ml_s * bottle.liquid.density_g_ml;
        let mut reader = Reader::practised(target_g, usual_g_s, &draw);
        let tare_g = self.recent.iter().map(|(_, grams)| grams).sum::<f64>()
            / self.recent.len().max(1) as f64;
        reader.tare(tare_g);
        let mut bench = bench.clone();
        let give_up_us = now_us + (LONGEST_POUR_S * 1e6) as u64;
        loop {
            let due_us = reader.move_us().unwrap_or(give_up_us).min(give_up_us);
            if due_us < bench.next_conversion_us() {
                bench.advance(due_us);
                break;
            }
            let conversion = bench.read();
            reader.weigh(conversion.t_us, grams(&bench, conversion.code));
        }
        bench.tilt_back();
        let still_us = stands_still(&mut bench);
        let landed_us = bench.last_landed_us().unwrap_or(now_us).min(still_us);
        Some(Tilted {
            since_us: now_us,
            family: bottle.liquid.family,
            plain_s: seconds(now_us, still_us) + draw.reading_s + TARE_S,
            plain_wait_s: seconds(landed_us, still_us),
        })
    }
}

fn grams(bench: &Bench, code: i32) -> f64 {
    f64::from(code - bench.zero_code()) / bench.counts_per_gram()
}

/// When the number stands still after the flow has ended.
fn stands_still(bench: &mut Bench) -> u64 {
    while bench.flow_g_s() > 0.0 {
        bench.read();
    }
    let latest_s = bench.now_s() + STILL_AT_MOST_S;
    let mut means: Vec<f64> = Vec::new();
    while bench.now_s() < latest_s {
        let until_s = bench.now_s() + STILL_MEAN_S;
        let (mut sum, mut count) = (0.0, 0.0);
        while bench.now_s() < until_s {
            let conversion = bench.read();
            sum += grams(bench, conversion.code);
            count += 1.0;
        }
        means.push(sum / count);
        if let Some((_, recent)) = means.split_last_chunk::<STILL_MEANS>() {
            let most = recent.iter().copied().fold(f64::MIN, f64::max);
            let least = recent.iter().copied().fold(f64::MAX, f64::min);
            if most - least <= STILL_WITHIN_G {
                break;
            }
        }
    }
    bench.now_us()
}
