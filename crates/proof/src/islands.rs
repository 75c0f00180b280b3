//! What hangs together, however everything stands.

use circuit::{Circuit, NodeId};

/// For each node the number of its island: what is joined to it by any edges, whether they are closed or not. Two
/// rails that are never fed and lie on one island lack one and the same feed.
pub fn islands(circuit: &Circuit) -> Vec<u32> {
    let neighbours = circuit.neighbours();
    let mut island: Vec<Option<u32>> = vec![None; circuit.nodes.len()];
    let mut count = 0;
    for start in NodeId::all(island.len()) {
        if island[start].is_some() {
            continue;
        }
        island[start] = Some(count);
        let mut stack = vec![start];
        while let Some(node) = stack.pop() {
            for &(next, _) in &neighbours[node] {
                if island[next].is_none() {
                    island[next] = Some(count);
                    stack.push(next);
                }
            }
        }
        count += 1;
    }
    island.into_iter().flatten().collect()
}
