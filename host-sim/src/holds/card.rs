//! The drink as a card at the bar writes it, in millilitres and in ounces.

use pennyweight_core::liquid::{LiquidError, Mixture};
use pennyweight_core::spec::{CARD_TOLERANCE, CardAmount, Quantity, Unit};
use serde::Serialize;

use super::brought::{Brought, Line};
use crate::sheet::counted;

/// What an ounce card would move by more than this share is too small for one: below 1/8 oz.
const NO_CARD: f64 = 0.5;

/// Both cards of a drink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Card {
    /// Its liquids, line by line.
    pub lines: Vec<CardLine>,
    /// What writing it in ounces does to the volume of the drink, percent.
    pub oz_moves_volume_percent: f64,
    /// What it does to the strength, percent of the strength.
    pub oz_moves_abv_percent: f64,
    /// What it does to the sugar, percent of the sugar.
    pub oz_moves_sugar_percent: f64,
    /// Any of these is more than a card may do.
    pub oz_flagged: bool,
}

/// One line of a card.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CardLine {
    /// The liquid's name.
    pub liquid: String,
    /// In millilitres, or as it is counted.
    pub ml: String,
    /// In ounces, or as it is counted.
    pub oz: String,
    /// What writing it in millilitres adds, percent.
    pub ml_moves_percent: f64,
    /// What writing it in ounces adds, percent.
    pub oz_moves_percent: f64,
    /// Either is more than a card may do.
    pub flagged: bool,
}

/// The cards of a drink.
///
/// # Errors
/// [`LiquidError`] when the drink as rounded is beyond any glass.
pub(super) fn card(lines: &[Line<'_>]) -> Result<Card, LiquidError> {
    let brought = || lines.iter().filter_map(|line| line.brought.as_ref());
    let mut written = Mixture::default();
    let mut rounded = Mixture::default();
    let mut on_card = Vec::new();
    for one in brought() {
        let liquid = one.liquid.as_liquid().composition();
        let line = CardLine::new(one);
        written.add(&liquid, one.target.mass_g, 0.0)?;
        let moved = 1.0 + line.oz_moves_percent / 100.0;
        rounded.add(&liquid, one.target.mass_g * moved, 0.0)?;
        on_card.push(line);
    }
    let (written, rounded) = (written.contents()?, rounded.contents()?);
    let moved = |from: f64, to: f64| {
        if from > 0.0 {
            100.0 * (to / from - 1.0)
        } else {
            0.0
        }
    };
    let volume = moved(written.volume_ml, rounded.volume_ml);
    let abv = moved(written.abv_percent, rounded.abv_percent);
    let sugar = moved(written.sugar_g_per_l, rounded.sugar_g_per_l);
    Ok(Card {
        lines: on_card,
        oz_moves_volume_percent: volume,
        oz_moves_abv_percent: abv,
        oz_moves_sugar_percent: sugar,
        oz_flagged: [volume, abv, sugar]
            .iter()
            .any(|percent| percent.abs() > 100.0 * CARD_TOLERANCE),
    })
}

/// `2 dashes`, `33 g`: what stays as it is written.
fn in_words(brought: &Brought<'_>) -> String {
    match brought.amount.quantity {
        Quantity::Count(count) => counted(count, brought.amount.unit),
        Quantity::Mass(mg) => format!("{} g", f64::from(mg) / 1000.0),
        Quantity::Volume(ul) => format!("{} ml", f64::from(ul) / 1000.0),
    }
}

impl CardLine {
    fn new(brought: &Brought<'_>) -> Self {
        let liquid = brought.liquid.name.clone();
        let Quantity::Volume(ul) = brought.amount.quantity else {
            // Grams, dashes and pieces stay as they are on either card.
            let counted = in_words(brought);
            return Self {
                liquid,
                ml: counted.clone(),
                oz: counted,
                ml_moves_percent: 0.0,
                oz_moves_percent: 0.0,
                flagged: false,
            };
        };
        let ml = CardAmount::in_ml(ul);
        let oz = CardAmount::in_oz(ul);
        let verbatim = |as_written: bool, card: CardAmount, text: String| {
            if as_written {
                (text, 0.0)
            } else {
                (card.to_string(), 100.0 * card.moves(ul))
            }
        };
        let unit = brought.amount.unit;
        let exact_ml = format!("{} ml", f64::from(ul) / 1000.0);
        let (ml, ml_moves) = verbatim(matches!(unit, Unit::Ml | Unit::Cl), ml, exact_ml);
        let exact_oz = oz.to_string();
        let in_oz = unit == Unit::Oz && oz.microlitres().abs_diff(ul) <= 1;
        let (oz, oz_moves) = if oz.moves(ul).abs() > NO_CARD {
            ("under 1/8 oz".to_owned(), 0.0)
        } else {
            verbatim(in_oz, oz, exact_oz)
        };
        Self {
            liquid,
            ml,
            oz,
            ml_moves_percent: ml_moves,
            oz_moves_percent: oz_moves,
            flagged: [ml_moves, oz_moves]
                .iter()
                .any(|percent| percent.abs() > 100.0 * CARD_TOLERANCE),
        }
    }
}
