//! Memory of server and page while a simulated hand works.

use std::time::{Duration, Instant};

use serde_json::json;

use super::page::DeskPage;
use crate::desk::served::Served;

/// How long it is watched, seconds, unless `DESK_WATCH_S` says otherwise, as `tests/run long` does: a
/// leak of a twentieth in a minute would fill a day's memory.
const WATCHED_S: u64 = 90;

/// What is begun with is not counted: the first drinks fill lists that then stay full.
const WARM_UP_SHARE: f64 = 0.3;

/// As much as may come, a share.
const FLAT: f64 = 0.05;

/// Compiled code comes and goes by tens of kilobytes: what is watched is what the page keeps.
const UNCOMPILED: &str = "--js-flags=--no-opt --no-maglev --no-sparkplug --no-flush-bytecode";

/// The engine keeps the texts of numbers, in a store that it enlarges once, by 63 KiB, at a moment
/// of its own choosing. It is that large from the beginning here.
const NUMBERS_TOLD: &str = "for (let n = 0; n < 20000; n += 1) { String(n); String(n + 0.25); }";

#[test]
#[ignore = "needs a browser: tests/run"]
fn memory_stays_flat() {
    let seconds = std::env::var("DESK_WATCH_S")
        .ok()
        .and_then(|text| text.parse().ok());
    let whole = Duration::from_secs(seconds.unwrap_or(WATCHED_S));
    let served = Served::start();
    let mut page = DeskPage::open_with("memory", served.port, &[UNCOMPILED]);
    let numbers = json!({ "expression": NUMBERS_TOLD });
    page.browser.call("Runtime.evaluate", &numbers);
    page.use_key("#watch");
    // Nobody reads on while this sleeps: thirty messages a second must not be told.
    page.browser.call("Network.disable", &json!({}));
    let began = Instant::now();
    let mut readings = Vec::new();
    println!(
        "server and page at first: {:.0?} KiB",
        reading(&mut page, &served)
    );
    while began.elapsed() < whole {
        std::thread::sleep((whole / 20).min(Duration::from_secs(15)));
        let now = reading(&mut page, &served);
        println!("after {:4} s: {now:.0?} KiB", began.elapsed().as_secs());
        if began.elapsed() > whole.mul_f64(WARM_UP_SHARE) {
            readings.push(now);
        }
    }
    // The least of the first readings against that of the last: a collector may leave something
    // standing, but what is kept is in every reading.
    let part = (readings.len() / 4).max(1);
    let (first, last) = (&readings[..part], &readings[readings.len() - part..]);
    for (what, of) in [("server", 0), ("page", 1)] {
        let (before, after) = (least(first, of), least(last, of));
        println!("{what}: {before:.0} KiB, then {after:.0} KiB");
        assert!(after <= before * (1.0 + FLAT), "{what}:");
    }
    assert_eq!(page.browser.complaints, Vec::<String>::new());
}

/// What server and page hold, KiB.
fn reading(page: &mut DeskPage, served: &Served) -> [f64; 2] {
    page.browser.call("HeapProfiler.collectGarbage", &json!({}));
    let heap = page.browser.call("Runtime.getHeapUsage", &json!({}));
    let page = heap["usedSize"].as_f64().unwrap() / 1024.0;
    let status = std::fs::read_to_string(format!("/proc/{}/status", served.process()));
    let server = status
        .unwrap_or_default()
        .lines()
        .find_map(|line| {
            line.strip_prefix("VmRSS:")?
                .trim()
                .split(' ')
                .next()?
                .parse()
                .ok()
        })
        // Without that file only the page is watched.
        .unwrap_or(0.0);
    [server, page]
}

fn least(readings: &[[f64; 2]], of: usize) -> f64 {
    let values = readings.iter().map(|reading| reading[of]);
    values.fold(f64::INFINITY, f64::min)
}
