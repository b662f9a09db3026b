//! Whether a record lies within the limits of a sheet.
//!
//! Asked when a sheet is packed and again when it is read: a sheet may come from anywhere, and
//! nothing behind it should have to doubt a count or the length of a name.

use super::limits::{
    ABV_MAX_CENTI, ALLERGEN_BITS, COUNT_MAX, DENSITY_MAX_G_PER_M3, DENSITY_MIN_G_PER_M3,
    HOUSE_MEASURE_MAX_UL, ICE_MAX_G, MASS_MAX_MG, MEASURED_AT_MAX_CENTI_C, MEASURED_AT_MIN_CENTI_C,
    NAME_MAX, NOTE_MAX, STEPS_MAX, SUGAR_MAX_DG_PER_L, VOLUME_MAX_UL, is_shown,
};
use super::{Amount, Drink, House, Liquid, LiquidId, Quantity, Step, Unit};

/// Something a sheet consists of.
pub(super) trait Bounded {
    /// All of it lies within the limits of a sheet with so many liquids.
    fn fits(&self, liquids: u8) -> bool;
}

impl Bounded for House {
    fn fits(&self, _liquids: u8) -> bool {
        self.is_valid()
    }
}

impl House {
    /// Each measure is more than nothing and at most [`HOUSE_MEASURE_MAX_UL`].
    #[must_use]
    pub fn is_valid(&self) -> bool {
        [self.dash_ul, self.barspoon_ul, self.drop_ul]
            .iter()
            .all(|ul| (1..=HOUSE_MEASURE_MAX_UL).contains(ul))
    }
}

impl Bounded for Liquid<'_> {
    fn fits(&self, _liquids: u8) -> bool {
        text_fits(self.name, NAME_MAX)
            && self.abv_centi <= ABV_MAX_CENTI
            && self.sugar_dg_per_l <= SUGAR_MAX_DG_PER_L
            && self.allergens & !ALLERGEN_BITS == 0
            && (MEASURED_AT_MIN_CENTI_C..=MEASURED_AT_MAX_CENTI_C)
                .contains(&self.density_at_centi_c)
            && [self.density_g_per_m3, self.poured_g_per_m3]
                .into_iter()
                .flatten()
                .all(|density| (DENSITY_MIN_G_PER_M3..=DENSITY_MAX_G_PER_M3).contains(&density))
    }
}

impl Bounded for Drink<'_> {
    fn fits(&self, _liquids: u8) -> bool {
        text_fits(self.name, NAME_MAX) && (1..=STEPS_MAX).contains(&self.steps)
    }
}

impl Bounded for Step<'_> {
    fn fits(&self, liquids: u8) -> bool {
        let known = |liquid: LiquidId| liquid.0 < liquids;
        let counted = |count: u8| (1..=COUNT_MAX).contains(&count);
        match *self {
            Self::Pour { liquid, amount } | Self::Soda { liquid, amount } => {
                known(liquid) && amount_fits(amount)
            }
            Self::Dash { liquid, count } | Self::Barspoon { liquid, count } => {
                known(liquid) && counted(count)
            }
            Self::Whole {
                liquid,
                count,
                each_mg,
            } => known(liquid) && counted(count) && (1..=MASS_MAX_MG).contains(&each_mg),
            Self::Ice { low_g, high_g } => low_g >= 1 && low_g <= high_g && high_g <= ICE_MAX_G,
            Self::Stir { seconds } | Self::Shake { seconds } => seconds >= 1,
            Self::Strain => true,
            Self::Rinse { liquid } => known(liquid),
            Self::Note { text } => text_fits(text, NOTE_MAX),
        }
    }
}

/// Poured amounts are volumes or masses; a count has become a volume by then, and a rinse is a step.
fn amount_fits(amount: Amount) -> bool {
    if amount.unit == Unit::Rinse {
        return false;
    }
    match amount.quantity {
        Quantity::Volume(ul) => (1..=VOLUME_MAX_UL).contains(&ul),
        Quantity::Mass(mg) => (1..=MASS_MAX_MG).contains(&mg),
        Quantity::Count(_) => false,
    }
}

/// Something the panel can write: characters it shows, neither none nor more than `max`.
pub(super) fn text_fits(text: &str, max: usize) -> bool {
    !text.is_empty() && text.chars().count() <= max && text.chars().all(is_shown)
}
