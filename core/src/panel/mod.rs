//! The panel: pages drawn from a [`crate::View`], 128 x 64, monochrome.
