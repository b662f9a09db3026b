//! Builds the image, the way a person does.

use std::path::PathBuf;
use std::process::{Command, Output};
use std::sync::{Mutex, OnceLock, PoisonError};
use std::{env, fs};

/// A processor for which the image is built, and the machine that emulates a board with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cpu {
    /// Cortex-M4F, the product's.
    M4,
    /// Cortex-M3: floats in software.
    M3,
}

impl Cpu {
    /// The target as the compiler names it.
    pub const fn target(self) -> &'static str {
        match self {
            Self::M4 => "thumbv7em-none-eabihf",
            Self::M3 => "thumbv7m-none-eabi",
        }
    }

    /// The machine as the emulator names it.
    pub const fn machine(self) -> &'static str {
        match self {
            Self::M4 => "mps2-an386",
            Self::M3 => "mps2-an385",
        }
    }
}

/// The image that is measured: the one without a panic handler.
pub const PRODUCT: &str = "no-panic";

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
    build_for(Cpu::M4, "mps2", features)
}

/// The same for another processor or board.
fn build_for(cpu: Cpu, board: &str, features: &str) -> Output {
    let mut cargo = Command::new(env!("CARGO"));
    // `tests/run` names another compiler where the target has to be built from source.
    if let Some(compiler) = env::var_os("FIRMWARE_RUSTC") {
        cargo.env("RUSTC", compiler).env("RUSTC_BOOTSTRAP", "1");
    }
    let further = env::var("FIRMWARE_CARGO_ARGS").unwrap_or_default();
    cargo
        .current_dir(firmware())
        .args(["build", "--release", "--locked", "--no-default-features"])
        .args(["--target", cpu.target()])
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
    image_for(Cpu::M4, board, features, program, name)
}

fn image_for(
    cpu: Cpu,
    board: &str,
    features: &str,
    program: &str,
    name: &str,
) -> Result<PathBuf, String> {
    static BUILDING: Mutex<()> = Mutex::new(());
    // A check that failed while it built has spoiled nothing.
    let _alone = BUILDING.lock().unwrap_or_else(PoisonError::into_inner);
    let build = build_for(cpu, board, features);
    if !build.status.success() {
        return Err(String::from_utf8_lossy(&build.stderr).into_owned());
    }
    let built = target_dir()
        .join(cpu.target())
        .join("release")
        .join(program);
    let kept = target_dir().join(name);
    fs::copy(&built, &kept).expect("the image was built");
    Ok(kept)
}

/// The product's image for this processor: its file, built once.
pub fn product(cpu: Cpu) -> &'static PathBuf {
    static M4: OnceLock<PathBuf> = OnceLock::new();
    static M3: OnceLock<PathBuf> = OnceLock::new();
    let (once, name) = match cpu {
        Cpu::M4 => (&M4, "product.elf"),
        Cpu::M3 => (&M3, "product-m3.elf"),
    };
    once.get_or_init(|| {
        image_for(cpu, "mps2", PRODUCT, "pennyweight-firmware", name).unwrap_or_else(|why| {
            panic!(
                "the image does not build; where it is about a_panic_can_be_reached, the core has \
                 a panic that the compiler could not rule out:\n{why}"
            )
        })
    })
}
