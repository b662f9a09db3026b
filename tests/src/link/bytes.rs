//! What goes over the wire, byte for byte: the form of version 1 is kept in `tests/data/link`.

use std::fmt::Write;

use pennyweight_core::input::{Command, Known, Mode, Sample};
use pennyweight_core::journal::payload::{
    CalibrationV1, HouseV1, NumberV2, OrderV2, ShiftV1, WaitingV2,
};
use pennyweight_core::keep::waiting;
use pennyweight_core::link::MAX_MESSAGE;
use pennyweight_core::link::host::{
    Ask, Hello, LogLine, Logged, Refused, Settings, Tell, VERSION, Weighed,
};
use pennyweight_core::output::Fault;
use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::{Grams, Millilitres};

use super::device::{Scale, asked, blank, messages};

fn asks() -> Vec<Ask<'static>> {
    let sample = Sample {
        volume_ul: 50_000,
        sigma_ul: 200,
        celsius: -150,
        known: Known::Strength(2400),
    };
    vec![
        Ask::Hello { version: VERSION },
        Ask::Sheet {
            length: 1051,
            crc: 0xDEAD_BEEF,
        },
        Ask::Part {
            offset: 224,
            bytes: b"part",
        },
        Ask::Use { crc: 0x0102_0304 },
        Ask::Do(Command::Target(Grams(28.5))),
        Ask::Do(Command::Order(DrinkId(3))),
        Ask::Do(Command::Skip),
        Ask::Do(Command::Zero),
        Ask::Do(Command::Mode(Mode::Prep)),
        Ask::Do(Command::Hand(7)),
        Ask::Do(Command::Learn(sample)),
        Ask::Do(Command::Void(DrinkId(2))),
        Ask::Do(Command::Change(DrinkId(2), DrinkId(1))),
        Ask::Do(Command::Fix),
        Ask::Do(Command::Two),
        Ask::Do(Command::Again),
        Ask::Do(Command::Other),
        Ask::Do(Command::Serve(Millilitres(90.0))),
        Ask::Do(Command::Forget),
        Ask::Records { since: 70_000 },
        Ask::Settings,
        Ask::Calibrate(CalibrationV1 {
            zero_code: -80_000,
            counts_e5_per_gram: 42_000_000,
        }),
        Ask::House(HouseV1 {
            dash_ul: 780,
            barspoon_ul: 5_000,
            drop_ul: 50,
        }),
        Ask::Clock { utc: 1_700_000_000 },
        Ask::Watch { credit: 32 },
        Ask::Log { since: 9 },
        Ask::Weigh,
        Ask::Round,
    ]
}

