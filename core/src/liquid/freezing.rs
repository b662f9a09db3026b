//! Where ethanol and water freeze: the cold end of their density.

use super::LiquidError;

/// Percent ethanol by mass, freezing point in degC; Lange's Handbook of Chemistry, 10th ed.
/// Another published fit puts the line up to 1.1 K lower between 14 and 30 %: this one refuses
/// first.
const LINE: [(f64, f64); 17] = [
    (0.0, 0.0),
    (2.5, -1.0),
    (4.8, -2.0),
    (6.8, -3.0),
    (11.3, -5.0),
    (13.78, -6.1),
    (16.4, -7.5),
    (17.5, -8.7),
    (18.8, -9.4),
    (20.3, -10.6),
    (22.11, -12.2),
    (24.2, -14.0),
    (26.7, -16.0),
    (29.9, -18.9),
    (33.8, -23.6),
    (39.0, -28.7),
    END,
];

/// The end of the line, colder than anything used here.
const END: (f64, f64) = (46.3, -33.9);

/// The temperature, degC, below which ethanol and water begin to freeze, straight between the
/// table's points. Beyond its end it is held.
#[must_use]
pub fn freezing_point(mass_fraction: f64) -> f64 {
    let percent = mass_fraction * 100.0;
    segments()
        .find(|((_, _), (p1, _))| percent <= *p1)
        .map_or(END.1, |((p0, t0), (p1, t1))| {
            t0 + (t1 - t0) * ((percent - p0) / (p1 - p0)).max(0.0)
        })
}

/// The smallest mass fraction that is still liquid at `celsius`.
pub(super) fn least_mass_fraction(celsius: f64) -> f64 {
    if celsius >= 0.0 {
        return 0.0;
    }
    segments()
        .find(|((_, _), (_, t1))| celsius >= *t1)
        .map_or(END.0 / 100.0, |((p0, t0), (p1, t1))| {
            (p0 + (p1 - p0) * (celsius - t0) / (t1 - t0)) / 100.0
        })
}

/// Whether the mixture is liquid at `celsius`.
pub(super) fn check(mass_fraction: f64, celsius: f64) -> Result<(), LiquidError> {
    // Every mixture is liquid there; spares the search.
    if celsius >= 0.0 {
        return Ok(());
    }
    let lowest = freezing_point(mass_fraction);
    if celsius < lowest {
        Err(LiquidError::Freezing { celsius, lowest })
    } else {
        Ok(())
    }
}

fn segments() -> impl Iterator<Item = ((f64, f64), (f64, f64))> {
    LINE.iter().copied().zip(LINE.iter().copied().skip(1))
}
