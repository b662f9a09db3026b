//! Frames of the link against their published definitions, and against hostile bytes.

use pennyweight_core::input::{Command, Input, Mode};
use pennyweight_core::link::{
    FrameError, MAX_FRAME, MAX_MESSAGE, Receiver, Reply, Request, RequestError, STRIP_BYTES,
    STRIPS, seal,
};
use pennyweight_core::units::{AdcCode, Grams};
use pennyweight_core::{Instant, Outputs, Setup};
use proptest::prelude::*;

use super::desk::{DeskStation, opened, sealed};

/// CRC-16/IBM-SDLC bit by bit, as ITU-T V.42 (2002), 8.1.1.6.1 describes it: all ones to begin
/// with, x^16 + x^12 + x^5 + 1, lowest bit first, the ones' complement sent low byte first.
fn check_sequence(message: &[u8]) -> [u8; 2] {
    let mut register = 0xffff_u16;
    for byte in message {
        for bit in 0..8 {
            let feedback = (register ^ u16::from(byte >> bit)) & 1;
            register >>= 1;
            if feedback == 1 {
                // The polynomial 0x1021, its bits reversed.
                register ^= 0x8408;
            }
        }
    }
    (!register).to_le_bytes()
}

/// The message that `receiver` makes of `frame`, byte by byte.
fn received(receiver: &mut Receiver, frame: &[u8]) -> Option<Result<Vec<u8>, FrameError>> {
    let mut last = None;
    for &byte in frame {
        if let Some(message) = receiver.take(byte) {
            last = Some(message.map(<[u8]>::to_vec));
        }
    }
    last
}

/// The check value that the catalogue of parametrised CRC algorithms gives for CRC-16/IBM-SDLC
/// over "123456789": 0x906e.
#[test]
fn checksum_is_the_published_one() {
    assert_eq!(check_sequence(b"123456789"), 0x906e_u16.to_le_bytes());
    let mut frame = [0; MAX_FRAME];
    let frame = seal(b"123456789", &mut frame).expect("short enough");
    assert_eq!(frame, b"\x0c123456789\x6e\x90\x00");
}

/// The same bytes through another implementation of COBS.
#[test]
fn frames_are_what_another_cobs_makes_of_them() {
    for length in 0..=MAX_MESSAGE {
        for fill in [0_u8, 1, 0xff] {
            let message = vec![fill; length];
            let mut body = message.clone();
            body.extend_from_slice(&check_sequence(&message));
            let mut expected = cobs::encode_vec(&body);
            expected.push(0);
            let mut frame = [0; MAX_FRAME];
            let frame = seal(&message, &mut frame).expect("short enough");
            assert_eq!(frame, expected, "{length} bytes of {fill}");
        }
    }
}

#[test]
fn a_message_too_long_is_not_sealed() {
    let mut frame = [0; MAX_FRAME];
    assert_eq!(
        seal(&[0; MAX_MESSAGE + 1], &mut frame),
        Err(FrameError::Length)
    );
}

#[test]
fn a_frame_too_long_is_dropped_and_the_next_one_read() {
    let mut receiver = Receiver::new();
    let mut long = cobs::encode_vec(&vec![7; 100_000]);
    long.push(0);
    assert_eq!(
        received(&mut receiver, &long),
        Some(Err(FrameError::Length))
    );
    let mut frame = [0; MAX_FRAME];
    let frame = seal(b"next", &mut frame).expect("short enough");
    assert_eq!(received(&mut receiver, frame), Some(Ok(b"next".to_vec())));
}

/// Every single wrong bit, and every frame cut short, is found out.
#[test]
fn damage_is_noticed() {
    let good = sealed(&Request::Handle {
        at: Instant::from_micros(123_456_789),
        input: Input::Code(AdcCode(-8_388_608)),
    });
    for bit in 0..(good.len() - 1) * 8 {
        let mut bad = good.clone();
        bad[bit / 8] ^= 1 << (bit % 8);
        // A bit may turn a byte into an end mark: then two frames are wrong instead of one.
        let mut receiver = Receiver::new();
        for &byte in &bad {
            if let Some(message) = receiver.take(byte) {
                assert!(message.is_err(), "bit {bit} was not noticed");
            }
        }
    }
    for end in 1..good.len() - 1 {
        let mut cut = good[..end].to_vec();
        cut.push(0);
        let mut receiver = Receiver::new();
        assert!(matches!(received(&mut receiver, &cut), Some(Err(_))));
    }
}

