//! A shift at the page, by keyboard alone: a pour, one too many, a drink finished, a sheet with
//! mistakes, the server gone and back.

use std::time::Duration;

use serde_json::json;

use super::folder;
use super::page::DeskPage;
use crate::desk::served::Served;

/// A sheet with one short drink.
pub(super) const SHORT: &str = "[house]\nname = \"Test\"\n[liquid.rye]\nname = \"rye whiskey\"\nabv = 50\n\
    [[drink]]\nname = \"Short One\"\nvessel = \"rocks\"\nbuild = [\"30 ml rye\"]\n";

/// Holds the bottle until the cue, then lets it go.
pub(super) fn pour_until_stop(page: &mut DeskPage) {
    page.tab_to("#pad");
    page.hold(" ");
    page.until(
        "liquid runs",
        "document.querySelector('#pad').dataset.held === 'true'",
    );
    page.until(
        "the scale says stop",
        "document.querySelector('#lamp').dataset.light === 'stop'",
    );
    page.let_go(" ");
}

fn stage(page: &mut DeskPage) -> String {
    let stage = page.ask("document.querySelector('#minute').dataset.stage");
    stage.as_str().unwrap_or_default().to_owned()
}

/// Pours until the first minute has a verdict that is not short.
fn pour_to_a_verdict(page: &mut DeskPage) {
    for _ in 0..5 {
        pour_until_stop(page);
        let judged =
            "/^(judged|fixing|pour)$/.test(document.querySelector('#minute').dataset.stage)";
        page.until("a verdict", judged);
        if stage(page) != "pour" {
            return;
        }
    }
    panic!("five goes and still short");
}

#[test]
#[ignore = "needs a browser: tests/run"]
fn a_shift_by_keyboard() {
    let mut served = Served::start();
    let mut page = DeskPage::open("shift", served.port);
    page.picture("1-first-minute");

    // The first minute: a pour.
    page.use_key("#begin");
    page.until(
        "it asks for the vessel",
        "document.querySelector('#minute').dataset.stage === 'vessel'",
    );
    page.use_key("#minute-does button");
    page.until(
        "it asks for the pour",
        "document.querySelector('#minute').dataset.stage === 'pour'",
    );
    page.tab_to("#pad");
    page.hold(" ");
    page.until(
        "ease",
        "document.querySelector('#lamp').dataset.light === 'ease'",
    );
    page.press("ArrowUp");
    page.picture("2-ease");
    page.until(
        "stop",
        "document.querySelector('#lamp').dataset.light === 'stop'",
    );
    page.let_go(" ");
    pour_on_where_short(&mut page);

    // One too many.
    if stage(&mut page) == "judged" {
        page.use_key("#too-much");
        page.until(
            "a fresh glass",
            "document.querySelector('#minute').dataset.stage === 'vessel-2'",
        );
        page.use_key("#minute-does button");
        page.until(
            "to pour",
            "document.querySelector('#minute').dataset.stage === 'pour-2'",
        );
        page.tab_to("#pad");
        page.hold(" ");
        page.until(
            "stop",
            "document.querySelector('#lamp').dataset.light === 'stop'",
        );
        std::thread::sleep(Duration::from_millis(1500));
        page.let_go(" ");
        page.until(
            "over",
            "document.querySelector('#minute').dataset.stage === 'fixing'",
        );
    }
    let says = page.ask("document.querySelector('#minute-says').textContent");
    assert!(says.as_str().unwrap().contains("tip out"), "{says}");
    page.picture("3-over");
    // The one of the README: as far down as the strip.
    page.look(1280, 1270, "light");
    page.picture("desk");
    page.look(1280, 860, "light");

    // What can be done about it is done.
    page.use_key("#tip-out");
    page.until(
        "less is in it, and it is weighed again",
        "!/over|placed/.test(document.querySelector('#panel').getAttribute('aria-label')) && \
         document.querySelector('#minute').dataset.stage === 'end'",
    );

    // A sheet with mistakes leaves the one before in place; each is shown where it is.
    let bad =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("data/sheet/many_mistakes.toml");
    page.choose_file("#file", &bad);
    page.until(
        "mistakes",
        "document.querySelectorAll('#mistakes li pre').length > 3",
    );
    page.ask("document.querySelector('#sheet-name').scrollIntoView()");
    page.picture("4-mistakes");
    let bottles = page.ask("document.querySelectorAll('#bottles button').length");
    assert!(bottles.as_u64().unwrap() > 5);

    // A good one is taken, and its drink is finished.
    let good = folder("sheets").join("short.toml");
    std::fs::write(&good, SHORT).unwrap();
    page.choose_file("#file", &good);
    page.until(
        "the new shelf",
        "document.querySelectorAll('#bottles button').length === 1",
    );
    page.use_key("#drinks button");
    page.use_key("#send-round");
    page.until(
        "the order",
        "document.querySelector('#round-now').textContent.includes('Short One')",
    );
    page.use_key("[data-vessel=rocks]");
    page.until(
        "the pour",
        "document.querySelector('#says').textContent.includes('rye')",
    );
    pour_until_stop(&mut page);
    let done = "document.querySelector('#rows tr.drink')";
    for _ in 0..4 {
        // Short by more than anybody would leave: the scale asks for the rest.
        std::thread::sleep(Duration::from_secs(6));
        if page.ask("document.querySelector('#says').textContent.includes('add ')") != json!(true) {
            break;
        }
        pour_until_stop(&mut page);
    }
    page.until("the drink is done", done);
    page.whole_picture("5-done");
    assert_eq!(page.browser.complaints, Vec::<String>::new());

    // The server goes, and comes back.
    let port = served.port;
    drop(served);
    page.until(
        "the loss is told",
        "!document.querySelector('#gone').hidden",
    );
    page.picture("6-gone");
    served = Served::start_on(port);
    page.until(
        "it is found again",
        "document.querySelector('#gone').hidden",
    );
    page.until(
        "the demo is back",
        "document.querySelectorAll('#bottles button').length > 5",
    );
    // Only the line that was gone may have been missed.
    for complaint in &page.browser.complaints {
        let of_the_line = complaint.contains("/socket") && complaint.contains("ERR_CONNECTION_");
        assert!(of_the_line, "{complaint}");
    }

    // Narrow and dark: nothing reaches over the edge.
    page.look(360, 740, "dark");
    page.until("dark", "document.documentElement.dataset.theme === 'dark'");
    let beyond = page.ask(
        "[...document.querySelectorAll('main *, header *')].filter((it) => !it.closest('.scroll, \
         pre, .unseen') && it.getBoundingClientRect().right > 361).map((it) => it.outerHTML)",
    );
    assert_eq!(beyond, json!([]), "beyond a screen of 360 pixels");
    let wide = page.ask("document.documentElement.scrollWidth");
    assert!(wide.as_u64().unwrap() <= 360, "{wide} pixels");
    page.whole_picture("7-narrow-dark");
    page.look(1280, 860, "dark");
    page.picture("8-dark");

    page.expect_loopback_alone(port);
    drop(served);
}

