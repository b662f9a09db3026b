//! `liquid`: what one liquid weighs.

use std::fmt::Write as _;
use std::io::{self, Write};

use clap::{Args, ValueEnum};
use pennyweight_core::liquid::{
    Composition, Estimate, LiquidError, Measured, Model, Target, target,
};
use serde::Serialize;

use super::events::write_json;
use super::failure::Failure;

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
    /// Sugar, grams per litre at 20 degC
    #[arg(long, value_name = "G_PER_L", allow_negative_numbers = true)]
    pub sugar: Option<f64>,
    /// A syrup: sugar, percent by mass
    #[arg(long, conflicts_with_all = ["sugar", "abv", "proof"], allow_negative_numbers = true)]
    pub brix: Option<f64>,
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
    #[arg(long, value_name = "WHAT", requires = "density", conflicts_with_all = ["abv", "proof", "brix"])]
    pub solve: Option<Unknown>,
    /// Also the mass of so many millilitres (at 20 degC)
    #[arg(long, allow_negative_numbers = true)]
    pub ml: Option<f64>,
    /// Print one JSON document instead of text
    #[arg(long)]
    pub json: bool,
}

/// What a density can be solved for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Unknown {
    /// The strength by volume, the sugar being known
    Abv,
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
    } else {
        out.write_all(page(&answer).as_bytes())
    }
    .map_err(Failure::writing)
}

/// Works the answer out.
///
/// # Errors
/// Bad input, naming the option, its bound and what to do.
pub fn answer(args: &LiquidArgs) -> Result<Answer, Failure> {
    let liquid = described(args)?;
    let Estimate {
        density,
        sigma_percent,
        model,
        ..
    } = liquid.density(args.temp).map_err(refused)?;
    let target = args
        .ml
        .map(|ml| target(ml, &liquid))
        .transpose()
        .map_err(refused)?;
    let (model, source) = named(model);
    Ok(Answer {
        density_kg_m3: density,
        sigma_percent,
        model,
        source,
        temperature_c: args.temp,
        abv_percent: 100.0 * liquid.strength,
        sugar_g_per_l: liquid.sugar_g_per_l,
        ml: args.ml,
        mass_g: target.map(|t: Target| t.mass_g),
        shown_g: target.map(|t: Target| t.shown_g),
    })
}

/// The liquid the options describe.
fn described(args: &LiquidArgs) -> Result<Composition, Failure> {
    let sugar_g_per_l = args.sugar.unwrap_or(0.0);
    if let Some(Unknown::Abv) = args.solve {
        let density = args.density.ok_or_else(|| {
            Failure::bad_input(
                NO_ANSWER,
                "--solve abv",
                "a strength is found from a density, and none is given",
                "measure the density and give it as --density",
            )
        })?;
        return Composition::from_density(density, args.temp, sugar_g_per_l).map_err(refused);
    }
    let mut liquid = if let Some(brix) = args.brix {
        Composition::from_brix(brix)
    } else if let Some(proof) = args.proof {
        Composition::from_proof(proof)
    } else {
        Ok(Composition {
            strength: args.abv.unwrap_or(0.0) / 100.0,
            ..Composition::default()
        })
    }
    .map_err(refused)?;
    if args.brix.is_none() {
        liquid.sugar_g_per_l = sugar_g_per_l;
    }
    let told = [args.abv, args.proof, args.sugar, args.brix, args.density];
    if told.iter().all(Option::is_none) {
        return Err(Failure::bad_input(
            NO_ANSWER,
            "the options",
            "no liquid is described",
            "give --abv or --proof, --sugar or --brix, or --density (water is --abv 0)",
        ));
    }
    liquid.measured = args.density.map(|density| Measured {
        density,
        at: args.temp,
    });
    Ok(liquid)
}

/// What fails when the options do not describe a liquid.
const NO_ANSWER: &str = "there is no telling what the liquid weighs";

/// A refusal with its place, its likely cause and what to do.
fn refused(error: LiquidError) -> Failure {
    let (place, remedy) = match error {
        LiquidError::NotANumber => ("the options", "give every figure as a plain decimal number"),
        LiquidError::Strength(_) => (
            "--abv or --proof",
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
        LiquidError::Volume(_) => ("--ml", "give the volume of one pour or batch"),
        LiquidError::Mass(_) | LiquidError::Pressure(_) | LiquidError::Humidity(_) => {
            ("the options", "check the figures")
        }
    };
    Failure::bad_input(NO_ANSWER, place, error.to_string(), remedy)
}

/// A model in a word, and where it is published.
fn named(model: Model) -> (&'static str, &'static str) {
    match model {
        Model::OimlR22 => ("oiml_r22", "OIML R 22 (1975), general formula"),
        Model::IcumsaSps4 => ("icumsa_sps4", "ICUMSA SPS-4, sucrose solutions"),
        Model::Tabarie => (
            "tabarie",
            "Tabarie's relation (OIV-MA-AS2-03B) over OIML R 22 and ICUMSA SPS-4",
        ),
        Model::Measured => ("measured", "as measured"),
    }
}

/// The answer as a few aligned lines.
#[must_use]
pub fn page(answer: &Answer) -> String {
    let mut text = String::new();
    let mut line = |head: &str, body: String| {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{head:<12} {body}");
    };
    line(
        "liquid",
        format!(
            "{:.2} % vol, {:.1} g/l sugar",
            answer.abv_percent, answer.sugar_g_per_l
        ),
    );
    line("temperature", format!("{:.1} degC", answer.temperature_c));
    line(
        "density",
        format!(
            "{:.2} kg/m3 \u{b1} {:.2} % (one standard uncertainty)",
            answer.density_kg_m3, answer.sigma_percent
        ),
    );
    line("source", answer.source.to_owned());
    if let (Some(ml), Some(mass), Some(shown)) = (answer.ml, answer.mass_g, answer.shown_g) {
        line(
            "amount",
            format!("{ml} ml at 20 degC weigh {mass:.3} g; a scale shows {shown:.3} g"),
        );
    }
    text
}
