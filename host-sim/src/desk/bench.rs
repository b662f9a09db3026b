//! The bench in real time: hands, plant and station, kept by one thread.

mod evening;
mod round;

use std::sync::mpsc::Receiver;
use std::sync::{Arc, Mutex};

use pennyweight_core::Mode;
use pennyweight_core::spec::SheetError;
use tokio::sync::watch;

use super::record::Record;
use super::state::State;
use super::wish::Wish;
use crate::sheet::HouseSheet;
use evening::Evening;

/// Wishes that may wait for the bench; what comes beyond is refused.
pub const WAITING_MAX: usize = 64;

/// What reaches the bench.
#[derive(Debug)]
pub enum Message {
    /// Somebody wishes for something.
    Wish(Wish),
    /// Work from this sheet from now on; the bench is cleared.
    Sheet(Box<HouseSheet>),
}

/// What a bench is begun with.
#[derive(Clone, Copy, Debug)]
pub struct BenchPlan {
    /// Everything random follows from it.
    pub seed: u64,
    /// Nominal conversions per second.
    pub sps: f64,
    /// The way of working.
    pub mode: Mode,
}

/// Where the bench tells what is to be seen.
#[derive(Debug)]
pub struct Board {
    /// The latest state; whoever reads it never makes the bench wait.
    pub state: watch::Sender<State>,
    /// The record, for the CSV.
    pub record: Arc<Mutex<Record>>,
}

/// Keeps a bench until nobody can wish for anything any more.
///
/// # Errors
/// A sheet that cannot be read.
pub fn keep(
    first: HouseSheet,
    plan: BenchPlan,
    wishes: &Receiver<Message>,
    board: &Board,
) -> Result<(), SheetError> {
    let mut house = first;
    let mut mode = plan.mode;
    for turn in 0_u64.. {
        let plan = BenchPlan {
            seed: plan.seed.wrapping_add(turn),
            mode,
            ..plan
        };
        let mut evening = Evening::new(&house, plan, board)?;
        let next = evening.run(wishes);
        mode = evening.mode();
        match next {
            Some(sheet) => house = sheet,
            None => break,
        }
    }
    Ok(())
}
