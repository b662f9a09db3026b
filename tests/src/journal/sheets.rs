//! A sheet is swapped whole or not at all.

use pennyweight_core::journal::{PlaceError, SheetPlaces};
use pennyweight_core::spec::Sheet;
use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::flash::{Flash, Image};

const SECTOR: usize = 16 * 1024;
/// Two places of 48 KiB.
const SECTORS: usize = 6;

/// CRC-32 by a general-purpose library.
fn crc(bytes: &[u8]) -> u32 {
    crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(bytes)
}

/// Something as long as a sheet; its first bytes tell which.
fn sheet(number: u8, length: usize) -> Vec<u8> {
    let mut rng = Pcg64::seed_from_u64(u64::from(number));
    let mut bytes: Vec<u8> = (0..length).map(|_| rng.next_u32() as u8).collect();
    bytes[0] = number;
    bytes
}

fn open<const W: usize>(image: Image) -> SheetPlaces<Flash<W, SECTOR>> {
    SheetPlaces::open(Flash::new(image, 1)).expect("it is fit")
}

fn prepare<const W: usize>(places: &mut SheetPlaces<Flash<W, SECTOR>>) -> Result<(), PlaceError> {
    places.prepare();
    while places.is_untidy() {
        places.tidy()?;
    }
    Ok(())
}

fn push<const W: usize>(
    places: &mut SheetPlaces<Flash<W, SECTOR>>,
    bytes: &[u8],
) -> Result<(), PlaceError> {
    places.begin(bytes.len() as u32, crc(bytes))?;
    for (part, chunk) in bytes.chunks(128).enumerate() {
        places.part(part as u32 * 128, chunk)?;
    }
    places.commit().map(drop)
}

/// The sheet in use.
fn used<const W: usize>(places: &mut SheetPlaces<Flash<W, SECTOR>>) -> Option<Vec<u8>> {
    let span = places.used()?;
    let span = span.start as usize..span.end as usize;
    Some(places.flash().image.bytes[span].to_vec())
}

fn blank() -> Image {
    Image::new(vec![0xFF; SECTORS * SECTOR])
}

#[test]
fn a_packed_sheet_is_read_where_it_lies() {
    let packed = include_bytes!("../../../firmware/demo.sheet");
    let mut places = open::<4>(blank());
    assert_eq!(places.used(), None);
    prepare(&mut places).unwrap();
    push(&mut places, packed).unwrap();
    let mut places = open::<4>(places.release().image);
    assert_eq!(places.crc(), Some(crc(packed)));
    let bytes = used(&mut places).unwrap();
    let read = Sheet::new(&bytes).expect("the sheet is whole");
    assert_eq!(read, Sheet::new(packed).unwrap());
}

/// Cuts at every step of two swaps, `thin` of them left out; how many.
fn cut_a_swap<const W: usize>(thin: u64) -> u64 {
    let (old, new) = (sheet(1, 3_001), sheet(2, 2_500));
    let mut places = open::<W>(blank());
    prepare(&mut places).unwrap();
    push(&mut places, &old).unwrap();
    prepare(&mut places).unwrap();
    push(&mut places, &sheet(0, 4_000)).unwrap();
    prepare(&mut places).unwrap();
    push(&mut places, &old).unwrap();
    let before = places.release().image;
    for cut in 0.. {
        let mut flash = Flash::<W, SECTOR>::new(before.clone(), cut);
        flash.cut_at = Some(cut * thin);
        let mut places = SheetPlaces::open(flash).unwrap();
        let done = prepare(&mut places).and_then(|()| push(&mut places, &new));
        let mut flash = places.release();
        let was_cut = flash.is_dead();
        flash.revive();
        let mut places = open::<W>(flash.image);
        let found = used(&mut places);
        if !was_cut {
            assert_eq!(done, Ok(()));
            assert_eq!(found, Some(new));
            return cut;
        }
        assert!(done.is_err());
        assert!(
            found.as_ref() == Some(&old) || found.as_ref() == Some(&new),
            "{cut}"
        );
        // And from there on.
        prepare(&mut places).unwrap();
        push(&mut places, &new).unwrap();
        assert_eq!(used(&mut places), Some(new.clone()));
    }
    0
}

#[test]
fn cut_anywhere_the_old_sheet_or_the_new_one_stands() {
    assert!(cut_a_swap::<4>(1) > 600);
    assert!(cut_a_swap::<8>(1) > 300);
    assert!(cut_a_swap::<32>(1) > 80);
}

