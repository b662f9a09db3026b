//! `liquid`: what one liquid weighs.

mod page;

use std::io::{self, Write};

use clap::{Args, ValueEnum};
use pennyweight_core::liquid::learn::{self, Uncertain};
use pennyweight_core::liquid::{
    Composition, Estimate, LiquidError, Measured, Target, dairy, honey, saline, target,
};
use serde::Serialize;

use super::events::write_json;
use super::failure::Failure;
use page::named;
pub use page::{lines, page};

/// The density of one liquid, and the mass of a volume of it.
///
/// Strength and sugar are those a label states, at 20 degC. Millilitres are millilitres at
/// 20 degC too: the bottle's temperature changes the density, not the mass of a written amount.
#[derive(Args, Clone, Debug, Default)]
pub struct LiquidArgs {
    /// Strength, percent by volume at 20 degC
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true)]
    pub abv: Option<f64>,
    /// Strength, degrees US proof (twice the percentage by volume at 60 degF)
    #[arg(long, conflicts_with = "abv", allow_negative_numbers = true)]
    pub proof: Option<f64>,
    /// Strength, percent by mass
    #[arg(long, value_name = "PERCENT", conflicts_with_all = ["abv", "proof"], allow_negative_numbers = true)]
    pub abw: Option<f64>,
    /// Sugar, grams per litre at 20 degC
    #[arg(long, value_name = "G_PER_L", allow_negative_numbers = true)]
    pub sugar: Option<f64>,
    /// A syrup: sugar, percent by mass
    #[arg(long, conflicts_with_all = ["sugar", "abv", "proof", "abw"], allow_negative_numbers = true)]
    pub brix: Option<f64>,
    /// A saline: salt, percent by mass
    #[arg(long, value_name = "PERCENT", conflicts_with_all = ALONE, allow_negative_numbers = true)]
    pub salt: Option<f64>,
    /// Milk or cream: fat, percent by mass
    #[arg(long, value_name = "PERCENT", conflicts_with_all = ALONE, conflicts_with = "salt", allow_negative_numbers = true)]
    pub fat: Option<f64>,
    /// Honey: water, percent by mass
    #[arg(long, value_name = "PERCENT", conflicts_with_all = ALONE, conflicts_with_all = ["salt", "fat"], allow_negative_numbers = true)]
    pub honey_water: Option<f64>,
    /// Temperature of the liquid, degC
    #[arg(
        long,
        value_name = "DEGC",
        default_value_t = 20.0,
        allow_negative_numbers = true
    )]
    pub temp: f64,
    /// A density measured at that temperature, kg/m3; wins over the formulas
    #[arg(long, value_name = "KG_PER_M3", allow_negative_numbers = true)]
    pub density: Option<f64>,
    /// Find what the measured density tells
    #[arg(long, value_name = "WHAT", requires = "density", conflicts_with_all = ["brix", "salt", "fat", "honey_water"])]
    pub solve: Option<Unknown>,
    /// Also the mass of so many millilitres (at 20 degC)
    #[arg(long, allow_negative_numbers = true)]
    pub ml: Option<f64>,
    /// Print the lines that describe it in a sheet, to paste below its [liquid.NAME]
    #[arg(long, conflicts_with = "json")]
    pub lines: bool,
    /// Print one JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// What salt, fat or the water in honey does not stand beside.
const ALONE: [&str; 5] = ["abv", "abw", "proof", "sugar", "brix"];

/// What a density can be solved for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Unknown {
    /// The strength by volume, the sugar being known
    Abv,
    /// The sugar, the strength being known
    Sugar,
}

/// What is found about a liquid.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// kg/m3 at the temperature asked for.
    pub density_kg_m3: f64,
    /// One standard uncertainty, percent of the density.
    pub sigma_percent: f64,
    /// Which formula, in a word.
    pub model: &'static str,
    /// Where the formula is published.
    pub source: &'static str,
    /// degC.
    pub temperature_c: f64,
    /// Percent by volume at 20 degC.
    pub abv_percent: f64,
    /// Grams per litre at 20 degC.
    pub sugar_g_per_l: f64,
    /// One standard uncertainty of what was solved for, percent by volume or grams per litre, the
    /// density being good to [`SOLVED_SIGMA_PERCENT`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub solved_sigma: Option<f64>,
    /// The volume asked for, at 20 degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ml: Option<f64>,
    /// Its true mass, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_g: Option<f64>,
    /// What a scale shows of it, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shown_g: Option<f64>,
}

