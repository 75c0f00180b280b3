//! What the room must hold, seen from outside: one program, so that it is linked once.

mod composites;
mod drivers;
mod trackwork;
mod turnouts;
mod turntables;
mod wires;
