//! The image with its journal: from a sheet to records, by the program a person runs.

use std::io::{BufRead, BufReader};
use std::net::{TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use pennyweight_core::Instant;
use pennyweight_core::input::{Command as StationCommand, Input};
use pennyweight_core::link::{Reply, Request};
use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::AdcCode;

use super::build::{self, Cpu};
use super::desk::{opened, sealed};
use super::emulator::Emulator;
use super::figures::STACK;
use crate::link::device::{Scale, blank};
use crate::link::end_to_end::{give, link_at, play};

/// A running board whose link is a TCP port.
struct Board(Child);

impl Drop for Board {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to end.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn emulator(link: &str) -> Command {
    let mut emulator = Command::new("qemu-system-arm");
    emulator
        .args(["-machine", "mps2-an386", "-icount", "shift=0"])
        .args(["-display", "none", "-monitor", "none", "-nic", "none"])
        .args(["-chardev", link, "-serial", "chardev:link"])
        .args(["-serial", "null", "-kernel"])
        .arg(build::product(Cpu::M4))
        .stdin(Stdio::null());
    emulator
}

fn power_up(port: u16) -> Board {
    let link = format!("socket,id=link,host=127.0.0.1,port={port},server=on,wait=off,nodelay=on");
    let child = emulator(&link).spawn();
    Board(child.expect("qemu-system-arm starts (tests/run installs it)"))
}

/// A serial line as a person has it: the terminal whose name the emulator prints.
#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_board_on_a_pseudo_terminal_answers() {
    let (says, out) = std::io::pipe().expect("a pipe");
    let child = emulator("pty,id=link")
        .stdout(out.try_clone().expect("the same pipe"))
        .stderr(out)
        .spawn();
    let _board = Board(child.expect("qemu-system-arm starts"));
    let terminal = BufReader::new(says).lines().find_map(|line| {
        let line = line.expect("text");
        let begins = line.find("/dev/")?;
        Some(line[begins..].split(' ').next()?.to_owned())
    });
    let terminal = terminal.expect("it names the terminal");
    let hello = link_at(&terminal, &["hello"]);
    assert!(hello.contains("version 2; it stores sheets"), "{hello}");
    let set = link_at(&terminal, &["settings", "--mode", "prep", "--hand", "2"]);
    assert!(set.contains("mode         prep"), "{set}");
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_round_from_sheet_to_records_on_the_board() {
    let free = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = free.local_addr().expect("bound").port();
    drop(free);
    let _board = power_up(port);
    for _ in 0..100 {
        if TcpStream::connect(("127.0.0.1", port)).is_ok() {
            break;
        }
        thread::sleep(Duration::from_millis(100));
    }
    play(port);
    let mut stream = TcpStream::connect(("127.0.0.1", port)).expect("it listens");
    let answer = give(&mut stream, &Request::Stats);
    let peak = opened(&answer, |reply| match reply {
        Reply::Stats(stats) => stats.stack_peak,
        _ => u32::MAX,
    })
    .expect("a reply");
    println!("stack high-water with the journal: {peak} bytes");
    assert!(f64::from(peak) <= STACK, "{peak}");
}

/// A board and a scale on the desk, each with its flash, that get the same requests.
struct Pair {
    board: Emulator,
    desk: Scale,
    now_us: u64,
}

impl Pair {
    /// Both reply the same bytes; the reply's frame.
    fn send(&mut self, request: &Request<'_>) -> Vec<u8> {
        let frame = sealed(request);
        let board = self.board.ask(&frame).expect("a reply");
        let desk = self.desk.take(&frame);
        self.desk.rest();
        assert_eq!(board, desk, "{request:?}");
        board
    }

    fn give(&mut self, input: Input) {
        self.now_us += 12_500;
        let at = Instant::from_micros(self.now_us);
        self.send(&Request::Handle { at, input });
    }

    /// The pan carries from one mass to another for some samples; a little noise, so that no code
    /// is stuck.
    fn pan(&mut self, (from, to): (f64, f64), samples: u32) {
        for sample in 0..samples {
            let grams = from + (to - from) * f64::from(sample) / f64::from(samples);
            let noise = f64::from(sample * 7 % 5) * 4.0;
            self.give(Input::Code(AdcCode((grams * 1000.0 + noise) as i32)));
        }
    }

    /// What is under way: numbers, and drinks of the sheet.
    fn under_way(&mut self) -> Vec<(u16, DrinkId)> {
        let reply = self.send(&Request::Round);
        let round = opened(&reply, |reply| match reply {
            Reply::Round(round) => round.under_way.to_vec(),
            other => panic!("{other:?}"),
        });
        round.expect("a reply")
    }
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_power_cut_in_the_middle_of_a_round_is_restored_on_the_board_as_on_the_desk() {
    const VESSEL: f64 = 420.0;
    // 50 ml of rye whiskey at 46.45 g.
    const POURED: f64 = VESSEL + 46.4;
    let mut pair = Pair {
        board: Emulator::start(Cpu::M4, "cut.log"),
        desk: Scale::power_up(blank()),
        now_us: 0,
    };
    pair.pan((0.0, 0.0), 120);
    for drink in [0, 1] {
        pair.give(Input::Command(StationCommand::Order(DrinkId(drink))));
    }
    pair.pan((VESSEL, VESSEL), 160);
    pair.pan((VESSEL, POURED), 464);
    pair.pan((POURED, POURED), 240);
    let before = pair.under_way();
    assert_eq!(before.len(), 1);

    pair.board.cut_power();
    let Pair { board, desk, .. } = pair;
    let mut pair = Pair {
        board,
        desk: Scale::power_up(desk.power_down()),
        now_us: 0,
    };
    assert_eq!(pair.under_way(), before, "it is restored");
    // What was on the pan is there again: the second step is open, and is poured.
    pair.pan((POURED, POURED), 160);
    pair.pan((POURED, POURED + 22.0), 220);
    pair.pan((POURED + 22.0, POURED + 22.0), 240);
    pair.send(&Request::Paint);
    for strip in 0..8 {
        pair.send(&Request::Strip(strip));
    }
    pair.send(&Request::Records { since: 0 });
    assert_eq!(pair.under_way(), before, "the same drink, under its number");
}
