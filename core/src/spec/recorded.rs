//! Records of a packed sheet, read. They are written by postcard; its way of reading takes twice
//! the flash.

use super::{Amount, Drink, Family, House, Liquid, LiquidId, Quantity, Step, Unit, Vessel};
use crate::eye::Eye;

/// Something that can be read from a record.
pub(super) trait Recorded<'s>: Sized {
    /// Reads its fields.
    fn read(eye: &mut Eye<'s>) -> Option<Self>;
}

impl Recorded<'_> for House {
    fn read(eye: &mut Eye<'_>) -> Option<Self> {
        Some(Self {
            dash_ul: eye.number(),
            barspoon_ul: eye.number(),
            drop_ul: eye.number(),
        })
    }
}

impl<'s> Recorded<'s> for Liquid<'s> {
    #[inline(never)]
    fn read(eye: &mut Eye<'s>) -> Option<Self> {
        Some(Self {
            name: eye.text()?,
            family: *FAMILIES.get(usize::from(eye.byte()))?,
            abv_centi: eye.short(),
            sugar_dg_per_l: eye.short(),
            density_g_per_m3: eye.perhaps(),
            density_at_centi_c: eye.signed_short(),
            poured_g_per_m3: eye.perhaps(),
            allergens: eye.short(),
        })
    }
}

impl<'s> Recorded<'s> for Drink<'s> {
    fn read(eye: &mut Eye<'s>) -> Option<Self> {
        Some(Self {
            name: eye.text()?,
            vessel: vessel(eye)?,
            glass: vessel(eye)?,
            as_poured: match eye.byte() {
                0 => false,
                1 => true,
                _ => return None,
            },
            steps: eye.byte(),
        })
    }
}

impl<'s> Recorded<'s> for Step<'s> {
    #[inline(never)]
    fn read(eye: &mut Eye<'s>) -> Option<Self> {
        let kind = eye.byte();
        Some(match kind {
            0 | 5 => {
                let (liquid, amount) = (LiquidId(eye.byte()), amount(eye)?);
                if kind == 0 {
                    Self::Pour { liquid, amount }
                } else {
                    Self::Soda { liquid, amount }
                }
            }
            1..=3 => {
                let (liquid, count) = (LiquidId(eye.byte()), eye.byte());
                match kind {
                    1 => Self::Dash { liquid, count },
                    2 => Self::Barspoon { liquid, count },
                    _ => Self::Whole {
                        liquid,
                        count,
                        each_mg: eye.number(),
                    },
                }
            }
            4 => Self::Ice {
                low_g: eye.short(),
                high_g: eye.short(),
            },
            6 => Self::Stir {
                seconds: eye.byte(),
            },
            7 => Self::Shake {
                seconds: eye.byte(),
            },
            8 => Self::Strain,
            9 => Self::Note { text: eye.text()? },
            10 => Self::Rinse {
                liquid: LiquidId(eye.byte()),
            },
            _ => return None,
        })
    }
}

const FAMILIES: [Family; 6] = [
    Family::Spirit,
    Family::Syrup,
    Family::Juice,
    Family::Bitters,
    Family::Soda,
    Family::Whole,
];

const VESSELS: [Vessel; 5] = [
    Vessel::MixingGlass,
    Vessel::Tin,
    Vessel::Rocks,
    Vessel::Highball,
    Vessel::Coupe,
];

const UNITS: [Unit; 8] = [
    Unit::Ml,
    Unit::Cl,
    Unit::Oz,
    Unit::Gram,
    Unit::Dash,
    Unit::Barspoon,
    Unit::Drop,
    Unit::Piece,
];

fn vessel(eye: &mut Eye<'_>) -> Option<Vessel> {
    VESSELS.get(usize::from(eye.byte())).copied()
}

fn amount(eye: &mut Eye<'_>) -> Option<Amount> {
    Some(Amount {
        quantity: match eye.byte() {
            0 => Quantity::Volume(eye.number()),
            1 => Quantity::Mass(eye.number()),
            2 => Quantity::Count(eye.byte()),
            _ => return None,
        },
        unit: *UNITS.get(usize::from(eye.byte()))?,
    })
}
