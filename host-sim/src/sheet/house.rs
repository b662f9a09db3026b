//! The `[house]` table: the bar's name and its small measures.

use pennyweight_core::spec::limits::HOUSE_MEASURE_MAX_UL;
use pennyweight_core::spec::{Amount, House, Quantity};
use toml::de::DeTable;

use super::fields::{Reader, Section, quoted};

/// Where nothing is stated. Common practice, no source; the house had better measure its own.
const USUAL: House = House {
    dash_ul: 800,
    barspoon_ul: 5_000,
    drop_ul: 50,
};

pub(super) fn read(reader: &mut Reader<'_>, root: &DeTable<'_>) -> (String, House) {
    let Some(section) = reader.section(root, "house", "write [house] and its keys below it") else {
        return (String::new(), USUAL);
    };
    let known = ["name", "dash", "barspoon", "drop"];
    reader.unknown_keys(section.table, &known, "in [house]");
    let name = reader.text(&section, "name", "write name = \"the bar\"");
    let house = House {
        dash_ul: measure(reader, &section, "dash", "0.8 ml").unwrap_or(USUAL.dash_ul),
        barspoon_ul: measure(reader, &section, "barspoon", "5 ml").unwrap_or(USUAL.barspoon_ul),
        drop_ul: measure(reader, &section, "drop", "0.05 ml").unwrap_or(USUAL.drop_ul),
    };
    (name.map(|name| name.text).unwrap_or_default(), house)
}

fn measure(
    reader: &mut Reader<'_>,
    section: &Section<'_, '_>,
    key: &str,
    usual: &str,
) -> Option<u32> {
    let right = format!("write its volume: {key} = \"{usual}\"");
    let written = reader.text(section, key, &right)?;
    let amount = match Amount::parse(&written.text) {
        Ok(amount) => amount,
        Err(error) => {
            let what = format!("{} cannot be read: {}", quoted(&written.text), error.what());
            reader.mistake(written.at, what, right);
            return None;
        }
    };
    match amount.quantity {
        Quantity::Volume(ul) if ul <= HOUSE_MEASURE_MAX_UL => Some(ul),
        Quantity::Volume(_) => {
            let what = format!("a {key} of {} is too much", quoted(&written.text));
            let most = HOUSE_MEASURE_MAX_UL / 1_000;
            reader.mistake(
                written.at,
                what,
                format!("at most {most} ml, such as {usual}"),
            );
            None
        }
        Quantity::Mass(_) | Quantity::Count(_) => {
            let what = format!("{} is no volume", quoted(&written.text));
            reader.mistake(written.at, what, right);
            None
        }
    }
}
