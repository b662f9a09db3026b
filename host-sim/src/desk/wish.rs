//! What a browser may wish for: one JSON object a message.

use serde::Deserialize;

/// The longest message a browser may send, bytes.
pub const WISH_BYTES_MAX: usize = 2048;

/// The most drinks of one order: as many as the station lets wait.
pub const ORDER_MAX: usize = 12;

/// Cubes let go at once, the most.
pub const CUBES_MAX: u8 = 12;

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub enum Wish {
    /// Hold a bottle tilted so far, 0 (upright) to 1; to be repeated while it is held.
    Tilt {
        /// Its number on the shelf.
        bottle: usize,
        /// How far.
        far: f64,
    },
    /// Let the bottle up.
    Upright,
    /// One dash, or one whole thing, of a bottle.
    Dash {
        /// Its number on the shelf.
        bottle: usize,
    },
    /// One barspoon of a bottle.
    Barspoon {
        /// Its number on the shelf.
        bottle: usize,
    },
    /// Take an empty vessel and set it on the pan.
    Take {
        /// As a sheet spells it: `coupe`, `rocks`, `highball`, `tin`, `mixing glass`.
        vessel: String,
    },
    /// Set a glass that stands aside on the pan.
    Place {
        /// Its number.
        glass: usize,
    },
    /// Take what stands on the pan away and put it aside.
    Lift,
    /// Serve a glass that stands aside, or rinse it: it leaves the bench.
    Serve {
        /// Its number.
        glass: usize,
    },
    /// Let cubes of ice go above the pan.
    Ice {
        /// How many.
        cubes: u8,
    },
    /// Begin to stir a glass that stands aside, or end it.
    Stir {
        /// Its number.
        glass: usize,
    },
    /// Begin to shake a glass that stands aside, or end it.
    Shake {
        /// Its number.
        glass: usize,
    },
    /// Strain a glass that stands aside into what stands on the pan.
    Strain {
        /// Its number.
        glass: usize,
    },
    /// Take a spoonful out of what stands on the pan.
    SpoonOut,
    /// Lay the spoon on the pan, or take it off.
    Spoon,
    /// Lay a wet towel on the pan, or take it off.
    Towel,
    /// Wipe the pan dry.
    Wipe,
    /// Rest a hand on the pan for a second.
    Press,
    /// Knock the bench.
    Knock,
    /// Switch the scale on or off.
    Power {
        /// On.
        on: bool,
    },
    /// Drinks of the sheet, by number, to be built one after the other.
    Order {
        /// Their numbers.
        drinks: Vec<u8>,
    },
    /// Clear the bench, forget the round, and order this drink.
    Afresh {
        /// Its number; nothing is ordered without.
        drink: Option<u8>,
    },
    /// Leave the present step as it stands.
    Skip,
    /// Take the empty pan as zero.
    Zero,
    /// Work in another way.
    Mode {
        /// `service`, `develop`, `prep` or `plain`.
        mode: String,
    },
    /// Let the simulated hand work, or take over from it.
    Watch {
        /// It works.
        on: bool,
    },
}

/// Reads one message.
///
/// # Errors
/// What is wrong with it, in a sentence.
pub fn read(text: &str) -> Result<Wish, String> {
    if text.len() > WISH_BYTES_MAX {
        return Err(format!(
            "a wish has at most {WISH_BYTES_MAX} bytes, this one has {}",
            text.len()
        ));
    }
    let wish = serde_json::from_str(text).map_err(|error| format!("not a wish: {error}"))?;
    match &wish {
        // A number that is none is no reading of a hand.
        Wish::Tilt { far, .. } if !(0.0..=1.0).contains(far) => {
            Err(format!("a bottle is tilted from 0 to 1, not {far}"))
        }
        Wish::Ice { cubes } if !(1..=CUBES_MAX).contains(cubes) => {
            Err(format!("1 to {CUBES_MAX} cubes at once, not {cubes}"))
        }
        Wish::Order { drinks } if drinks.is_empty() || drinks.len() > ORDER_MAX => Err(format!(
            "an order has 1 to {ORDER_MAX} drinks, not {}",
            drinks.len()
        )),
        _ => Ok(wish),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wishes_are_read() {
        assert_eq!(
            read(r#"{"do":"tilt","bottle":3,"far":0.5}"#),
            Ok(Wish::Tilt {
                bottle: 3,
                far: 0.5
            })
        );
        assert_eq!(read(r#"{"do":"lift"}"#), Ok(Wish::Lift));
        assert_eq!(
            read(r#"{"do":"afresh","drink":null}"#),
            Ok(Wish::Afresh { drink: None })
        );
        assert_eq!(
            read(r#"{"do":"order","drinks":[0,1]}"#),
            Ok(Wish::Order { drinks: vec![0, 1] })
        );
    }

    #[test]
    fn what_no_hand_can_do_is_refused() {
        for wrong in [
            "",
            "[]",
            "null",
            r#"{"do":"fly"}"#,
            r#"{"do":"tilt","bottle":3}"#,
            r#"{"do":"tilt","bottle":-1,"far":0.5}"#,
            r#"{"do":"tilt","bottle":0,"far":1.5}"#,
            r#"{"do":"tilt","bottle":0,"far":-0.1}"#,
            r#"{"do":"tilt","bottle":0,"far":null}"#,
            r#"{"do":"tilt","bottle":0,"far":0.5,"more":1}"#,
            r#"{"do":"ice","cubes":0}"#,
            r#"{"do":"ice","cubes":13}"#,
            r#"{"do":"order","drinks":[]}"#,
            r#"{"do":"order","drinks":[0,0,0,0,0,0,0,0,0,0,0,0,0]}"#,
        ] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
        let long = format!(r#"{{"do":"mode","mode":"{}"}}"#, "x".repeat(WISH_BYTES_MAX));
        assert!(read(&long).unwrap_err().contains("at most 2048 bytes"));
    }
}
