//! The page in a real browser: headless Chromium, driven over its DevTools protocol.

mod devtools;
mod memory;
mod page;
mod shift;

use std::path::PathBuf;

/// Where pictures and profiles are put: below the target folder, for whoever wants to look.
fn folder(name: &str) -> PathBuf {
    // <target>/<profile>/deps/<this test>
    let test = std::env::current_exe().expect("a test knows its own path");
    let target = test.ancestors().nth(3).expect("the test lies in <target>");
    let folder = target.join("desk").join(name);
    std::fs::create_dir_all(&folder).expect("the target folder can be written");
    folder
}
