//! Flash that holds nonsense: no panic, bounded work, and in the end a journal.

use pennyweight_core::journal::limits::ENTRY_MAX;
use pennyweight_core::journal::payload::PowerUps;
use pennyweight_core::journal::{Condition, Journal, SheetPlaces};
use pennyweight_core::weigh::Calibration;
use proptest::prelude::*;
use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::cuts::fresh;
use crate::fuzzed::targets::carry_on_with;

use super::flash::{Flash, Image};
use super::things::{self, Thing};

const SECTOR: usize = 8 * 1024;
const BYTES: usize = 3 * SECTOR;

/// Reads everything there is and makes a journal of it; nothing it holds may break that.
fn live_with(bytes: Vec<u8>) {
    let flash = Flash::<4, SECTOR>::new(Image::new(bytes), 1);
    let (mut journal, _) = Journal::open(flash).expect("it is fit");
    let opened = journal.flash().bytes_read;
    // Every byte once for the walk and once for its checks; what lies astray is checked from every
    // step, each time for up to an entry.
    let most = (BYTES / 4 * (8 + ENTRY_MAX) + 4 * BYTES) as u64;
    assert!(opened < most, "{opened} bytes read to open");
    carry_on_with(journal);
}

/// A journal some time in use.
fn used(seed: u64) -> Vec<u8> {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut journal = fresh(Flash::<4, SECTOR>::blank(3, seed));
    for _ in 0..500 {
        Thing::any(&mut rng)
            .write(&mut journal)
            .expect("there is room");
        while journal.is_untidy() {
            journal.tidy().expect("it is whole");
        }
    }
    journal.release().image.bytes
}

/// A sector that is begun as it should be and then holds `body`, over and over.
fn begun(body: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    for sector in 0..3u32 {
        let mut all = b"PWJRNAL\x01".to_vec();
        for figure in [sector, 9, !sector, !9] {
            all.extend(figure.to_le_bytes());
        }
        all.extend(body.iter().cycle().take(SECTOR - all.len()));
        bytes.extend(all);
    }
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_are_no_journal(seed: u64, ones in 0.0..1.0) {
        let mut rng = Pcg64::seed_from_u64(seed);
        let bytes = (0..BYTES).map(|_| if rng.random_bool(ones) { 0xFF } else { rng.next_u32() as u8 });
        live_with(bytes.collect());
    }

    #[test]
    fn random_entries_break_nothing(body in proptest::collection::vec(any::<u8>(), 1..600)) {
        live_with(begun(&body));
    }

    #[test]
    fn heads_that_lie_break_nothing(heads in proptest::collection::vec((any::<u8>(), any::<u8>(), any::<u8>(), any::<u32>()), 1..40)) {
        let body: Vec<u8> = heads
            .iter()
            .flat_map(|(key, version, length, crc)| {
                let zeros = [key, version, length].map(|byte| byte.count_zeros() as u8);
                let front = [*key, *version, *length, zeros.iter().sum()];
                [front, crc.to_le_bytes()].concat()
            })
            .collect();
        live_with(begun(&body));
    }

    #[test]
    fn flipped_bits_break_nothing(seed in 0..4u64, flips in proptest::collection::vec((0..BYTES, 0..8), 1..200)) {
        let mut bytes = used(seed);
        for (at, bit) in flips {
            bytes[at] ^= 1u8 << bit;
        }
        live_with(bytes);
    }

    #[test]
    fn what_was_cut_short_breaks_nothing(seed in 0..4u64, from in 0..BYTES, length in 0..BYTES, with in prop_oneof![Just(0xFF), Just(0u8)]) {
        let mut bytes = used(seed);
        let end = (from + length).min(BYTES);
        bytes[from..end].fill(with);
        live_with(bytes);
    }

    #[test]
    fn random_bytes_are_no_sheet(seed: u64, flips in proptest::collection::vec((0..64usize, 0..8), 0..20)) {
        let mut rng = Pcg64::seed_from_u64(seed);
        let mut bytes: Vec<u8> = (0..BYTES).map(|_| rng.next_u32() as u8).collect();
        bytes[..8].copy_from_slice(b"PWSHEET\x01");
        // A head as it should be, that promises what it likes.
        let figures: [u32; 3] = rng.random();
        for (at, figure) in figures.iter().chain(&figures.map(|figure| !figure)).enumerate() {
            bytes[8 + 4 * at..12 + 4 * at].copy_from_slice(&figure.to_le_bytes());
        }
        for (at, bit) in flips {
            bytes[at] ^= 1u8 << bit;
        }
        let mut places = SheetPlaces::open(Flash::<4, 4096>::new(Image::new(bytes), 1)).unwrap();
        prop_assert_eq!(places.used(), None);
        places.prepare();
        while places.is_untidy() {
            places.tidy().unwrap();
        }
        prop_assert_eq!(places.begin(100, 1), Ok(()));
    }
}

#[test]
fn one_flipped_bit_costs_one_entry_at_most() {
    let mut rng = Pcg64::seed_from_u64(3);
    let mut journal = fresh(Flash::<4, SECTOR>::blank(3, 3));
    let count = 100;
    for _ in 0..count {
        journal.log(&things::pour(&mut rng)).unwrap();
    }
    let whole = journal.release().image.bytes;
    // Behind the 24 bytes that begin a sector; up to where the last entry begins.
    for _ in 0..1_000 {
        let mut bytes = whole.clone();
        bytes[rng.random_range(24..4_000)] ^= 1 << rng.random_range(0..8);
        let flash = Flash::<4, SECTOR>::new(Image::new(bytes), 1);
        let (mut journal, _) = Journal::open(flash).unwrap();
        let found = things::records(&mut journal).len();
        assert!(found + 1 >= count, "{found} of {count}");
    }
}

#[test]
fn a_foreign_flash_is_told_and_made_a_journal() {
    let mut rng = Pcg64::seed_from_u64(4);
    let bytes: Vec<u8> = (0..BYTES).map(|_| rng.next_u32() as u8).collect();
    let flash = Flash::<4, SECTOR>::new(Image::new(bytes), 1);
    let (mut journal, condition) = Journal::open(flash).unwrap();
    assert_eq!(condition, Condition::Damaged);
    assert_eq!(journal.get::<Calibration>(0), Ok(None));
    while journal.is_untidy() {
        journal.tidy().unwrap();
    }
    journal.put(0, &PowerUps(1)).unwrap();
    let (mut journal, condition) = Journal::open(journal.release()).unwrap();
    assert_eq!(condition, Condition::Whole);
    assert_eq!(journal.get(0), Ok(Some(PowerUps(1))));
}

#[test]
fn flash_that_does_not_fit_is_refused() {
    assert!(Journal::open(Flash::<4, SECTOR>::blank(2, 1)).is_err());
    assert!(Journal::open(Flash::<64, SECTOR>::blank(3, 1)).is_err());
    // Six sectors of 4 KiB are three of eight.
    assert!(Journal::open(Flash::<4, 4096>::blank(6, 1)).is_ok());
    assert!(Journal::open(Flash::<4, 4096>::blank(5, 1)).is_err());
    assert!(SheetPlaces::open(Flash::<4, SECTOR>::blank(1, 1)).is_err());
}
