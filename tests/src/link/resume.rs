//! After a power cut what stands on the pan tells how the open drink goes on.

use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::journal::limits::ENTRY_MAX;
use pennyweight_core::journal::{Cursor, Record};
use pennyweight_core::link::{Hello, Reply, Request, RequestError, VERSION};
use pennyweight_core::output::{DilutionBasis, Event, Fault};
use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::{AdcCode, Millilitres};
use pennyweight_core::view::Page;

use super::device::blank;
use super::power::{Bench, VESSEL_G, away, drinks_recorded, half_made, on_pan, step};
use crate::journal::flash::{Flash, Image};
use crate::journal::things;

#[test]
fn a_vessel_that_was_away_goes_on_with_its_glass() {
    let mut bench = away().cut();
    bench.hold(0.0, 1.5);
    assert!(
        matches!(bench.page(), Page::Away { .. }),
        "{:?}",
        bench.page()
    );
    // Its time is up for all anybody knows, and the served glass comes.
    bench.hold(160.0, 2.0);
    // It might be the next drink's vessel: the panel asks, and straining says that it is not.
    assert!(
        matches!(bench.page(), Page::Strain { .. } | Page::Question { .. }),
        "{:?}",
        bench.page()
    );
    bench.pour(160.0, 60.0, 15.0);
    bench.hold(220.0, 8.0);
    let done = bench.told.iter().find_map(|event| match event {
        Event::Done(record) => Some(*record),
        _ => None,
    });
    let done = done.expect("the drink is recorded");
    assert_eq!(done.drink, DrinkId(0));
    let dilution = done.dilution.expect("it was stirred on ice").percent;
    // 46.4 g of rye whiskey became 60 g and what stays on the ice.
    assert!((20.0..60.0).contains(&dilution), "{dilution}");
    // The other order is next.
    bench.hold(0.0, 2.0);
    assert!(matches!(bench.page(), Page::Place { .. }));
}

#[test]
fn cut_off_in_the_middle_of_its_strain_it_is_recorded_as_poured() {
    let mut bench = away();
    // Before its time is up, something so light would be the next drink's vessel.
    bench.hold(0.0, 26.0);
    bench.hold(160.0, 2.0);
    bench.pour(160.0, 15.0, 15.0);
    let mut bench = bench.cut();
    bench.hold(200.0, 9.0);
    let done = bench.told.iter().find_map(|event| match event {
        Event::Done(record) => Some(*record),
        _ => None,
    });
    let done = done.unwrap_or_else(|| panic!("{:?}", bench.told));
    let basis = done.dilution.map(|it| it.basis);
    assert_ne!(basis, Some(DilutionBasis::Weighed), "nobody weighed it");
    // All of the rye whiskey counts: 50 ml of 45 % vol to 50 % vol hold 17.8 g to 19.7 g.
    assert!((17.0..20.5).contains(&done.ethanol.0), "{:?}", done.ethanol);
    let orders = drinks_recorded(&mut bench);
    assert_eq!(orders, [1], "under the number it was begun with");
}

#[test]
fn the_same_glass_goes_on_where_it_was() {
    let (bench, gross) = half_made();
    let mut bench = bench.cut();
    assert!(matches!(bench.page(), Page::Place { .. }));
    bench.hold(gross, 2.0);
    assert_eq!(step(&bench), Some(1));
    assert!(
        matches!(bench.page(), Page::Pour { .. }),
        "{:?}",
        bench.page()
    );
    let waiting = bench.scale.station.round().map(|it| it.waiting().count());
    assert_eq!(waiting, Some(1), "the other order waits");
}

#[test]
fn a_glass_that_comes_back_later_goes_on_too() {
    let (bench, gross) = half_made();
    let mut bench = bench.cut();
    bench.hold(0.0, 2.0);
    assert!(matches!(bench.page(), Page::Place { .. }));
    bench.hold(gross, 2.0);
    assert_eq!(step(&bench), Some(1));
}

#[test]
fn a_pour_that_was_cut_off_is_added_to() {
    let (bench, gross) = half_made();
    let mut bench = bench.cut();
    bench.hold(gross + 8.0, 2.0);
    assert_eq!(step(&bench), Some(1));
    assert!(
        matches!(bench.page(), Page::Add { .. }),
        "{:?}",
        bench.page()
    );
}

