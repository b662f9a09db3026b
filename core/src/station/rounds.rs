//! Commands that change a round while it runs.

use crate::build::Turn;
use crate::input::{Command, CommandError};
use crate::output::Outputs;
use crate::spec::Sheet;
use crate::time::Instant;

use super::{Station, Task};

impl<'s> Station<'s> {
    /// Works from this sheet from now on; the round before is dropped.
    pub fn load(&mut self, sheet: Sheet<'s>) {
        self.sheet = Some(sheet);
        self.open_round();
    }

    /// A round without orders.
    pub(super) fn open_round(&mut self) {
        self.round.clear();
        self.task = Task::Round;
    }

    /// Carries out a command of the round; one that is none of its does nothing.
    pub(super) fn change_round(
        &mut self,
        now: Instant,
        command: Command,
        loaded: bool,
        out: &mut Outputs,
    ) -> Result<(), CommandError> {
        let sheet = self.sheet.as_ref().ok_or(CommandError::NoSheet)?;
        if !matches!(self.task, Task::Round) {
            return Err(CommandError::NoRound);
        }
        // How a drink of before a power cut goes on is not known yet: it may only be voided.
        let waits = matches!(
            command,
            Command::Order(_) | Command::Void(_) | Command::Change(..)
        );
        if self.resume.is_some() && !waits {
            return Err(CommandError::NotRestored);
        }
        let round = &mut self.round;
        let turn = &mut Turn {
            now,
            crew: &mut self.crew,
            out,
        };
        let done = match command {
            Command::Order(drink) => round.order(sheet, drink),
            Command::Void(drink) => round.void(sheet, drink, turn),
            Command::Change(from, to) => round.change(sheet, from, to),
            Command::Other => round.other(sheet, turn),
            Command::Skip | Command::Fix | Command::Two | Command::Again => {
                match (round.build_mut(), command) {
                    (Some(build), Command::Fix) => build.mend(turn),
                    (Some(build), Command::Two) => build.make_two(turn),
                    (Some(build), Command::Again) => build.begin_again(turn),
                    (Some(build), _) => {
                        build.skip(turn);
                        Ok(())
                    }
                    (None, _) => Err(CommandError::NothingOpen),
                }
            }
            Command::Target(_)
            | Command::Zero
            | Command::Mode(_)
            | Command::Hand(_)
            | Command::Learn(_)
            | Command::Forget
            | Command::Serve(_) => Ok(()),
        };
        if !matches!(command, Command::Skip) {
            round.forget_plan();
            round.start(self.sheet.as_ref(), loaded, turn);
        }
        done
    }
}
