//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod clearance;
mod end_gaps;
mod plans;
mod published;
mod throw;
