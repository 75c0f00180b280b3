//! The elimination itself, for any algebra.

use crate::pattern::{NO_SLOT, Pattern};

/// What edges carry, and what joining them means.
///
/// `join` must not depend on the order of its arguments or on how they are grouped, an open edge must change nothing it
/// is joined with, and `through` with an open edge on either side must do nothing.
pub trait Algebra {
    /// What an edge carries.
    type Edge: Clone;
    /// What a node carries: before its elimination what is only its own (a conductance to ground), afterwards what its
    /// neighbours need of it.
    type Pivot;
    /// Why a join can fail; `Infallible` where it can't.
    type Failure;

    /// An edge that joins nothing.
    fn open(&self) -> Self::Edge;

    /// Whether this edge joins nothing.
    fn is_open(&self, edge: &Self::Edge) -> bool;

    /// Puts `other` beside `into` (in parallel).
    ///
    /// # Errors
    /// When the algebra says so.
    fn join(&self, into: &mut Self::Edge, other: &Self::Edge) -> Result<(), Self::Failure>;

    /// Puts the way over `left`, the node `middle` and `right` (in series) beside `into`.
    ///
    /// # Errors
    /// When the algebra says so.
    fn through(
        &self,
        into: &mut Self::Edge,
        left: &Self::Edge,
        middle: &Self::Pivot,
        right: &Self::Edge,
    ) -> Result<(), Self::Failure>;

    /// Adds to `node` what it gets from an eliminated node over `edge`: its share of that node's way to ground. Nothing,
    /// where there is no such thing.
    fn inherit(&self, _node: &mut Self::Pivot, _edge: &Self::Edge, _eliminated: &Self::Pivot) {}

    /// Makes a node ready to be eliminated, once all its edges to later nodes are known.
    fn close(&self, _node: &mut Self::Pivot, _edges: &[Self::Edge]) {}
}

/// How far an elimination goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// All nodes, the kept ones after the others.
    Everything,
    /// All nodes but the kept ones: what is left are the edges between those.
    UpToKept,
}

/// An elimination that could not go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stopped<F> {
    /// The node whose edges were being joined.
    pub node: u32,
    /// What the algebra said.
    pub failure: F,
}

/// A network after elimination: each node with the edges it had to later nodes when its turn came.
#[derive(Debug, Clone)]
pub struct Eliminated<A: Algebra> {
    pub(crate) pattern: Pattern,
    /// One per entry of the pattern.
    pub(crate) entries: Vec<A::Edge>,
    /// One per position.
    pub(crate) pivots: Vec<A::Pivot>,
    /// Workspace: where in the column at hand a position stands. Only read at positions just written.
    place: Vec<u32>,
}

impl<A: Algebra> Eliminated<A> {
    /// Memory for the elimination of networks of this pattern, with no node eliminated yet.
    pub fn new(pattern: &Pattern, algebra: &A) -> Eliminated<A> {
        Eliminated {
            entries: vec![algebra.open(); pattern.entry_count()],
            pivots: Vec::with_capacity(pattern.node_count()),
            place: vec![0; pattern.node_count()],
            pattern: pattern.clone(),
        }
    }

    /// Eliminates the network with these values: `edges[e]` for each edge as given to the pattern, `node(v)` for each
    /// node. Left-looking: each column is finished in one go from the columns before it. Takes no memory beyond what
    /// the algebra's own values take.
    ///
    /// # Errors
    /// When a join fails; the values inside are then of no use, but can be eliminated anew.
    ///
    /// # Panics
    /// When there is not one value per edge.
    pub fn eliminate(
        &mut self,
        algebra: &A,
        edges: &[A::Edge],
        node: impl FnMut(u32) -> A::Pivot,
        extent: Extent,
    ) -> Result<(), Stopped<A::Failure>> {
        let structure = &*self.pattern.structure;
        assert_eq!(edges.len(), structure.ends.len(), "one value per edge");
        let stop_at = match extent {
            Extent::Everything => structure.order.len(),
            Extent::UpToKept => structure.first_kept,
        };
        self.entries.fill(algebra.open());
        for (edge, (value, &slot)) in edges.iter().zip(&structure.slot).enumerate() {
            if slot != NO_SLOT {
                algebra
                    .join(&mut self.entries[slot as usize], value)
                    .map_err(|failure| Stopped { node: structure.ends[edge].0, failure })?;
            }
        }
        self.pivots.clear();
        self.pivots.extend(structure.order.iter().copied().map(node));

        for j in 0..structure.order.len() {
            let column = structure.column(j);
            for (place, &row) in structure.row[column.clone()].iter().enumerate() {
                self.place[row as usize] = place as u32;
            }
            let (before, rest) = self.entries.split_at_mut(column.start);
            let own = &mut rest[..column.len()];
            let (eliminated, rest) = self.pivots.split_at_mut(j);
            let pivot = &mut rest[0];
            for crossing in structure.crossings(j) {
                let k = crossing.column as usize;
                if k >= stop_at {
                    break;
                }
                let entry = crossing.entry as usize;
                let left = &before[entry];
                if algebra.is_open(left) {
                    continue;
                }
                algebra.inherit(pivot, left, &eliminated[k]);
                let beyond = entry + 1..structure.column(k).end;
                for (&row, right) in structure.row[beyond.clone()].iter().zip(&before[beyond]) {
                    // All rows of column k after j are in column j too: that is what the fill is.
                    let into = &mut own[self.place[row as usize] as usize];
                    algebra
                        .through(into, left, &eliminated[k], right)
                        .map_err(|failure| Stopped { node: structure.order[j], failure })?;
                }
            }
            if j < stop_at {
                algebra.close(pivot, own);
            }
        }
        Ok(())
    }

    /// The pattern this was made for.
    pub fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// The edge left between two nodes: for kept nodes after [`Extent::UpToKept`] the whole network between them. None
    /// where the pattern has no such edge, which means open.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn edge(&self, u: u32, v: u32) -> Option<&A::Edge> {
        let structure = &*self.pattern.structure;
        let (a, b) = (structure.position[u as usize], structure.position[v as usize]);
        let column = structure.column(a.min(b) as usize);
        let place = structure.row[column.clone()].binary_search(&a.max(b)).ok()?;
        self.entries.get(column.start + place)
    }
}
