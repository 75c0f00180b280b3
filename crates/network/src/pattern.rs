//! Which nodes are joined, in which order they are eliminated, and which edges that makes.

use crate::order::{Lists, elimination_order};
use std::sync::Arc;

/// Marks an edge from a node to itself, which has no place in the structure.
pub(crate) const NO_SLOT: u32 = u32::MAX;

/// The pattern of a network: its nodes and edges without values, the order in which nodes are eliminated, and every
/// edge the elimination will make (the fill). Found once, used for every set of values and for every [`Algebra`].
///
/// Cloning is cheap: clones share the structure.
///
/// [`Algebra`]: crate::Algebra
#[derive(Clone)]
pub struct Pattern {
    pub(crate) structure: Arc<Structure>,
}

/// The arrays behind a [`Pattern`]. *Positions* count nodes in the order of elimination. Each position has a column: the
/// later positions to which it is joined when its turn comes, ascending.
pub(crate) struct Structure {
    /// Ends of each edge as given.
    pub(crate) ends: Vec<(u32, u32)>,
    /// Node at each position.
    pub(crate) order: Vec<u32>,
    /// Position of each node.
    pub(crate) position: Vec<u32>,
    /// First position of a kept node; all later ones are kept too.
    pub(crate) first_kept: usize,
    column_start: Vec<usize>,
    /// Position of the other end of each entry.
    pub(crate) row: Vec<u32>,
    crossing_start: Vec<usize>,
    crossings: Vec<Crossing>,
    /// Entry of each edge as given, or [`NO_SLOT`].
    pub(crate) slot: Vec<u32>,
}

/// An entry in somebody else's column, seen from its row.
#[derive(Clone, Copy)]
pub(crate) struct Crossing {
    pub(crate) column: u32,
    pub(crate) entry: u32,
}

impl Pattern {
    /// The pattern of `n` nodes joined by `edges` (pairs of nodes). Edges from a node to itself are ignored, parallel
    /// edges share one place and their values are joined. `kept` nodes (poles, ground) come last, in the order given;
    /// the second mention of a kept node is ignored.
    ///
    /// The order is approximate minimum degree (Amestoy, Davis and Duff 1996).
    ///
    /// # Panics
    /// When an edge or a kept node names a node not in `0..n`, or the fill has 2³² entries or more.
    pub fn new(n: usize, edges: &[(u32, u32)], kept: &[u32]) -> Pattern {
        assert!(n < u32::MAX as usize, "too many nodes");
        for &(u, v) in edges {
            assert!((u as usize) < n && (v as usize) < n, "edge {u}–{v} leaves the {n} nodes");
        }
        let mut seen = vec![false; n];
        let kept: Vec<u32> =
            kept.iter().copied().filter(|&node| !std::mem::replace(&mut seen[node as usize], true)).collect();
        let order = elimination_order(n, edges, &kept);
        let structure = Structure::new(edges.to_vec(), order, n - kept.len());
        Pattern { structure: Arc::new(structure) }
    }

    /// Number of nodes.
    pub fn node_count(&self) -> usize {
        self.structure.order.len()
    }

    /// Number of edges as given, loops and parallel ones counted.
    pub fn edge_count(&self) -> usize {
        self.structure.ends.len()
    }

    /// The two ends of an edge as given.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn ends(&self, edge: usize) -> (u32, u32) {
        self.structure.ends[edge]
    }

    /// The kept nodes, each once, in the order given.
    pub fn kept(&self) -> &[u32] {
        &self.structure.order[self.structure.first_kept..]
    }

    /// All nodes in the order of their elimination, the kept ones last.
    pub fn elimination_order(&self) -> &[u32] {
        &self.structure.order
    }

    /// Number of edges after elimination: the distinct edges given and those made between neighbours of eliminated
    /// nodes. Time and memory of everything else go with it.
    pub fn entry_count(&self) -> usize {
        self.structure.row.len()
    }

    /// How many pairs of neighbours the elimination of all but the kept nodes joins.
    pub fn join_count(&self) -> usize {
        let structure = &*self.structure;
        (0..structure.first_kept)
            .map(|j| structure.column(j).len())
            .map(|neighbours| neighbours * neighbours.saturating_sub(1) / 2)
            .sum()
    }

    /// Conductances to ground that make every kept node ground itself and leave the others without: `f64::INFINITY` at
    /// kept nodes, 0 elsewhere. For [`Factor::new`](crate::Factor::new).
    pub fn kept_as_ground(&self) -> Vec<f64> {
        let mut to_ground = vec![0.0; self.node_count()];
        for &node in self.kept() {
            to_ground[node as usize] = f64::INFINITY;
        }
        to_ground
    }
}

