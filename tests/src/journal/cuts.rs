//! The power goes at every word and every erase.

use std::cell::RefCell;
use std::rc::Rc;

use pennyweight_core::journal::{Condition, Journal};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::flash::{Flash, Image};
use super::things::{Thing, Truth};

const SECTOR: usize = 8 * 1024;

/// A journal made of blank flash, with room to write.
pub(super) fn fresh<const W: usize, const E: usize>(flash: Flash<W, E>) -> Journal<Flash<W, E>> {
    let (mut journal, condition) = Journal::open(flash).expect("it is fit");
    assert_eq!(condition, Condition::Blank);
    while journal.is_untidy() {
        journal.tidy().expect("blank flash can be erased");
    }
    journal
}

/// One thing more, or a sector less.
fn live<const W: usize, const E: usize>(
    journal: &mut Journal<Flash<W, E>>,
    truth: &RefCell<Truth>,
    rng: &mut Pcg64,
) {
    // Now and then; always when nothing more can be written.
    if journal.is_untidy() && (rng.random_bool(0.02) || journal.free() < 512) {
        truth.borrow_mut().begin_tidying();
        if journal.tidy().is_ok() {
            truth.borrow_mut().tidied(journal);
        }
        return;
    }
    let thing = Thing::any(rng);
    truth.borrow_mut().begin(thing.clone());
    match thing.write(journal) {
        Ok(()) => truth.borrow_mut().commit(),
        Err(_) if journal.flash().is_dead() => {}
        Err(_) => truth.borrow_mut().give_up(),
    }
}

/// A history in which every step is also looked at as the last one; how many there were.
fn cut_everywhere<const W: usize>(sectors: usize, before: u32, things: u32, seed: u64) -> u64 {
    let mut rng = Pcg64::seed_from_u64(seed);
    let truth = Rc::new(RefCell::new(Truth::default()));
    let mut journal = fresh(Flash::<W, SECTOR>::blank(sectors, seed));
    for _ in 0..before {
        live(&mut journal, &truth, &mut rng);
    }
    let cuts = Rc::new(RefCell::new(0u64));
    let seen = (Rc::clone(&truth), Rc::clone(&cuts));
    journal.flash().watch = Some(Box::new(move |image: Image| {
        let mut cuts = seen.1.borrow_mut();
        *cuts += 1;
        let truth = seen.0.borrow();
        let (mut journal, condition) =
            Journal::open(Flash::<W, SECTOR>::new(image, *cuts)).expect("it is fit");
        assert_eq!(condition, Condition::Whole);
        truth.check(&mut journal);
        if cuts.is_multiple_of(16) {
            // It goes on, and lasts.
            let mut after = truth.clone();
            after.adopt(&mut journal);
            let after = RefCell::new(after);
            let mut rng = Pcg64::seed_from_u64(*cuts);
            for _ in 0..4 {
                live(&mut journal, &after, &mut rng);
            }
            let (mut journal, _) = Journal::open(journal.release()).expect("it is fit");
            after.borrow().check(&mut journal);
        }
    }));
    let before: u32 = journal.flash().erases.iter().sum();
    let (mut done, mut erases) = (0, 0);
    while done < things || erases == 0 {
        live(&mut journal, &truth, &mut rng);
        done += 1;
        erases = journal.flash().erases.iter().sum::<u32>() - before;
    }
    assert!(truth.borrow().records() > 20);
    let cuts = *cuts.borrow();
    println!("words of {W}: {cuts} cuts over {done} writes and {erases} erases");
    cuts
}

#[test]
fn every_cut_in_words_of_4_leaves_the_old_or_the_new() {
    assert!(cut_everywhere::<4>(3, 900, 300, 1) > 3_000);
}

#[test]
fn every_cut_in_words_of_1_leaves_the_old_or_the_new() {
    assert!(cut_everywhere::<1>(3, 700, 60, 2) > 2_000);
}

#[test]
fn every_cut_in_words_of_8_leaves_the_old_or_the_new() {
    assert!(cut_everywhere::<8>(4, 1_200, 400, 3) > 2_000);
}

#[test]
fn every_cut_in_words_of_32_leaves_the_old_or_the_new() {
    assert!(cut_everywhere::<32>(3, 500, 700, 4) > 1_500);
}

/// One life with one power cut after the other; nothing is ever repaired from outside.
fn many_lives<const W: usize>(sectors: usize, lives: u32, seed: u64) {
    let mut rng = Pcg64::seed_from_u64(seed);
    let truth = RefCell::new(Truth::default());
    let mut flash = Flash::<W, SECTOR>::blank(sectors, seed);
    for life in 0..lives {
        let longest = if rng.random() { 30 } else { 1_500 };
        flash.cut_at = Some(flash.steps + rng.random_range(0..longest));
        let (mut journal, _) = Journal::open(flash).expect("it is fit");
        while !journal.flash().is_dead() {
            live(&mut journal, &truth, &mut rng);
        }
        flash = journal.release();
        flash.revive();
        let (mut journal, condition) = Journal::open(flash).expect("it is fit");
        assert!(
            condition == Condition::Whole || truth.borrow().records() == 0,
            "life {life}"
        );
        truth.borrow().check(&mut journal);
        truth.borrow_mut().adopt(&mut journal);
        flash = journal.release();
    }
    let erases: u32 = flash.erases.iter().sum();
    println!("words of {W}: {lives} lives, {erases} erases");
    assert!(erases > 3 * sectors as u32);
}

#[test]
fn cut_after_cut_nothing_is_lost() {
    many_lives::<4>(3, 800, 5);
    many_lives::<8>(5, 800, 6);
    many_lives::<32>(3, 800, 7);
}
