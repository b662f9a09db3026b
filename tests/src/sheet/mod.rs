//! Sheets, good and bad.
