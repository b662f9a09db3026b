//! The panel as text.
