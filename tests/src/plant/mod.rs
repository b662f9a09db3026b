//! The simulated world against its own table and against physics.
