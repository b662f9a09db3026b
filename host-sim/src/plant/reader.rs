//! A person at a plain scale: a number, no cues.

use super::hand::HandDraw;

/// The number is a mean over so many seconds, renewed with every conversion (assumption, in
/// favour of the plain scale: many lag by a quarter of a second).
const SHOWN_MEAN_S: f64 = 0.05;

/// A plain scale's display and the eye on it.
#[derive(Clone, Debug)]
pub struct Reader {
    target_g: f64,
    moves_at_g: f64,
    reading_s: f64,
    recent: Vec<(u64, f64)>,
    tare_g: f64,
    move_us: Option<u64>,
}

impl Reader {
    /// Somebody who stops when the number reaches `target_g`.
    #[must_use]
    pub fn plain(target_g: f64, draw: &HandDraw) -> Self {
        Self {
            target_g,
            moves_at_g: target_g,
            reading_s: draw.reading_s,
            recent: Vec::new(),
            tare_g: 0.0,
            move_us: None,
        }
    }

    /// Somebody who knows that the bottle usually flows with `usual_g_s` and stops as much
    /// earlier as long practice taught.
    #[must_use]
    pub fn practised(target_g: f64, usual_g_s: f64, draw: &HandDraw) -> Self {
        Self {
            moves_at_g: target_g - usual_g_s * draw.margin_s,
            ..Self::plain(target_g, draw)
        }
    }

    /// `grams` is zero from now on.
    pub fn tare(&mut self, grams: f64) {
        self.tare_g = grams;
        self.move_us = None;
    }

    /// What is to be reached.
    #[must_use]
    pub fn target_g(&self) -> f64 {
        self.target_g
    }

    fn mean(&self) -> f64 {
        let sum: f64 = self.recent.iter().map(|(_, grams)| grams).sum();
        sum / self.recent.len().max(1) as f64
    }

    /// Takes a conversion in grams.
    pub fn weigh(&mut self, now_us: u64, grams: f64) {
        self.recent.push((now_us, grams));
        let since = now_us.saturating_sub((SHOWN_MEAN_S * 1e6) as u64);
        self.recent.retain(|&(at, _)| at >= since);
        if self.move_us.is_none() && self.mean() - self.tare_g >= self.moves_at_g {
            self.move_us = Some(now_us + (self.reading_s * 1e6) as u64);
        }
    }

    /// When the bottle is tilted back.
    #[must_use]
    pub fn move_us(&self) -> Option<u64> {
        self.move_us
    }
}
