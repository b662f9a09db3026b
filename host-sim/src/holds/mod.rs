//! What a drink of the sheet comes to, worked out before anybody pours.

mod batch;
mod brought;
mod card;
mod dilution;
mod drink;
mod fills;
mod fit;
mod stand_in;
mod step;

pub use batch::{Batch, BatchLine, Jug, batch};
pub use card::{Card, CardLine};
pub use dilution::{DilutionHolds, Floor};
pub use drink::{DrinkHolds, LiquidHolds, StandardDrinks, drink_holds};
pub use fills::{FillError, Fills};
pub use fit::Fit;
pub use stand_in::{DrinkWith, Instead, StandIn, StandIns, stand_ins};
pub use step::{StepHolds, Unresolved};
