//! The easy part of the order: leaves and chains, taken off in rounds.

/// How long a row of leaves is taken off one behind the other within one round.
///
/// A tree no deeper than that gets no fill at all. The figures at the end of a row of eliminations carry the rounding
/// of every one of them, so that longer rows are halved by taking out every other node instead.
const LONGEST_ROW: u32 = 32;

/// What is left when no node with fewer than three neighbours is.
pub(crate) struct Peeled {
    /// The nodes taken off, in turn.
    pub(crate) order: Vec<u32>,
    /// The others.
    pub(crate) core: Vec<u32>,
    /// The neighbours of each node among them, by index in `core`.
    pub(crate) core_edges: Vec<(u32, u32)>,
}

/// Takes off nodes with one neighbour (leaves) and with two (chains, whose two neighbours are joined instead) until there
/// are none. A chain is halved in every round, and so is a tree, or nearly: the row of eliminations that leads to any
/// node grows as the logarithm of their number (Miller and Reif 1985, "rake" and "compress").
pub(crate) fn peel(n: usize, edges: impl Iterator<Item = (u32, u32)> + Clone) -> Peeled {
    let mut mesh = Mesh::new(n, edges);
    let mut order = Vec::with_capacity(n);
    let mut gone = vec![false; n];
    // In which round a neighbour of the node was taken off, and how long the row of eliminations behind it is.
    let mut touched: Vec<(u32, u32)> = vec![(0, 0); n];
    let (mut leaves, mut chains): (Vec<u32>, Vec<u32>) = (Vec::new(), Vec::new());
    let (mut later_leaves, mut later_chains): (Vec<u32>, Vec<u32>) = (Vec::new(), Vec::new());
    for node in (0..n as u32).rev() {
        match mesh.degree(node) {
            0 | 1 => leaves.push(node),
            2 => later_chains.push(node),
            _ => {}
        }
    }
    later_chains.reverse();
    let mut round = 0;
    while !leaves.is_empty() || !later_chains.is_empty() {
        round += 1;
        let row_of = |touched: &[(u32, u32)], node: u32| match touched[node as usize] {
            (when, row) if when == round => row,
            _ => 0,
        };
        while let Some(node) = leaves.pop() {
            if gone[node as usize] {
                continue;
            }
            let row = row_of(&touched, node);
            if row == LONGEST_ROW {
                later_leaves.push(node);
                continue;
            }
            gone[node as usize] = true;
            order.push(node);
            if let Some(other) = mesh.take_off_leaf(node) {
                touched[other as usize] = (round, row_of(&touched, other).max(row + 1));
                match mesh.degree(other) {
                    0 | 1 => leaves.push(other),
                    2 => later_chains.push(other),
                    _ => {}
                }
            }
        }
        std::mem::swap(&mut chains, &mut later_chains);
        for node in chains.drain(..) {
            if gone[node as usize] || mesh.degree(node) != 2 {
                continue;
            }
            if row_of(&touched, node) > 0 {
                later_chains.push(node);
                continue;
            }
            gone[node as usize] = true;
            order.push(node);
            let (others, fewer) = mesh.take_out_of_chain(node);
            for other in others {
                touched[other as usize] = (round, row_of(&touched, other).max(1));
                match mesh.degree(other) {
                    0 | 1 if fewer => later_leaves.push(other),
                    2 if fewer => later_chains.push(other),
                    _ => {}
                }
            }
        }
        std::mem::swap(&mut leaves, &mut later_leaves);
    }
    let core: Vec<u32> = (0..n as u32).filter(|&node| !gone[node as usize]).collect();
    let mut number = vec![0; n];
    for (k, &node) in core.iter().enumerate() {
        number[node as usize] = k as u32;
    }
    let core_edges = core.iter().flat_map(|&node| mesh.neighbours(node).iter().map(move |&other| (node, other)));
    let core_edges = core_edges.filter(|(node, other)| node < other);
    let core_edges = core_edges.map(|(u, v)| (number[u as usize], number[v as usize])).collect();
    Peeled { order, core, core_edges }
}