/// Where too little came, the rest is poured to its verdict.
fn pour_on_where_short(page: &mut DeskPage) {
    let told = "/^(judged|fixing|pour)$/.test(document.querySelector('#minute').dataset.stage)";
    page.until("a verdict", told);
    if stage(page) == "pour" {
        pour_to_a_verdict(page);
    }
}

/// Names, roles and states that a screen reader needs.
#[test]
#[ignore = "needs a browser: tests/run"]
fn everything_has_a_name() {
    let served = Served::start();
    let mut page = DeskPage::open("names", served.port);
    let nameless = page.ask(
        "[...document.querySelectorAll('button, a, input, canvas, section')].filter((it) => \
         !it.textContent.trim() && !it.getAttribute('aria-label') && \
         !it.getAttribute('aria-labelledby') && !(it.labels && it.labels.length)).map((it) => \
         it.outerHTML)",
    );
    assert_eq!(nameless, json!([]));
    // What a field holds is no name of it.
    let unlabelled = page.ask(
        "[...document.querySelectorAll('input, select, textarea')].filter((it) => \
         !it.labels.length && !it.getAttribute('aria-label')).map((it) => it.outerHTML)",
    );
    assert_eq!(unlabelled, json!([]));
    let doubled = page.ask(
        "[...document.querySelectorAll('[id]')].map((it) => it.id).filter((id, at, all) => \
         all.indexOf(id) !== at)",
    );
    assert_eq!(doubled, json!([]));
    // At least 24 by 24 pixels (WCAG 2.2, 2.5.8), apart from what stands within a line.
    let small = page.ask(
        "[...document.querySelectorAll('button, a.button, input[type=file]')].filter((it) => { \
         const box = it.getBoundingClientRect(); return box.width > 0 && (box.width < 24 || \
         box.height < 24); }).map((it) => it.outerHTML)",
    );
    assert_eq!(small, json!([]));
}
