//! The converter and its codes.

/// Largest code of a signed 24-bit converter.
pub const CODE_MAX: i32 = 0x7F_FFFF;
/// Smallest code of a signed 24-bit converter.
pub const CODE_MIN: i32 = -0x80_0000;
/// Group delay of the converter's filter, in conversion periods: sinc3 is three boxcars of one
/// period, each delaying by half a period. What a station takes unless it is told otherwise.
pub const FILTER_DELAY_PERIODS: f32 = 1.5;
/// The longest such delay that is believed, periods: half of the longest filters on the market.
pub const FILTER_DELAY_MOST_PERIODS: f32 = 40.0;
/// An interval this much shorter or longer than the period does not teach the period. Parts run
/// 8 % below to 17 % above their nominal rate; a missed conversion is 100 % longer.
pub const PERIOD_RATIO: (f32, f32) = (0.6, 1.5);
/// Odd intervals in a row after which the period itself is taken to have changed.
pub const PERIOD_RETRAIN: u8 = 4;
/// Seconds of samples thrown away after power-up: the converter's filter and the bridge settle.
pub const DISCARD_S: f32 = 0.5;
/// Periods without a conversion after which the converter counts as silent (design), and the
/// least time for it, seconds.
pub const SILENT_PERIODS: f32 = 6.0;
/// See [`SILENT_PERIODS`].
pub const SILENT_S: f32 = 0.5;
/// A code that repeats to the last bit for so long cannot come from a noisy bridge, seconds.
pub const STUCK_S: f32 = 2.0;
/// And at least so many times.
pub const STUCK_CODES: u16 = 16;
/// After so many repeats of a code nothing settles on it until it changes: of a noise of ten codes,
/// three alike come once in a thousand conversions (design).
pub const DOUBTED_REPEATS: u16 = 2;
/// Rails seen in a row before the converter counts as saturated; fewer are a glitch.
pub const SATURATED_CODES: u8 = 3;
/// A single sample further off than this, grams, with both neighbours back in place is a glitch:
/// a sinc3 filter spreads whatever really happened over three conversions.
pub const GLITCH_G: f32 = 25.0;
/// How far back its neighbours must be, as a share of the jump.
pub const GLITCH_BACK: f32 = 0.05;
/// A jump from one conversion to the next that no hand makes with a load, grams: a tin of 1 kg
/// dropped from 5 cm reaches a third of this before the filter (design). To and fro again and
/// again it is a floating input.
pub const SWING_G: f32 = 1500.0;
/// So many swings in a row, each back from the one before (design).
pub const SWING_CODES: u8 = 6;
/// The same code again within this share of a period is the same conversion, read again (design).
pub const DUPLICATE_PERIODS: f32 = 0.25;
/// An interval longer than so many periods is a gap (design).
pub const GAP_PERIODS: f32 = 1.5;
/// An interval off by more than this share of a period is counted as uneven (design); parts of a
/// nominal 10 conversions a second run at 9 to 11.7, which the period learns.
pub const JITTER_PERIODS: f32 = 0.25;
