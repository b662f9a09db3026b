//! The loop by its own clock in the emulator: interrupts, the queue, the watchdog. A smoke test:
//! what is due when is measured on the desk (`firmware/superloop`).
//!
//! The board holds its loop up once, which fills the queue, and hangs at last, which is for the
//! watchdog; then everything begins again. It says so in its log.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};
use std::{fs, thread};

use super::build::image;
use super::figures::STACK;
use super::log::lines;

/// Longer than two power-ups take, even on a busy machine.
const PATIENCE: Duration = Duration::from_secs(240);

/// Conversions that can wait, and that come while the loop is held up: 1.5 s at 80 a second.
const QUEUED: u64 = 63;
const CAME: u64 = 120;

fn timed(features: &str, name: &str) -> PathBuf {
    image("mps2-timed", features, "pennyweight-own-clock", name)
        .unwrap_or_else(|why| panic!("the image does not build:\n{why}"))
}

/// The log of a board until it has begun twice.
///
/// 62.5 instructions a microsecond, which is about what the real part does. A rest takes its time here: skipped, the emulator
/// loses interrupts of its timers.
fn until_it_begins_again(image: &Path) -> Vec<String> {
    let log = image.with_extension("log");
    fs::write(&log, []).expect("a file beside the image");
    let mut child = Command::new("qemu-system-arm")
        .args(["-machine", "mps2-an386", "-icount", "shift=4"])
        .args(["-display", "none", "-monitor", "none", "-nic", "none"])
        .args(["-serial", "null", "-serial"])
        .arg(format!("file:{}", log.display()))
        .arg("-kernel")
        .arg(image)
        .stdin(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("qemu-system-arm starts (tests/run installs it)");
    let begun = Instant::now();
    let told = loop {
        thread::sleep(Duration::from_millis(200));
        let told = lines(image, &log);
        let begins = told.iter().filter(|line| line.contains("Began")).count();
        if begins >= 2 || begun.elapsed() > PATIENCE {
            break told;
        }
    };
    // It may have ended by itself; then there is nothing to end.
    let _ = child.kill();
    let _ = child.wait();
    told
}

/// The log of the board whose loop hangs.
fn hanging() -> &'static Vec<String> {
    static LOG: OnceLock<Vec<String>> = OnceLock::new();
    LOG.get_or_init(|| until_it_begins_again(&timed("", "timed.elf")))
}

/// The number after this word in the line that sums up.
fn told(word: &str) -> u64 {
    let log = hanging();
    let line = log.iter().find(|line| line.contains("the loop hangs"));
    let line = line.unwrap_or_else(|| panic!("it never came to that: {log:#?}"));
    let after = line.split(word).nth(1).expect(word).trim_start();
    let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().expect(word)
}

/// The deepest stack of the loop, bytes.
pub fn stack() -> f64 {
    told("stack") as f64
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn interrupts_fill_the_queue_and_what_does_not_fit_is_counted() {
    let (made, taken, lost) = (told("made"), told("taken"), told("lost"));
    // One may have come while it was summed up.
    assert!(
        made - taken - lost <= 1,
        "{made} made, {taken} taken, {lost} lost"
    );
    // One may have been taken just before, or come just after.
    assert!(lost.abs_diff(CAME - QUEUED) <= 2, "{lost} lost");
    // 80 a second for eleven.
    assert!(made.abs_diff(880) < 15, "{made} made");
    assert!(told("strips") > 20);
    let log = hanging();
    assert!(stack() <= STACK, "{} bytes of stack", stack());
    let noted = format!("Lost({lost})");
    assert!(log.iter().any(|line| line.contains(&noted)), "{log:#?}");
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_loop_that_hangs_is_reset_by_the_watchdog() {
    let log = hanging();
    let hung = log.iter().position(|line| line.contains("the loop hangs"));
    let begun = log.iter().rposition(|line| line.contains("Began"));
    assert!(hung.is_some() && hung < begun, "{log:#?}");
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_panic_and_a_fault_are_told_and_end_in_a_reset() {
    for (planted, name, line) in [
        ("planted-panic", "timed-panic.elf", "panic"),
        ("planted-fault", "timed-fault.elf", "hard fault"),
    ] {
        let log = until_it_begins_again(&timed(planted, name));
        let told = log.iter().position(|told| told.starts_with(line));
        let begun = log.iter().rposition(|told| told.contains("Began"));
        assert!(told.is_some() && told < begun, "{planted}: {log:#?}");
    }
}
