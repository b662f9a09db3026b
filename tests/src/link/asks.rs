//! What a host asks, and why it is not done: sheets in parts, outputs as they happen, the clock.

use pennyweight_core::Instant;
use pennyweight_core::input::{Command, CommandError, Input};
use pennyweight_core::keep::StoreError;
use pennyweight_core::link::{
    Live, Logged, PART_BYTES, Reply, Request, RequestError, UNASKED, VERSION,
};
use pennyweight_core::output::Fault;
use pennyweight_core::spec::{DrinkId, House};
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::Calibration;
use pennyweight_sim::sheet::{DEMO, parse};

use super::device::{Scale, blank, framed, messages};

/// Another sheet, packed.
fn another() -> Vec<u8> {
    let text = DEMO.replace("Slow Ledger", "Slow Harbour");
    parse(&text, "another.toml")
        .expect("a sheet")
        .pack()
        .to_vec()
}

fn crc(bytes: &[u8]) -> u32 {
    crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(bytes)
}

/// The last four bytes of a packed sheet.
fn checksum(sheet: &[u8]) -> u32 {
    u32::from_le_bytes(*sheet.last_chunk().expect("a sheet"))
}

/// Outputs that were sent unasked.
fn live_in(message: &[u8]) -> Option<Live> {
    match Reply::read(message) {
        Some((UNASKED, Reply::Live(live))) => Some(live),
        _ => None,
    }
}

struct Host {
    scale: Scale,
    id: u16,
}

impl Host {
    fn new() -> Self {
        Self {
            scale: Scale::power_up(blank()),
            id: 0,
        }
    }

    fn told<T>(&mut self, ask: Request<'_>, read: impl FnOnce(Reply<'_>) -> T) -> T {
        self.id += 1;
        self.scale.reply(self.id, ask, read)
    }

    /// `Ok` where it was done.
    fn does(&mut self, ask: Request<'_>) -> Result<(), RequestError> {
        self.told(ask, |reply| match reply {
            Reply::Done | Reply::Filled { .. } => Ok(()),
            Reply::Refused(why) => Err(why),
            other => panic!("{other:?}"),
        })
    }

    /// Announces until the place is free.
    fn announce(&mut self, sheet: &[u8]) {
        let (length, crc) = (sheet.len() as u32, crc(sheet));
        while let Err(why) = self.does(Request::Sheet { length, crc }) {
            assert_eq!(why, RequestError::Store(StoreError::Busy));
            self.scale.rest();
        }
    }

    fn parts(&mut self, sheet: &[u8], many: usize) {
        for (index, bytes) in sheet.chunks(PART_BYTES).take(many).enumerate() {
            let offset = (index * PART_BYTES) as u32;
            self.does(Request::Part { offset, bytes }).expect("taken");
        }
    }

    fn sheet(&self) -> u32 {
        self.scale.station.sheet().map_or(0, |it| it.checksum())
    }

    fn cut(self) -> Self {
        Self {
            scale: Scale::power_up(self.scale.power_down()),
            id: 0,
        }
    }
}

#[test]
fn a_sheet_comes_in_parts_and_is_swapped_at_once() {
    let sheet = another();
    let mut host = Host::new();
    let before = host.sheet();
    host.announce(&sheet);
    host.parts(&sheet, usize::MAX);
    assert_eq!(host.sheet(), before, "nothing is swapped yet");
    let crc = checksum(&sheet);
    host.does(Request::Use { crc }).expect("it came whole");
    assert_eq!(host.sheet(), crc);
    assert_eq!(host.cut().sheet(), crc, "it is there after a power cut");
}

#[test]
fn half_a_sheet_and_the_power_goes() {
    let sheet = another();
    let mut host = Host::new();
    let before = host.sheet();
    host.announce(&sheet);
    host.parts(&sheet, 3);
    let mut host = host.cut();
    assert_eq!(host.sheet(), before);
    let crc = checksum(&sheet);
    assert!(host.does(Request::Use { crc }).is_err());
    // And the next push goes through.
    host.announce(&sheet);
    host.parts(&sheet, usize::MAX);
    host.does(Request::Use { crc }).expect("it came whole");
    assert_eq!(host.sheet(), crc);
}

