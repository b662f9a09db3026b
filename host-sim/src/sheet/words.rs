//! The fixed words of a sheet.

use pennyweight_core::spec::{Family, Unit, Vessel};

/// The 14 groups of Regulation (EU) No 1169/2011, Annex II, in its order, by short words.
pub(super) const ALLERGENS: [&str; 14] = [
    "gluten",
    "crustaceans",
    "egg",
    "fish",
    "peanuts",
    "soy",
    "milk",
    "nuts",
    "celery",
    "mustard",
    "sesame",
    "sulphites",
    "lupin",
    "molluscs",
];

/// The egg group among them.
pub(super) const EGG: u16 = 1 << 2;

/// What a liquid pours like.
pub(super) const POURS: [(&str, Family); 6] = [
    ("spirit", Family::Spirit),
    ("syrup", Family::Syrup),
    ("juice", Family::Juice),
    ("bitters", Family::Bitters),
    ("soda", Family::Soda),
    ("whole", Family::Whole),
];

/// What stands on the pan.
pub(super) const VESSELS: [(&str, Vessel); 5] = [
    ("mixing glass", Vessel::MixingGlass),
    ("tin", Vessel::Tin),
    ("rocks", Vessel::Rocks),
    ("highball", Vessel::Highball),
    ("coupe", Vessel::Coupe),
];

/// The word a sheet uses for this vessel.
#[must_use]
pub fn vessel_word(vessel: Vessel) -> &'static str {
    VESSELS
        .iter()
        .find(|(_, known)| *known == vessel)
        .map_or("glass", |(word, _)| word)
}

/// A unit as it stands behind a number.
#[must_use]
pub fn unit_word(unit: Unit, several: bool) -> &'static str {
    match (unit, several) {
        (Unit::Ml, _) => "ml",
        (Unit::Cl, _) => "cl",
        (Unit::Oz, _) => "oz",
        (Unit::Gram, _) => "g",
        (Unit::Dash, false) => "dash",
        (Unit::Dash, true) => "dashes",
        (Unit::Barspoon, false) => "barspoon",
        (Unit::Barspoon, true) => "barspoons",
        (Unit::Drop, false) => "drop",
        (Unit::Drop, true) => "drops",
        (Unit::Piece, false) => "piece",
        (Unit::Piece, true) => "pieces",
        (Unit::Rinse, false) => "rinse",
        (Unit::Rinse, true) => "rinses",
    }
}

/// A count with its unit.
#[must_use]
pub fn counted(count: u8, unit: Unit) -> String {
    format!("{count} {}", unit_word(unit, count != 1))
}

/// The words for these allergen groups (bit n-1 for group n), in the order of the Regulation.
#[must_use]
pub fn allergen_words(groups: u16) -> Vec<&'static str> {
    (0..)
        .zip(ALLERGENS)
        .filter(|(bit, _)| groups >> bit & 1 == 1)
        .map(|(_, word)| word)
        .collect()
}
