//! What the image may cost: every bound of it, stated here and nowhere else.
//!
//! The figures are the product's own: a board of this kind has 512 KiB of flash or more. The boards'
//! memory maps repeat flash and RAM, so that an image over them does not even link.

/// Code, constants and the first values of variables, bytes.
pub const FLASH: f64 = 256.0 * 1024.0;
/// Variables, bytes.
pub const STATIC_RAM: f64 = 64.0 * 1024.0;
/// The deepest stack, bytes.
pub const STACK: f64 = 16.0 * 1024.0;
/// Instructions for one conversion through the core, on average.
pub const INSTRUCTIONS_A_SAMPLE: f64 = 5_000.0;
/// Instructions for one full repaint of the panel.
pub const INSTRUCTIONS_A_REPAINT: f64 = 500_000.0;
/// The most that opening one step may take, instructions: what was measured (ethanol and sugar
/// together), and 15 % on top.
pub const INSTRUCTIONS_A_STEP: f64 = 73_000.0;
/// The same for all steps of a drink.
pub const INSTRUCTIONS_A_DRINK: f64 = 208_000.0;

/// The most that planning a round of six glasses may take, instructions, once a step, as it opens;
/// conversions wait in their queue meanwhile.
pub const INSTRUCTIONS_A_PLAN: f64 = 3_000_000.0;
