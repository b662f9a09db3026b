//! Guided pours and whole drinks.

mod batches;
mod by_codes;
mod by_loss;
mod random;
mod rounds;
mod scenarios;
mod stand;

mod teaching;
mod trial;
mod unheard;
mod verdict;
mod weighed_back;

use pennyweight_sim::plant::{HandNature, Table};

/// The seed of statistical checks, where `PENNYWEIGHT_SEED` chooses one.
pub(crate) fn chosen_seed() -> Option<u64> {
    let seed = std::env::var("PENNYWEIGHT_SEED").ok()?;
    Some(seed.parse().expect("PENNYWEIGHT_SEED is a whole number"))
}

/// A hand that eases, as most do.
pub(crate) fn easing_hand(table: &Table, seed: u64) -> HandNature {
    (seed * 100..)
        .map(|hand_seed| HandNature::drawn(table, hand_seed))
        .find(|hand| !hand.never_eases)
        .expect("most ease")
}
