//! Events as a person reads them, one line each.

use pennyweight_core::output::{
    Dilution, DrinkRecord, Fix, PourRecord, Settled, StepBegun, WeighedBack,
};
use pennyweight_core::{Event, Instant};

use super::events::{fault_kind, verdict_name};
use super::learning;
use super::names::Names;
use crate::capture::{Captured, Taken};

/// An event and its time as one line, without its end.
#[must_use]
pub fn sentence(at: Instant, event: &Event, names: &Names) -> String {
    let (word, rest) = parts(event, names);
    line(at, word, &rest)
}

/// An entry of a capture and its time as one line, without its end.
#[must_use]
pub fn entry_sentence(at: Instant, entry: &Captured, names: &Names) -> String {
    line(at, "captured", &captured(entry, names))
}

fn line(at: Instant, word: &str, rest: &str) -> String {
    let line = format!("{:>9.3} s  {word:<12}  {rest}", at.micros() as f64 / 1e6);
    line.trim_end().to_owned()
}

/// An event in a word or two, and the rest of what is to be told of it.
#[must_use]
pub fn parts(event: &Event, names: &Names) -> (&'static str, String) {
    match event {
        Event::Fault(fault) => ("fault", fault_kind(*fault).to_owned()),
        Event::Refused(why) => ("refused", why.to_string()),
        Event::Cleared => ("cleared", String::new()),
        Event::Lifted => ("lifted", String::new()),
        Event::Placed(mass) => ("placed", format!("{:.1} g", mass.0)),
        Event::Pressed => ("pressed", String::new()),
        Event::Bumped => ("bumped", String::new()),
        Event::Stirred => ("stirred", String::new()),
        Event::Added(mass) => ("added", format!("{:.2} g", mass.0)),
        Event::PourStarted => ("pour starts", String::new()),
        Event::Ease => ("ease", String::new()),
        Event::Stop => ("stop", String::new()),
        Event::Landed(settled) => ("landed", mass(settled)),
        Event::Amended(settled) => ("amended", mass(settled)),
        Event::Steady(settled) => ("steady", mass(settled)),
        Event::Verdict(judgement) => (
            "verdict",
            format!(
                "{}, {}, off by {:+.2} g",
                verdict_name(judgement.verdict),
                mass(&judgement.poured),
                judgement.error.0
            ),
        ),
        Event::Fix(Fix::TipOut(mass)) => ("fix", format!("tip out {:.1} g", mass.0)),
        Event::Fix(Fix::Grow(factor)) => (
            "fix",
            format!(
                "grow the spec by {:.0} %, and strain its volume",
                (factor - 1.0) * 100.0
            ),
        ),
        Event::Due(drink) => (
            "time is up",
            names.drink(*drink).unwrap_or("a drink").to_owned(),
        ),
        Event::Poured(record) => ("poured", poured(record, names)),
        Event::Done(record) => ("done", done(record, names)),
        Event::WeighedBack(back) => ("weighed back", weighed_back(back, names)),
        Event::Step(begun) => ("step", step(begun, names)),
        Event::Learned(learned) => ("learned", learning::sentence(learned)),
        Event::Lost(settled) => ("lost", format!("{}, unexplained", mass(settled))),
    }
}

fn mass(settled: &Settled) -> String {
    format!("{:.2} g \u{b1} {:.2}", settled.mass.0, settled.sigma.0)
}

fn captured(entry: &Captured, names: &Names) -> String {
    let struck = if entry.struck { ", struck" } else { "" };
    let number = entry.entry;
    let of = entry.liquid.and_then(|id| names.liquid(id));
    let what = match entry.taken {
        Taken::Away(seconds) => format!("the vessel was away for {seconds} s"),
        Taken::Lost => format!("{} lost, unexplained", mass(&entry.amount)),
        Taken::Strained => format!("{} strained", mass(&entry.amount)),
        Taken::Poured => format!("{} of {}", mass(&entry.amount), of.unwrap_or("what?")),
        Taken::Tipped => format!(
            "{} of {} at once",
            mass(&entry.amount),
            of.unwrap_or("what?")
        ),
    };
    format!("{number}: {what}{struck}")
}

fn poured(record: &PourRecord, names: &Names) -> String {
    format!(
        "{}: {:.2} g of {:.2} g, {}",
        names.liquid(record.liquid).unwrap_or("a liquid"),
        record.poured.mass.0,
        record.target.0,
        verdict_name(record.verdict)
    )
}

fn done(record: &DrinkRecord, names: &Names) -> String {
    format!(
        "{}: {:.0} ml at {:.1} % vol",
        names.drink(record.drink).unwrap_or("the drink"),
        record.volume.0,
        record.abv_percent
    )
}

fn weighed_back(back: &WeighedBack, names: &Names) -> String {
    let percent = |dilution: Dilution| {
        format!(
            "{:.0} \u{b1} {:.0} %",
            dilution.percent, dilution.sigma_percent
        )
    };
    let dilution = |found: Option<Dilution>| found.map_or_else(|| "unknown".to_owned(), percent);
    format!(
        "{}: dilution {} (usual {}), lost {}",
        names.drink(back.drink.drink).unwrap_or("the drink"),
        dilution(back.drink.dilution),
        dilution(back.expected),
        mass(&back.lost)
    )
}

fn step(begun: &StepBegun, names: &Names) -> String {
    let step = match names.step(begun.drink, begun.step) {
        Some(known) => known.words(),
        None => format!("step {}", u16::from(begun.step) + 1),
    };
    let target = begun
        .target
        .map(|target| format!(" ({:.2} g)", target.0))
        .unwrap_or_default();
    let drink = names.drink(begun.drink).unwrap_or("the drink");
    format!("{drink}: {step}{target}")
}
