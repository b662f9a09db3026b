//! One pass of the loop, and what it remembers from one to the next.

use embedded_storage::nor_flash::NorFlash;
use pennyweight_core::input::Input;
use pennyweight_core::keep::{Keeper, Shelf};
use pennyweight_core::link::{Clock, Device, Logged, Note, Server};
use pennyweight_core::output::Fault;
use pennyweight_core::panel;
use pennyweight_core::spec::Sheet;
use pennyweight_core::view::{Next, Page, Sound};
use pennyweight_core::{Instant, Station, View};

use crate::board::{Board, Happening};
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
    /// There is no flash to store anything in.
    NoStore,
}

/// What the loop remembers.
pub struct Bench<F> {
    sheet: &'static [u8],
    pub(crate) server: Server<'static>,
    keeper: Option<Keeper<'static, F>>,
    screen: Screen,
    sound: Sound,
    sound_since: Instant,
    rhythm: Rhythm,
    restarted_at: Instant,
    code: i32,
    logged_at: Instant,
    lost: u32,
    no_store_until: Instant,
    trouble: Option<Trouble>,
    fed_at: Instant,
}

/// Runs the station on the board for ever.
pub fn run<B: Board>(
    mut board: B,
    station: &'static mut Station<'static>,
    bench: &'static mut Bench<B::Flash>,
) -> ! {
    bench.begin(&mut board, station);
    loop {
        let until = bench.pass(&mut board, station);
        board.rest(until);
    }
}

/// The board as the link sees it.
struct Measured<'b, B> {
    board: &'b mut B,
    touched: bool,
}

impl<B: Board> Device for Measured<'_, B> {
    fn ticks(&self) -> u32 {
        self.board.ticks()
    }

    fn ticks_per_second(&self) -> u32 {
        B::TICKS_PER_SECOND
    }

    fn stack_peak(&self) -> u32 {
        self.board.stack_peak()
    }

    fn note(&mut self, note: Note) {
        self.board.note(match note {
            Note::Reset => Happening::Reset,
            Note::Refused(why) => Happening::Refused(why),
            Note::Fault(fault) => Happening::Fault(fault),
        });
    }

    fn touched(&mut self) {
        self.touched = true;
    }
}

impl<F: NorFlash> Bench<F> {
    /// A bench that works from this packed sheet until one was pushed.
    #[must_use]
    pub const fn new(sheet: &'static [u8]) -> Self {
        Self {
            sheet,
            server: Server::new(Clock::Own),
            keeper: None,
            screen: Screen::new(),
            sound: Sound::Silent,
            sound_since: Instant::ZERO,
            rhythm: Rhythm::new(),
            restarted_at: Instant::ZERO,
            code: 0,
            logged_at: Instant::ZERO,
            lost: 0,
            no_store_until: Instant::ZERO,
            trouble: None,
            fed_at: Instant::ZERO,
        }
    }

    /// What comes once, before the first pass: what outlived the last power cut, and the sheet.
    pub fn begin<B: Board<Flash = F>>(&mut self, board: &mut B, station: &mut Station<'static>) {
        self.server.carry(self.sheet);
        self.keeper = board.keeper();
        let now = board.now();
        match &mut self.keeper {
            Some(keeper) => {
                self.server.log(now, Logged::PowerUp(keeper.condition()));
                keeper.power_up(station, Some(self.sheet));
            }
            None => {
                self.no_store_until = later(now, TOLD_US);
                if let Ok(sheet) = Sheet::new(self.sheet) {
                    station.load(sheet);
                }
            }
        }
        self.restarted_at = now;
        board.note(Happening::Began {
            stored: self.keeper.is_some(),
        });
    }

    /// One pass. The instant until which nothing is to be done, unless something comes.
    pub fn pass<B: Board<Flash = F>>(
        &mut self,
        board: &mut B,
        station: &mut Station<'static>,
    ) -> Instant {
        // Read before the queue is: all that is stamped earlier is in it by now.
        let now = board.now();
        let drained = self.weigh(board, station);
        self.tick(now, board, station);
        self.watch_converter(now, board);
        self.serve(board, station);
        let view = self.look(now, board, station);
        let deadline = station.deadline();
        let picture = self.server.picture();
        let painted = self
            .screen
            .show(&view, deadline, &self.rhythm, picture, board);
        if let Some(ticks) = painted {
            self.server.stats().paint.add(ticks);
        }
        // Erases a sector where one is due. It may stop the loop for longer than conversions wait in
        // their queue, so it is done only while nothing is poured.
        if drained && let Some(keeper) = &mut self.keeper {
            keeper.rest(station);
        }
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
    fn weigh<B: Board<Flash = F>>(
        &mut self,
        board: &mut B,
        station: &mut Station<'static>,
    ) -> bool {
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
            self.handle(conversion.at, Input::Code(conversion.code), board, station);
        }
        false
    }

