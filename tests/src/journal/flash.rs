//! NOR flash as it behaves when the power goes.
//!
//! - a bit is written from 1 to 0; only an erase of a whole sector makes ones again;
//! - a word is written once between two erases, or the run fails: parts with a checksum a word
//!   allow no more;
//! - a word that is cut off has some of its bits written, all of them or none. It may read as
//!   erased and yet not take what is written later;
//! - an erase that is cut off leaves part of the sector, or single bits of it, erased; or all of
//!   it, with words that do not take what is written later.

use std::collections::BTreeSet;

use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashError, NorFlashErrorKind, ReadNorFlash,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// What the part reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Broken;

impl NorFlashError for Broken {
    fn kind(&self) -> NorFlashErrorKind {
        NorFlashErrorKind::Other
    }
}

/// What the flash holds, and which words only look erased.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Image {
    pub bytes: Vec<u8>,
    weak: BTreeSet<usize>,
}

impl Image {
    pub fn new(bytes: Vec<u8>) -> Self {
        Self {
            bytes,
            weak: BTreeSet::new(),
        }
    }
}

/// How long things take, microseconds.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Latency {
    pub word: f64,
    pub erase: f64,
    pub read_byte: f64,
}

/// Looks at what the flash would hold if the power went now.
type Watch = Box<dyn FnMut(Image)>;

/// Flash with words of `W` bytes and sectors of `E`.
pub(crate) struct Flash<const W: usize, const E: usize> {
    pub image: Image,
    /// Words written and sectors erased, together.
    pub steps: u64,
    /// The power goes at this step.
    pub cut_at: Option<u64>,
    dead: bool,
    rng: Pcg64,
    pub watch: Option<Watch>,
    pub latency: Latency,
    pub spent_us: f64,
    pub erases: Vec<u32>,
    pub words: u64,
    pub bytes_read: u64,
    /// Words that take nothing any more, by their place.
    pub worn: BTreeSet<usize>,
    /// Sectors that are not erased any more, and how often that was tried.
    pub stuck: BTreeSet<usize>,
    pub tried_in_vain: u32,
}

impl<const W: usize, const E: usize> Flash<W, E> {
    pub fn new(image: Image, seed: u64) -> Self {
        let sectors = image.bytes.len() / E;
        Self {
            image,
            steps: 0,
            cut_at: None,
            dead: false,
            rng: Pcg64::seed_from_u64(seed),
            watch: None,
            latency: Latency::default(),
            spent_us: 0.0,
            erases: vec![0; sectors],
            words: 0,
            bytes_read: 0,
            worn: BTreeSet::new(),
            stuck: BTreeSet::new(),
            tried_in_vain: 0,
        }
    }

    /// Fresh from the factory.
    pub fn blank(sectors: usize, seed: u64) -> Self {
        Self::new(Image::new(vec![0xFF; sectors * E]), seed)
    }

    /// The power is back.
    pub fn revive(&mut self) {
        self.dead = false;
        self.cut_at = None;
    }

    pub const fn is_dead(&self) -> bool {
        self.dead
    }

    /// Counts a step; where the power goes, `tear` does part of it instead.
    fn stands_or_falls(
        &mut self,
        tear: &mut dyn FnMut(&mut Image, &mut Pcg64),
    ) -> Result<(), Broken> {
        if self.dead {
            return Err(Broken);
        }
        if let Some(watch) = &mut self.watch {
            let mut image = self.image.clone();
            tear(&mut image, &mut self.rng);
            watch(image);
        }
        if self.cut_at == Some(self.steps) {
            tear(&mut self.image, &mut self.rng);
            self.dead = true;
            return Err(Broken);
        }
        self.steps += 1;
        Ok(())
    }
}

/// A share that is often none, often all.
fn share(rng: &mut Pcg64) -> f64 {
    [0.0, 0.02, 0.3, 0.5, 0.9, 0.99, 1.0][rng.random_range(0..7)]
}

