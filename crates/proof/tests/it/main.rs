//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod common;
mod districts;
mod failures;
mod growth;
mod interlocking;
mod moving;
mod reversing;
mod vectors;
