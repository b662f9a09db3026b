//! A blind flight by keyboard: composed with a mistake, put right, built, told.

use std::time::Duration;

use serde_json::json;

use super::folder;
use super::page::DeskPage;
use super::shift::{SHORT, pour_until_stop};
use crate::desk::served::Served;

/// Glasses of it.
const GLASSES: usize = 2;

/// Goes at one glass: where it is short the rest is added, where it is over it is tipped out.
const GOES: usize = 6;

#[test]
#[ignore = "needs a browser: tests/run"]
fn a_flight_by_keyboard() {
    let served = Served::start();
    let mut page = DeskPage::open("flight", served.port);
    let sheet = folder("sheets").join("flight.toml");
    std::fs::write(&sheet, SHORT).unwrap();
    page.choose_file("#file", &sheet);
    page.until(
        "the new shelf",
        "document.querySelectorAll('#bottles button').length === 1",
    );

    // A ladder is offered to begin with; a mistake is shown at its line.
    let offered = page.ask("document.querySelector('#flight-variants').value");
    assert_eq!(offered, json!("24 ml rye\n30 ml rye\n36 ml rye"));
    page.write("#flight-variants", "20 ml rye\n25 ml rie");
    page.use_key("#flight-go");
    page.until(
        "the mistake",
        "document.querySelector('#flight-mistakes pre')?.textContent.includes('25 ml rie')",
    );
    page.ask("document.querySelector('#flight-name').scrollIntoView()");
    page.picture("9-flight-mistake");

    page.write("#flight-variants", "40/50 ml rye");
    page.tab_to("#flight-blind");
    page.press(" ");
    page.use_key("#flight-go");
    page.until(
        "it is ordered",
        "document.querySelectorAll('#ordered li').length === 2",
    );
    for number in 1..=GLASSES {
        build_glass(&mut page, number);
    }

    // What is in which is told when it is asked for, no sooner.
    let rows = "document.querySelector('#flight-rows').textContent";
    page.until("all are built", "!document.querySelector('#reveal').hidden");
    let covered = page.ask(rows);
    assert!(!covered.as_str().unwrap().contains("ml rye"), "{covered}");
    page.use_key("#reveal");
    page.until("it is told", &format!("{rows}.includes('40 ml rye')"));
    page.ask("document.querySelector('#flight-name').scrollIntoView()");
    page.picture("10-flight");
    let told = page.ask(rows);
    assert!(told.as_str().unwrap().contains("50 ml rye"), "{told}");
    let fair = page.ask("document.querySelectorAll('#flight-fair li').length");
    assert_eq!(fair, json!(3));

    page.use_key("#house-again");
    page.until(
        "the house's own sheet",
        "!document.querySelector('#flight-form').hidden",
    );
    assert_eq!(page.browser.complaints, Vec::<String>::new());
    page.expect_loopback_alone(served.port);
}

/// Builds the next glass; so many are built then.
fn build_glass(page: &mut DeskPage, number: usize) {
    let built =
        format!("document.querySelectorAll('#flight-rows tr[data-built]').length === {number}");
    page.use_key("[data-vessel=rocks]");
    page.until(
        "the pour",
        "document.querySelector('#says').textContent.includes('rye')",
    );
    let tip_out = "#pan-tip";
    pour_until_stop(page);
    for _ in 0..GOES {
        // What is added is judged when nothing more can drip.
        std::thread::sleep(Duration::from_secs(6));
        let says = page.ask("document.querySelector('#says').textContent");
        let offered = page.ask(&format!("!document.querySelector('{tip_out}').disabled"));
        if says.as_str().unwrap_or_default().contains("add ") {
            pour_until_stop(page);
        } else if offered == json!(true) {
            page.use_key(tip_out);
            page.until(
                "it is lifted",
                &format!("document.querySelector('{tip_out}').disabled"),
            );
        } else {
            break;
        }
    }
    page.use_key("#lift");
    page.until("the glass is built", &built);
}
