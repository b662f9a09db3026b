//! Liquids against published tables.
