//! A busy night on slow flash.
//!
//! Figures of a common Cortex-M4 with flash on the chip, from memory of its datasheet: a word of four
//! bytes takes 16 us, at most 100 us; a sector of 16 KiB is erased in 0.25 s, one of 128 KiB in up
//! to 2 s; each bears 10,000 erases.

use pennyweight_core::journal::{Journal, Tidied, WriteError};
use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::cuts::fresh;
use super::flash::{Flash, Latency};
use super::things;

const SLOWEST: Latency = Latency {
    word: 100.0,
    erase: 2e6,
    read_byte: 0.05,
};

/// The longest that a write may take, microseconds.
const WRITE_US: f64 = 3_000.0;

/// Steps of a drink, and how many of them are pours.
const STEPS: u8 = 8;
const POURS: u8 = 5;

/// One drink from order to glass, with everything that is kept of it; the longest write,
/// microseconds.
fn build<const E: usize>(
    journal: &mut Journal<Flash<4, E>>,
    rng: &mut Pcg64,
) -> Result<f64, WriteError> {
    let mut longest = 0.0f64;
    let mut timed =
        |journal: &mut Journal<Flash<4, E>>,
         write: &mut dyn FnMut(&mut Journal<Flash<4, E>>) -> Result<(), WriteError>| {
            let (before, erases) = (journal.flash().spent_us, erases(journal));
            write(journal)?;
            assert_eq!(erases, self::erases(journal), "a write has erased");
            longest = longest.max(journal.flash().spent_us - before);
            Ok(())
        };
    let orders = things::round(rng, 6);
    timed(journal, &mut |journal| journal.put(0, &orders))?;
    for step in 0..STEPS {
        if step < POURS {
            let pour = things::pour(rng);
            timed(journal, &mut |journal| journal.log(&pour).map(drop))?;
        }
        let open = things::under_way(rng, step + 1);
        timed(journal, &mut |journal| journal.put(0, &open))?;
    }
    let drink = things::drink(rng);
    timed(journal, &mut |journal| journal.log(&drink).map(drop))?;
    for index in 0..3 {
        let habit = things::bottle_habit(rng);
        timed(journal, &mut |journal| journal.put(index, &habit))?;
    }
    Ok(longest)
}

fn erases<const E: usize>(journal: &mut Journal<Flash<4, E>>) -> u32 {
    journal.flash().erases.iter().sum()
}

#[test]
fn writes_are_short_all_night_and_erases_wait_for_a_pause() {
    const SECTOR: usize = 16 * 1024;
    let mut rng = Pcg64::seed_from_u64(1);
    let mut flash = Flash::<4, SECTOR>::blank(4, 1);
    flash.latency = SLOWEST;
    let mut journal = fresh(flash);
    let begun = erases(&mut journal);
    let mut longest = 0.0f64;
    // Ten nights of 400, so that one erase more or less is a tenth of a night's.
    let nights = 10;
    let drinks = 400 * nights;
    for drink in 0..drinks {
        longest = longest.max(build(&mut journal, &mut rng).expect("there is room"));
        // Between two drinks there is a moment now and then, long enough for one erase.
        if drink % 8 == 7 && journal.is_untidy() {
            assert_eq!(journal.tidy(), Ok(Tidied::Erased));
        }
    }
    let erases = erases(&mut journal) - begun;
    let each = journal.flash().erases.clone();
    let (least, most) = (each.iter().min().unwrap(), each.iter().max().unwrap());
    println!("{drinks} drinks: longest write {longest:.0} us, {erases} erases, {most} of a sector");
    assert!(longest < WRITE_US, "{longest} us");
    // Worn alike: the ring gives every sector its turn.
    assert!(most - least <= 1, "{least} to {most}");
    // 10,000 erases a sector, as the datasheet has it, are six years of five nights a week.
    let borne = 10_000 * 4 * nights / erases;
    assert!(borne > 6 * 260, "{borne} nights");
}

/// How many drinks are built without any pause, and pours with them, until nothing more can be
/// written.
fn without_a_pause<const E: usize>(sectors: usize) -> (u32, u32) {
    let mut rng = Pcg64::seed_from_u64(2);
    let mut journal = fresh(Flash::<4, E>::blank(sectors, 1));
    // Some nights before.
    for _ in 0..300 {
        build(&mut journal, &mut rng).expect("there is room");
        while journal.is_untidy() {
            journal.tidy().unwrap();
        }
    }
    // The worst moment for it: the last pause left just enough.
    let drinks = (0..)
        .take_while(|_| build(&mut journal, &mut rng).is_ok())
        .count() as u32;
    assert_eq!(build(&mut journal, &mut rng), Err(WriteError::Full));
    // One pause is enough to go on.
    while journal.is_untidy() {
        journal.tidy().unwrap();
    }
    build(&mut journal, &mut rng).expect("there is room again");
    (drinks, drinks * u32::from(POURS))
}

#[test]
fn so_much_is_poured_without_any_pause() {
    let rows = [
        ("3 x 16 KiB", without_a_pause::<{ 16 * 1024 }>(3)),
        ("4 x 16 KiB", without_a_pause::<{ 16 * 1024 }>(4)),
        ("16 x 4 KiB", without_a_pause::<{ 4 * 1024 }>(16)),
        ("3 x 128 KiB", without_a_pause::<{ 128 * 1024 }>(3)),
    ];
    for (flash, (drinks, pours)) in rows {
        println!("{flash}: {drinks} drinks, {pours} pours without a pause");
        assert!(drinks >= 10, "{flash}");
    }
}

