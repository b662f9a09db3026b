//! Events as a person reads them, one line each.

use pennyweight_core::output::{DrinkRecord, Fix, PourRecord, Settled, StepBegun};
use pennyweight_core::{Event, Instant};

use super::events::{fault_kind, verdict_name};
use super::learning;
use super::names::Names;

/// An event and its time as one line, without its end.
#[must_use]
pub fn sentence(at: Instant, event: &Event, names: &Names) -> String {
    let (word, rest) = parts(event, names);
    let line = format!("{:>9.3} s  {word:<12}  {rest}", at.micros() as f64 / 1e6);
    line.trim_end().to_owned()
}

/// An event in a word or two, and the rest of what is to be told of it.
#[must_use]
pub fn parts(event: &Event, names: &Names) -> (&'static str, String) {
    match event {
        Event::Fault(fault) => ("fault", fault_kind(*fault).to_owned()),
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
        Event::Poured(record) => ("poured", poured(record, names)),
        Event::Done(record) => ("done", done(record, names)),
        Event::Step(begun) => ("step", step(begun, names)),
        Event::Learned(learned) => ("learned", learning::sentence(learned)),
    }
}

fn mass(settled: &Settled) -> String {
    format!("{:.2} g \u{b1} {:.2}", settled.mass.0, settled.sigma.0)
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
