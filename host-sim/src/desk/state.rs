//! The latest state, and what of it a browser has not seen yet.

use std::sync::Arc;

/// The parts of the state. Each is a JSON value with a number that grows when it changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Masses, light, sound, tilt: new about thirty times a second.
    Now,
    /// The panel's picture.
    Panel,
    /// What stays the same as long as this desk runs.
    Desk,
    /// The sheet: its bottles and drinks.
    House,
    /// The vessels and what is in them.
    Glasses,
    /// The latest events.
    Events,
    /// The latest rows of the record.
    Record,
}

/// How many there are, and their names in a message.
const PARTS: usize = 7;
const NAMES: [&str; PARTS] = [
    "now", "panel", "desk", "house", "glasses", "events", "record",
];

/// The state as it stands. Cheap to clone.
#[derive(Clone, Debug)]
pub struct State {
    parts: [(u64, Arc<str>); PARTS],
}

impl State {
    /// Nothing known yet.
    #[must_use]
    pub fn new() -> Self {
        Self {
            parts: std::array::from_fn(|_| (0, Arc::from("null"))),
        }
    }

    /// Puts a part in the place of what it was; says whether it differs.
    pub fn put(&mut self, part: Part, json: String) -> bool {
        let (number, was) = &mut self.parts[part as usize];
        let differs = **was != *json;
        if differs {
            *number += 1;
            *was = json.into();
        }
        differs
    }
}

impl Default for State {
    fn default() -> Self {
        Self::new()
    }
}

/// What one browser has been sent.
#[derive(Clone, Debug, Default)]
pub struct Sent {
    numbers: [u64; PARTS],
}

impl Sent {
    /// A message with the parts that are new, as one JSON object; `None` where none is.
    pub fn news(&mut self, state: &State) -> Option<String> {
        let mut message = String::new();
        for ((number, json), (sent, name)) in
            state.parts.iter().zip(self.numbers.iter_mut().zip(NAMES))
        {
            if number == sent {
                continue;
            }
            *sent = *number;
            message.push(if message.is_empty() { '{' } else { ',' });
            message.push('"');
            message.push_str(name);
            message.push_str("\":");
            message.push_str(json);
        }
        (!message.is_empty()).then(|| message + "}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_new_is_sent() {
        let mut state = State::new();
        let mut sent = Sent::default();
        assert_eq!(sent.news(&state), None);
        assert!(state.put(Part::Now, "1".to_owned()));
        assert!(state.put(Part::Panel, "\"00\"".to_owned()));
        assert_eq!(sent.news(&state).unwrap(), r#"{"now":1,"panel":"00"}"#);
        assert_eq!(sent.news(&state), None);
        assert!(!state.put(Part::Panel, "\"00\"".to_owned()));
        assert!(state.put(Part::Now, "2".to_owned()));
        assert_eq!(sent.news(&state).unwrap(), r#"{"now":2}"#);
    }

    #[test]
    fn whoever_missed_states_gets_the_latest_alone() {
        let mut state = State::new();
        let mut sent = Sent::default();
        for value in 0..1000 {
            state.put(Part::Now, value.to_string());
        }
        assert_eq!(sent.news(&state).unwrap(), r#"{"now":999}"#);
        // Somebody new gets everything.
        state.put(Part::House, "{}".to_owned());
        let all = Sent::default().news(&state).unwrap();
        assert_eq!(all, r#"{"now":999,"house":{}}"#);
    }
}
