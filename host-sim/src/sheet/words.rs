//! The fixed words of a sheet.

use pennyweight_core::spec::{Family, Vessel};

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

/// The words for these allergen groups (bit n-1 for group n), in the order of the Regulation.
#[must_use]
pub fn allergen_words(groups: u16) -> Vec<&'static str> {
    (0..)
        .zip(ALLERGENS)
        .filter(|(bit, _)| groups >> bit & 1 == 1)
        .map(|(_, word)| word)
        .collect()
}
