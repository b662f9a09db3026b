//! Data runs one way through the core.
