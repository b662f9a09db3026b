//! The socket: wishes and news, several browsers at one bench, and those who misbehave.

use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::net::TcpStream;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tungstenite::client::IntoClientRequest;
use tungstenite::http::HeaderValue;
use tungstenite::{Error as Failed, Message, WebSocket};

use super::served::{PATIENCE, Served};

/// A browser's end of the socket, and the state as it knows it.
struct Browser {
    socket: WebSocket<TcpStream>,
    state: BTreeMap<String, Value>,
}

impl Browser {
    fn open(served: &Served) -> Self {
        let stream = TcpStream::connect(("127.0.0.1", served.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        let address = format!("ws://127.0.0.1:{}/socket", served.port);
        let (socket, _) = tungstenite::client(address, stream).unwrap();
        let mut browser = Self {
            socket,
            state: BTreeMap::new(),
        };
        // The bench may not have told anything yet.
        browser.until("the state", |state| state.contains_key("now"));
        browser
    }

    fn wish(&mut self, wish: &Value) {
        self.socket.send(Message::text(wish.to_string())).unwrap();
    }

    /// Takes the next message into the state.
    fn take(&mut self) {
        let message = match self.socket.read() {
            // A signal that came while it waited: it is asked again.
            Err(Failed::Io(why)) if why.kind() == ErrorKind::Interrupted => return,
            read => read.unwrap(),
        };
        if let Message::Text(text) = message {
            let parts: BTreeMap<String, Value> = serde_json::from_str(&text).unwrap();
            self.state.extend(parts);
        }
    }

    /// Takes messages until something holds.
    fn until(&mut self, what: &str, holds: impl Fn(&BTreeMap<String, Value>) -> bool) {
        let began = Instant::now();
        while !holds(&self.state) {
            assert!(began.elapsed() < PATIENCE, "never came: {what}");
            self.take();
        }
    }

    fn number(&self, part: &str, key: &str) -> f64 {
        self.state[part][key].as_f64().unwrap()
    }
}

fn has_event(state: &BTreeMap<String, Value>, word: &str) -> bool {
    let events = state.get("events").and_then(Value::as_array);
    events.is_some_and(|events| events.iter().any(|event| event["word"] == word))
}

#[test]
fn a_glass_is_poured_into_by_hand_and_everybody_sees_it() {
    let served = Served::start();
    let mut hand = Browser::open(&served);
    let mut guest = Browser::open(&served);
    hand.until("everything at once", |state| {
        [
            "now", "panel", "desk", "house", "glasses", "events", "record",
        ]
        .iter()
        .all(|part| state.contains_key(*part))
    });
    hand.wish(&json!({ "do": "afresh", "drink": 0 }));
    hand.until("the order", |state| state["now"]["round"] == json!([0]));
    hand.wish(&json!({ "do": "take", "vessel": "mixing glass" }));
    hand.until("the step", |state| has_event(state, "step"));
    // Held until the scale says stop, as a page holds it: repeated.
    let began = Instant::now();
    while hand.state["now"]["cue"] != "stop" {
        assert!(began.elapsed() < PATIENCE, "never told to stop");
        hand.wish(&json!({ "do": "tilt", "bottle": 0, "far": 0.3 }));
        hand.take();
    }
    hand.wish(&json!({ "do": "upright" }));
    hand.until("the verdict", |state| has_event(state, "verdict"));
    let truly = hand.number("now", "true_g");
    assert!((hand.number("now", "net_g") - truly).abs() < 1.0);
    assert!(truly > 30.0, "{truly}");
    guest.until("the same verdict", |state| has_event(state, "verdict"));
}

#[test]
fn a_bottle_whose_page_is_gone_is_let_up() {
    let served = Served::start();
    let mut hand = Browser::open(&served);
    let mut guest = Browser::open(&served);
    hand.wish(&json!({ "do": "tilt", "bottle": 0, "far": 0.5 }));
    guest.until("the tilt", |state| !state["now"]["tilt"].is_null());
    drop(hand);
    guest.until("the bottle let up", |state| state["now"]["tilt"].is_null());
}

#[test]
fn nonsense_is_refused_and_harms_nobody() {
    let served = Served::start();
    let mut browser = Browser::open(&served);
    for nonsense in [
        json!(null),
        json!({ "do": "fly" }),
        json!({ "do": "ice", "cubes": 255 }),
    ] {
        browser.state.remove("refused");
        browser.wish(&nonsense);
        browser.until("a refusal", |state| state.contains_key("refused"));
    }
    // Understood, but not possible: told to everybody as an event.
    browser.wish(&json!({ "do": "lift" }));
    browser.until("not now", |state| has_event(state, "not now"));
    // Too long: this browser is sent away, the next is let in.
    let long = json!({ "do": "mode", "mode": "x".repeat(5000) });
    browser.wish(&long);
    let ended = (0..10_000).any(|_| browser.socket.read().is_err());
    assert!(ended, "a message beyond the bound was read");
    drop(Browser::open(&served));
}

#[test]
fn a_browser_that_never_reads_stalls_nothing() {
    let served = Served::start();
    let _deaf: Vec<Browser> = (0..4).map(|_| Browser::open(&served)).collect();
    let mut other = Browser::open(&served);
    let (began, from_s) = (Instant::now(), other.number("now", "t_s"));
    while began.elapsed() < Duration::from_secs(3) {
        other.take();
    }
    let passed_s = other.number("now", "t_s") - from_s;
    let wall_s = began.elapsed().as_secs_f64();
    // A stalled bench would stand still; a busy machine may sleep a moment.
    assert!(
        (0.8..1.2).contains(&(passed_s / wall_s)),
        "{passed_s} s in {wall_s} s"
    );
}

#[test]
fn a_strange_page_gets_no_socket() {
    let served = Served::start();
    for (name, value) in [
        ("Origin", "http://bar.example".to_owned()),
        ("Origin", format!("https://127.0.0.1:{}", served.port)),
        ("Host", format!("bar.example:{}", served.port)),
    ] {
        let address = format!("ws://127.0.0.1:{}/socket", served.port);
        let mut request = address.into_client_request().unwrap();
        let value = HeaderValue::from_str(&value).unwrap();
        request.headers_mut().insert(name, value);
        let stream = TcpStream::connect(("127.0.0.1", served.port)).unwrap();
        let refused = tungstenite::client(request, stream);
        let told = format!("{:?}", refused.err());
        assert!(told.contains("403"), "{name}: {told}");
    }
}

#[test]
fn orders_are_added_changed_and_taken_back_while_the_round_runs() {
    let served = Served::start();
    let mut hand = Browser::open(&served);
    let mut ask = |wish: Value, round: Value| {
        hand.wish(&wish);
        hand.until("the round", |state| state["now"]["round"] == round);
    };
    ask(json!({ "do": "order", "drinks": [1, 0] }), json!([1, 0]));
    ask(json!({ "do": "order", "drinks": [2] }), json!([1, 0, 2]));
    ask(
        json!({ "do": "change", "from": 0, "to": 3 }),
        json!([1, 3, 2]),
    );
    ask(json!({ "do": "void", "drink": 2 }), json!([1, 3]));
    hand.wish(&json!({ "do": "take", "vessel": "tin" }));
    hand.until("it is begun", |state| state["now"]["begun"] == json!(true));
    hand.wish(&json!({ "do": "two" }));
    hand.until("two of it", |state| {
        state["now"]["round"] == json!([1, 1, 3])
    });
    // What is not there cannot be changed: that is told, and the round stays as it is.
    hand.wish(&json!({ "do": "change", "from": 4, "to": 0 }));
    hand.until("not now", |state| has_event(state, "not now"));
    let said = |state: &BTreeMap<String, Value>, why: &str| {
        let events = state["events"].as_array();
        let not_now = |event: &&Value| event["word"] == "not now";
        let last = events.and_then(|events| events.iter().rfind(not_now));
        last.is_some_and(|event| event.to_string().contains(why))
    };
    assert!(said(&hand.state, "no order of this drink waits"));
    hand.wish(&json!({ "do": "order", "drinks": [99] }));
    hand.until("why", |state| said(state, "and none of that number"));
    assert_eq!(hand.state["now"]["round"], json!([1, 1, 3]));
}

/// One drink that is strained into a rocks glass, one that is built in such a glass.
const ROCKS: &str = "[liquid.rye]\nabv = 50\n[[drink]]\nname = \"Stirred\"\n\
    vessel = \"mixing glass\"\nglass = \"rocks\"\nbuild = [\"60 ml rye\", \"stir 3 s\", \"strain\"]\n\
    [[drink]]\nname = \"Built\"\nvessel = \"rocks\"\nbuild = [\"40 ml rye\"]\n";

#[test]
fn a_press_answers_which_of_two_is_meant() {
    let served = Served::start();
    let mut hand = Browser::open(&served);
    let request = format!(
        "POST /sheet HTTP/1.1\r\nHost: localhost:{}\r\nContent-Type: application/toml\r\n\
         Content-Length: {}\r\nConnection: close\r\n\r\n{ROCKS}",
        served.port,
        ROCKS.len()
    );
    let answer = served.raw(request.as_bytes());
    assert!(answer.ends_with("{\"drinks\":2}"), "{answer}");
    hand.until("the sheet", |state| {
        state["house"]["drinks"][1]["name"] == json!("Built")
    });
    hand.wish(&json!({ "do": "order", "drinks": [0, 1] }));
    hand.until("the orders", |state| state["now"]["round"] == json!([0, 1]));
    hand.wish(&json!({ "do": "take", "vessel": "mixing glass" }));
    hand.until("the pour", |state| state["now"]["begun"] == json!(true));
    hand.wish(&json!({ "do": "skip" }));
    hand.until("the stir", |state| {
        state["now"]["words"][0] == json!("stir")
    });
    hand.wish(&json!({ "do": "lift" }));
    hand.until("it was stirred elsewhere", |state| {
        has_event(state, "time is up")
    });
    hand.wish(&json!({ "do": "take", "vessel": "rocks" }));
    hand.until("the question", |state| !state["now"]["press"].is_null());
    let press = &hand.state["now"]["press"];
    assert_eq!(press["otherwise"], json!("1 or 2? Taken for 1, Stirred"));
    assert_eq!(press["press"], json!("2, Built"));
    hand.wish(&json!({ "do": "press" }));
    hand.until("the other", |state| state["now"]["round"] == json!([1, 0]));
}
