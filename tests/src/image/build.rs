//! Builds the image, the way a person does.

use std::path::PathBuf;
use std::process::{Command, Output};
use std::sync::{Mutex, OnceLock, PoisonError};
use std::{env, fs};

/// The target of the board.
const TARGET: &str = "thumbv7em-none-eabihf";

/// The image that is measured: the one without a panic handler.
pub const PRODUCT: &str = "no-panic";

/// The same with the journal and the link to a host.
pub const KEEPING: &str = "no-panic,keep";

/// The product with a panic that can be reached.
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

/// `cargo build --release` of the image in lockstep with these features.
pub fn build(features: &str) -> Output {
    build_for("mps2", features)
}

/// The same for another board.
fn build_for(board: &str, features: &str) -> Output {
    let mut cargo = Command::new(env!("CARGO"));
    // `tests/run` names another compiler where the target has to be built from source.
    if let Some(compiler) = env::var_os("FIRMWARE_RUSTC") {
        cargo.env("RUSTC", compiler).env("RUSTC_BOOTSTRAP", "1");
    }
    let further = env::var("FIRMWARE_CARGO_ARGS").unwrap_or_default();
    cargo
        .current_dir(firmware())
        .args(["build", "--release", "--locked", "--no-default-features"])
        .arg("--features")
        .arg(format!("{board},{features}"))
        .arg("--target-dir")
        .arg(target_dir())
        .args(further.split_whitespace())
        .output()
        .expect("cargo starts")
}

/// An image of a board with these features, under a name of its own, so that a build with other
/// features cannot take its place; what cargo said where it does not build.
pub fn image(board: &str, features: &str, program: &str, name: &str) -> Result<PathBuf, String> {
    static BUILDING: Mutex<()> = Mutex::new(());
    // A check that failed while it built has spoiled nothing.
    let _alone = BUILDING.lock().unwrap_or_else(PoisonError::into_inner);
    let build = build_for(board, features);
    if !build.status.success() {
        return Err(String::from_utf8_lossy(&build.stderr).into_owned());
    }
    let built = target_dir().join(TARGET).join("release").join(program);
    let kept = target_dir().join(name);
    fs::copy(&built, &kept).expect("the image was built");
    Ok(kept)
}

/// The product's image: its file, built once.
pub fn product() -> &'static PathBuf {
    static IMAGE: OnceLock<PathBuf> = OnceLock::new();
    IMAGE.get_or_init(|| {
        image("mps2", PRODUCT, "pennyweight-firmware", "product.elf").unwrap_or_else(|why| {
            panic!(
                "the image does not build; where it is about a_panic_can_be_reached, the core has \
                 a panic that the compiler could not rule out:\n{why}"
            )
        })
    })
}

/// The image with journal and host link: its file, built once.
pub fn keeping() -> &'static PathBuf {
    static IMAGE: OnceLock<PathBuf> = OnceLock::new();
    IMAGE.get_or_init(|| {
        image("mps2", KEEPING, "pennyweight-firmware", "keeping.elf")
            .unwrap_or_else(|why| panic!("the image does not build:\n{why}"))
    })
}
