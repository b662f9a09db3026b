//! No panic can be reached in the image, and if one could, this would tell.

use super::build::{self, Cpu};

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn links_with_a_panic_handler_that_does_not_exist() {
    assert!(build::product(Cpu::M4).is_file());
    assert!(build::product(Cpu::M3).is_file());
}

#[test]
#[ignore = "needs the emulator and the target: tests/run"]
fn a_planted_panic_does_not_link() {
    // First the other one: a mistake in the linking would make this pass too.
    build::product(Cpu::M4);
    let build = build::build(build::PLANTED);
    let errors = String::from_utf8_lossy(&build.stderr);
    assert!(!build.status.success(), "the planted panic was not found");
    assert!(
        errors.contains("undefined symbol: a_panic_can_be_reached"),
        "it failed for another reason:\n{errors}"
    );
}
