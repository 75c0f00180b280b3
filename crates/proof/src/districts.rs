//! Does what hangs behind each breaker hang behind no other?

use crate::conductors::PoleConditions;
use crate::path::witness_without;
use crate::{MOST_TOLD, ProofWitness, QueryContext, TooComplex};
use circuit::{EdgeId, EdgeKind, PoleId};
use plan::Pole;
use std::collections::BTreeSet;

/// Two breakers of one source whose districts are joined beyond them.
#[derive(Clone, Debug, PartialEq)]
pub struct JoinedDistricts {
    /// The breakers.
    pub breakers: [usize; 2],
    /// The pole on which they are.
    pub pole: Pole,
    /// A setting, and the path from one breaker's terminal to the other's.
    pub witness: ProofWitness,
}

/// Looks for rails or wires that lead round a breaker, with the breakers themselves taken out.
pub(crate) fn joined(q: &QueryContext<'_>) -> Result<Vec<JoinedDistricts>, TooComplex> {
    let (circuit, logic) = (q.circuit, q.logic);
    let mut found = Vec::new();
    if circuit.breakers.len() < 2 {
        return Ok(found);
    }
    let cut: Vec<EdgeId> =
        EdgeId::all(circuit.edges.len()).filter(|&e| circuit.edges[e].kind == EdgeKind::Source).collect();
    let nodes: Vec<_> = circuit.breakers.iter().map(|b| b.node).collect();
    let poles = PoleConditions::between(circuit, logic, &cut, &nodes)?;
    let left_out: BTreeSet<EdgeId> = cut.into_iter().collect();
    for one in 0..nodes.len() {
        if found.len() >= MOST_TOLD {
            break;
        }
        for other in one + 1..nodes.len() {
            // Those of different sources are reported as supplies that meet.
            if circuit.breakers[one].source != circuit.breakers[other].source {
                continue;
            }
            for pole in Pole::ALL {
                // A pole that one of them leaves common is that of the breaker above, whose turn comes by itself.
                if !(circuit.breakers[one].opens[pole] && circuit.breakers[other].opens[pole]) {
                    continue;
                }
                let of = |breaker| PoleId { source: breaker, pole };
                let meet = logic.restrict_to_legal(poles.meet(of(one), of(other)))?;
                if !meet.is_false() {
                    let setting = logic.shortest_cube(meet);
                    let ends = [nodes[one][pole], nodes[other][pole]];
                    let witness = witness_without((circuit, q.neighbours), setting, ends, &left_out);
                    let witness = logic.without_automatic_controls(witness);
                    found.push(JoinedDistricts { breakers: [one, other], pole, witness });
                    break;
                }
            }
        }
    }
    Ok(found)
}
