//! The demo plans, carried along; they can be looked at, and kept under a name of one's own.

/// A demo plan.
pub struct ShippedDemo {
    /// Its name.
    pub name: &'static str,
    /// What it shows.
    pub says: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! demo {
    ($name:literal, $says:literal) => {
        ShippedDemo { name: $name, says: $says, text: include_str!(concat!("../../../plans/", $name, "/plan.toml")) }
    };
}

/// All of them.
pub const DEMOS: &[ShippedDemo] = &[
    demo!("thistle-dock", "a turnout and two docks, with a fault to find"),
    demo!("thistle-dock-mended", "the same, put right: nothing is left to find"),
    demo!("seven-tracks", "a yard of seven storage tracks"),
    demo!("balloon", "a loop that brings a train back turned"),
    demo!("wye", "a triangle on which engines turn"),
    demo!("two-districts", "two lines with a crossover, each behind a breaker of its own"),
    demo!("two-ladders", "a yard with a ladder at each end; a road is live only when both are set to it"),
];