fn tells() -> Vec<Tell<'static>> {
    let under_way = NumberV2 {
        number: 300,
        drink: 1,
    };
    let order = OrderV2 {
        drink: 2,
        glasses: 3,
    };
    let round = WaitingV2 {
        sheet: 0xBEEF,
        begun: 301,
        under_way: [under_way].into_iter().collect(),
        orders: [order].into_iter().collect(),
    };
    vec![
        Tell::Done,
        Tell::Hello(Hello {
            version: VERSION,
            can: 7,
            sheet: 0x1234_5678,
            start: 9,
            room: 32_768,
        }),
        Tell::Refused(Refused::Part(448)),
        Tell::Filled { bytes: 448 },
        Tell::Records {
            next: 5,
            newest: 6,
            bytes: b"records",
        },
        Tell::Settings(Settings {
            calibration: CalibrationV1 {
                zero_code: 5,
                counts_e5_per_gram: 100_000,
            },
            house: Some(HouseV1 {
                dash_ul: 1,
                barspoon_ul: 2,
                drop_ul: 3,
            }),
            shift: ShiftV1 {
                mode: 1,
                hand: Some(4),
                serve_ul: Some(90_000),
            },
            utc: None,
            habits: 6,
        }),
        Tell::Log(Some(LogLine {
            number: 3,
            tenths: 450,
            logged: Logged::Fault,
            detail: Fault::Memory as u8,
        })),
        Tell::Weight(Weighed {
            code: -1,
            mg: 28_400,
            still: true,
            seconds: 90,
        }),
        Tell::Round(round),
    ]
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// To accept a new version: `ACCEPT_LINK=1`, after `VERSION` was raised and the difference read.
#[test]
fn every_message_keeps_its_bytes() {
    let mut text = String::new();
    for ask in asks() {
        let mut message = [0; MAX_MESSAGE];
        let length = ask.write(300, &mut message).expect("it fits");
        assert_eq!(Ask::read(&message[..length]), Some((300, ask)));
        let _ = writeln!(text, "{} {ask:?}", hex(&message[..length]));
    }
    for mut tell in tells() {
        let mut message = [0; MAX_MESSAGE];
        let length = tell.clone().write(300, &mut message).expect("it fits");
        assert_eq!(Tell::read(&message[..length]), Some((300, tell.clone())));
        let mut short = [0; 2];
        assert_eq!(tell.write(300, &mut short), None);
        let _ = writeln!(text, "{} {tell:?}", hex(&message[..length]));
    }
    let path = format!("{}/data/link/version-1.txt", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("ACCEPT_LINK").is_some() {
        std::fs::write(&path, &text).expect("written");
    }
    let kept = std::fs::read_to_string(&path).expect("kept");
    assert_eq!(text, kept);
}

/// Worked by hand from postcard's wire format: bytes as they are, LEB128 for the rest.
#[test]
fn a_hello_and_an_order_are_what_the_format_says() {
    fn read(bytes: &[u8]) -> (u16, Ask<'_>) {
        Ask::read(bytes).expect("an ask")
    }
    assert_eq!(read(&[0x40, 0x01, 0, 1]), (1, Ask::Hello { version: 1 }));
    let order = Ask::Do(Command::Order(DrinkId(3)));
    assert_eq!(read(&[0x40, 0xAC, 0x02, 4, 1, 3]), (300, order));
    assert_eq!(Ask::read(&[0x40, 0x01, 0, 1, 0]), None, "a byte too many");
    assert_eq!(Ask::read(&[0x40, 0x01, 0x77]), None, "no such ask");
}

#[test]
fn what_is_not_known_is_refused_under_its_id() {
    let mut scale = Scale::power_up(blank());
    let mut frame = [0; pennyweight_core::link::MAX_FRAME];
    let unknown = pennyweight_core::link::seal(&[0x40, 0x09, 0x77], &mut frame).expect("short");
    let sent = scale.take(unknown);
    let message = messages(&sent).remove(0);
    assert_eq!(Tell::read(&message), Some((9, Tell::Refused(Refused::Ask))));
    // Whatever version a host speaks, it learns which one the scale does.
    let version = scale.told(10, Ask::Hello { version: 99 }, |tell| match tell {
        Tell::Hello(hello) => hello.version,
        _ => 0,
    });
    assert_eq!(version, VERSION);
}

#[test]
fn an_order_asked_twice_under_one_id_is_one_order() {
    let mut scale = Scale::power_up(blank());
    scale.told(1, Ask::Hello { version: VERSION }, |_| ());
    let order = Ask::Do(Command::Order(DrinkId(0)));
    // A drink that is served as it is built: it gets no second glass in the same vessel.
    let first = scale.ask(2, order);
    assert_eq!(scale.ask(2, order), first);
    let ordered = |scale: &Scale| waiting(&scale.station).orders.len();
    assert_eq!(ordered(&scale), 1);
    assert_ne!(scale.ask(3, order), first);
    assert_eq!(ordered(&scale), 2);
    assert!(!asked(3, order).is_empty());
    let refused = scale.told(4, Ask::Do(Command::Order(DrinkId(99))), |tell| {
        tell == Tell::Refused(Refused::Drink(6))
    });
    assert!(refused);
}
