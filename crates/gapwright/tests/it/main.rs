//! What the room must hold, seen from outside: one program, so that it is linked once.
#![allow(clippy::unwrap_used)]

mod changes_command;
mod command;
mod common;
mod composites;
mod first_yard;
mod hunt_command;
mod laws;
mod log_commands;
mod moving_commands;
mod papers_commands;
mod routes_commands;
mod sheet_commands;
mod units;
