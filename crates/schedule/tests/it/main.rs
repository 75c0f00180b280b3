//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod assumed;
mod changes;
mod common;
mod drivers;
mod numbers;
mod panels;
mod papers;
mod printed;
mod round_trip;
mod scale;
