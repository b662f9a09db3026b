//! Whether a view differs from the last one, told by a signature: to compare two of them field by
//! field takes 1.4 KB of flash, and one of them kept.

use core::hash::{Hash, Hasher};

use crate::view::View;

/// Words mixed in by multiplying with an odd number and turning: of two views one in 4 thousand
/// million has the other's signature, and then the next change is drawn.
struct Signature(u32);

impl Signature {
    #[inline(never)]
    fn mix(&mut self, word: u32) {
        self.0 = (self.0 ^ word).wrapping_mul(0x9E37_79B1).rotate_left(13);
    }
}

impl Hasher for Signature {
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.mix((*byte).into());
        }
    }

    fn write_u8(&mut self, value: u8) {
        self.mix(value.into());
    }

    fn write_u16(&mut self, value: u16) {
        self.mix(value.into());
    }

    fn write_u32(&mut self, value: u32) {
        self.mix(value);
    }

    /// Which variant of an enum it is: there are few.
    fn write_usize(&mut self, value: usize) {
        self.mix(value as u32);
    }

    fn finish(&self) -> u64 {
        self.0.into()
    }
}

/// The signature of a view; its light follows from its page.
#[inline(never)]
pub(super) fn sign(view: &View<'_>) -> u32 {
    let mut signature = Signature(1);
    view.page.hash(&mut signature);
    view.sound.hash(&mut signature);
    view.ramp.map(f32::to_bits).hash(&mut signature);
    signature.0
}
