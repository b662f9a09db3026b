//! The sheet in the image is the demonstration sheet as the desk packs it today.

use std::{env, fs};

/// Set to 1, it writes the sheet anew instead of comparing it.
const ACCEPT: &str = "ACCEPT_DEMO_SHEET";

#[test]
fn the_sheet_in_the_image_is_up_to_date() {
    let demo = pennyweight_sim::sheet::demo().expect("the demonstration sheet has no mistakes");
    let packed = demo.pack();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../firmware/demo.sheet");
    if env::var_os(ACCEPT).is_some_and(|accept| accept == "1") {
        fs::write(path, packed).expect("the image's folder can be written");
    }
    let carried = fs::read(path).expect("the image carries a sheet");
    assert!(
        carried == packed,
        "firmware/demo.sheet ({} bytes) is not what the desk packs ({} bytes); \
         `{ACCEPT}=1 cargo test demo_sheet` writes it",
        carried.len(),
        packed.len()
    );
}
