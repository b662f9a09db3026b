//! `sweep`: many pours, guided beside a plain scale and beside the limit.
//!
//! Every method pours the same pours: the same bottles, flows, falls, drops and hands. The result
//! follows from the options alone, however many cores there are.

mod compact;
pub mod document;
pub mod grid;
pub mod options;
pub mod picture;
pub mod r61;
pub mod rounds;
pub mod spread;
pub mod table;

use std::io::{self, BufWriter, IsTerminal, Write};

use indicatif::{ProgressBar, ProgressStyle};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

pub use options::SweepArgs;

use super::events::write_json;
use super::failure::Failure;
use super::svg::Paper;
use crate::plant::{Hidden, Surroundings, Table};
use crate::trial::{HandKind, Method, Trial, TrialResult, run as pour};
use document::{CellLine, Document, NOMINAL, SettleLine, World};
use grid::Cell;
use options::{HandName, LiquidName, Vary};

/// Draws of [`Vary::All`], and how far each goes.
const RANDOM_WORLDS: u64 = 20;
const RANDOM_SPREAD: f64 = 0.2;
/// Demo rounds that are timed, and so many pours of a cell for each of them.
const ROUNDS: usize = 20;
const POURS_A_ROUND: usize = 30;

/// Every method, in the order of the table.
pub const METHODS: [Method; 4] = [
    Method::Plain,
    Method::Practised,
    Method::Guided,
    Method::Limit,
];
/// In moved worlds.
const MOVED_METHODS: [Method; 2] = [Method::Guided, Method::Limit];

/// Sweeps onto standard output.
///
/// # Errors
/// A picture that cannot be written; an output that cannot be written.
pub fn run(args: &SweepArgs) -> Result<(), Failure> {
    // Before the work, so that nobody waits for a picture that cannot be written.
    let paper = args.plot.as_deref().map(Paper::create).transpose()?;
    let swept = sweep(args)?;
    if let Some(paper) = paper {
        paper.draw(&picture::picture(&swept))?;
    }
    let mut out = BufWriter::new(io::stdout().lock());
    if args.json {
        write_json(&mut out, &swept.document)
    } else {
        write!(out, "{}", table::table(&swept.document))
    }
    .and_then(|()| out.flush())
    .map_err(Failure::writing)
}

/// A sweep, and the errors of the one cell that is drawn.
#[derive(Clone, Debug)]
pub struct Swept {
    /// What it came to.
    pub document: Document,
    /// Errors of each method in the drawn cell, grams.
    pub drawn: Vec<(Method, Vec<f64>)>,
    /// Which cell that is.
    pub drawn_cell: Cell,
}

/// What one method did in one cell.
struct Job {
    cell: Cell,
    world: usize,
    method: Method,
    kind: HandKind,
}

/// Sweeps what the options ask for.
///
/// # Errors
/// The demo round cannot be played.
pub fn sweep(args: &SweepArgs) -> Result<Swept, Failure> {
    let table = Table::nominal();
    let cells = grid::cells(args);
    let worlds = worlds(args);
    let jobs = jobs(&cells, &worlds);
    let bar = progress(jobs.len() as u64);
    let results: Vec<TrialResult> = jobs
        .par_iter()
        .map(|job| {
            let result = play(&table, args, &worlds[job.world], job);
            bar.inc(1);
            result
        })
        .collect();
    bar.finish_and_clear();
    let done: Vec<(&Job, &TrialResult)> = jobs.iter().zip(&results).collect();
    let drawn_cell = drawn_cell(&cells);
    let drawn = done
        .iter()
        .filter(|(job, _)| job.cell == drawn_cell && job.world == 0 && job.kind != HandKind::Met)
        .map(|(job, result)| {
            let errors = result.pours.iter().map(|pour| pour.error_g());
            (job.method, errors.collect())
        })
        .collect();
    let round = if args.vary.is_none() {
        let count = (args.pours / POURS_A_ROUND).clamp(1, ROUNDS);
        rounds::rounds(&table, count, args.seed)?
    } else {
        None
    };
    Ok(Swept {
        document: Document {
            seed: args.seed,
            pours: args.pours,
            interval: "95 %, bootstrap over hands",
            cells: lines(&done, &worlds, args.seed),
            settle: settle(&done),
            round,
            plant: table,
            worlds,
        },
        drawn,
        drawn_cell,
    })
}

