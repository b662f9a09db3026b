//! The page under test: looked at, typed at, photographed.

use std::path::Path;
use std::time::{Duration, Instant};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use super::devtools::Devtools;
use super::folder;

/// The steps of a tab walk are bounded: nothing lies further away.
const TABS_MAX: usize = 90;

/// The desk's page in a browser.
pub(super) struct DeskPage {
    pub(super) browser: Devtools,
}

impl DeskPage {
    /// Opens the desk on `port`, the way its user likes to see it.
    pub(super) fn open(profile: &str, port: u16) -> Self {
        Self::open_with(profile, port, &[])
    }

    /// The same in a browser with further arguments.
    pub(super) fn open_with(profile: &str, port: u16, arguments: &[&str]) -> Self {
        let mut page = Self {
            browser: Devtools::start(profile, arguments),
        };
        page.look(1280, 860, "light");
        let address = format!("http://127.0.0.1:{port}/");
        page.browser
            .call("Page.navigate", &json!({ "url": address }));
        page.until(
            "the shelf is filled",
            "document.querySelectorAll('#bottles button').length > 5",
        );
        page
    }

    /// The size of the window and the system's liking for light or dark.
    pub(super) fn look(&mut self, width: u32, height: u32, scheme: &str) {
        let size = json!({
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500,
        });
        self.browser
            .call("Emulation.setDeviceMetricsOverride", &size);
        let media = json!({
            "features": [{ "name": "prefers-color-scheme", "value": scheme }],
        });
        self.browser.call("Emulation.setEmulatedMedia", &media);
    }

    /// The value of an expression in the page.
    pub(super) fn ask(&mut self, expression: &str) -> Value {
        let params = json!({
            "expression": expression, "returnByValue": true, "awaitPromise": true,
        });
        let mut answer = self.browser.call("Runtime.evaluate", &params);
        assert!(
            answer.get("exceptionDetails").is_none(),
            "{expression}: {answer}"
        );
        answer["result"]["value"].take()
    }

    /// Waits until something holds.
    pub(super) fn until(&mut self, what: &str, expression: &str) {
        self.within(Duration::from_secs(30), what, expression);
    }

    pub(super) fn within(&mut self, patience: Duration, what: &str, expression: &str) {
        let began = Instant::now();
        while self.ask(&format!("Boolean({expression})")) != json!(true) {
            if began.elapsed() > patience {
                self.picture("failed");
                let says = self.ask("document.body.innerText");
                panic!("never: {what}\n{says}\n{:#?}", self.browser.complaints);
            }
            std::thread::sleep(Duration::from_millis(15));
        }
    }

    /// Presses a key down; held until [`DeskPage::let_go`].
    pub(super) fn hold(&mut self, key: &str) {
        self.key_event("keyDown", key);
    }

    pub(super) fn let_go(&mut self, key: &str) {
        self.key_event("keyUp", key);
    }

    pub(super) fn press(&mut self, key: &str) {
        self.hold(key);
        self.let_go(key);
    }

    fn key_event(&mut self, kind: &str, key: &str) {
        let (code, number, text) = match key {
            " " => ("Space", 32, " "),
            "Enter" => ("Enter", 13, "\r"),
            "Tab" => ("Tab", 9, ""),
            "ArrowUp" => ("ArrowUp", 38, ""),
            "ArrowDown" => ("ArrowDown", 40, ""),
            other => panic!("no key {other:?}"),
        };
        let mut params = json!({
            "type": kind, "key": key, "code": code, "windowsVirtualKeyCode": number,
        });
        if kind == "keyDown" && !text.is_empty() {
            params["text"] = json!(text);
        }
        self.browser.call("Input.dispatchKeyEvent", &params);
    }

    /// Walks by tab to what `selector` names, from wherever the focus is; what has the focus must
    /// show it.
    pub(super) fn tab_to(&mut self, selector: &str) {
        // What was done last may not have reached the page yet, and with it whether this can be used.
        let usable = format!(
            "(() => {{ const it = document.querySelector({selector:?}); \
             return it && !it.disabled && it.checkVisibility(); }})()"
        );
        self.until(&format!("{selector} can be used"), &usable);
        let here = format!("document.activeElement === document.querySelector({selector:?})");
        for _ in 0..TABS_MAX {
            if self.ask(&here) == json!(true) {
                let outline = self.ask("getComputedStyle(document.activeElement).outlineStyle");
                assert_eq!(outline, json!("solid"), "{selector} shows no focus");
                return;
            }
            self.press("Tab");
        }
        panic!("{selector} is not reached by tab");
    }

    /// Walks to a control and presses it.
    pub(super) fn use_key(&mut self, selector: &str) {
        self.tab_to(selector);
        self.press("Enter");
    }

    /// Walks to a field and writes this in place of what stands there.
    pub(super) fn write(&mut self, selector: &str, text: &str) {
        self.tab_to(selector);
        self.ask("document.activeElement.select()");
        self.browser
            .call("Input.insertText", &json!({ "text": text }));
    }

    /// Nothing was asked for but from the desk on `port`.
    pub(super) fn expect_loopback_alone(&self, port: u16) {
        let ours = format!("http://127.0.0.1:{port}/");
        let socket = format!("ws://127.0.0.1:{port}/");
        for request in &self.browser.requests {
            let known = [&*ours, &*socket, "about:", "data:"];
            let is_known = known.iter().any(|start| request.starts_with(start));
            assert!(is_known, "{request}");
        }
    }

    /// Chooses a file, as its picker would.
    pub(super) fn choose_file(&mut self, selector: &str, file: &Path) {
        let document = self.browser.call("DOM.getDocument", &json!({}));
        let root = &document["root"]["nodeId"];
        let found = self.browser.call(
            "DOM.querySelector",
            &json!({ "nodeId": root, "selector": selector }),
        );
        let params = json!({ "nodeId": found["nodeId"], "files": [file] });
        self.browser.call("DOM.setFileInputFiles", &params);
    }

    /// Takes a picture of what is in sight.
    pub(super) fn picture(&mut self, name: &str) {
        self.photograph(name, false);
    }

    /// Takes a picture of the whole page.
    pub(super) fn whole_picture(&mut self, name: &str) {
        self.photograph(name, true);
    }

    fn photograph(&mut self, name: &str, whole: bool) {
        let params = json!({ "format": "png", "captureBeyondViewport": whole });
        let picture = self.browser.call("Page.captureScreenshot", &params);
        let bytes = STANDARD.decode(picture["data"].as_str().unwrap()).unwrap();
        std::fs::write(folder("pictures").join(format!("{name}.png")), bytes).unwrap();
    }
}
