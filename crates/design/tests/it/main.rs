//! What the room must hold, seen from outside: one program, so that it is linked once.

mod sheets;
mod wiring;
mod yards;
