//! Building one drink.

mod charts;
mod fix;
mod refused;