#[test]
fn the_empty_vessel_begins_anew() {
    let (bench, _) = half_made();
    let mut bench = bench.cut();
    bench.hold(VESSEL_G, 2.0);
    assert_eq!(step(&bench), Some(0));
}

#[test]
fn anything_else_is_asked() {
    let framed = || {
        let (bench, gross) = half_made();
        let mut bench = bench.cut();
        bench.hold(gross + 150.0, 2.0);
        assert_eq!(step(&bench), None);
        assert!(
            matches!(bench.page(), Page::Note { .. }),
            "{:?}",
            bench.page()
        );
        (bench, gross)
    };
    // Pouring on means yes.
    let (mut bench, gross) = framed();
    bench.pour(gross + 150.0, 15.0, 6.0);
    assert_eq!(step(&bench), Some(1));

    // A hand that rests on the pan means no.
    let (mut bench, gross) = framed();
    bench.press(gross + 150.0);
    bench.hold(gross + 150.0, 2.0);
    assert_eq!(step(&bench), Some(0));

    // Lifting it leaves the question to what comes next.
    let (mut bench, gross) = framed();
    bench.hold(0.0, 2.0);
    assert!(matches!(bench.page(), Page::Place { .. }));
    bench.hold(gross, 2.0);
    assert_eq!(step(&bench), Some(1));
}

/// A second cut before anything was done loses nothing more.
#[test]
fn it_is_cut_off_again_while_the_vessel_is_awaited() {
    let (bench, gross) = half_made();
    let mut bench = bench.cut();
    bench.hold(0.0, 1.5);
    bench.give(Input::Command(Command::Hand(3)));
    let mut bench = bench.cut();
    assert_eq!(bench.scale.station.shift().hand, Some(3));
    bench.hold(gross, 2.0);
    assert_eq!(step(&bench), Some(1));
}

/// A full round waits beside the one whose vessel is awaited: none of them is lost.
#[test]
fn a_full_round_waits_again() {
    let waits = |bench: &Bench| -> u32 {
        let form = pennyweight_core::keep::waiting(&bench.scale.station);
        form.orders.iter().map(|it| u32::from(it.glasses)).sum()
    };
    let mut bench = Bench::power_up(blank());
    bench.hold(0.0, 1.5);
    for order in 0..60 {
        bench.give(Input::Command(Command::Order(DrinkId(order % 6))));
    }
    bench.hold(0.0, 1.0);
    let before = waits(&bench);
    assert!(before > 12, "{before}");
    let mut bench = bench.cut();
    bench.hold(0.0, 1.5);
    assert_eq!(waits(&bench), before);
    let bench = bench.cut();
    assert_eq!(waits(&bench), before);
}

/// The way of working is that of the shift, not of the firmware.
#[test]
fn a_shift_goes_on_in_its_own_way() {
    let mut bench = Bench::power_up(blank());
    bench.give(Input::Command(Command::Mode(Mode::Prep)));
    bench.give(Input::Command(Command::Serve(Millilitres(90.0))));
    let bench = bench.cut();
    let shift = bench.scale.station.shift();
    assert_eq!((shift.mode, shift.hand), (Mode::Prep, None));
    assert_eq!(shift.serve, Some(Millilitres(90.0)));
}