/// The bar would pour by another sheet and not know.
#[test]
fn a_damaged_sheet_gives_way_to_the_one_before_and_that_is_told() {
    let sheet = another();
    let mut host = Host::new();
    let before = host.sheet();
    host.announce(&sheet);
    host.parts(&sheet, usize::MAX);
    let crc = checksum(&sheet);
    host.does(Request::Use { crc }).expect("it came whole");
    let fault = |host: &mut Host| {
        let at = Instant::from_micros(12_500);
        host.scale.handle(at, Input::Tick).fault
    };
    let mut host = host.cut();
    assert_eq!(fault(&mut host), None);
    let bytes = &mut host.scale.keeper.sheets().image.bytes;
    let lies = bytes.windows(64).position(|it| it == &sheet[..64]);
    // A bit that has leaked away.
    bytes[lies.expect("one was pushed") + 40] ^= 0x10;
    let mut host = host.cut();
    assert_eq!(host.sheet(), before);
    assert_eq!(fault(&mut host), Some(Fault::Memory));
    // Pushed again, all is well.
    host.announce(&sheet);
    host.parts(&sheet, usize::MAX);
    host.does(Request::Use { crc }).expect("it came whole");
    let mut host = host.cut();
    assert_eq!((host.sheet(), fault(&mut host)), (crc, None));
}

#[test]
fn a_sheet_is_refused_with_the_reason() {
    let sheet = another();
    let use_it = Request::Use {
        crc: checksum(&sheet),
    };
    let mut host = Host::new();
    let long = Request::Sheet {
        length: 1 << 20,
        crc: 0,
    };
    assert!(
        matches!(host.does(long), Err(RequestError::Store(StoreError::Length(most))) if most < 1 << 20)
    );
    host.announce(&sheet);
    host.parts(&sheet, 2);
    let far = Request::Part {
        offset: 3 * PART_BYTES as u32,
        bytes: &[0; 32],
    };
    let here = 2 * PART_BYTES as u32;
    assert_eq!(
        host.does(far),
        Err(RequestError::Store(StoreError::Part(here))),
        "where it stands"
    );
    assert!(host.does(use_it).is_err(), "it is not whole");

    // What came is not what was announced.
    let mut damaged = sheet.clone();
    damaged[100] ^= 1;
    let mut host = Host::new();
    host.announce(&sheet);
    host.parts(&damaged, usize::MAX);
    assert_eq!(
        host.does(use_it),
        Err(RequestError::Store(StoreError::Checksum))
    );

    // No sheet at all, though announced as it is.
    let nonsense = vec![0x5A; 320];
    let mut host = Host::new();
    host.announce(&nonsense);
    host.parts(&nonsense, usize::MAX);
    let crc = checksum(&nonsense);
    assert_eq!(
        host.does(Request::Use { crc }),
        Err(RequestError::Store(StoreError::Sheet(None)))
    );

    // A round is under way.
    let mut host = Host::new();
    host.announce(&sheet);
    host.parts(&sheet, usize::MAX);
    host.does(Request::Command(Command::Order(DrinkId(0))))
        .expect("ordered");
    assert_eq!(
        host.does(use_it),
        Err(RequestError::Store(StoreError::Open))
    );
    host.does(Request::Command(Command::Void(DrinkId(0))))
        .expect("voided");
    assert_eq!(host.does(use_it), Ok(()));
}

