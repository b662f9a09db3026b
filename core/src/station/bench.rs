//! What the bench around a station is told, and what it may be asked at any time.

use crate::limits::FILTER_DELAY_MOST_PERIODS;
use crate::pour::Habits;
use crate::units::{AdcCode, Grams, GramsPerSecond};
use crate::weigh::Seen;

use super::Station;

impl Station<'_> {
    /// How many periods the filter of the converter delays, where it is no sinc3
    /// ([`FILTER_DELAY_PERIODS`]); false, and nothing changes, where no filter does
    /// ([`FILTER_DELAY_MOST_PERIODS`]). To be told before the first sample.
    ///
    /// [`FILTER_DELAY_PERIODS`]: crate::limits::FILTER_DELAY_PERIODS
    pub fn set_filter_delay(&mut self, periods: f32) -> bool {
        let possible = (0.0..=FILTER_DELAY_MOST_PERIODS).contains(&periods);
        if possible {
            self.period.set_filter_delay(periods);
            self.pan.set_filter_delay(periods);
        }
        possible
    }

    /// What the hands have taught.
    #[must_use]
    pub const fn habits(&self) -> &Habits {
        &self.crew.habits
    }

    /// What the converter did wrong since power-up, by kind.
    #[must_use]
    pub const fn seen(&self) -> &Seen {
        self.gate.seen()
    }

    /// What the pan carries now above zero, and how fast that rises.
    #[must_use]
    pub fn weight(&self) -> (Grams, GramsPerSecond) {
        (self.pan.shown(), self.pan.flow())
    }

    /// What one code weighs above the code of the empty pan, before anything else.
    #[must_use]
    pub fn weight_of(&self, code: AdcCode) -> Grams {
        self.calibration.grams(code)
    }
}
