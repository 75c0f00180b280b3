//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod clock;
mod common;
mod crash;
mod current;
mod cusum;
mod instrument;
mod progress;
mod store;
mod table;
mod trend;
mod typed;
