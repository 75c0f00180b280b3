//! The order of the variables.

use circuit::{Circuit, ControlId};

/// The controls in the order in which one meets them along the track: conditions stay small when
/// neighbours on the ground are neighbours in the order.
pub(crate) fn along_the_track(circuit: &Circuit) -> Vec<ControlId> {
    let mut order: Vec<ControlId> = Vec::new();
    let mut met = vec![false; circuit.controls.len()];
    let mut seen = vec![false; circuit.segments.len()];
    let ends = (0..circuit.tracks)
        .filter(|&t| circuit.segments[t].ends.iter().any(|e| e.beyond))
        .chain(0..circuit.segments.len());
    for start in ends {
        let mut stack = vec![start];
        while let Some(segment) = stack.pop() {
            if std::mem::replace(&mut seen[segment], true) {
                continue;
            }
            let s = &circuit.segments[segment];
            for literal in &s.guard {
                if !std::mem::replace(&mut met[literal.control], true) {
                    order.push(literal.control);
                }
            }
            stack.extend(s.ends.iter().rev().flat_map(|e| e.next.iter().rev().map(|n| n.0)));
        }
    }
    order.extend(ControlId::all(met.len()).filter(|&c| !met[c]));
    order
}
