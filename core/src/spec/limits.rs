//! What a sheet may hold, on the device and on the desk.
//!
//! The packed sheet lies in flash and is decoded one record at a time, so a longer sheet costs
//! the device no RAM: its limits come from the panel, from one-byte numbers and from the flash
//! set aside. The desk reads text into `Vec`s; its limits only keep a wrong file from being
//! taken for a sheet.

// On the device.

/// Longest name, in characters: one line of 8-pixel letters on a panel 128 pixels wide.
pub const NAME_MAX: usize = 16;

/// Longest note, in characters: three such lines.
pub const NOTE_MAX: usize = 48;

/// Whether the panel's fonts hold this character: those of ISO/IEC 8859-1 that are not control
/// codes, which suffices for the languages of Western Europe.
#[must_use]
pub const fn is_shown(letter: char) -> bool {
    matches!(letter, ' '..='~' | '\u{A0}'..='\u{FF}')
}

/// Most steps of one drink. A long build takes 16; the rest is room for notes.
pub const STEPS_MAX: u8 = 24;

/// Most liquids of one sheet. A house of 60 bottles fits twice; the numbers are one byte.
pub const LIQUIDS_MAX: u8 = 128;

/// Most drinks of one sheet: as many as liquids. Of long drinks, the flash set aside takes
/// fewer.
pub const DRINKS_MAX: u8 = 128;

/// Flash set aside for the packed sheet, bytes. 60 liquids and 60 drinks of 16 steps, every
/// name and every fourth step a note of full length, take 23 KiB. Offsets into it fit two bytes.
pub const SHEET_BYTES_MAX: usize = 32 * 1024;

/// Largest amount, microlitres (20 l): the largest batch that still goes on a counter.
pub const VOLUME_MAX_UL: u32 = 20_000_000;

/// Largest amount, milligrams (20 kg): as [`VOLUME_MAX_UL`].
pub const MASS_MAX_MG: u32 = 20_000_000;

/// Most dashes, barspoons, drops or pieces in one step: two digits on the panel.
pub const COUNT_MAX: u8 = 99;

/// Largest amount of ice, grams: what a punch bowl takes.
pub const ICE_MAX_G: u16 = 5_000;

/// Lightest measured density, g/m3. Pure ethanol at 40 degC is 772 kg/m3 (OIML R 22).
pub const DENSITY_MIN_G_PER_M3: u32 = 700_000;

/// Heaviest measured density, g/m3. Honey is 1425 kg/m3 (USDA SR28, 1.42 to 1.43 g/ml).
pub const DENSITY_MAX_G_PER_M3: u32 = 1_600_000;

/// Coldest temperature of a density measurement, hundredths of a degree Celsius: a freezer.
pub const MEASURED_AT_MIN_CENTI_C: i16 = -2_000;

/// Warmest temperature of a density measurement, hundredths of a degree Celsius: the top of
/// the range of OIML R 22.
pub const MEASURED_AT_MAX_CENTI_C: i16 = 4_000;

/// Strongest liquid, hundredths of a percent by volume.
pub const ABV_MAX_CENTI: u16 = 10_000;

/// Largest sugar content, tenths of a gram per litre: 85 % by mass, the top of the range of
/// ICUMSA SPS-4, is about 1228 g/l.
pub const SUGAR_MAX_DG_PER_L: u16 = 12_500;

/// The allergen groups that exist: bits 0 to 13 for the 14 groups of Regulation (EU) No
/// 1169/2011, Annex II.
pub const ALLERGEN_BITS: u16 = 0x3FFF;

/// Largest house measure, microlitres (20 ml): more is no dash, barspoon or drop.
pub const HOUSE_MEASURE_MAX_UL: u32 = 20_000;

// On the desk.

/// Longest text that is read as a sheet, bytes. A full sheet is about 100 KiB of text.
pub const SHEET_TEXT_MAX: usize = 1024 * 1024;

/// Most mistakes told at once; past that, the file is not a sheet.
pub const MISTAKES_MAX: usize = 50;