/// Prints the answer.
///
/// # Errors
/// Options that describe no liquid; an output that cannot be written.
pub fn run(args: &LiquidArgs) -> Result<(), Failure> {
    let answer = answer(args)?;
    let mut out = io::stdout().lock();
    if args.json {
        write_json(&mut out, &answer)
    } else if args.lines {
        out.write_all(lines(args, &answer).as_bytes())
    } else {
        out.write_all(page(args, &answer).as_bytes())
    }
    .map_err(Failure::writing)
}

/// Works the answer out.
///
/// # Errors
/// Bad input, naming the option, its bound and what to do.
pub fn answer(args: &LiquidArgs) -> Result<Answer, Failure> {
    let liquid = described(args).map_err(|trouble| trouble.told(args))?;
    let Estimate {
        density,
        sigma_percent,
        model,
        ..
    } = estimate(args, &liquid).map_err(|error| refused(args, error))?;
    let target = args
        .ml
        .map(|ml| target(ml, &liquid))
        .transpose()
        .map_err(|error| refused(args, error))?;
    let (model, source) = named(model);
    Ok(Answer {
        density_kg_m3: density,
        sigma_percent,
        model,
        source,
        temperature_c: args.temp,
        abv_percent: 100.0 * liquid.strength,
        sugar_g_per_l: liquid.sugar_g_per_l,
        solved_sigma: solved_sigma(args, &liquid),
        ml: args.ml,
        mass_g: target.map(|t: Target| t.mass_g),
        shown_g: target.map(|t: Target| t.shown_g),
    })
}

/// A density that somebody solves for is taken to be good to so much, percent: 0.1 ml and 0.1 g
/// in 100 ml. Assumed.
pub const SOLVED_SIGMA_PERCENT: f64 = 0.1;

/// How well what was solved for is known.
fn solved_sigma(args: &LiquidArgs, liquid: &Composition) -> Option<f64> {
    let value = args.density?;
    let density = Uncertain {
        value,
        sigma: value * SOLVED_SIGMA_PERCENT / 100.0,
    };
    match args.solve? {
        Unknown::Abv => learn::strength(density, args.temp, liquid.sugar_g_per_l)
            .ok()
            .map(|strength| 100.0 * strength.sigma),
        Unknown::Sugar => learn::sugar(density, args.temp, liquid.strength)
            .ok()
            .map(|sugar| sugar.sigma),
    }
}

/// Why the options describe no liquid.
enum Trouble {
    Liquid(LiquidError),
    Options {
        place: &'static str,
        cause: &'static str,
        remedy: &'static str,
    },
}

impl From<LiquidError> for Trouble {
    fn from(error: LiquidError) -> Self {
        Self::Liquid(error)
    }
}

impl Trouble {
    fn told(self, args: &LiquidArgs) -> Failure {
        match self {
            Self::Liquid(error) => refused(args, error),
            Self::Options {
                place,
                cause,
                remedy,
            } => Failure::bad_input(NO_ANSWER, place, cause, remedy),
        }
    }
}

/// The density at the temperature asked for, by what describes the liquid.
fn estimate(args: &LiquidArgs, liquid: &Composition) -> Result<Estimate, LiquidError> {
    match (args.density, args.salt, args.fat, args.honey_water) {
        (None, Some(salt), _, _) => saline::density(salt, args.temp),
        (None, _, Some(fat), _) => dairy::density(fat, args.temp),
        (None, _, _, Some(water)) => honey::density(water, args.temp),
        _ => liquid.density(args.temp),
    }
}

/// The liquid the options describe.
fn described(args: &LiquidArgs) -> Result<Composition, Trouble> {
    if let Some(unknown) = args.solve {
        return solved(args, unknown);
    }
    let measured = args.density.map(|density| Measured {
        density,
        at: args.temp,
    });
    let sugar_g_per_l = args.sugar.unwrap_or(0.0);
    let mut liquid = if let Some(salt) = args.salt {
        saline::liquid(salt)?
    } else if let Some(fat) = args.fat {
        dairy::liquid(fat)?
    } else if let Some(water) = args.honey_water {
        honey::liquid(water)?
    } else if let Some(brix) = args.brix {
        Composition::from_brix(brix)?
    } else if let Some(abw) = args.abw {
        Composition::from_abw(abw, sugar_g_per_l, measured)?
    } else {
        Composition {
            strength: strength(args)?.unwrap_or(0.0),
            sugar_g_per_l,
            measured: None,
        }
    };
    let told = [
        args.abv,
        args.abw,
        args.proof,
        args.sugar,
        args.brix,
        args.salt,
        args.fat,
        args.honey_water,
        args.density,
    ];
    if told.iter().all(Option::is_none) {
        return Err(Trouble::Options {
            place: "the options",
            cause: "no liquid is described",
            remedy: "give --abv, --abw or --proof, --sugar or --brix, --salt, --fat, \
                     --honey-water, or --density (water is --abv 0)",
        });
    }
    liquid.measured = measured.or(liquid.measured);
    liquid.density(args.temp)?;
    liquid.agree()?;
    Ok(liquid)
}

