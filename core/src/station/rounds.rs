//! Commands that change a round while it runs.

use crate::input::Command;
use crate::output::Outputs;
use crate::time::Instant;

use super::{Station, Task};

impl Station<'_> {
    /// A round without orders.
    pub(super) fn open_round(&mut self) {
        self.round.clear();
        self.task = Task::Round;
    }

    /// Carries out a command of the round; `false` when it cannot be now.
    #[cold]
    #[inline(never)]
    pub(super) fn change_round(
        &mut self,
        now: Instant,
        command: Command,
        loaded: bool,
        out: &mut Outputs,
    ) -> bool {
        let (Task::Round, Some(sheet)) = (&self.task, self.sheet) else {
            return false;
        };
        let round = &mut self.round;
        let crew = &mut self.crew;
        let done = match command {
            Command::Void(drink) => round.void(drink, crew, out),
            Command::Change(from, to) => round.change(&sheet, from, to),
            Command::Fix => round
                .build_mut()
                .is_some_and(|build| build.mend(now, crew, out)),
            Command::Two => round
                .build_mut()
                .is_some_and(|build| build.make_two(now, crew, out)),
            Command::Again => round
                .build_mut()
                .is_some_and(|build| build.begin_again(now, crew, out)),
            Command::Other => round.other(now, sheet, crew, out),
            Command::Target(_)
            | Command::Order(_)
            | Command::Skip
            | Command::Zero
            | Command::Mode(_)
            | Command::Hand(_)
            | Command::Learn(_)
            | Command::Forget => false,
        };
        round.start(now, self.sheet, loaded, crew, out);
        done
    }
}
