//! From converter code to settled mass.

mod estimator;
mod faults;
mod gate;
mod pan;
mod period;
mod samples;
