//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod breakers_and_wires;
mod common;
mod edges;
mod feeding;
mod laws;
mod numbers;
mod opened;
mod square_short;
mod standing;
mod transients;
