//! The image in the emulator against the core on the desk.
