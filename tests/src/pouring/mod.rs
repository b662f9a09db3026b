//! Guided pours and whole drinks.

mod random;
mod rounds;
mod scenarios;
mod teaching;
mod trial;

/// The seed of statistical checks, where `PENNYWEIGHT_SEED` chooses one.
pub(crate) fn chosen_seed() -> Option<u64> {
    let seed = std::env::var("PENNYWEIGHT_SEED").ok()?;
    Some(seed.parse().expect("PENNYWEIGHT_SEED is a whole number"))
}
