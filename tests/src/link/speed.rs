//! What the link costs: memory on the scale, seconds on the wire.

use pennyweight_core::link::{MAX_FRAME, seal};
use pennyweight_core::link::{PART_BYTES, Reply, Request, Server};
use pennyweight_core::panel::Frame;

use super::device::framed;

/// A byte takes ten bits on the wire: start, eight, stop.
const BITS_A_BYTE: f64 = 10.0;

#[test]
fn a_sheet_of_200_lines_is_pushed_in_seconds() {
    // 60 liquids and 26 drinks, 200 build lines: a record of a pour takes 7 to 9 bytes, a note up
    // to 52, a liquid up to 40, so that 6 KiB is a long one.
    let sheet = vec![0x5A; 6 * 1024];
    let mut sent = framed(
        1,
        Request::Sheet {
            length: 6144,
            crc: u32::MAX,
        },
    )
    .len();
    let mut frame = [0; MAX_FRAME];
    let mut back = [0; 32];
    let reply = Reply::Filled { bytes: 6144 }
        .write(300, &mut back)
        .expect("it fits");
    let answer = seal(reply, &mut frame).expect("it fits").len();
    let mut answers = answer;
    for (index, part) in sheet.chunks(PART_BYTES).enumerate() {
        let offset = (index * PART_BYTES) as u32;
        sent += framed(
            300,
            Request::Part {
                offset,
                bytes: part,
            },
        )
        .len();
        answers += answer;
    }
    let seconds = (sent + answers) as f64 * BITS_A_BYTE / 115_200.0;
    println!("{sent} bytes there, {answers} back: {seconds:.2} s at 115,200 bits per second");
    assert!(seconds < 1.0, "{seconds}");
}

#[test]
fn the_link_takes_2_kib_of_memory() {
    // The panel's picture is not the link's.
    let link = size_of::<Server<'static>>() - size_of::<Frame>();
    println!("{link} bytes on this machine, pointers twice as wide as the scale's");
    assert!(link <= 2048, "{link}");
}
