//! The simulated world: bottle, stream, glass, cell, converter, bench and hand.
