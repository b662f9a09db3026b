//! Single pours, guided and by other methods, on the same draws.
