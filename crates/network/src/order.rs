//! The order of elimination, and lists of neighbours to find it from.

use crate::dissection::dissected;
use crate::lists::Lists;
use crate::series_elimination::{SeriesEliminated, eliminate_series};

/// A fill-reducing order of all nodes in which `kept` come last, as given: `order[k]` is the node eliminated `k`-th.
///
/// Leaves and chains first, then approximate minimum degree on what is left; both on the nodes that are not kept, as
/// if the kept ones were not there. Edges to kept nodes add to each column at most one entry per kept node, and those
/// are few.
///
/// With `shallow` what is left is dissected instead.
pub(crate) fn elimination_order(n: usize, edges: &[(u32, u32)], kept: &[u32], shallow: bool) -> Vec<u32> {
    const KEPT: u32 = u32::MAX;
    let mut compact = vec![0; n];
    for &node in kept {
        compact[node as usize] = KEPT;
    }
    let mut inner: Vec<u32> = Vec::with_capacity(n);
    for (node, number) in compact.iter_mut().enumerate() {
        if *number != KEPT {
            *number = inner.len() as u32;
            inner.push(node as u32);
        }
    }
    let inner_edges = edges
        .iter()
        .map(|&(u, v)| (compact[u as usize], compact[v as usize]))
        .filter(|&(u, v)| u != v && u != KEPT && v != KEPT);
    let SeriesEliminated { order: peeled, core, core_edges } = eliminate_series(inner.len(), inner_edges);
    let both_ways = core_edges.iter().flat_map(|&(u, v)| [(u, v), (v, u)]);
    let neighbours = Lists::new(core.len(), both_ways);
    let mut order: Vec<u32> = peeled.into_iter().map(|k| inner[k as usize]).collect();
    let dissect = || dissected(core.len(), &neighbours).into_iter().map(|k| k as i32).collect();
    match if shallow { Some(dissect()) } else { minimum_degree(core.len(), &neighbours) } {
        Some::<Vec<i32>>(permutation) => order.extend(permutation.iter().map(|&k| inner[core[k as usize] as usize])),
        // Any order is right, this one is only slower.
        None => order.extend(core.iter().map(|&k| inner[k as usize])),
    }
    order.extend_from_slice(kept);
    after_their_children(n, edges, &order, n - kept.len())
}

/// The same elimination with its steps in another turn: each column directly behind all those that pass something on to
/// it, so that what belongs together lies together in memory. Fill and figures stay what they were. The nodes from
/// `first_kept` on keep their places.
fn after_their_children(n: usize, edges: &[(u32, u32)], order: &[u32], first_kept: usize) -> Vec<u32> {
    const NONE: u32 = u32::MAX;
    let mut position = vec![0; n];
    for (k, &node) in order.iter().enumerate() {
        position[node as usize] = k as u32;
    }
    let earlier = edges
        .iter()
        .map(|&(u, v)| (position[u as usize], position[v as usize]))
        .map(|(a, b)| (a.max(b), a.min(b)))
        .filter(|(late, early)| late != early);
    let earlier = Lists::new(n, earlier);
    // The elimination tree (Liu 1990): climb from each earlier neighbour to the end of what is known of its way up.
    let mut parent = vec![NONE; first_kept];
    let mut far = vec![NONE; first_kept];
    for j in 0..first_kept as u32 {
        for &neighbour in earlier.get(j as usize) {
            let mut at = neighbour;
            while at != j {
                let next = std::mem::replace(&mut far[at as usize], j);
                if next == NONE {
                    parent[at as usize] = j;
                    break;
                }
                at = next;
            }
        }
    }
    let (mut first_child, mut next_child) = (vec![NONE; first_kept], vec![NONE; first_kept]);
    let mut roots = NONE;
    for j in (0..first_kept).rev() {
        let siblings = match parent[j] {
            NONE => &mut roots,
            above => &mut first_child[above as usize],
        };
        next_child[j] = std::mem::replace(siblings, j as u32);
    }
    let mut turned = Vec::with_capacity(n);
    let mut at = roots;
    while at != NONE {
        // Down to the first column that waits for none, then up until there is another way down.
        while first_child[at as usize] != NONE {
            at = std::mem::replace(&mut first_child[at as usize], NONE);
        }
        turned.push(order[at as usize]);
        at = match next_child[at as usize] {
            NONE => parent[at as usize],
            sibling => sibling,
        };
    }
    turned.extend_from_slice(&order[first_kept..]);
    turned
}

/// The order found by the library, none where its index type is too small for the network.
fn minimum_degree(n: usize, neighbours: &Lists) -> Option<Vec<i32>> {
    let count = i32::try_from(n).ok()?;
    i32::try_from(neighbours.list.len() + n).ok()?;
    let mut column_start = Vec::with_capacity(n + 1);
    let mut rows: Vec<i32> = Vec::with_capacity(neighbours.list.len() + n);
    column_start.push(0);
    for node in 0..n {
        let first = rows.len();
        // The diagonal must be there: without it the library's count of entries runs below zero on lone nodes.
        rows.push(node as i32);
        rows.extend(neighbours.get(node).iter().map(|&other| other as i32));
        rows[first..].sort_unstable();
        // Parallel edges: each entry once, or the library makes a sorted copy of everything.
        let mut kept = first;
        for i in first..rows.len() {
            if i == first || rows[i] != rows[kept - 1] {
                rows[kept] = rows[i];
                kept += 1;
            }
        }
        rows.truncate(kept);
        column_start.push(rows.len() as i32);
    }
    let (permutation, _, _) = amd::order::<i32>(count, &column_start, &rows, &amd::Control::default()).ok()?;
    Some(permutation)
}
