//! What the room must hold, seen from outside: one program, so that it is linked once.

mod materials;
mod published;
mod quantity;
mod quantity_errors;
mod quantity_laws;
mod rails;
mod scales;
mod systems;
mod wires;
