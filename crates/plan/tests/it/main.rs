//! What the room must hold, seen from outside: one program, so that it is linked once.

mod acts;
mod composites;
mod drivers;
mod reading;
mod robust;
mod slips;
