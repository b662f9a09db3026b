//! Where ethanol and water freeze: the cold end of their density.

use super::LiquidError;

/// Hundredths of a percent ethanol by mass and of a degC, the freezing point; Lange's Handbook of
/// Chemistry, 10th ed.
/// Another published fit puts the line up to 1.1 K lower between 14 and 30 %: this one refuses
/// first.
const LINE: [(i16, i16); 17] = [
    (0, 0),
    (250, -100),
    (480, -200),
    (680, -300),
    (1130, -500),
    (1378, -610),
    (1640, -750),
    (1750, -870),
    (1880, -940),
    (2030, -1060),
    (2211, -1220),
    (2420, -1400),
    (2670, -1600),
    (2990, -1890),
    (3380, -2360),
    (3900, -2870),
    END,
];

/// The end of the line, colder than anything used here.
const END: (i16, i16) = (4630, -3390);

/// The temperature, degC, below which ethanol and water begin to freeze, straight between the
/// table's points. Beyond its end it is held.
#[must_use]
pub fn freezing_point(mass_fraction: f64) -> f64 {
    let percent = mass_fraction * 100.0;
    segments()
        .find(|((_, _), (p1, _))| percent <= *p1)
        .map_or(point(END).1, |((p0, t0), (p1, t1))| {
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
        .map_or(point(END).0 / 100.0, |((p0, t0), (p1, t1))| {
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
    let points = || LINE.iter().copied().map(point);
    points().zip(points().skip(1))
}

/// Percent by mass, degC. A quotient of whole numbers is the float nearest to the decimal figure.
fn point((percent, celsius): (i16, i16)) -> (f64, f64) {
    (f64::from(percent) / 100.0, f64::from(celsius) / 100.0)
}
