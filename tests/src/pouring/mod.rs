//! Guided pours and whole drinks.

mod quiet;
mod random;
mod rounds;
mod scenarios;
mod trial;

/// The seed of statistical checks: `PENNYWEIGHT_SEED` where it is set, so that a check may
/// choose its own, else a fixed one.
fn seed() -> u64 {
    match std::env::var("PENNYWEIGHT_SEED") {
        Ok(seed) => seed.parse().expect("PENNYWEIGHT_SEED is a whole number"),
        Err(_) => 1,
    }
}
