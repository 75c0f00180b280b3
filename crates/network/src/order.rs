//! The order of elimination, and lists of neighbours to find it from.

/// For each of `n` items a list of others, one after another in one vector.
pub(crate) struct Lists {
    start: Vec<usize>,
    list: Vec<u32>,
}

impl Lists {
    /// The lists with `to` in the list of `from` for every pair `(from, to)`, in the order of the pairs.
    pub(crate) fn new(n: usize, pairs: impl Iterator<Item = (u32, u32)> + Clone) -> Lists {
        let mut start = vec![0; n + 1];
        for (from, _) in pairs.clone() {
            start[from as usize + 1] += 1;
        }
        for i in 0..n {
            start[i + 1] += start[i];
        }
        let mut next = start.clone();
        let mut list = vec![0; start[n]];
        for (from, to) in pairs {
            let place = &mut next[from as usize];
            list[*place] = to;
            *place += 1;
        }
        Lists { start, list }
    }

    /// The list of one item.
    pub(crate) fn of(&self, item: usize) -> &[u32] {
        &self.list[self.start[item]..self.start[item + 1]]
    }
}

/// A fill-reducing order of all nodes in which `kept` come last, as given: `order[k]` is the node eliminated `k`-th.
///
/// Approximate minimum degree on the nodes that are not kept, as if the kept ones were not there. Edges to kept nodes
/// add to each column at most one entry per kept node, and those are few.
pub(crate) fn elimination_order(n: usize, edges: &[(u32, u32)], kept: &[u32]) -> Vec<u32> {
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
    let both_ways = edges
        .iter()
        .map(|&(u, v)| (compact[u as usize], compact[v as usize]))
        .filter(|&(u, v)| u != v && u != KEPT && v != KEPT)
        .flat_map(|(u, v)| [(u, v), (v, u)]);
    let neighbours = Lists::new(inner.len(), both_ways);
    let mut order: Vec<u32> = match minimum_degree(inner.len(), &neighbours) {
        Some(permutation) => permutation.iter().map(|&k| inner[k as usize]).collect(),
        // Any order is right, this one is only slower.
        None => inner,
    };
    order.extend_from_slice(kept);
    order
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
        rows.extend(neighbours.of(node).iter().map(|&other| other as i32));
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
