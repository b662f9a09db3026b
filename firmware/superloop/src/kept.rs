//! What the scale keeps over a power cut: how its cell and converter were calibrated.
//!
//! Two sectors take turns: the newer record is written where the older one lies, which is erased
//! first. Power may go at any moment: what is read afterwards is the old settings or the new ones.
//!
//! | bytes | what | |
//! |---|---|---|
//! | 0-3 | number | one more than that of the record before |
//! | 4-7 | code of the empty pan | signed |
//! | 8-11, 12-15 | codes per gram, conversions a second | IEEE 754 |
//! | 16 | way of working | |
//! | 17 | [`FORMAT`] | |
//! | 18-19 | CRC-16/IBM-SDLC of the bytes before | ITU-T V.42 |
//! | 20-31 | ones | parts write words |
//!
//! All little-endian.

use crc::{CRC_16_IBM_SDLC, Crc, NoTable};
use embedded_storage::nor_flash::NorFlash;
use pennyweight_core::{Mode, Setup};

/// Changes with the layout above.
const FORMAT: u8 = 0xC1;
const LENGTH: usize = 32;
const CHECKED: usize = 18;
const CHECK: Crc<u16, NoTable> = Crc::<u16, NoTable>::new(&CRC_16_IBM_SDLC);

/// Settings could not be written: the flash is absent, worn out or locked. What was kept before
/// is kept still.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotKept;

/// Settings in two sectors of a flash.
#[derive(Debug)]
pub struct Kept<'f, F>(pub &'f mut F);

impl<F: NorFlash> Kept<'_, F> {
    /// The newest settings that are whole.
    pub fn read(&mut self) -> Option<Setup> {
        self.newest().map(|(_, _, setup)| setup)
    }

    /// Writes settings, and reads them back.
    ///
    /// # Errors
    /// See [`NotKept`].
    pub fn write(&mut self, setup: &Setup) -> Result<(), NotKept> {
        let newest = self.newest();
        let (sector, number) = match newest {
            Some((0, number, _)) => (1, number.wrapping_add(1)),
            Some((_, number, _)) => (0, number.wrapping_add(1)),
            None => (0, 0),
        };
        let from = place::<F>(sector);
        let to = from.saturating_add(F::ERASE_SIZE as u32);
        self.0.erase(from, to).map_err(|_| NotKept)?;
        self.0
            .write(from, &record(number, setup))
            .map_err(|_| NotKept)?;
        if self.at(sector) == Some((number, *setup)) {
            Ok(())
        } else {
            Err(NotKept)
        }
    }

    fn newest(&mut self) -> Option<(u32, u32, Setup)> {
        let first = self.at(0).map(|(number, setup)| (0, number, setup));
        let second = self.at(1).map(|(number, setup)| (1, number, setup));
        match (first, second) {
            // The distance tells, so that numbers may wrap.
            (Some(one), Some(other)) if other.1.wrapping_sub(one.1) < u32::MAX / 2 => Some(other),
            (Some(one), _) => Some(one),
            (None, other) => other,
        }
    }

    fn at(&mut self, sector: u32) -> Option<(u32, Setup)> {
        let mut bytes = [0; LENGTH];
        self.0.read(place::<F>(sector), &mut bytes).ok()?;
        settings(&bytes)
    }
}

const fn place<F: NorFlash>(sector: u32) -> u32 {
    (F::ERASE_SIZE as u32).saturating_mul(sector)
}

fn record(number: u32, setup: &Setup) -> [u8; LENGTH] {
    let [n0, n1, n2, n3] = number.to_le_bytes();
    let [z0, z1, z2, z3] = setup.zero_code.to_le_bytes();
    let [c0, c1, c2, c3] = setup.counts_per_gram.to_bits().to_le_bytes();
    let [s0, s1, s2, s3] = setup.sps.to_bits().to_le_bytes();
    let mode = match setup.mode {
        Mode::Service => 0,
        Mode::Develop => 1,
        Mode::Prep => 2,
        Mode::Plain => 3,
    };
    let checked = [
        n0, n1, n2, n3, z0, z1, z2, z3, c0, c1, c2, c3, s0, s1, s2, s3, mode, FORMAT,
    ];
    let [low, high] = CHECK.checksum(&checked).to_le_bytes();
    let mut bytes = [0xFF; LENGTH];
    let check = [low, high];
    for (byte, value) in bytes.iter_mut().zip(checked.iter().chain(&check)) {
        *byte = *value;
    }
    bytes
}

fn settings(bytes: &[u8; LENGTH]) -> Option<(u32, Setup)> {
    let (checked, rest) = bytes.split_first_chunk::<CHECKED>()?;
    let (check, _) = rest.split_first_chunk::<2>()?;
    if CHECK.checksum(checked) != u16::from_le_bytes(*check) {
        return None;
    }
    let [
        n0,
        n1,
        n2,
        n3,
        z0,
        z1,
        z2,
        z3,
        c0,
        c1,
        c2,
        c3,
        s0,
        s1,
        s2,
        s3,
        mode,
        format,
    ] = *checked;
    let setup = Setup {
        zero_code: i32::from_le_bytes([z0, z1, z2, z3]),
        counts_per_gram: f32::from_bits(u32::from_le_bytes([c0, c1, c2, c3])),
        sps: f32::from_bits(u32::from_le_bytes([s0, s1, s2, s3])),
        mode: match mode {
            0 => Mode::Service,
            1 => Mode::Develop,
            2 => Mode::Prep,
            3 => Mode::Plain,
            _ => return None,
        },
    };
    let sound = format == FORMAT
        && setup.counts_per_gram.is_normal()
        && setup.sps.is_normal()
        && setup.sps > 0.0;
    sound.then_some((u32::from_le_bytes([n0, n1, n2, n3]), setup))
}
