//! The desk: its server as a stranger meets it, its colours, and its page in a real browser.
//!
//! What needs Chromium is behind the feature `browser`, which only `tests/run` turns on; the rest
//! runs everywhere.

#[cfg(feature = "browser")]
mod browser;
mod contrast;
mod http;
mod served;
mod socket;
