//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod addresses;
mod broken;
mod cases;
mod contacts;
mod drivers;
mod laws;
mod near_misses;
mod profile;
mod questions;
mod scale;
mod seasons;
