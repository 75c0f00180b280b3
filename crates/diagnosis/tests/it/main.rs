//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod by_hand;
mod closed_forms;
mod fits;
mod hunt_rows;
mod hunts;
mod player;
mod simulator;