    #[inline(never)]
    fn tick<B: Board<Flash = F>>(
        &mut self,
        now: Instant,
        board: &mut B,
        station: &mut Station<'static>,
    ) {
        // A conversion that came after `now` was read may have been worked on already.
        let behind = self.rhythm.last().is_some_and(|last| last > now);
        if !behind && station.deadline().is_some_and(|due| due <= now) {
            self.handle(now, Input::Tick, board, station);
        }
        if since(now, self.logged_at) >= LOGGED_US {
            self.logged_at = now;
            board.note(Happening::Code(self.code));
        }
    }

    #[inline(never)]
    fn handle<B: Board<Flash = F>>(
        &mut self,
        at: Instant,
        input: Input,
        board: &mut B,
        station: &mut Station<'static>,
    ) {
        let begun = board.ticks();
        // Cues are in the view.
        let mut outputs = station.handle(at, input);
        let took = board.ticks().wrapping_sub(begun);
        let turned = outputs.step.is_some() || outputs.poured.is_some() || outputs.done.is_some();
        let stats = self.server.stats();
        if turned {
            stats.turn.add(took);
        } else {
            stats.sample.add(took);
        }
        let shelf = self.keeper.as_mut();
        let shelf = shelf.map(|keeper| keeper as &mut dyn Shelf<'static>);
        self.server.follow(&input, &mut outputs, station, shelf);
        if let Some(fault) = outputs.fault {
            board.note(Happening::Fault(fault));
        }
        if outputs.cleared {
            board.note(Happening::Cleared);
        }
        while let Some(live) = self.server.live() {
            board.send(live);
        }
    }

    /// A converter that fell silent, or never spoke, begins anew again and again.
    fn watch_converter<B: Board<Flash = F>>(&mut self, now: Instant, board: &mut B) {
        let heard = self.rhythm.last().unwrap_or_default();
        if since(now, heard.max(self.restarted_at)) >= SILENT_US {
            board.restart_converter();
            self.restarted_at = now;
            board.note(Happening::ConverterRestarted);
        }
    }

    /// Bytes of the link, until a request is whole or none waits.
    #[inline(never)]
    fn serve<B: Board<Flash = F>>(&mut self, board: &mut B, station: &mut Station<'static>) {
        while let Some(byte) = board.receive() {
            let shelf = self.keeper.as_mut();
            let shelf = shelf.map(|keeper| keeper as &mut dyn Shelf<'static>);
            let mut device = Measured {
                board,
                touched: false,
            };
            let reply = self.server.take(byte, station, &mut device, shelf);
            let Measured { board, touched } = device;
            let Some(reply) = reply else { continue };
            board.send(reply);
            while let Some(live) = self.server.live() {
                board.send(live);
            }
            self.screen.spoil(touched);
            if self.keeper.as_ref().is_some_and(Keeper::is_restart_due) {
                board.note(Happening::Restarts);
                board.restart();
            }
            return;
        }
    }

    /// Sounder and light; the view with what the station cannot know of.
    #[inline(never)]
    fn look<B: Board<Flash = F>>(
        &mut self,
        now: Instant,
        board: &mut B,
        station: &mut Station<'static>,
    ) -> View<'static> {
        let begun = board.ticks();
        let mut view = station.view();
        let took = board.ticks().wrapping_sub(begun);
        self.server.stats().view.add(took);
        let trouble = self.trouble(now);
        self.screen.spoil(view.changed || trouble != self.trouble);
        self.trouble = trouble;
        if let Some(trouble) = trouble {
            view.page = match trouble {
                Trouble::NoConverter => Page::Fault(Fault::Silent),
                Trouble::NoStore => Page::Note {
                    text: "nothing is stored",
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
        } else if now < self.no_store_until {
            Some(Trouble::NoStore)
        } else {
            None
        }
    }

    fn rest_until(&mut self, now: Instant, deadline: Option<Instant>) -> Instant {
        let mut until = later(now, REST_US);
        if let Some(due) = deadline {
            until = until.min(due.max(later(now, AGAIN_US)));
        }
        if self.sound != Sound::Silent {
            until = until.min(later(now, NOTE_US));
        }
        if let Some(due) = self.screen.due(self.server.picture()) {
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
