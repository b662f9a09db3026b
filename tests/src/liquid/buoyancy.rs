//! Air buoyancy.

use pennyweight_core::liquid::{
    Composition, LiquidError, air_density, ethanol, shown_over_mass, target, true_mass, z_factor,
};

use super::{assert_close, number, table};

/// OIML D 28 and R 111 worked out for liquids from 780 to 1420 kg/m3.
#[test]
fn agrees_with_the_table() {
    for row in table(include_str!("../../data/liquid/air_buoyancy.csv")) {
        let factor = shown_over_mass(number(&row, 0));
        assert_close(factor, number(&row, 1), 6e-7, &row);
        assert_close((factor - 1.0) * 1e6, number(&row, 2), 0.6, &row);
        assert_close(
            (factor - 1.0) * 30.0 * number(&row, 0),
            number(&row, 3),
            0.06,
            &row,
        );
        assert_close(true_mass(30.0 * factor, number(&row, 0)), 30.0, 1e-12, &row);
    }
}

/// ISO 8655-6, annex: Z over temperature and pressure, to four decimals, at 50 % humidity.
#[test]
fn agrees_with_the_z_factors() {
    for row in table(include_str!("../../data/liquid/z_factors_iso8655.csv")) {
        let (celsius, hpa) = (number(&row, 0), number(&row, 1));
        let air = air_density(celsius, hpa, 50.0).unwrap();
        let water = ethanol::density(0.0, celsius).unwrap();
        assert_close(z_factor(water, air).unwrap(), number(&row, 2), 1e-4, &row);
    }
}

/// A mixture of 40 % vol at 20 degC: 948.0 kg/m3, shown 1116 ppm light (air_buoyancy.csv).
#[test]
fn a_target_is_what_the_scale_shows() {
    let spirit = Composition::from_label(40.0, 0.0).unwrap();
    let target = target(30.0, &spirit).unwrap();
    assert_close(target.mass_g, 28.44, 0.005, "mass");
    assert_close(target.mass_g - target.shown_g, 0.0317, 1e-4, "lift");
}

#[test]
fn refuses_weather_that_is_none() {
    assert_eq!(
        air_density(20.0, 101_325.0, 50.0),
        Err(LiquidError::Pressure(101_325.0))
    );
    assert_eq!(
        air_density(20.0, 1013.0, 120.0),
        Err(LiquidError::Humidity(120.0))
    );
    let spirit = Composition::from_label(40.0, 0.0).unwrap();
    assert_eq!(target(-1.0, &spirit), Err(LiquidError::Volume(-1.0)));
}