#[test]
fn what_is_not_whole_is_refused() {
    let (old, new) = (sheet(1, 1_000), sheet(2, 1_000));
    let mut places = open::<4>(blank());
    assert_eq!(places.begin(1_000, 0), Err(PlaceError::Busy));
    prepare(&mut places).unwrap();
    push(&mut places, &old).unwrap();
    // The other place has to be erased first, and that takes its time.
    assert_eq!(push(&mut places, &new), Err(PlaceError::Busy));
    places.prepare();
    assert_eq!(places.tidy(), Ok(true));
    assert_eq!(push(&mut places, &new), Err(PlaceError::Busy));
    prepare(&mut places).unwrap();

    assert_eq!(places.begin(0, 0), Err(PlaceError::Length));
    assert_eq!(places.begin(32 * 1024 + 1, 0), Err(PlaceError::Length));
    assert_eq!(places.begin(u32::MAX, 0), Err(PlaceError::Length));
    assert_eq!(places.part(0, &new[..32]), Err(PlaceError::Order));
    places.begin(1_000, crc(&new)).unwrap();
    assert_eq!(places.part(32, &new[32..64]), Err(PlaceError::Order));
    assert_eq!(places.part(0, &new[..33]), Err(PlaceError::Order));
    assert_eq!(places.part(u32::MAX, &new[..32]), Err(PlaceError::Length));
    assert_eq!(places.part(0, &sheet(3, 1_001)), Err(PlaceError::Length));
    places.part(0, &new[..512]).unwrap();
    assert_eq!(places.part(0, &new[..512]), Err(PlaceError::Order));
    assert_eq!(places.filled(), 512);
    assert_eq!(places.commit(), Err(PlaceError::Order));
    // The rest arrives, and is something else.
    places.part(512, &old[512..]).unwrap();
    assert_eq!(places.commit(), Err(PlaceError::Checksum));
    assert_eq!(used(&mut places), Some(old.clone()));

    prepare(&mut places).unwrap();
    push(&mut places, &new).unwrap();
    assert_eq!(used(&mut places), Some(new.clone()));
    // Damaged later on, the one before counts again.
    let at = places.used().unwrap().start as usize;
    let mut image = places.release().image;
    image.bytes[at + 500] ^= 4;
    let mut places = open::<4>(image);
    assert_eq!(used(&mut places), Some(old));
    prepare(&mut places).unwrap();
    push(&mut places, &new).unwrap();
    assert_eq!(used(&mut open::<4>(places.release().image)), Some(new));
}

#[test]
fn a_sector_that_is_not_erased_any_more_is_tried_once_a_push() {
    let old = sheet(1, 1_000);
    let mut places = open::<4>(blank());
    prepare(&mut places).unwrap();
    push(&mut places, &old).unwrap();
    // The second sector of the other place.
    places.flash().stuck.insert(SECTORS / 2 + 1);
    for tried in 1..4 {
        places.prepare();
        assert_eq!(places.tidy(), Ok(true));
        assert_eq!(places.tidy(), Err(PlaceError::Flash));
        assert!(!places.is_untidy(), "nothing more is to be done");
        assert_eq!(places.tidy(), Ok(false));
        assert_eq!(places.flash().tried_in_vain, tried);
        // Told plainly, once; whoever asks again has it tried again.
        assert_eq!(places.begin(1_000, 0), Err(PlaceError::Flash));
        assert_eq!(places.begin(1_000, 0), Err(PlaceError::Busy));
    }
    assert_eq!(
        used(&mut places),
        Some(old.clone()),
        "the one before stands"
    );
    // Another part is put in, and all is well.
    places.flash().stuck.clear();
    prepare(&mut places).unwrap();
    push(&mut places, &old).unwrap();
}

#[test]
fn the_longest_sheet_is_swapped_over_and_over() {
    let mut rng = Pcg64::seed_from_u64(1);
    let mut places = open::<8>(blank());
    for number in 0..20 {
        let length = rng.random_range(1..=32 * 1024);
        let bytes = sheet(number, length);
        prepare(&mut places).unwrap();
        push(&mut places, &bytes).unwrap();
        assert_eq!(used(&mut places), Some(bytes));
    }
    let erases = &places.flash().erases;
    assert_eq!(erases.iter().min(), erases.iter().max(), "worn alike");
}
