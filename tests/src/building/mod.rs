//! Building one drink.

mod fix;
