//! The core's own writer against postcard, whose wire format it claims.

use pennyweight_core::link::write;
use proptest::prelude::*;
use serde::Serialize;

/// One of every kind of thing that a message may hold.
#[derive(Clone, Debug, Serialize)]
enum Thing {
    Nothing,
    Alone(u32),
    Whole {
        flag: bool,
        small: (u8, i8),
        unsigned: (u16, u32, u64),
        signed: (i16, i32, i64),
        floats: (f32, f64),
        maybe: Option<u64>,
        several: Vec<u16>,
        wrapped: Wrapped,
        unit: (),
    },
}

#[derive(Clone, Debug, Serialize)]
struct Wrapped(i32);

fn things() -> impl Strategy<Value = Thing> {
    let whole = (
        any::<(bool, (u8, i8))>(),
        any::<(u16, u32, u64)>(),
        any::<(i16, i32, i64)>(),
        any::<(f32, f64)>(),
        any::<(Option<u64>, i32)>(),
        prop::collection::vec(any::<u16>(), 0..300),
    );
    prop_oneof![
        Just(Thing::Nothing),
        any::<u32>().prop_map(Thing::Alone),
        whole.prop_map(
            |((flag, small), unsigned, signed, floats, (maybe, wrapped), several)| Thing::Whole {
                flag,
                small,
                unsigned,
                signed,
                floats,
                maybe,
                several,
                wrapped: Wrapped(wrapped),
                unit: (),
            }
        ),
    ]
}

proptest! {
    #[test]
    fn bytes_are_those_of_postcard(thing in things()) {
        let mut buffer = [0; 2048];
        let written = write(&thing, &mut buffer).map(<[u8]>::to_vec);
        prop_assert_eq!(written, Ok(postcard::to_allocvec(&thing).expect("written")));
    }

    /// Nothing is written past the end; a buffer that just holds the message is enough.
    #[test]
    fn a_buffer_too_small_is_an_error(thing in things(), missing in 1..40_usize) {
        let needed = postcard::to_allocvec(&thing).expect("written").len();
        let mut exact = vec![0; needed];
        prop_assert!(write(&thing, &mut exact).is_ok());
        let mut short = vec![0; needed.saturating_sub(missing)];
        prop_assert!(write(&thing, &mut short).is_err());
    }
}

#[test]
fn what_no_message_holds_is_refused() {
    assert!(write(&"words", &mut [0; 64]).is_err());
    assert!(write(&'w', &mut [0; 64]).is_err());
    assert!(write(&1_u128, &mut [0; 64]).is_err());
}
