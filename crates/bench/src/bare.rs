//! The wiring as it lies there with every supply unplugged: what an ohmmeter and a bench supply see.

use circuit::{Circuit, EdgeKind, Guard, Literal};

/// What a joint that is pressed together may read when it is new, as a multiple of its usual value. Our own default: the
/// handbook's upper end is for aged ones, and new work that reads as aged is to be done again.
const NEW_WORK: f64 = 3.0;

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
        // Where low and typical are the same, high is the aged value; where there is a true band it stays.
        let pressed = matches!(edge.kind, EdgeKind::SlidingJoint | EdgeKind::Blade | EdgeKind::Contact);
        if age == Age::New && pressed && edge.ohms.low == edge.ohms.typical {
            edge.ohms.high = edge.ohms.high.min(NEW_WORK * edge.ohms.typical);
        }
    }
    bare.sources.clear();
    bare
}

/// Whether an edge is joined in no setting at all.
pub fn is_unplugged(edge: &circuit::Edge) -> bool {
    edge.guard.iter().any(|l| l.control == usize::MAX)
}
