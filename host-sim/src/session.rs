//! A station, a bench and a hand, played against each other.
