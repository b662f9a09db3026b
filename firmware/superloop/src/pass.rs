//! One pass of the loop, and what it remembers from one to the next.

use pennyweight_core::input::Input;
use pennyweight_core::link::{Effort, Refusal, Reply, Signals, Stats};
use pennyweight_core::output::{Fault, Outputs};
use pennyweight_core::panel;
use pennyweight_core::spec::Sheet;
use pennyweight_core::view::{Next, Page, Sound};
use pennyweight_core::{Instant, Setup, Station, View};

use crate::board::{Board, Happening};
use crate::kept::Kept;
use crate::link::{Link, Wish};
use crate::queue::QUEUED;
use crate::screen::{PICTURE, Screen};
use crate::spare::Rhythm;

/// The page that a fault handler shows before the watchdog resets the board, as strips.
pub static STOPPED: &[u8; PICTURE] = include_bytes!("stopped.page");

/// While something sounds its notes are looked after so often, microseconds.
const NOTE_US: u64 = 5_000;
/// A deadline that stands although it was served is looked at again after this, microseconds.
const AGAIN_US: u64 = 100;
/// The loop never rests for longer, microseconds: well within the watchdog's patience.
const REST_US: u64 = 100_000;
/// A converter that has given nothing for so long begins anew, microseconds: longer than any takes
/// from its reset to its first conversion.
const SILENT_US: u64 = 1_500_000;
/// A trouble that passes is told for so long, microseconds.
const TOLD_US: u64 = 5_000_000;
/// The last code is logged so often, microseconds.
const LOGGED_US: u64 = 1_000_000;

/// What the station cannot know of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Trouble {
    /// No conversion has come since power-up: the station waits for a first one.
    NoConverter,
    /// Settings could not be written to flash.
    NotKept,
}

/// What the loop remembers.
pub struct Bench<'s> {
    setup: Setup,
    sheet: &'s [u8],
    link: Link,
    screen: Screen,
    sound: Sound,
    sound_since: Instant,
    rhythm: Rhythm,
    restarted_at: Instant,
    code: i32,
    logged_at: Instant,
    lost: u32,
    not_kept_until: Instant,
    trouble: Option<Trouble>,
    fed_at: Instant,
    pub(crate) stats: Stats,
}

/// Runs the station on the board for ever.
pub fn run<B: Board>(
    mut board: B,
    station: &'static mut Station<'static>,
    bench: &'static mut Bench<'static>,
) -> ! {
    bench.begin(&mut board, station);
    loop {
        let until = bench.pass(&mut board, station);
        board.rest(until);
    }
}

impl<'s> Bench<'s> {
    /// A bench with these settings until others are found in flash or come over the link, and this
    /// packed sheet.
    #[must_use]
    pub const fn new(setup: Setup, sheet: &'s [u8]) -> Self {
        Self {
            setup,
            sheet,
            link: Link::new(),
            screen: Screen::new(),
            sound: Sound::Silent,
            sound_since: Instant::ZERO,
            rhythm: Rhythm::new(),
            restarted_at: Instant::ZERO,
            code: 0,
            logged_at: Instant::ZERO,
            lost: 0,
            not_kept_until: Instant::ZERO,
            trouble: None,
            fed_at: Instant::ZERO,
            stats: Stats {
                ticks_per_second: 0,
                sample: Effort::NONE,
                turn: Effort::NONE,
                view: Effort::NONE,
                paint: Effort::NONE,
                stack_peak: 0,
                refused: 0,
            },
        }
    }

    /// What comes once, before the first pass: settings from flash, and the sheet.
    pub fn begin<B: Board>(&mut self, board: &mut B, station: &mut Station<'s>) {
        let kept = board.flash().and_then(|flash| Kept(flash).read());
        if let Some(kept) = kept {
            self.setup = kept;
        }
        self.restart(station);
        self.restarted_at = board.now();
        board.note(Happening::Began {
            kept: kept.is_some(),
        });
    }

