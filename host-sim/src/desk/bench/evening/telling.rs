//! What an evening tells: its state, as everybody may see it.

use std::time;

use pennyweight_core::Mode;
use pennyweight_core::view::Sound;

use super::{EVENTS_TOLD, Evening, LIFTING_G};
use crate::commands::live;
use crate::desk::state::Part;
use crate::desk::told::{self, EventTold, Now, TiltTold};

/// Between two states, unless a cue cannot wait.
const TELLS: time::Duration = time::Duration::from_millis(33);
/// Between two looks into the glasses.
pub(super) const LOOKS: time::Duration = time::Duration::from_millis(200);
/// Rows of the record that a browser is told.
const ROWS_TOLD: usize = 60;

impl Evening<'_> {
    pub(super) fn push_event(&mut self, from: &'static str, word: &str, rest: String) {
        self.event_number += 1;
        if self.events.len() >= EVENTS_TOLD {
            self.events.pop_front();
        }
        self.events.push_back(EventTold {
            number: self.event_number,
            t_s: self.rig.bench.now_s(),
            word: word.to_owned(),
            rest,
            from,
        });
    }

    /// Puts the latest state where everybody can see it.
    pub(super) fn tell(&mut self) {
        let dry = self.hands.runs_dry(&self.rig.bench);
        if dry && !self.ran_dry {
            self.push_event(
                "desk",
                "bottle empty",
                "take it again for a fresh one".to_owned(),
            );
        }
        self.ran_dry = dry;
        let now = time::Instant::now();
        let due = now.duration_since(self.told_at) >= TELLS;
        if !due && !self.at_once {
            return;
        }
        self.told_at = now;
        self.at_once = false;
        self.state.put(Part::Now, json(&self.now()));
        let shown = self.view.as_ref().filter(|_| self.on);
        self.state.put(Part::Panel, told::picture(shown));
        self.state.put(Part::Events, json(&self.events));
        if now.duration_since(self.looked_at) >= LOOKS {
            self.looked_at = now;
            let work = |glass| self.hands.work_on(glass);
            let glasses = self.glasses.told(&self.rig.bench, work);
            self.state.put(Part::Glasses, json(&glasses));
        }
        self.board.state.send_replace(self.state.clone());
    }

    pub(super) fn tell_record(&mut self) {
        if let Ok(record) = self.board.record.lock() {
            let rows: Vec<_> = record.last(ROWS_TOLD).collect();
            self.state.put(Part::Record, json(&rows));
        }
    }

    fn now(&self) -> Now {
        let view = self.view.filter(|_| self.on);
        let (gross_g, flow) = self.rig.station.weight();
        let gross_g = if self.on { f64::from(gross_g.0) } else { 0.0 };
        let true_gross_g = self.true_gross_g();
        let (tare_g, true_tare_g) = self.tare_g.unwrap_or_default();
        let sound = view.map_or(Sound::Silent, |view| view.sound);
        let tilt = match self.hands.tilted() {
            Some((bottle, far)) => Some((Some(bottle), far)),
            None if self.bartender.is_some() && self.rig.bench.flow_g_s() > 0.0 => {
                Some((None, 0.0))
            }
            None => None,
        };
        Now {
            t_s: thousandths(self.rig.bench.now_s()),
            net_g: hundredths(gross_g - tare_g),
            true_g: hundredths(true_gross_g - true_tare_g),
            moving: self.tare_g.is_some() != self.rig.bench.vessel_on_pan().is_some()
                || gross_g - tare_g < -LIFTING_G,
            gross_g: hundredths(gross_g),
            flow_g_s: if self.on {
                hundredths(f64::from(flow.0))
            } else {
                0.0
            },
            on: self.on,
            words: view.map_or_else(
                || ("switched off".to_owned(), String::new()),
                |view| live::action(&view.page),
            ),
            asked: view.and_then(|view| told::asked(&view.page).map(str::to_owned)),
            next: view.and_then(|view| live::next_of(&view.page)),
            cue: view.and_then(|view| told::cue_name(&view.page)),
            light: told::light_name(view.map(|view| view.light).unwrap_or_default()),
            sound: (self.sounds.0, told::sound_name(sound)),
            hz: match sound {
                Sound::Ramp(hertz) => Some(hertz),
                _ => None,
            },
            tilt: tilt.map(|(bottle, far)| TiltTold {
                bottle,
                far,
                flow_g_s: hundredths(self.rig.bench.flow_g_s()),
            }),
            watched: self.bartender.is_some(),
            mode: mode_name(self.mode),
            round: self.ordered.numbers(),
        }
    }
}

const fn mode_name(mode: Mode) -> &'static str {
    match mode {
        Mode::Service => "service",
        Mode::Develop => "develop",
        Mode::Prep => "prep",
        Mode::Plain => "plain",
    }
}

/// A value as JSON; what is told here has no map without text keys and cannot fail.
pub(super) fn json(value: &impl serde::Serialize) -> String {
    serde_json::to_string(value).unwrap_or_else(|_| "null".to_owned())
}

fn hundredths(value: f64) -> f64 {
    (100.0 * value).round() / 100.0
}

fn thousandths(value: f64) -> f64 {
    (1000.0 * value).round() / 1000.0
}
