//! `station`, `replay` and `run` as other programs drive them.
