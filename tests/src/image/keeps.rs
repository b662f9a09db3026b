//! The image with its journal: from a sheet to records, by the program a person runs.

use std::net::{TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use pennyweight_core::link::{Reply, Request};

use super::build;
use super::desk::opened;
use crate::link::end_to_end::{give, play};

/// The deepest stack, bytes.
const STACK: u32 = 6 * 1024;

/// A running board whose link is a TCP port.
struct Board(Child);

impl Drop for Board {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to end.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn power_up(port: u16) -> Board {
    let link = format!("socket,id=link,host=127.0.0.1,port={port},server=on,wait=off,nodelay=on");
    let child = Command::new("qemu-system-arm")
        .args(["-machine", "mps2-an386", "-icount", "shift=0"])
        .args(["-display", "none", "-monitor", "none", "-nic", "none"])
        .args(["-chardev", &link, "-serial", "chardev:link"])
        .args(["-serial", "null", "-kernel"])
        .arg(build::keeping())
        .stdin(Stdio::null())
        .spawn()
        .expect("qemu-system-arm starts (tests/run installs it)");
    Board(child)
}

#[test]
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
    assert!(peak <= STACK, "{peak}");
}
