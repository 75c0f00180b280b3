//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod cold;
mod common;
mod cover;
mod entry_keys;
mod hands;
mod hidden;
mod hot;
mod long;
mod numbering;
mod orders;
mod papers;
mod printed;
mod special;
