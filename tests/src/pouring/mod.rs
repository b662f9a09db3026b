//! Guided pours and whole drinks.
