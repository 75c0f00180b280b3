//! What the room must hold, seen from outside: one program, so that it is linked once.

mod accuracy;
mod closed_forms;
mod common;
mod conditions;
mod diagrams;
mod fill;
mod laws;
mod partial;
mod warm;
