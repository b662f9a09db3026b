//! Bytes that make no sense: no panic, bounded memory, and the next good frame is understood.

use pennyweight_core::link::{MAX_MESSAGE, Receiver, seal};
use pennyweight_core::link::{Reply, Request, VERSION};
use proptest::prelude::*;

use super::device::{Scale, blank, framed as request_framed};

fn is_answered(scale: &mut Scale) -> bool {
    // Ends whatever was cut off.
    scale.take(&[0]);
    scale.reply(9, Request::Hello { version: VERSION }, |tell| {
        matches!(tell, Reply::Hello(_))
    })
}

/// A message in a right frame.
fn framed(message: &[u8]) -> Vec<u8> {
    let mut frame = [0; pennyweight_core::link::MAX_FRAME];
    seal(message, &mut frame).expect("it fits").to_vec()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn noise_leaves_the_next_frame_readable(noise in proptest::collection::vec(any::<u8>(), 0..2_000)) {
        let mut scale = Scale::power_up(blank());
        scale.take(&noise);
        prop_assert!(is_answered(&mut scale));
    }

    #[test]
    fn messages_of_nonsense_are_answered_or_refused(
        messages in proptest::collection::vec((0u8..30, proptest::collection::vec(any::<u8>(), 0..40)), 1..30)
    ) {
        let mut scale = Scale::power_up(blank());
        for (code, fields) in messages {
            let mut message = vec![5, code];
            message.extend(fields);
            let sent = scale.take(&framed(&message));
            prop_assert!(!sent.is_empty());
            scale.rest();
        }
        prop_assert!(is_answered(&mut scale));
    }

    #[test]
    fn every_message_reads_without_a_panic(bytes in proptest::collection::vec(any::<u8>(), 0..MAX_MESSAGE)) {
        let _ = Request::read(&bytes);
        let _ = Reply::read(&bytes);
    }

    #[test]
    fn frames_cut_short_and_played_again_change_nothing(cut in 1usize..200, times in 1usize..4) {
        let mut scale = Scale::power_up(blank());
        let frame = request_framed(7, Request::Part { offset: 0, bytes: &[7; 200] });
        for _ in 0..times {
            scale.take(&frame[..cut.min(frame.len())]);
            scale.take(&frame);
        }
        prop_assert!(is_answered(&mut scale));
    }
}

/// A frame that never ends takes no memory.
#[test]
fn a_frame_without_end_is_dropped() {
    let mut receiver = Receiver::new();
    for index in 0..1_000_000u32 {
        assert!(receiver.take((index % 255 + 1) as u8).is_none());
    }
    let mut scale = Scale::power_up(blank());
    scale.take(&[0xFF; 100_000]);
    assert!(is_answered(&mut scale));
}
