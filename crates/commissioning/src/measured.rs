//! A test as a circuit of its own: the wiring with a bench supply clipped on, for whoever wants to solve it by other means.

use circuit::{Circuit, Edge, EdgeKind, Node, NodeId, Source, Spot};
use handbook::Spread;

/// Volts of the bench supply of a measured circuit.
const SUPPLY_VOLTS: f64 = 2.0;
/// Its source resistance in ohms.
const SUPPLY_OHMS: f64 = 1.0;

/// An unpowered circuit with a bench supply of 2 V behind 1 Ω clipped on at a pair of places, its terminal B at the second one.
/// The resistance between the two is the volts between them over the source's amperes.
pub fn measured(unpowered: &Circuit, pair: [NodeId; 2]) -> Circuit {
    let mut circuit = unpowered.clone();
    let plus = NodeId::new(circuit.nodes.len());
    circuit.nodes.push(Node { name: "bench supply inside".to_owned(), span: 0..0, spot: Spot::Loose });
    circuit.edges.push(Edge {
        a: plus,
        b: pair[0],
        guard: Vec::new(),
        removed: false,
        ohms: Spread::exactly(SUPPLY_OHMS),
        henries: Spread::exactly(0.0),
        kind: EdgeKind::Source,
        part: circuit::Part::Loose,
        name: "source resistance of the bench supply".to_owned(),
        span: 0..0,
        input: 0,
    });
    circuit.sources = vec![Source {
        supply: 0,
        name: "bench supply".to_owned(),
        plus,
        node: pair,
        volts: SUPPLY_VOLTS,
        square_wave: false,
    }];
    circuit
}

/// Ohms between the places from the volts between them.
pub fn ohms(volts: f64) -> f64 {
    let amps = (SUPPLY_VOLTS - volts) / SUPPLY_OHMS;
    // What rounding leaves of no current.
    if amps < 1e-9 { f64::INFINITY } else { volts / amps }
}