/// Who is a neighbour of whom, in lists that never grow: a node taken out of a chain leaves its two places to the edge
/// between its neighbours.
struct Mesh {
    /// Where the list of each node starts.
    start: Vec<u32>,
    degree: Vec<u32>,
    /// The neighbour at each place of the lists.
    target: Vec<u32>,
    /// The place of the same edge in the neighbour's list.
    twin: Vec<u32>,
}

/// Between two nodes with more neighbours than this a second edge is not looked for: two hubs with thousands of chains
/// between them would be searched thousands of times. They count as having more neighbours than they have.
const LONGEST_SEARCH: usize = 64;

impl Mesh {
    /// Of edges between different nodes; parallel ones count once.
    fn new(n: usize, edges: impl Iterator<Item = (u32, u32)> + Clone) -> Mesh {
        let mut start = vec![0; n + 1];
        for (u, v) in edges.clone() {
            start[u as usize + 1] += 1;
            start[v as usize + 1] += 1;
        }
        for node in 0..n {
            start[node + 1] += start[node];
        }
        let places = start[n] as usize;
        let mut mesh = Mesh { start, degree: vec![0; n], target: vec![0; places], twin: vec![0; places] };
        for (u, v) in edges {
            let [p, q] = [u, v].map(|node| {
                mesh.degree[node as usize] += 1;
                mesh.start[node as usize] + mesh.degree[node as usize] - 1
            });
            (mesh.target[p as usize], mesh.target[q as usize]) = (v, u);
            (mesh.twin[p as usize], mesh.twin[q as usize]) = (q, p);
        }
        let mut seen_from = vec![u32::MAX; n];
        for node in 0..n as u32 {
            let mut place = mesh.start[node as usize];
            while place < mesh.start[node as usize] + mesh.degree(node) {
                let other = mesh.target[place as usize];
                if std::mem::replace(&mut seen_from[other as usize], node) == node {
                    mesh.remove(other, mesh.twin[place as usize]);
                    mesh.remove(node, place);
                } else {
                    place += 1;
                }
            }
        }
        mesh
    }

    fn degree(&self, node: u32) -> u32 {
        self.degree[node as usize]
    }

    fn neighbours(&self, node: u32) -> &[u32] {
        let start = self.start[node as usize] as usize;
        &self.target[start..start + self.degree(node) as usize]
    }

    /// Takes one place out of the list of a node; the last one of the list moves there.
    fn remove(&mut self, node: u32, place: u32) {
        self.degree[node as usize] -= 1;
        let (place, last) = (place as usize, (self.start[node as usize] + self.degree(node)) as usize);
        if place != last {
            let twin = self.twin[last];
            (self.target[place], self.twin[place]) = (self.target[last], twin);
            self.twin[twin as usize] = place as u32;
        }
    }

    /// Takes off a node with one neighbour, which is returned, or with none.
    fn take_off_leaf(&mut self, node: u32) -> Option<u32> {
        if self.degree(node) == 0 {
            return None;
        }
        let place = self.start[node as usize] as usize;
        self.degree[node as usize] = 0;
        let other = self.target[place];
        self.remove(other, self.twin[place]);
        Some(other)
    }

    /// Takes out a node with two places in its list and joins its neighbours, unless they are joined already or are one:
    /// then they have fewer neighbours afterwards.
    fn take_out_of_chain(&mut self, node: u32) -> ([u32; 2], bool) {
        let places = [0, 1].map(|k| self.start[node as usize] as usize + k);
        let [a, b] = places.map(|place| self.target[place]);
        self.degree[node as usize] = 0;
        let fewer = a == b || self.are_joined(a, b);
        if fewer {
            // The second twin is read after the first removal, which may move it.
            self.remove(a, self.twin[places[0]]);
            self.remove(b, self.twin[places[1]]);
        } else {
            let [p, q] = places.map(|place| self.twin[place]);
            (self.target[p as usize], self.target[q as usize]) = (b, a);
            (self.twin[p as usize], self.twin[q as usize]) = (q, p);
        }
        ([a, b], fewer)
    }

    fn are_joined(&self, a: u32, b: u32) -> bool {
        let (few, other) = if self.degree(a) <= self.degree(b) { (a, b) } else { (b, a) };
        let searched = self.neighbours(few);
        searched.len() <= LONGEST_SEARCH && searched.contains(&other)
    }
}
