//! Rounds of several drinks.

mod plan;
