//! The wiring as it lies there with every supply unplugged: what an ohmmeter and a bench supply see.

use circuit::{Circuit, EdgeKind, Part};
use handbook::Spread;
use handbook::quantity::Quantity;

/// What solder, taps and the leads of supplies may read, as parts of the usual value, new and aged: the handbook has one value
/// of each. Our own default.
const JOINT: [[f64; 2]; 2] = [[1.0 / 3.0, 3.0], [1.0 / 3.0, 10.0]];
/// How much less than the handbook's least a joiner or blade that is pressed together may read: its least is the usual value of a
/// new one. Our own default.
const LEAST_PRESSED: f64 = 1.0 / 3.0;
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

/// The circuit with all supplies, breakers and reversers that sense shorts unplugged, its nodes and edges by the same
/// numbers as before. What is inside those is joined in no setting: nobody can tell what an ohmmeter reads through
/// electronics without power.
pub fn unpowered(circuit: &Circuit, age: Age) -> Circuit {
    let mut unpowered = circuit.clone();
    unpowered.edges.append(&mut unpowered.touching);
    for edge in &mut unpowered.edges {
        let settles = edge.guard.iter().any(|l| circuit.controls.get(l.control.index()).is_some_and(|c| c.settles));
        if edge.kind == EdgeKind::Source || settles {
            edge.removed = true;
        }
        let ohms = edge.ohms;
        let joint = JOINT[usize::from(age == Age::Aged)];
        let parts = match (&edge.part, edge.kind) {
            (_, EdgeKind::Rail | EdgeKind::Source) => continue,
            (Part::BusLead { .. } | Part::Common { .. } | Part::Work { .. }, EdgeKind::BusWire | EdgeKind::Wire) => {
                joint
            }
            // Bridged by a clip lead for these tests, as the sheet asks.
            (Part::Detector { .. }, _) => {
                let joint_ohms = handbook::contacts::SOLDERED_JOINT.value.typical.si();
                edge.ohms = Spread::new(joint[0] * joint_ohms, joint_ohms, joint[1] * joint_ohms);
                continue;
            }
            (_, EdgeKind::Feeder | EdgeKind::Wire) => WIRE,
            (_, EdgeKind::BusWire) => BUS,
            (_, EdgeKind::SolderedJoint | EdgeKind::Tap) => joint,
            // The handbook's own band, from new to aged: nobody measures again what is as it may be.
            (_, EdgeKind::SlidingJoint | EdgeKind::Blade | EdgeKind::Contact) => {
                let low = if ohms.low < ohms.typical { ohms.low } else { LEAST_PRESSED * ohms.typical };
                edge.ohms = Spread::new(low, ohms.typical, ohms.high);
                continue;
            }
        };
        edge.ohms = Spread::new(parts[0] * ohms.typical, ohms.typical, parts[1] * ohms.typical);
    }
    unpowered.sources.clear();
    unpowered
}
