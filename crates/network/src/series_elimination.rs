//! The easy part of the order: leaves and chains, taken off in rounds.

/// How long a row of leaves is taken off one behind the other within one round.
///
/// A tree no deeper than that gets no fill at all. The figures at the end of a row of eliminations carry the rounding
/// of every one of them, so that longer rows are halved and halved again like chains.
const LONGEST_ROW: u32 = 32;

/// How much of a chain is taken out in one go: what stays close together in memory.
const LONGEST_STRETCH: usize = 64;

/// What is left when no node with fewer than three neighbours is.
pub(crate) struct SeriesEliminated {
    /// The nodes taken off, in turn.
    pub(crate) order: Vec<u32>,
    /// The others.
    pub(crate) core: Vec<u32>,
    /// The neighbours of each node among them, by index in `core`.
    pub(crate) core_edges: Vec<(u32, u32)>,
}

/// Takes off nodes with one neighbour (leaves) and with two (chains, whose two neighbours are joined instead) until
/// there are none. In every round each chain shrinks to a node in every so many, and so does a tree, or nearly: the row
/// of eliminations that leads to any node grows as the logarithm of their number (Miller and Reif 1985, "rake" and
/// "compress").
pub(crate) fn eliminate_series(n: usize, edges: impl Iterator<Item = (u32, u32)> + Clone) -> SeriesEliminated {
    let mut peeler = SeriesElimination {
        mesh: Mesh::new(n, edges),
        order: Vec::with_capacity(n),
        gone: vec![false; n],
        touched: vec![(0, 0); n],
        round: 0,
        leaves: Vec::new(),
        chains: Vec::new(),
    };
    for node in 0..n as u32 {
        peeler.notice(node);
    }
    let (mut leaves, mut chains) = (Vec::new(), Vec::new());
    while !peeler.leaves.is_empty() || !peeler.chains.is_empty() {
        peeler.round += 1;
        std::mem::swap(&mut leaves, &mut peeler.leaves);
        for leaf in leaves.drain(..) {
            peeler.take_off_row(leaf);
        }
        std::mem::swap(&mut chains, &mut peeler.chains);
        for node in chains.drain(..) {
            peeler.take_out_stretch(node);
        }
    }
    let SeriesElimination { mesh, order, gone, .. } = peeler;
    let core: Vec<u32> = (0..n as u32).filter(|&node| !gone[node as usize]).collect();
    let mut number = vec![0; n];
    for (k, &node) in core.iter().enumerate() {
        number[node as usize] = k as u32;
    }
    let core_edges = core.iter().flat_map(|&node| mesh.neighbours(node).iter().map(move |&other| (node, other)));
    let core_edges = core_edges.filter(|(node, other)| node < other);
    let core_edges = core_edges.map(|(u, v)| (number[u as usize], number[v as usize])).collect();
    SeriesEliminated { order, core, core_edges }
}

struct SeriesElimination {
    mesh: Mesh,
    order: Vec<u32>,
    gone: Vec<bool>,
    /// In which round a neighbour of the node was last taken off, and how long the row of eliminations behind it is.
    touched: Vec<(u32, u32)>,
    round: u32,
    /// Nodes to look at, some of them gone meanwhile.
    leaves: Vec<u32>,
    chains: Vec<u32>,
}

impl SeriesElimination {
    /// How long the row of eliminations of this round behind a node is.
    fn row(&self, node: u32) -> u32 {
        let (round, row) = self.touched[node as usize];
        if round == self.round { row } else { 0 }
    }

    fn touch(&mut self, node: u32, row: u32) {
        self.touched[node as usize] = (self.round, row.max(self.row(node)));
    }

    /// Puts a node on the list for its kind.
    fn notice(&mut self, node: u32) {
        match self.mesh.degree(node) {
            0 | 1 => self.leaves.push(node),
            2 => self.chains.push(node),
            _ => {}
        }
    }

    /// Takes off a leaf, what then is a leaf, and so on.
    fn take_off_row(&mut self, leaf: u32) {
        let mut next = Some(leaf);
        while let Some(node) = next.take_if(|node| !self.gone[*node as usize]) {
            let row = self.row(node);
            if row == LONGEST_ROW {
                self.leaves.push(node);
                return;
            }
            self.gone[node as usize] = true;
            self.order.push(node);
            let Some(other) = self.mesh.take_off_leaf(node) else { return };
            self.touch(other, row + 1);
            if self.mesh.degree(other) < 2 {
                next = Some(other);
            } else {
                self.notice(other);
            }
        }
    }

    /// Takes out a stretch of a chain around a node: every other node, then every other one of the rest, and so on.
    fn take_out_stretch(&mut self, node: u32) {
        if self.gone[node as usize] || self.mesh.degree(node) != 2 {
            return;
        }
        if self.row(node) > 0 {
            self.chains.push(node);
            return;
        }
        let mut stretch = Vec::with_capacity(LONGEST_STRETCH);
        self.gone[node as usize] = true;
        stretch.push(node);
        for _direction in 0..2 {
            stretch.reverse();
            let mut end = node;
            while stretch.len() < LONGEST_STRETCH {
                let goes_on =
                    |&&other: &&u32| !self.gone[other as usize] && self.mesh.degree(other) == 2 && self.row(other) == 0;
                let Some(&other) = self.mesh.neighbours(end).iter().find(goes_on) else { break };
                self.gone[other as usize] = true;
                stretch.push(other);
                end = other;
            }
        }
        let mut row = 0;
        while !stretch.is_empty() {
            row += 1;
            let mut odd = false;
            stretch.retain(|&node| {
                odd = !odd;
                if odd {
                    self.take_out(node, row);
                }
                !odd
            });
        }
    }

    /// Takes out one node of a stretch. In a ring the last ones have fewer than two neighbours.
    fn take_out(&mut self, node: u32, row: u32) {
        self.order.push(node);
        if self.mesh.degree(node) < 2 {
            if let Some(other) = self.mesh.take_off_leaf(node) {
                self.reach(other, row, true);
            }
            return;
        }
        let (others, fewer) = self.mesh.take_out_of_chain(node);
        for other in others {
            self.reach(other, row, fewer);
        }
    }

    fn reach(&mut self, other: u32, row: u32, fewer: bool) {
        if !self.gone[other as usize] {
            self.touch(other, row);
            if fewer {
                self.notice(other);
            }
        }
    }
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

    /// Takes out a node with two places in its list and joins its neighbours, unless they are joined already or are
    /// one: then they have fewer neighbours afterwards.
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
