//! What the image may cost: every bound of it, stated here and nowhere else.
//!
//! The figures are the product's own (a small Cortex-M4F). The board's memory map repeats flash and
//! RAM so that an image over them does not even link.

/// Code, constants and the first values of variables, bytes.
pub const FLASH: f64 = 96.0 * 1024.0;
/// Variables, bytes.
pub const STATIC_RAM: f64 = 16.0 * 1024.0;
/// The deepest stack, bytes.
pub const STACK: f64 = 6.0 * 1024.0;
/// Instructions for one conversion through the core, on average.
pub const INSTRUCTIONS_A_SAMPLE: f64 = 3_000.0;
/// Instructions for one full repaint of the panel.
pub const INSTRUCTIONS_A_REPAINT: f64 = 500_000.0;
/// The most that opening one step may take, instructions: what it took when it was measured
/// (112,840: ethanol and sugar together), and 15 % on top.
pub const INSTRUCTIONS_A_STEP: f64 = 130_000.0;
/// The same for all steps of a drink (304,160).
pub const INSTRUCTIONS_A_DRINK: f64 = 350_000.0;

/// The most that planning a round of six glasses may take, instructions, once a step, as it opens;
/// conversions wait in their queue meanwhile.
pub const INSTRUCTIONS_A_PLAN: f64 = 3_000_000.0;

/// Flash of the part that the image with journal and host link needs, bytes: its memory map, as
/// F411-class parts have it. **It is over the product's 96 KiB.**
pub const FLASH_KEEPING: f64 = 512.0 * 1024.0;

/// The image for the F411 board, which carries its drivers, the loop, a queue, the link by its own
/// clock and what is kept in flash, bytes. **It is over the product's 96 KiB**; the part has 512.
/// What it took when it was measured, and 2 % on top.
pub const FLASH_F411: f64 = 111_000.0;