/// Strength by volume as --abv or --proof state it.
fn strength(args: &LiquidArgs) -> Result<Option<f64>, LiquidError> {
    match (args.abv, args.proof) {
        (Some(abv), _) => Ok(Some(abv / 100.0)),
        (None, Some(proof)) => Composition::from_proof(proof).map(|spirit| Some(spirit.strength)),
        (None, None) => Ok(None),
    }
}

/// The liquid that the measured density tells of.
fn solved(args: &LiquidArgs, unknown: Unknown) -> Result<Composition, Trouble> {
    let Some(density) = args.density else {
        return Err(Trouble::Options {
            place: "--solve",
            cause: "strength and sugar are found from a density, and none is given",
            remedy: "measure the density and give it as --density",
        });
    };
    let strong = args.abv.or(args.abw).or(args.proof).is_some();
    match unknown {
        Unknown::Abv if strong => Err(Trouble::Options {
            place: "--solve abv",
            cause: "the strength is to be found, and yet it is given",
            remedy: "leave out --abv, --abw and --proof, or use --solve sugar",
        }),
        Unknown::Abv => {
            let sugar_g_per_l = args.sugar.unwrap_or(0.0);
            Ok(Composition::from_density(
                density,
                args.temp,
                sugar_g_per_l,
            )?)
        }
        Unknown::Sugar if args.sugar.is_some() => Err(Trouble::Options {
            place: "--solve sugar",
            cause: "the sugar is to be found, and yet it is given",
            remedy: "leave out --sugar, or use --solve abv",
        }),
        Unknown::Sugar if args.abw.is_some() => Err(Trouble::Options {
            place: "--solve sugar",
            cause: "the strength by volume is needed, and --abw is by mass",
            remedy: "give --abv or --proof",
        }),
        Unknown::Sugar => {
            let strength = strength(args)?.unwrap_or(0.0);
            Ok(Composition::sugar_from_density(
                density, args.temp, strength,
            )?)
        }
    }
}

/// What fails when the options do not describe a liquid.
const NO_ANSWER: &str = "there is no telling what the liquid weighs";

/// A refusal with its place, its likely cause and what to do.
fn refused(args: &LiquidArgs, error: LiquidError) -> Failure {
    let (place, remedy) = match error {
        LiquidError::NotANumber => ("the options", "give every figure as a plain decimal number"),
        LiquidError::Strength(_) => (
            "--abv, --abw or --proof",
            "--abv is percent by volume (40, not 0.4); for degrees proof use --proof",
        ),
        LiquidError::Sugar(_) => (
            "--sugar",
            "--sugar is grams per litre; for percent by mass use --brix; honey and the like \
             need a measured --density",
        ),
        LiquidError::Brix(_) => (
            "--brix",
            "more sugar than that does not stay dissolved; give a measured --density instead",
        ),
        LiquidError::Temperature(_) => ("--temp", "--temp is in degrees Celsius"),
        LiquidError::Freezing { .. } => (
            "--temp",
            "leave --temp out for a volume at 20 degC, or give a warmer one",
        ),
        LiquidError::NoRoom { .. } => (
            "--abv and --sugar",
            "check both against the label; sugar is per litre, not per bottle",
        ),
        LiquidError::Density(_) => ("--density", "--density is in kg/m3: 948, not 0.948"),
        LiquidError::NoStrength { .. } => (
            "--density",
            "if the liquid holds sugar, say how much with --sugar; check --temp",
        ),
        LiquidError::NoSugar { .. } if args.abv.or(args.proof).is_none() => (
            "--density and the strength",
            "no strength is given, so none was reckoned with: give it as --abv",
        ),
        LiquidError::NoSugar { .. } => (
            "--density and --abv",
            "check both, and --temp: sugar makes a spirit denser, never lighter",
        ),
        LiquidError::Salt(_) => (
            "--salt",
            "--salt is percent by mass: 20 g to 80 g of water is 20; water holds no more than 26",
        ),
        LiquidError::Fat(_) => ("--fat", "--fat is percent by mass, as on the carton"),
        LiquidError::HoneyWater(_) => (
            "--honey-water",
            "--honey-water is percent by mass (17.5 is usual); weigh it and give --density instead",
        ),
        LiquidError::Volume(_) => ("--ml", "give the volume of one pour or batch"),
        LiquidError::Mass(_) | LiquidError::Pressure(_) | LiquidError::Humidity(_) => {
            ("the options", "check the figures")
        }
    };
    Failure::bad_input(NO_ANSWER, place, error.to_string(), remedy)
}
