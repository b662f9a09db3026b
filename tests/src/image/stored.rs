//! The image with its journal: from a sheet to records, by the program a person runs.

use std::io::{BufRead, BufReader};
use std::net::{TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use pennyweight_core::link::{Reply, Request};

use super::build::{self, Cpu};
use super::desk::opened;
use super::figures::STACK;
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
