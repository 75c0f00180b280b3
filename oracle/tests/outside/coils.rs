//! Coils of relays that lie over a contact of another, from the papers alone: the tables are read as text, made into a circuit with
//! the contacts closed that the position closes, and energised in a general circuit simulator (ngspice).

use crate::drivers::{energised_with, layout, printed};
use crate::enumeration::require;
use crate::simulator::ignored;
use libtest_mimic::{Failed, Trial};
use std::collections::BTreeMap;

/// The plan of a portable line, on which relay R2 follows relay R1, its coil over a contact of that.
const BOARDS: &str = include_str!("../../../crates/schedule/tests/it/common/boards.toml");
/// What a small 12 V relay's coil resists, in ohms; common practice, no source.
const COIL: f64 = 270.0;

pub fn trials() -> Vec<Trial> {
    vec![
        Trial::test("coils::a_relay_over_a_contact_pulls_in_in_the_second_position", pulls_in)
            .with_ignored_flag(ignored()),
    ]
}

fn pulls_in() -> Result<(), Failed> {
    let layout = layout(&printed(BOARDS)?)?;
    let volts = |position: &str| -> Result<f64, Failed> {
        let set = format!("T2 = {position}");
        let states = BTreeMap::new();
        let closed = |when: &str| when.is_empty() || when == set;
        let found = energised_with(&layout, &states, &closed, &[("R2 coil 1", "R2 coil 2", COIL)])?;
        Ok((found["R2 coil 1"] - found["R2 coil 2"]).abs())
    };
    let (through, diverging) = (volts("through")?, volts("diverging")?);
    require(through < 0.01, || format!("{through} V on the coil while T2 is set through"))?;
    // The supply gives 12 V behind its source resistance, and some metres of wire take little of it.
    require((11.0..12.0).contains(&diverging), || format!("{diverging} V on the coil while T2 diverges"))
}