/// A byte whose bits are set with this chance.
fn bits(rng: &mut Pcg64, share: f64) -> u8 {
    (0..8).fold(0, |byte, bit| {
        byte | u8::from(rng.random_bool(share)) << bit
    })
}

fn torn_erase<const W: usize, const E: usize>(image: &mut Image, rng: &mut Pcg64, at: usize) {
    let way = rng.random_range(0..4);
    let share = share(rng);
    let until = rng.random_range(0..E);
    for (offset, byte) in image.bytes[at..at + E].iter_mut().enumerate() {
        *byte |= match way {
            0 if offset < until => 0xFF,
            0 => 0,
            1 if offset >= until => 0xFF,
            1 => 0,
            2 => bits(rng, share),
            _ => 0xFF,
        };
    }
    for word in (at..at + E).step_by(W) {
        if rng.random_bool(0.3) {
            image.weak.insert(word);
        }
    }
}

impl<const W: usize, const E: usize> ErrorType for Flash<W, E> {
    type Error = Broken;
}

impl<const W: usize, const E: usize> ReadNorFlash for Flash<W, E> {
    const READ_SIZE: usize = 4;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Broken> {
        let at = offset as usize;
        assert!(
            at.is_multiple_of(4) && bytes.len().is_multiple_of(4),
            "an uneven read"
        );
        assert!(at + bytes.len() <= self.image.bytes.len(), "read beyond");
        if self.dead {
            return Err(Broken);
        }
        self.bytes_read += bytes.len() as u64;
        self.spent_us += self.latency.read_byte * bytes.len() as f64;
        bytes.copy_from_slice(&self.image.bytes[at..at + bytes.len()]);
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.image.bytes.len()
    }
}

impl<const W: usize, const E: usize> NorFlash for Flash<W, E> {
    const WRITE_SIZE: usize = W;
    const ERASE_SIZE: usize = E;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), Broken> {
        let (from, to) = (from as usize, to as usize);
        assert!(
            from.is_multiple_of(E)
                && to.is_multiple_of(E)
                && from < to
                && to <= self.image.bytes.len()
        );
        for at in (from..to).step_by(E) {
            if self.stuck.contains(&(at / E)) {
                self.spent_us += self.latency.erase;
                self.tried_in_vain += 1;
                return Err(Broken);
            }
            self.stands_or_falls(&mut |image, rng| torn_erase::<W, E>(image, rng, at))?;
            self.image.bytes[at..at + E].fill(0xFF);
            self.image.weak.retain(|word| !(at..at + E).contains(word));
            self.erases[at / E] += 1;
            self.spent_us += self.latency.erase;
        }
        Ok(())
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Broken> {
        let at = offset as usize;
        assert!(
            at.is_multiple_of(W) && bytes.len().is_multiple_of(W),
            "an uneven write"
        );
        assert!(at + bytes.len() <= self.image.bytes.len(), "write beyond");
        for (index, word) in bytes.chunks(W).enumerate() {
            let at = at + index * W;
            if self.worn.contains(&at) {
                continue;
            }
            assert!(
                self.image.bytes[at..at + W]
                    .iter()
                    .all(|byte| *byte == 0xFF),
                "the word at {at} is written twice"
            );
            self.stands_or_falls(&mut |image, rng| tear(image, rng, at, word))?;
            self.words += 1;
            self.spent_us += self.latency.word;
            let weak = self.image.weak.contains(&at);
            for (place, byte) in self.image.bytes[at..at + W].iter_mut().zip(word) {
                *place &= if weak {
                    byte | bits(&mut self.rng, 0.2)
                } else {
                    *byte
                };
            }
        }
        Ok(())
    }
}

/// Writes part of a word.
fn tear(image: &mut Image, rng: &mut Pcg64, at: usize, word: &[u8]) {
    let share = share(rng);
    for (place, byte) in image.bytes[at..at + word.len()].iter_mut().zip(word) {
        *place &= byte | bits(rng, 1.0 - share);
    }
    if rng.random() {
        image.weak.insert(at);
    }
}
