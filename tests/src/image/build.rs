//! Builds the image, the way a person does.

use std::path::PathBuf;
use std::process::{Command, Output};
use std::sync::OnceLock;
use std::{env, fs};

/// The target of the board.
const TARGET: &str = "thumbv7em-none-eabihf";

/// The image that is measured: the one without a panic handler.
pub const PRODUCT: &str = "no-panic";

/// The same with a panic that can be reached.
pub const PLANTED: &str = "no-panic,planted-panic";

/// Where the image is built; its workspace has its own place.
pub fn target_dir() -> PathBuf {
    match env::var_os("CARGO_TARGET_DIR") {
        Some(root) => PathBuf::from(root).join("firmware"),
        None => firmware().join("target"),
    }
}

fn firmware() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../firmware")
}

/// `cargo build --release` of the image with these features.
pub fn build(features: &str) -> Output {
    let mut cargo = Command::new(env!("CARGO"));
    // `tests/run` names another compiler where the target has to be built from source.
    if let Some(compiler) = env::var_os("FIRMWARE_RUSTC") {
        cargo.env("RUSTC", compiler).env("RUSTC_BOOTSTRAP", "1");
    }
    let further = env::var("FIRMWARE_CARGO_ARGS").unwrap_or_default();
    cargo
        .current_dir(firmware())
        .args(["build", "--release", "--locked", "--features", features])
        .arg("--target-dir")
        .arg(target_dir())
        .args(further.split_whitespace())
        .output()
        .expect("cargo starts")
}

/// The product's image: its file, built once.
pub fn product() -> &'static PathBuf {
    static IMAGE: OnceLock<PathBuf> = OnceLock::new();
    IMAGE.get_or_init(|| {
        let build = build(PRODUCT);
        assert!(
            build.status.success(),
            "the image does not build; where it is about a_panic_can_be_reached, the core has a \
             panic that the compiler could not rule out:\n{}",
            String::from_utf8_lossy(&build.stderr)
        );
        let built = target_dir()
            .join(TARGET)
            .join("release/pennyweight-firmware");
        // A copy, so that a build with other features cannot take its place.
        let kept = target_dir().join("product.elf");
        fs::copy(&built, &kept).expect("the image was built");
        kept
    })
}