    /// One pass. The instant until which nothing is to be done, unless something comes.
    pub fn pass<B: Board>(&mut self, board: &mut B, station: &mut Station<'s>) -> Instant {
        // Read before the queue is: all that is stamped earlier is in it by now.
        let now = board.now();
        let drained = self.weigh(board, station);
        self.tick(now, board, station);
        self.watch_converter(now, board);
        self.serve(now, board, station);
        let view = self.look(now, board, station);
        let deadline = station.deadline();
        let paint = &mut self.stats.paint;
        self.screen
            .show(&view, deadline, &self.rhythm, paint, board);
        // Not in an interrupt, and not while resting: a loop that no longer comes here, a clock
        // that stands still and a flood of interrupts all end in a reset.
        if drained && now > self.fed_at {
            self.fed_at = now;
            board.feed();
        }
        self.rest_until(now, deadline)
    }

    /// Every conversion that waits; false where they come faster than they are worked on.
    #[inline(never)]
    fn weigh<B: Board>(&mut self, board: &mut B, station: &mut Station<'s>) -> bool {
        let lost = board.lost();
        if lost != self.lost {
            board.note(Happening::Lost(lost.wrapping_sub(self.lost)));
            self.lost = lost;
        }
        for _ in 0..=QUEUED {
            let Some(conversion) = board.conversion() else {
                return true;
            };
            self.rhythm.beat(conversion.at);
            self.code = conversion.code.0;
            // Cues are in the view.
            let _ = self.handle(conversion.at, Input::Code(conversion.code), board, station);
        }
        false
    }

    #[inline(never)]
    fn tick<B: Board>(&mut self, now: Instant, board: &mut B, station: &mut Station<'s>) {
        // A conversion that came after `now` was read may have been worked on already.
        let behind = self.rhythm.last().is_some_and(|last| last > now);
        if !behind && station.deadline().is_some_and(|due| due <= now) {
            let _ = self.handle(now, Input::Tick, board, station);
        }
        if since(now, self.logged_at) >= LOGGED_US {
            self.logged_at = now;
            board.note(Happening::Code(self.code));
        }
    }

    #[inline(never)]
    fn handle<B: Board>(
        &mut self,
        at: Instant,
        input: Input,
        board: &mut B,
        station: &mut Station<'s>,
    ) -> Outputs {
        let begun = board.ticks();
        let outputs = station.handle(at, input);
        let took = board.ticks().wrapping_sub(begun);
        let turned = outputs.step.is_some() || outputs.poured.is_some() || outputs.done.is_some();
        if turned {
            self.stats.turn.add(took);
        } else {
            self.stats.sample.add(took);
        }
        if let Some(fault) = outputs.fault {
            board.note(Happening::Fault(fault));
        }
        if outputs.cleared {
            board.note(Happening::Cleared);
        }
        outputs
    }

    /// A converter that fell silent, or never spoke, begins anew again and again.
    fn watch_converter<B: Board>(&mut self, now: Instant, board: &mut B) {
        let heard = self.rhythm.last().unwrap_or_default();
        if since(now, heard.max(self.restarted_at)) >= SILENT_US {
            board.restart_converter();
            self.restarted_at = now;
            board.note(Happening::ConverterRestarted);
        }
    }

    /// Bytes of the link, until a request is whole or none waits.
    #[inline(never)]
    fn serve<B: Board>(&mut self, now: Instant, board: &mut B, station: &mut Station<'s>) {
        while let Some(byte) = board.receive() {
            match self.link.take(byte) {
                None => {}
                Some(Ok(wish)) => return self.carry_out(now, wish, board, station),
                Some(Err(why)) => return self.refuse(why, board),
            }
        }
    }

    fn refuse<B: Board>(&mut self, why: Refusal, board: &mut B) {
        self.stats.refused = self.stats.refused.saturating_add(1);
        board.note(Happening::Refused(why));
        board.send(self.link.sealed(&Reply::Refused(why)));
    }