#[test]
fn the_oldest_records_give_way_and_states_never() {
    let mut rng = Pcg64::seed_from_u64(3);
    let mut journal = fresh(Flash::<4, { 8 * 1024 }>::blank(3, 1));
    let habits: Vec<_> = (0..24).map(|_| things::bottle_habit(&mut rng)).collect();
    for (index, habit) in habits.iter().enumerate() {
        journal.put(index as u8, habit).unwrap();
    }
    for written in 0..20_000 {
        let number = journal.log(&things::pour(&mut rng)).expect("there is room");
        assert_eq!(number, written);
        while journal.is_untidy() {
            journal.tidy().unwrap();
        }
    }
    let numbers: Vec<u32> = things::records(&mut journal)
        .iter()
        .map(|it| it.0)
        .collect();
    let kept = numbers.len() as u32;
    println!("{kept} pours are kept in 3 x 8 KiB");
    assert!(kept > 100);
    assert_eq!(numbers, (20_000 - kept..20_000).collect::<Vec<_>>());
    for (index, habit) in habits.iter().enumerate() {
        assert_eq!(journal.get(index as u8), Ok(Some(*habit)));
    }
}

#[test]
fn worn_words_are_passed_over() {
    let mut rng = Pcg64::seed_from_u64(4);
    let mut journal = fresh(Flash::<4, { 8 * 1024 }>::blank(4, 1));
    // Every hundredth word takes nothing any more, but for those that begin a sector.
    journal.flash().worn = (0..4 * 8 * 1024)
        .step_by(400)
        .filter(|at| at % (8 * 1024) > 64)
        .collect();
    let mut last = None;
    for _ in 0..2_000 {
        match journal.log(&things::pour(&mut rng)) {
            Ok(number) => last = Some(number),
            Err(why) => assert!(matches!(why, WriteError::Flash | WriteError::Full)),
        }
        for _ in 0..3 {
            if journal.is_untidy() {
                journal.tidy().unwrap();
            }
        }
    }
    let (mut journal, _) = Journal::open(journal.release()).unwrap();
    let records = things::records(&mut journal);
    assert_eq!(records.last().map(|it| it.0), last);
    assert!(records.windows(2).all(|two| two[0].0 + 1 == two[1].0));
}

/// Each try in vain would stop the scale for as long as an erase takes.
#[test]
fn a_sector_that_is_not_erased_any_more_is_tried_once_a_start() {
    let mut rng = Pcg64::seed_from_u64(6);
    let mut journal = fresh(Flash::<4, { 8 * 1024 }>::blank(4, 1));
    let habits: Vec<_> = (0..24).map(|_| things::bottle_habit(&mut rng)).collect();
    for (index, habit) in habits.iter().enumerate() {
        journal.put(index as u8, habit).unwrap();
    }
    journal.flash().stuck.insert(1);
    for start in 1..=2 {
        for _ in 0..2_000 {
            journal.log(&things::pour(&mut rng)).expect("there is room");
            // The others do.
            while journal.is_untidy() && journal.tidy() == Ok(Tidied::Erased) {}
        }
        assert_eq!(journal.flash().tried_in_vain, start);
        for (index, habit) in habits.iter().enumerate() {
            assert_eq!(journal.get(index as u8), Ok(Some(*habit)));
        }
        (journal, _) = Journal::open(journal.release()).unwrap();
        let last = things::records(&mut journal).last().map(|it| it.0);
        assert_eq!(last, Some(start * 2_000 - 1));
    }
}

#[test]
fn a_reader_goes_on_where_it_was() {
    use pennyweight_core::journal::Cursor;
    use pennyweight_core::journal::limits::ENTRY_MAX;
    let mut rng = Pcg64::seed_from_u64(5);
    let mut journal = fresh(Flash::<4, { 8 * 1024 }>::blank(3, 1));
    let mut cursor = Cursor::default();
    let mut buffer = [0; ENTRY_MAX];
    let mut expected = 0;
    for burst in 0..200 {
        for _ in 0..burst % 7 {
            journal.log(&things::pour(&mut rng)).unwrap();
        }
        while journal.is_untidy() {
            journal.tidy().unwrap();
        }
        while let Some(kept) = journal.next(&mut cursor, &mut buffer) {
            assert_eq!(kept.number, expected);
            expected += 1;
        }
    }
    assert_eq!(expected, journal.next_number());
    let mut again = Cursor::since(expected - 3);
    let first = journal.next(&mut again, &mut buffer).unwrap();
    assert_eq!(first.number, expected - 3);
    assert_eq!(again.number(), expected - 2);
}

#[test]
fn little_is_kept_in_ram() {
    use pennyweight_core::journal::SheetPlaces;
    type Chip = Flash<4, 4096>;
    let journal = size_of::<Journal<Chip>>() - size_of::<Chip>();
    let places = size_of::<SheetPlaces<Chip>>() - size_of::<Chip>();
    println!("journal {journal} bytes, places of the sheet {places} bytes");
    assert!(journal + places <= 128);
}