fn worlds(args: &SweepArgs) -> Vec<World> {
    let world = |name, hidden| World { name, hidden };
    let moved = |factor: f64| world(format!("all x {factor}"), Hidden::all(factor));
    match args.vary {
        None => vec![world(NOMINAL.to_owned(), Hidden::default())],
        Some(Vary::Factor(factor)) => vec![moved(factor)],
        Some(Vary::All) => [moved(1.0 - RANDOM_SPREAD), moved(1.0 + RANDOM_SPREAD)]
            .into_iter()
            .chain((1..=RANDOM_WORLDS).map(|nth| {
                let seed = args.seed.wrapping_mul(1000).wrapping_add(nth);
                world(format!("draw {nth}"), Hidden::random(seed, RANDOM_SPREAD))
            }))
            .collect(),
    }
}

fn jobs(cells: &[Cell], worlds: &[World]) -> Vec<Job> {
    let mut jobs = Vec::new();
    for (world, one) in worlds.iter().enumerate() {
        let methods = if one.name == NOMINAL {
            &METHODS[..]
        } else {
            &MOVED_METHODS
        };
        for &cell in cells {
            for &method in methods {
                let kind = cell.hand.kind();
                jobs.push(Job {
                    cell,
                    world,
                    method,
                    kind,
                });
                if method == Method::Guided && cell.hand == HandName::Unknown {
                    let kind = HandKind::Met;
                    jobs.push(Job {
                        cell,
                        world,
                        method,
                        kind,
                    });
                }
            }
        }
    }
    jobs
}

fn play(table: &Table, args: &SweepArgs, world: &World, job: &Job) -> TrialResult {
    let trial = Trial {
        method: job.method,
        hand: job.kind,
        liquid: job.cell.liquid.bottle(),
        flow_ml_s: job.cell.flow_ml_s,
        sps: job.cell.sps,
        target_ml: job.cell.target_ml,
        pours: args.pours,
        seed: args.seed,
        surroundings: Surroundings::Usual,
        hidden: world.hidden,
    };
    pour(table, &trial)
}

fn lines(done: &[(&Job, &TrialResult)], worlds: &[World], seed: u64) -> Vec<CellLine> {
    let mut lines: Vec<CellLine> = Vec::new();
    for (job, result) in done {
        if job.kind == HandKind::Met {
            // It follows the pours before them.
            if let Some(first) = lines.last_mut() {
                first.later_p95_g = Some(result.summary.p95_g);
            }
            continue;
        }
        let world = &worlds[job.world].name;
        lines.push(CellLine::of(&job.cell, job.method, world, result, seed));
    }
    lines
}

fn settle(done: &[(&Job, &TrialResult)]) -> Vec<SettleLine> {
    let mut lines: Vec<SettleLine> = Vec::new();
    for liquid in LiquidName::ALL {
        for sps in [10.0, 80.0, 320.0] {
            let pours = done
                .iter()
                .filter(|(job, _)| job.cell.liquid == liquid && job.cell.sps == sps)
                .filter(|(job, _)| job.method == Method::Guided)
                .flat_map(|(_, result)| &result.pours);
            let line = SettleLine::of(liquid, sps, pours);
            if line.landings > 0 {
                lines.push(line);
            }
        }
    }
    lines
}

/// A spirit of 12 ml/s and 30 ml by a known hand, or what is nearest to it.
fn drawn_cell(cells: &[Cell]) -> Cell {
    let off = |cell: &Cell| {
        let other = |differs: bool| if differs { 10.0 } else { 0.0 };
        other(cell.liquid != LiquidName::Spirit)
            + other(cell.hand != HandName::Known)
            + other(cell.sps != 80.0)
            + (cell.flow_ml_s / 12.0).ln().abs()
            + (cell.target_ml / 30.0).ln().abs()
    };
    let nearest = cells.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    nearest.copied().unwrap_or(Cell {
        liquid: LiquidName::Spirit,
        flow_ml_s: 12.0,
        sps: 80.0,
        hand: HandName::Known,
        target_ml: 30.0,
    })
}

/// A bar on standard error, where somebody looks at it.
fn progress(jobs: u64) -> ProgressBar {
    if !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(jobs);
    let style = ProgressStyle::with_template("{wide_bar} {pos} of {len} trials, {eta} left");
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
    bar
}
