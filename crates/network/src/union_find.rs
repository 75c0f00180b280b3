//! Sets that grow together (Tarjan, "Efficiency of a good but not linear set union algorithm", 1975).

/// The root of a node's set, the ways to it halved. `parent` holds for each node one of its set that is nearer to the root.
///
/// # Panics
/// When a node is none of those in `parent`.
pub fn set_root(parent: &mut [u32], mut node: u32) -> u32 {
    while parent[node as usize] != node {
        parent[node as usize] = parent[parent[node as usize] as usize];
        node = parent[node as usize];
    }
    node
}
