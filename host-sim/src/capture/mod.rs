//! Capture: pours come first, their names before or after, and a spec is what remains.
//!
//! Words: *entry*, one thing that came into the vessel or went from it; *taken*, what it was;
//! *loss*, what is gone and nothing explains, a sip or a spill; *struck*, an entry that is not to
//! be in the spec; *notebook*, the entries of one drink.
//!
//! Nothing is guided and nothing judged: the station works in develop mode with no drink under way,
//! and [`Capture`] listens to what it tells. The text of the spec ([`spec()`]) is a sheet's own, in
//! millilitres and in ounces.
//!
//! What the scale cannot know is guessed by common practice (no source) and said to be: a drink
//! that was away and strained is shaken in a tin where juice or egg is in it, and stirred in a
//! mixing glass where not.

mod entry;
mod listening;
mod spec;

pub use entry::{Captured, ENTRIES, Said, Taken, Which};
pub use listening::Capture;

pub use spec::{Spec, spec};

/// Everything that was captured of one drink.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Notebook {
    entries: Vec<Captured>,
}

impl Notebook {
    /// Takes an entry; it replaces an earlier one of its number.
    pub fn take(&mut self, told: Captured) {
        match self.entries.iter_mut().find(|one| one.entry == told.entry) {
            Some(entry) => *entry = told,
            None => {
                self.entries.push(told);
                self.entries.sort_by_key(|one| one.entry);
            }
        }
    }

    /// The entries in their order, those that were struck among them.
    #[must_use]
    pub fn entries(&self) -> &[Captured] {
        &self.entries
    }

    /// Numbers of the pours nobody has named.
    #[must_use]
    pub fn unnamed(&self) -> Vec<u8> {
        let unnamed =
            |one: &&Captured| one.taken == Taken::Poured && one.liquid.is_none() && !one.struck;
        self.entries
            .iter()
            .filter(unnamed)
            .map(|one| one.entry)
            .collect()
    }
}