    fn carry_out<B: Board>(
        &mut self,
        now: Instant,
        wish: Wish,
        board: &mut B,
        station: &mut Station<'s>,
    ) {
        match wish {
            Wish::Reset(setup) => {
                self.setup = setup;
                // A converter that is silent now is told of anew.
                self.rhythm = Rhythm::new();
                self.restart(station);
                let kept = board
                    .flash()
                    .is_some_and(|flash| Kept(flash).write(&setup).is_ok());
                if !kept {
                    self.not_kept_until = later(now, TOLD_US);
                }
                board.note(Happening::Reset { kept });
                board.send(self.link.sealed(&Reply::Ready));
            }
            Wish::Load => match self.load(station) {
                Ok(()) => board.send(self.link.sealed(&Reply::Ready)),
                Err(why) => self.refuse(why, board),
            },
            Wish::Command(command) => {
                let at = self.rhythm.last().map_or(now, |last| last.max(now));
                let outputs = self.handle(at, Input::Command(command), board, station);
                let deadline = station.deadline();
                let view = station.view();
                // The view is looked at again in this pass, which no longer finds it changed.
                self.screen.spoil(view.changed);
                let signals = Signals {
                    changed: view.changed,
                    light: view.light,
                    sound: view.sound,
                    ramp: view.ramp,
                };
                board.send(self.link.sealed(&Reply::Handled {
                    outputs,
                    deadline,
                    signals,
                }));
            }
            Wish::Paint => board.send(self.link.sealed(&Reply::Ready)),
            Wish::Strip(index) => match self.screen.strip(index) {
                Some(rows) => board.send(self.link.sealed(&Reply::Strip { index, rows })),
                None => self.refuse(Refusal::Strip, board),
            },
            Wish::Stats => {
                let stats = Stats {
                    ticks_per_second: B::TICKS_PER_SECOND,
                    stack_peak: board.stack_peak(),
                    ..self.stats
                };
                board.send(self.link.sealed(&Reply::Stats(stats)));
            }
        }
    }

    /// Begins anew with the settings as they are.
    fn restart(&mut self, station: &mut Station<'s>) {
        station.restart(self.setup);
        // A sheet that cannot be read is told when it is asked for over the link.
        let _ = self.load(station);
        self.screen.spoil(true);
    }

    fn load(&self, station: &mut Station<'s>) -> Result<(), Refusal> {
        station.load(Sheet::new(self.sheet).map_err(|_| Refusal::Sheet)?);
        Ok(())
    }

    /// Sounder and light; the view with what the station cannot know of.
    #[inline(never)]
    fn look<B: Board>(
        &mut self,
        now: Instant,
        board: &mut B,
        station: &mut Station<'s>,
    ) -> View<'s> {
        let begun = board.ticks();
        let mut view = station.view();
        self.stats.view.add(board.ticks().wrapping_sub(begun));
        let trouble = self.trouble(now);
        self.screen.spoil(view.changed || trouble != self.trouble);
        self.trouble = trouble;
        if let Some(trouble) = trouble {
            view.page = match trouble {
                Trouble::NoConverter => Page::Fault(Fault::Silent),
                Trouble::NotKept => Page::Note {
                    text: "settings not kept",
                    next: Next::Nothing,
                },
            };
            view.light = panel::light(&view.page);
        }
        if view.sound != self.sound {
            // A ramp changes its pitch and goes on.
            self.sound = view.sound;
            self.sound_since = now;
        }
        // In 32 bits: dividing 64 takes 0.9 KB of flash.
        let us = u32::try_from(since(now, self.sound_since)).unwrap_or(u32::MAX);
        let hertz = panel::pitch(self.sound, us / 1_000);
        board.sound(hertz);
        board.dim(view.dim && trouble.is_none());
        board.light(view.light);
        view
    }

    fn trouble(&self, now: Instant) -> Option<Trouble> {
        if self.rhythm.last().is_none() && since(now, Instant::ZERO) >= SILENT_US {
            Some(Trouble::NoConverter)
        } else if now < self.not_kept_until {
            Some(Trouble::NotKept)
        } else {
            None
        }
    }

    fn rest_until(&self, now: Instant, deadline: Option<Instant>) -> Instant {
        let mut until = later(now, REST_US);
        if let Some(due) = deadline {
            until = until.min(due.max(later(now, AGAIN_US)));
        }
        if self.sound != Sound::Silent {
            until = until.min(later(now, NOTE_US));
        }
        if let Some(due) = self.screen.due() {
            until = until.min(due.max(later(now, 1_000)));
        }
        until
    }
}

fn since(now: Instant, then: Instant) -> u64 {
    now.micros().saturating_sub(then.micros())
}

pub(crate) const fn later(now: Instant, us: u64) -> Instant {
    Instant::from_micros(now.micros().saturating_add(us))
}
