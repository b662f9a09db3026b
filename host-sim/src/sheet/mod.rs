//! Sheets as people write them.
