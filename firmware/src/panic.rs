//! What becomes of a panic, on every board.

#[cfg(not(feature = "no-panic"))]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    defmt::error!("panic");
    crate::board::last_words()
}

#[cfg(feature = "no-panic")]
#[panic_handler]
fn panic(_: &core::panic::PanicInfo<'_>) -> ! {
    // The link fails on its name wherever the compiler could not rule a panic out.
    // It is defined nowhere, on purpose.
    #[expect(unsafe_code, reason = "the linker looks for it and must not find it")]
    unsafe extern "C" {
        safe fn a_panic_can_be_reached() -> !;
    }
    a_panic_can_be_reached()
}
