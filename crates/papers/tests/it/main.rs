//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod forms;
mod references;
mod sample;
mod sheets;
