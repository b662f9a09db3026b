//! A small client of the DevTools protocol: commands out, answers and events in.

use std::io::{BufRead, BufReader};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tungstenite::{Message, WebSocket};

/// No command takes longer.
const PATIENCE: Duration = Duration::from_secs(30);

/// The names under which distributions install it.
const PROGRAMS: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "chrome"];

/// A headless browser with one page.
pub(super) struct Devtools {
    child: Child,
    socket: WebSocket<TcpStream>,
    session: String,
    number: u64,
    /// Everything the page wanted from anywhere.
    pub(super) requests: Vec<String>,
    /// Errors and warnings: of scripts, of the console, of the browser itself.
    pub(super) complaints: Vec<String>,
}

impl Devtools {
    /// Starts a browser with these further arguments and opens an empty page.
    pub(super) fn start(profile: &str, arguments: &[&str]) -> Self {
        let profile = super::folder(profile);
        // What an earlier run left would be remembered.
        let _ = std::fs::remove_dir_all(&profile);
        let mut child = PROGRAMS
            .iter()
            .find_map(|program| {
                Command::new(program)
                    .args([
                        "--headless=new",
                        "--remote-debugging-port=0",
                        "--disable-gpu",
                        "--hide-scrollbars",
                        "--mute-audio",
                        "--no-first-run",
                        "--disable-extensions",
                        "--disable-sync",
                        "--disable-background-networking",
                        "--disable-component-update",
                        "--disable-default-apps",
                        "--disable-dev-shm-usage",
                        // Containers seldom allow a browser its own sandbox.
                        "--no-sandbox",
                        // Whatever is asked for off loopback does not exist.
                        "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
                    ])
                    .args(arguments)
                    .arg(format!("--user-data-dir={}", profile.display()))
                    .arg("about:blank")
                    .stdout(Stdio::null())
                    .stderr(Stdio::piped())
                    .spawn()
                    .ok()
            })
            .expect("Chromium is not installed: Debian's package is chromium");
        let mut told = BufReader::new(child.stderr.take().unwrap()).lines();
        let address = told
            .by_ref()
            .map_while(Result::ok)
            .find_map(|line| Some(line.strip_prefix("DevTools listening on ")?.to_owned()))
            .expect("the browser tells where it listens");
        // Nobody may stop reading: a full pipe would stop the browser.
        std::thread::spawn(move || told.for_each(drop));
        let place = address
            .trim_start_matches("ws://")
            .split('/')
            .next()
            .unwrap();
        let stream = TcpStream::connect(place).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        let (socket, _) = tungstenite::client(address.as_str(), stream).unwrap();
        let mut browser = Self {
            child,
            socket,
            session: String::new(),
            number: 0,
            requests: Vec::new(),
            complaints: Vec::new(),
        };
        let page = browser.call("Target.createTarget", &json!({ "url": "about:blank" }));
        let attach = json!({ "targetId": page["targetId"], "flatten": true });
        let attached = browser.call("Target.attachToTarget", &attach);
        browser.session = attached["sessionId"].as_str().unwrap().to_owned();
        for domain in ["Page", "Runtime", "Network", "Log", "DOM"] {
            browser.call(&format!("{domain}.enable"), &json!({}));
        }
        browser
    }

    /// Carries out one command.
    pub(super) fn call(&mut self, method: &str, params: &Value) -> Value {
        self.number += 1;
        let mut message = json!({ "id": self.number, "method": method, "params": params });
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        self.socket
            .send(Message::text(message.to_string()))
            .unwrap();
        let began = Instant::now();
        loop {
            assert!(began.elapsed() < PATIENCE, "{method} is never answered");
            let Message::Text(text) = self.socket.read().unwrap() else {
                continue;
            };
            let mut answer: Value = serde_json::from_str(&text).unwrap();
            if answer["id"] == json!(self.number) {
                assert!(answer.get("error").is_none(), "{method}: {answer}");
                return answer["result"].take();
            }
            self.hear(&answer);
        }
    }

    fn hear(&mut self, event: &Value) {
        let params = &event["params"];
        match event["method"].as_str() {
            Some("Network.requestWillBeSent") => {
                self.requests
                    .extend(params["request"]["url"].as_str().map(str::to_owned));
            }
            Some("Network.webSocketCreated") => {
                self.requests
                    .extend(params["url"].as_str().map(str::to_owned));
            }
            Some("Runtime.exceptionThrown") => {
                self.complaints.push(params["exceptionDetails"].to_string());
            }
            Some("Runtime.consoleAPICalled")
                if ["error", "warning", "assert"]
                    .iter()
                    .any(|kind| params["type"] == *kind) =>
            {
                self.complaints.push(params["args"].to_string());
            }
            Some("Log.entryAdded")
                if ["error", "warning"]
                    .iter()
                    .any(|level| params["entry"]["level"] == *level) =>
            {
                let entry = &params["entry"];
                self.complaints
                    .push(format!("{} {}", entry["text"], entry["url"]));
            }
            _ => {}
        }
    }
}

impl Drop for Devtools {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