#[test]
fn flash_that_holds_something_else_is_a_fault_and_a_clean_start() {
    let journal = Flash::new(Image::new(vec![0x5A; 3 * super::device::SECTOR]), 1);
    let mut bench = Bench::power_up((journal, blank().1));
    // One fault a call: the other one first.
    bench.give(Input::Code(AdcCode(1 << 24)));
    assert_eq!(bench.told, [Event::Fault(Fault::Range)]);
    bench.hold(0.0, 0.1);
    assert!(bench.told.contains(&Event::Fault(Fault::Memory)));
    assert_eq!(bench.page(), Page::Fault(Fault::Memory));
    bench.hold(0.0, 2.0);
    assert_eq!(bench.page(), Page::Fault(Fault::Memory), "until it is read");
    bench.give(Input::Command(Command::Order(DrinkId(0))));
    bench.hold(VESSEL_G, 2.0);
    assert!(matches!(bench.page(), Page::Pour { .. }), "work goes on");
    bench.give(Input::Command(Command::Void(DrinkId(0))));
    bench.hold(0.0, 2.0);
    assert!(matches!(bench.page(), Page::Again { .. }), "it was read");
    let faults: Vec<Fault> = things::records(bench.scale.keeper.journal())
        .into_iter()
        .filter_map(|(_, record)| match record {
            Record::Fault(seen) => Some(seen.fault),
            _ => None,
        })
        .collect();
    assert_eq!(faults, [Fault::Range, Fault::Memory]);
    let hello = bench
        .scale
        .reply(1, Request::Hello { version: VERSION }, |tell| match tell {
            Reply::Hello(hello) => hello,
            _ => Hello::default(),
        });
    assert_eq!(hello.start, 1);
}

/// Erases stop many a part for two seconds: none while a pour is open.
#[test]
fn nothing_is_erased_while_a_pour_is_open() {
    let mut bench = Bench::power_up(blank());
    bench.hold(0.0, 1.5);
    bench.give(Input::Command(Command::Order(DrinkId(0))));
    bench.hold(VESSEL_G, 2.0);
    // Nor is the line by which it is weighed changed meanwhile.
    let line = bench.scale.station.calibration();
    let refused = |tell: Reply<'_>| matches!(tell, Reply::Refused(RequestError::Pouring));
    assert!(bench.scale.reply(7, Request::Calibrate(line), refused));
    let announce = Request::Sheet { length: 64, crc: 1 };
    bench.scale.reply(1, announce, |_| ());
    let erases = |bench: &mut Bench| bench.scale.sheet_erases();
    let before = erases(&mut bench);
    bench.hold(VESSEL_G, 1.0);
    bench.pour(VESSEL_G, 40.0, 8.0);
    assert_eq!(erases(&mut bench), before);
    bench.give(Input::Command(Command::Void(DrinkId(0))));
    bench.hold(0.0, 3.0);
    assert!(erases(&mut bench) > before);
    let done = |tell: Reply<'_>| matches!(tell, Reply::Done);
    assert!(bench.scale.reply(8, Request::Calibrate(line), done));
}

/// One vessel aside between two steps, and the next drink begun on the pan.
fn two_begun() -> Bench {
    let (mut bench, _) = half_made();
    bench.hold(0.0, 2.0);
    bench.hold(160.0, 2.0);
    bench.pour(160.0, 20.0, 8.0);
    bench
}

#[test]
fn a_vessel_aside_between_two_steps_comes_back_beside_the_one_on_the_pan() {
    let mut bench = two_begun().cut();
    assert_eq!(on_pan(&bench), Some((DrinkId(1), 2)));
    let aside = |bench: &Bench| {
        let round = bench.scale.station.round().expect("a round");
        round.aside().map(|it| it.drink()).collect::<Vec<_>>()
    };
    assert_eq!(aside(&bench), [DrinkId(0)]);
    bench.hold(180.0, 2.0);
    assert_eq!(on_pan(&bench), Some((DrinkId(1), 2)));
    let bench = bench.cut();
    assert_eq!(aside(&bench), [DrinkId(0)], "after a second cut too");
    assert_eq!(on_pan(&bench), Some((DrinkId(1), 2)));
}

#[test]
fn what_is_gone_of_a_vessel_that_was_aside_is_recorded_as_of_its_drink() {
    let (mut bench, gross) = half_made();
    bench.hold(0.0, 2.0);
    bench.hold(160.0, 2.0);
    bench.hold(0.0, 2.0);
    bench.hold(gross - 9.0, 3.0);
    let (mut buffer, mut cursor) = ([0; ENTRY_MAX], Cursor::default());
    let mut lost = Vec::new();
    while let Some(kept) = bench.scale.keeper.journal().next(&mut cursor, &mut buffer) {
        if let Record::Loss(loss) = kept.record().expect("it can be read") {
            lost.push((loss.drink, loss.order));
        }
    }
    assert_eq!(lost, [(DrinkId(0), 1)], "{:?}", bench.told);
}
