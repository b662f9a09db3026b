//! The text of a captured drink.

use pennyweight_core::liquid::LiquidError;
use pennyweight_core::spec::{CardAmount, Family, LiquidId};

use super::{Captured, Notebook, Taken};
use crate::sheet::{HouseSheet, counted};
use pennyweight_core::spec::Unit;

/// Something unnamed that weighs less than this is no ice, grams.
const ICE_LEAST_G: f32 = 5.0;

/// Ice is taken by the handful: a range of so much either way about what was taken.
const ICE_RANGE: f32 = 0.15;

/// The longest stir or shake a sheet takes, seconds.
const WORK_MAX_S: u16 = 240;

/// A captured drink as a sheet has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spec {
    /// The `[[drink]]` with its build in millilitres, and the same build in ounces behind it as a
    /// remark; ready to paste.
    pub toml: String,
    /// The build in millilitres.
    pub ml: Vec<String>,
    /// The build in US fluid ounces.
    pub oz: Vec<String>,
    /// What could not be put into the build, in words.
    pub remarks: Vec<String>,
}

/// One line of the build to be.
enum Line {
    Liquid(LiquidId, f64),
    Ice(f32),
    Work(u16),
    Strain,
}

/// The spec of what was captured, under this name.
///
/// # Errors
/// [`LiquidError`] when a liquid has no density.
pub fn spec(house: &HouseSheet, notes: &Notebook, name: &str) -> Result<Spec, LiquidError> {
    let mut lines: Vec<Line> = Vec::new();
    let mut remarks = Vec::new();
    for entry in notes.entries().iter().filter(|one| !one.struck) {
        take(&mut lines, &mut remarks, entry);
    }
    let strained = lines.iter().any(|line| matches!(line, Line::Strain));
    let cloudy = lines.iter().any(|line| match line {
        Line::Liquid(id, _) => house
            .liquid(*id)
            .is_some_and(|liquid| matches!(liquid.family, Family::Juice | Family::Whole)),
        _ => false,
    });
    let (work, vessel, glass) = match (strained, cloudy) {
        (true, true) => ("shake", "tin", "coupe"),
        (true, false) => ("stir", "mixing glass", "coupe"),
        (false, true) => ("shake", "rocks", "rocks"),
        (false, false) => ("stir", "rocks", "rocks"),
    };
    if strained {
        remarks.push(format!("vessel, glass and \"{work}\" are guesses"));
    }
    let (mut ml, mut oz) = (Vec::new(), Vec::new());
    for line in &lines {
        match line {
            Line::Liquid(id, grams) => {
                let Some((one, other)) = amounts(house, *id, *grams)? else {
                    continue;
                };
                ml.push(one);
                oz.push(other);
            }
            other => {
                let text = match other {
                    Line::Ice(grams) => ice(*grams),
                    Line::Work(seconds) => format!("{work} {seconds} s"),
                    Line::Liquid(..) | Line::Strain => "strain".to_owned(),
                };
                ml.push(text.clone());
                oz.push(text);
            }
        }
    }
    Ok(Spec {
        toml: toml(name, vessel, glass, &ml, &oz, &remarks),
        ml,
        oz,
        remarks,
    })
}

fn take(lines: &mut Vec<Line>, remarks: &mut Vec<String>, entry: &Captured) {
    let grams = entry.amount.mass.0;
    let number = entry.entry;
    match (entry.taken, entry.liquid) {
        (Taken::Poured | Taken::Tipped, Some(liquid)) => {
            let strained = lines.iter().rposition(|line| matches!(line, Line::Strain));
            let same = lines
                .iter_mut()
                .skip(strained.map_or(0, |at| at + 1))
                .find_map(|line| match line {
                    Line::Liquid(id, sum) if *id == liquid => Some(sum),
                    _ => None,
                });
            // A second go belongs to the first.
            match same {
                Some(sum) => *sum += f64::from(grams),
                None => lines.push(Line::Liquid(liquid, grams.into())),
            }
        }
        (Taken::Tipped, None) if grams >= ICE_LEAST_G => match lines.last_mut() {
            Some(Line::Ice(sum)) => *sum += grams,
            _ => lines.push(Line::Ice(grams)),
        },
        (Taken::Poured | Taken::Tipped, None) => {
            remarks.push(format!(
                "entry {number}: {grams:.1} g that nobody has named"
            ));
        }
        (Taken::Away(seconds), _) => lines.push(Line::Work(seconds.clamp(1, WORK_MAX_S))),
        (Taken::Strained, _) => lines.push(Line::Strain),
        (Taken::Lost, _) => {
            remarks.push(format!(
                "entry {number}: {grams:.1} g lost, unexplained; left out"
            ));
        }
    }
}

/// The line of so many grams of a liquid, in millilitres and in ounces.
fn amounts(
    house: &HouseSheet,
    id: LiquidId,
    grams: f64,
) -> Result<Option<(String, String)>, LiquidError> {
    let Some(liquid) = house.liquid(id) else {
        return Ok(None);
    };
    let ml = grams / liquid.as_liquid().shown_g_per_ml(false)?;
    let key = &liquid.key;
    let measures = house.house();
    let count = |each: f64| (ml / each).round().clamp(1.0, 99.0) as u8;
    let counted = match liquid.family {
        Family::Bitters => Some(counted(
            count(f64::from(measures.dash_ul) / 1_000.0),
            Unit::Dash,
        )),
        Family::Whole => {
            let each_ml = f64::from(liquid.each_mg) / 1_000.0 * ml / grams;
            Some(count(each_ml.max(f64::MIN_POSITIVE)).to_string())
        }
        Family::Spirit | Family::Syrup | Family::Juice | Family::Soda => None,
    };
    Ok(Some(match counted {
        Some(count) => (format!("{count} {key}"), format!("{count} {key}")),
        None => {
            let ul = (1_000.0 * ml).round().clamp(1.0, f64::from(u32::MAX)) as u32;
            (
                format!("{} {key}", CardAmount::in_ml(ul)),
                format!("{} {key}", CardAmount::in_oz(ul)),
            )
        }
    }))
}

/// A range in whole tens.
fn ice(grams: f32) -> String {
    let tens = |grams: f32| (grams / 10.0).round().max(1.0) * 10.0;
    let (low, high) = (
        tens(grams * (1.0 - ICE_RANGE)),
        tens(grams * (1.0 + ICE_RANGE)),
    );
    format!("ice {low:.0}-{high:.0} g")
}

fn toml(
    name: &str,
    vessel: &str,
    glass: &str,
    ml: &[String],
    oz: &[String],
    remarks: &[String],
) -> String {
    let listed = |lines: &[String], mark: &str| -> String {
        lines
            .iter()
            .map(|line| format!("{mark}    \"{line}\",\n"))
            .collect()
    };
    let remarks: String = remarks.iter().map(|line| format!("# {line}\n")).collect();
    format!(
        "{remarks}[[drink]]\nname = \"{name}\"\nvessel = \"{vessel}\"\nglass = \"{glass}\"\nbuild = [\n{}]\n\
         # In ounces:\n# build = [\n{}# ]\n",
        listed(ml, ""),
        listed(oz, "# ")
    )
}
