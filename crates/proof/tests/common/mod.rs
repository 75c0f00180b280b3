//! Long plans for the tests and benchmarks of this crate.

use circuit::Circuit;
use oracle::ladders::{Shape, plan};
use proof::Storage;

/// The circuit of a long plan, and its storage policy.
pub fn long(shape: Shape, turnouts: usize) -> (Circuit, Option<Storage>) {
    let reading = plan::read(&plan(shape, turnouts));
    assert!(reading.understood(), "{:?}", reading.findings.first());
    let circuit = Circuit::of(&reading.plan, &reading.names);
    let storage = reading.plan.storage.as_ref().map(|storage| Storage {
        tracks: storage.value.tracks.iter().filter_map(|t| Some(reading.names.get(&t.value)?.1)).collect(),
        live: storage.value.live.value,
    });
    (circuit, storage)
}