#[test]
fn orders_are_added_changed_and_voided() {
    let mut host = Host::new();
    let order = |host: &mut Host, command| host.does(Request::Command(command));
    assert_eq!(order(&mut host, Command::Order(DrinkId(0))), Ok(()));
    assert_eq!(order(&mut host, Command::Order(DrinkId(1))), Ok(()));
    let change = Command::Change(DrinkId(1), DrinkId(2));
    assert_eq!(order(&mut host, change), Ok(()));
    assert_eq!(
        order(&mut host, change),
        Err(CommandError::NotWaiting(DrinkId(1)).into()),
        "it is gone"
    );
    let unknown = Command::Change(DrinkId(2), DrinkId(99));
    assert!(matches!(
        order(&mut host, unknown),
        Err(RequestError::Command(CommandError::NoSuchDrink { .. }))
    ));
    let waits = |host: &mut Host| {
        host.told(Request::Round, |tell| match tell {
            Reply::Round(round) => round.orders.iter().map(|it| it.drink.0).collect::<Vec<_>>(),
            other => panic!("{other:?}"),
        })
    };
    assert_eq!(waits(&mut host), [0, 2]);
    assert_eq!(order(&mut host, Command::Void(DrinkId(2))), Ok(()));
    assert_eq!(waits(&mut host), [0]);
    assert_eq!(
        order(&mut host, Command::Void(DrinkId(2))),
        Err(CommandError::NotOrdered(DrinkId(2)).into())
    );
    let mut host = host.cut();
    assert_eq!(waits(&mut host), [0], "it waits after a power cut");
}

/// As many as were granted; what is beyond is dropped, and the numbers show it.
#[test]
fn outputs_are_told_as_far_as_they_were_granted() {
    let mut host = Host::new();
    host.does(Request::Watch { credit: 2 }).expect("watched");
    // A mode that is set gives no output; a refused command gives its reason.
    let mut live = Vec::new();
    for _ in 0..5 {
        host.id += 1;
        let sent = host
            .scale
            .take(&framed(host.id, Request::Command(Command::Fix)));
        live.extend(messages(&sent).iter().filter_map(|it| live_in(it)));
    }
    let numbers: Vec<u32> = live.iter().map(|it| it.number).collect();
    assert_eq!(numbers, [0, 1]);
    assert!(live.iter().all(|it| it.outputs.refused.is_some()));
    host.does(Request::Watch { credit: 1 })
        .expect("granted more");
    host.id += 1;
    let sent = host
        .scale
        .take(&framed(host.id, Request::Command(Command::Fix)));
    let next = messages(&sent).iter().find_map(|it| live_in(it));
    assert_eq!(next.map(|it| it.number), Some(5), "three were not told");
}

#[test]
fn settings_calibration_and_the_clock_are_kept_as_they_should_be() {
    let mut host = Host::new();
    let line = Calibration {
        zero_code: -80_000,
        counts_per_gram: 420.0,
    };
    let house = House {
        dash_ul: 780,
        barspoon_ul: 5_000,
        drop_ul: 50,
    };
    host.does(Request::Calibrate(line)).expect("set");
    host.does(Request::House(house)).expect("set");
    host.does(Request::Clock { utc: 1_790_000_000 })
        .expect("set");
    let nonsense = Calibration {
        counts_per_gram: 0.0,
        ..line
    };
    assert_eq!(
        host.does(Request::Calibrate(nonsense)),
        Err(RequestError::Setting)
    );
    let settings = |host: &mut Host| {
        host.told(Request::Settings, |tell| match tell {
            Reply::Settings(settings) => settings,
            other => panic!("{other:?}"),
        })
    };
    let set = settings(&mut host);
    assert_eq!((set.calibration, set.house), (line, Some(house)));
    assert_eq!(set.utc, Some(1_790_000_000));
    let mut host = host.cut();
    let set = settings(&mut host);
    assert_eq!((set.calibration, set.house), (line, Some(house)));
    assert_eq!(set.utc, None, "no clock runs without power");
}

#[test]
fn the_log_tells_what_was_refused() {
    let mut host = Host::new();
    host.scale.take(&[7, 7, 7, 0]);
    let line = host.told(Request::Log { since: 0 }, |tell| match tell {
        Reply::Log(line) => line,
        other => panic!("{other:?}"),
    });
    assert_eq!(
        line.map(|it| it.logged),
        Some(Logged::Refused(RequestError::Frame))
    );
    let at = Instant::from_micros(12_500);
    let _ = host.scale.handle(at, Input::Code(AdcCode(1 << 24)));
    let line = host.told(Request::Log { since: 1 }, |tell| match tell {
        Reply::Log(line) => line,
        other => panic!("{other:?}"),
    });
    assert_eq!(line.map(|it| it.logged), Some(Logged::Fault(Fault::Range)));
    let hello = host.told(Request::Hello { version: VERSION }, |tell| {
        tell != Reply::Done
    });
    assert!(hello);
}
