//! The desk: its server as a stranger meets it, its colours, and its page in a real browser.
//!
//! What needs Chromium is ignored by a plain `cargo test`; `tests/run` includes it. The rest runs
//! everywhere.

mod browser;
mod contrast;
mod http;
mod served;
mod socket;
