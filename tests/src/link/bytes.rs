//! What goes over the wire, byte for byte.

use pennyweight_core::input::{Command, CommandError};
use pennyweight_core::keep::waiting;
use pennyweight_core::link::{
    Hello, MAX_FRAME, MAX_MESSAGE, Reply, Request, RequestError, VERSION, seal,
};
use pennyweight_core::spec::DrinkId;

use super::device::{Scale, blank, framed, messages};

/// Worked by hand from postcard's wire format: bytes as they are, LEB128 for the rest.
#[test]
fn a_hello_and_an_order_are_what_the_format_says() {
    let read = |bytes: &'static [u8]| Request::read(bytes).expect("a request");
    assert_eq!(read(&[1, 0, 2]), (1, Request::Hello { version: 2 }));
    let order = Request::Command(Command::Order(DrinkId(3)));
    assert_eq!(read(&[0xAC, 0x02, 7, 1, 3]), (300, order));
    assert_eq!(Request::read(&[1, 0, 2, 0]), Err(1), "a byte too many");
    assert_eq!(Request::read(&[1, 0x77]), Err(1), "no such request");
    let hello = Hello {
        version: VERSION,
        can: 7,
        sheet: 0x80,
        start: 9,
        room: 0,
    };
    let mut message = [0; MAX_MESSAGE];
    let written = Reply::Hello(hello).write(1, &mut message);
    assert_eq!(written, Some(&[1, 0, VERSION, 7, 0x80, 0x01, 9, 0][..]));
    assert_eq!(Reply::Hello(hello).write(1, &mut [0; 4]), None);
}

/// The first field of a hello is frozen: a later version may say more behind it.
#[test]
fn a_longer_hello_of_a_later_version_is_read() {
    let longer = [1, 0, 99, 7, 5, 9, 0, 1, 2, 3];
    let version = match Reply::read(&longer) {
        Some((1, Reply::Hello(hello))) => hello.version,
        _ => 0,
    };
    assert_eq!(version, 99);
    assert_eq!(Reply::read(&[1, 2, 0]), None, "done, and a byte too many");
}

#[test]
fn what_is_not_known_is_refused_under_its_id() {
    let mut scale = Scale::power_up(blank());
    let mut frame = [0; MAX_FRAME];
    let unknown = seal(&[0x09, 0x77], &mut frame).expect("short");
    let sent = scale.take(unknown);
    let message = messages(&sent).remove(0);
    assert_eq!(
        Reply::read(&message),
        Some((9, Reply::Refused(RequestError::Message)))
    );
    // Whatever version a host speaks, it learns which one the scale does.
    let version = scale.reply(10, Request::Hello { version: 99 }, |tell| match tell {
        Reply::Hello(hello) => hello.version,
        _ => 0,
    });
    assert_eq!(version, VERSION);
}

#[test]
fn an_order_asked_twice_under_one_id_is_one_order() {
    let mut scale = Scale::power_up(blank());
    scale.reply(1, Request::Hello { version: VERSION }, |_| ());
    let order = Request::Command(Command::Order(DrinkId(0)));
    // A drink that is served as it is built: it gets no second glass in the same vessel.
    let first = scale.request(2, order);
    assert_eq!(scale.request(2, order), first);
    let ordered = |scale: &Scale| waiting(&scale.station).orders.len();
    assert_eq!(ordered(&scale), 1);
    assert_ne!(scale.request(3, order), first);
    assert_eq!(ordered(&scale), 2);
    assert!(!framed(3, order).is_empty());
    let refused = scale.reply(4, Request::Command(Command::Order(DrinkId(99))), |tell| {
        tell == Reply::Refused(CommandError::NoSuchDrink { drinks: 6 }.into())
    });
    assert!(refused);
}
