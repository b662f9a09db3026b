//! Settings are kept: the old ones or the new ones, whatever happens to power and flash.

use pennyweight_core::Setup;
use pennyweight_drivers::chips::flash::{Chip, Wrong};
use pennyweight_drivers::flash::Flash;

use super::bench::SETUP;
use crate::{Kept, NotKept};

fn numbered(number: i32) -> Setup {
    Setup {
        zero_code: number,
        counts_per_gram: 400.0 + number as f32,
        ..SETUP
    }
}

fn flash(chip: &Chip) -> Flash<&Chip, &Chip> {
    Flash::new(chip, chip, chip.bytes()).expect("it answers")
}

#[test]
fn the_newest_settings_come_back() {
    let chip = Chip::new(Wrong::Nothing);
    assert_eq!(Kept(&mut flash(&chip)).read(), None);
    for number in 0..5 {
        Kept(&mut flash(&chip))
            .write(&numbered(number))
            .expect("kept");
        assert_eq!(Kept(&mut flash(&chip)).read(), Some(numbered(number)));
    }
    chip.assert_well_treated();
}

#[test]
fn power_may_go_at_any_byte() {
    for before in 1..4 {
        for cut in 0..32 {
            let chip = Chip::new(Wrong::Nothing);
            for number in 0..before {
                Kept(&mut flash(&chip))
                    .write(&numbered(number))
                    .expect("kept");
            }
            chip.cut_power_after(cut);
            assert_eq!(Kept(&mut flash(&chip)).write(&numbered(99)), Err(NotKept));
            chip.power_up();
            // The record ends before the last bytes, which are ones anyway.
            let there = Kept(&mut flash(&chip)).read().expect("old or new");
            let whole = there == numbered(before - 1) || there == numbered(99) && cut >= 20;
            assert!(whole, "{before} before, cut at {cut}: {there:?}");
            // And the next one is kept.
            Kept(&mut flash(&chip)).write(&numbered(7)).expect("kept");
            assert_eq!(Kept(&mut flash(&chip)).read(), Some(numbered(7)));
        }
    }
}

#[test]
fn what_cannot_be_written_is_told() {
    for wrong in [Wrong::Locked, Wrong::Worn, Wrong::NeverDone] {
        let chip = Chip::new(wrong);
        let mut flash = flash(&chip);
        assert_eq!(Kept(&mut flash).write(&SETUP), Err(NotKept), "{wrong:?}");
    }
}
