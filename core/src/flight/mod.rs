//! Flights: two to six variants of one drink, side by side, with one thing changed.
//!
//! Words: *variant*, one glass of a flight; *shared*, what every variant holds alike; *varied*, the
//! one ingredient, amount, method or dilution that differs; *batch*, the shared part of all
//! glasses made at once; *portion*, what one glass takes of it, by weight; *served*, what is
//! strained into the glass that is tasted.
//!
//! A taster cannot tell a variant from a slip of the hand. So the shared part is made once and
//! split by weight ([`split`]): whatever went wrong in it is then the same in every glass. What is
//! left is checked ([`fairness`]): the portions against each other, the water of the ice, the
//! volume served. For a blind tasting every glass has a number that says nothing ([`codes`]).
//!
//! Nothing here is done by the station: a flight is a round of drinks on a sheet made for it, and
//! this is what such a sheet and its record are worked out with.

pub mod codes;
pub mod fairness;
pub mod split;

/// How many variants a flight has, at least and at most: one is no comparison, and beyond six a
/// palate tires (common practice, no source).
pub const VARIANTS: (usize, usize) = (2, 6);
