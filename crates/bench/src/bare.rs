//! The wiring as it lies there with every supply unplugged: what an ohmmeter and a bench supply see.

use circuit::{Circuit, EdgeKind, Guard, Literal};
use handbook::Spread;

/// What new joints may read, as parts of the usual value. Our own default: the handbook's upper end for what is pressed
/// together is that of aged ones, and new work that reads as aged is to be done again; for solder and taps it has one
/// value only.
const NEW_JOINT: [f64; 2] = [1.0 / 3.0, 3.0];
/// What a wire may have of what its planned length gives: it is cut with some slack, or shorter where it could be. Our own
/// default.
const WIRE: [f64; 2] = [0.7, 1.5];
/// The same of a bus, which is laid as long as its way is.
const BUS: [f64; 2] = [0.9, 1.2];

/// How old the wiring is taken to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Age {
    /// Just built.
    New,
    /// As old as the handbook's upper ends.
    Aged,
}

/// A guard that holds in no setting: that of what is unplugged, left off or broken.
pub fn never() -> Guard {
    vec![Literal { control: usize::MAX, position: 0 }]
}

/// The circuit with all supplies, breakers and reversers that sense shorts unplugged, its nodes and edges by the same
/// numbers as before. What is inside those is joined in no setting: nobody can tell what an ohmmeter reads through
/// electronics without power.
pub fn bare(circuit: &Circuit, age: Age) -> Circuit {
    let mut bare = circuit.clone();
    for edge in &mut bare.edges {
        let settles = edge.guard.iter().any(|l| circuit.controls.get(l.control).is_some_and(|c| c.settles));
        if edge.kind == EdgeKind::Source || settles {
            edge.guard = never();
        }
        let ohms = edge.ohms;
        let [low, high] = match edge.kind {
            EdgeKind::Feeder | EdgeKind::Wire => WIRE,
            EdgeKind::BusWire => BUS,
            // Where the handbook has a true band it stays.
            EdgeKind::Rail | EdgeKind::Source => continue,
            _ if ohms.low < ohms.typical => continue,
            _ => NEW_JOINT,
        };
        let aged = if age == Age::Aged { ohms.high } else { 0.0 };
        edge.ohms = Spread::new(low * ohms.typical, ohms.typical, (high * ohms.typical).max(aged));
    }
    bare.sources.clear();
    bare
}

/// Whether an edge is joined in no setting at all.
pub fn is_unplugged(edge: &circuit::Edge) -> bool {
    edge.guard.iter().any(|l| l.control == usize::MAX)
}