#[test]
fn a_damaged_request_is_refused_and_the_next_one_answered() {
    let mut desk = DeskStation::new();
    let refused = desk.ask(&[5, 1, 2, 0]);
    assert_eq!(
        opened(&refused, |reply| reply
            == Reply::Refused(RequestError::Frame)),
        Ok(true)
    );
    let unknown = desk.ask(&{
        let mut frame = [0; MAX_FRAME];
        seal(&[250], &mut frame).expect("short enough").to_vec()
    });
    assert_eq!(
        opened(&unknown, |reply| reply
            == Reply::Refused(RequestError::Message)),
        Ok(true)
    );
    let stats = desk.ask(&sealed(&Request::Stats));
    assert_eq!(
        opened(
            &stats,
            |reply| matches!(reply, Reply::Stats(stats) if stats.refused == 2)
        ),
        Ok(true)
    );
}

#[test]
fn setups_that_no_scale_can_have_are_refused() {
    let good = Setup {
        zero_code: 0,
        counts_per_gram: 1000.0,
        sps: 80.0,
        mode: Mode::Service,
    };
    let wrong = |counts_per_gram, sps| Setup {
        counts_per_gram,
        sps,
        ..good
    };
    let mut desk = DeskStation::new();
    let mut answer = |setup: &Setup| {
        let reply = desk.ask(&sealed(&Request::reset(setup)));
        opened(&reply, |reply| match reply {
            Reply::Done => Ok(()),
            Reply::Refused(why) => Err(why),
            other => panic!("{other:?}"),
        })
        .expect("a reply")
    };
    assert_eq!(answer(&good), Ok(()));
    for setup in [
        wrong(0.0, 80.0),
        wrong(f32::NAN, 80.0),
        wrong(f32::INFINITY, 80.0),
        wrong(1000.0, 0.0),
        wrong(1000.0, -80.0),
        wrong(1000.0, f32::NAN),
    ] {
        assert_eq!(answer(&setup), Err(RequestError::Setting), "{setup:?}");
    }
}

#[test]
fn the_panel_comes_in_strips() {
    let mut desk = DeskStation::new();
    let ready = desk.ask(&sealed(&Request::Paint));
    assert_eq!(opened(&ready, |reply| reply == Reply::Done), Ok(true));
    for strip in 0..STRIPS {
        let reply = desk.ask(&sealed(&Request::Strip(strip)));
        let whole = opened(
            &reply,
            |reply| matches!(reply, Reply::Strip { index, rows } if index == strip && rows.len() == STRIP_BYTES),
        );
        assert_eq!(whole, Ok(true));
    }
    let none = desk.ask(&sealed(&Request::Strip(STRIPS)));
    assert_eq!(
        opened(&none, |reply| reply
            == Reply::Refused(RequestError::Strip(STRIPS))),
        Ok(true)
    );
}

#[test]
fn an_answer_holds_what_the_station_gave() {
    let mut desk = DeskStation::new();
    let reply = desk.ask(&sealed(&Request::Handle {
        at: Instant::from_micros(1),
        input: Input::Command(Command::Target(Grams(28.4))),
    }));
    let outputs = opened(&reply, |reply| match reply {
        Reply::Handled { outputs, .. } => Some(outputs),
        _ => None,
    });
    assert_eq!(outputs, Ok(Some(Outputs::default())));
}

proptest! {
    /// Any message comes back, whatever was received before it.
    #[test]
    fn messages_survive_the_wire(
        noise in prop::collection::vec(any::<u8>(), 0..700),
        message in prop::collection::vec(any::<u8>(), 0..=MAX_MESSAGE),
    ) {
        let mut receiver = Receiver::new();
        received(&mut receiver, &noise);
        // An end mark ends whatever the noise had begun.
        receiver.take(0);
        let mut frame = [0; MAX_FRAME];
        let frame = seal(&message, &mut frame).expect("short enough");
        prop_assert_eq!(received(&mut receiver, frame), Some(Ok(message)));
    }

    /// Bytes from anywhere, and whole frames with bytes from anywhere in them, are answered or
    /// refused; nothing breaks, and what is answered can be read.
    #[test]
    fn hostile_bytes_are_answered(
        noise in prop::collection::vec(any::<u8>(), 0..600),
        message in prop::collection::vec(any::<u8>(), 0..40),
    ) {
        let mut desk = DeskStation::new();
        desk.ask(&noise);
        desk.ask(&[0]);
        let mut frame = [0; MAX_FRAME];
        let frame = seal(&message, &mut frame).expect("short enough");
        let reply = desk.ask(frame);
        prop_assert_eq!(opened(&reply, |_| ()), Ok(()));
    }
}