impl std::fmt::Debug for Pattern {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Pattern")
            .field("nodes", &self.node_count())
            .field("edges", &self.edge_count())
            .field("kept", &self.kept())
            .field("entries", &self.entry_count())
            .finish()
    }
}

impl Structure {
    fn new(ends: Vec<(u32, u32)>, order: Vec<u32>, first_kept: usize) -> Structure {
        let n = order.len();
        let mut position = vec![0; n];
        for (k, &node) in order.iter().enumerate() {
            position[node as usize] = k as u32;
        }
        let placed = |&(u, v): &(u32, u32)| {
            let (a, b) = (position[u as usize], position[v as usize]);
            (a.min(b), a.max(b))
        };
        let later = Lists::new(n, ends.iter().map(placed).filter(|(a, b)| a != b));
        let (column_start, row) = columns(n, &later);
        assert!(row.len() < NO_SLOT as usize, "too many edges after elimination");
        let slot = ends
            .iter()
            .map(placed)
            .map(|(a, b)| {
                let start = column_start[a as usize];
                row[start..column_start[a as usize + 1]]
                    .binary_search(&b)
                    .map_or(NO_SLOT, |place| (start + place) as u32)
            })
            .collect();
        let (crossing_start, crossings) = crossings(n, &column_start, &row);
        Structure { ends, order, position, first_kept, column_start, row, crossing_start, crossings, slot }
    }

    /// The entries of the column at a position.
    pub(crate) fn column(&self, position: usize) -> std::ops::Range<usize> {
        self.column_start[position]..self.column_start[position + 1]
    }

    /// The entries of earlier columns whose other end is at this position, in the order of their columns.
    pub(crate) fn crossings(&self, position: usize) -> &[Crossing] {
        &self.crossings[self.crossing_start[position]..self.crossing_start[position + 1]]
    }
}

/// Every column with its fill, from the later neighbours of each position: a column is its own later neighbours and what
/// is left of every earlier column whose first entry it is (that column's elimination joins all its rows).
fn columns(n: usize, later: &Lists) -> (Vec<usize>, Vec<u32>) {
    const NONE: u32 = u32::MAX;
    let mut start = Vec::with_capacity(n + 1);
    let mut row: Vec<u32> = Vec::new();
    let mut marked = vec![NONE; n];
    // Chains of the columns that pass their rows on to a column.
    let mut first_child = vec![NONE; n];
    let mut next_child = vec![NONE; n];
    start.push(0);
    for j in 0..n {
        let begin = row.len();
        marked[j] = j as u32;
        for &i in later.of(j) {
            if marked[i as usize] != j as u32 {
                marked[i as usize] = j as u32;
                row.push(i);
            }
        }
        let mut child = first_child[j];
        while child != NONE {
            for entry in start[child as usize]..start[child as usize + 1] {
                let i = row[entry];
                if marked[i as usize] != j as u32 {
                    marked[i as usize] = j as u32;
                    row.push(i);
                }
            }
            child = next_child[child as usize];
        }
        row[begin..].sort_unstable();
        if let Some(&parent) = row.get(begin) {
            next_child[j] = first_child[parent as usize];
            first_child[parent as usize] = j as u32;
        }
        start.push(row.len());
    }
    (start, row)
}

/// The entries again, listed by row.
fn crossings(n: usize, column_start: &[usize], row: &[u32]) -> (Vec<usize>, Vec<Crossing>) {
    let mut start = vec![0; n + 1];
    for &i in row {
        start[i as usize + 1] += 1;
    }
    for i in 0..n {
        start[i + 1] += start[i];
    }
    let mut next = start.clone();
    let blank = Crossing { column: 0, entry: 0 };
    let mut crossings = vec![blank; row.len()];
    for column in 0..n {
        for entry in column_start[column]..column_start[column + 1] {
            let place = &mut next[row[entry] as usize];
            crossings[*place] = Crossing { column: column as u32, entry: entry as u32 };
            *place += 1;
        }
    }
    (start, crossings)
}
