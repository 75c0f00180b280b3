//! The elimination itself, for any algebra.

use crate::pattern::{IndexWalk, NO_SLOT, Pattern};

/// What edges carry, and what joining them means.
///
/// `join` must not depend on the order of its arguments or on how they are grouped, an open edge must change nothing it
/// is joined with, and `through` with an open edge on either side must do nothing.
pub trait Algebra {
    /// What an edge carries.
    type Edge: Clone;
    /// What a node carries: before its elimination what is only its own (a conductance to ground), afterwards what is
    /// needed to substitute back.
    type Pivot;
    /// What the edges of a node that is eliminated need of it.
    type Weight;
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

    /// Makes a node ready to be eliminated, now that all its edges to later nodes are known.
    fn close(&self, node: &mut Self::Pivot, edges: &[Self::Edge]) -> Self::Weight;

    /// Puts the way over `left`, an eliminated node and `right` (in series) beside `into`.
    ///
    /// # Errors
    /// When the algebra says so.
    fn through(
        &self,
        into: &mut Self::Edge,
        left: &Self::Edge,
        middle: &Self::Weight,
        right: &Self::Edge,
    ) -> Result<(), Self::Failure>;

    /// Adds to `node` what it gets from an eliminated node over `edge`: its share of that node's way to ground.
    /// Nothing, where there is no such thing.
    fn inherit(&self, _node: &mut Self::Pivot, _edge: &Self::Edge, _eliminated: &Self::Weight) {}
}

/// How far an elimination goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EliminationExtent {
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
    /// Workspace for the targets of a wide column.
    found: Vec<u32>,
}

impl<A: Algebra> Eliminated<A> {
    /// Memory for the elimination of networks of this pattern, with no node eliminated yet.
    pub fn new(pattern: &Pattern, algebra: &A) -> Eliminated<A> {
        Eliminated {
            entries: vec![algebra.open(); pattern.entry_count()],
            pivots: Vec::with_capacity(pattern.node_count()),
            found: pattern.structure.room_for_targets(),
            pattern: pattern.clone(),
        }
    }

    /// Eliminates the network with these values: `edges[e]` for each edge as given to the pattern, `node(v)` for each
    /// node. Right-looking: each node in turn puts what goes through it beside what its later neighbours have, where
    /// the index list of the pattern says. Takes no memory beyond what the algebra's own values take.
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
        extent: EliminationExtent,
    ) -> Result<(), Stopped<A::Failure>> {
        let structure = &*self.pattern.structure;
        assert_eq!(edges.len(), structure.ends.len(), "one value per edge");
        let stop_at = match extent {
            EliminationExtent::Everything => structure.order.len(),
            EliminationExtent::UpToKept => structure.first_kept,
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

        let mut walk = IndexWalk::forwards(structure);
        for j in 0..stop_at {
            let column = structure.column(j);
            let rows = &structure.row[column.clone()];
            let mut targets = walk.next(rows, &mut self.found);
            let (before, after) = self.entries.split_at_mut(column.end);
            let own = &before[column.start..];
            let (eliminated, later) = self.pivots.split_at_mut(j + 1);
            let weight = algebra.close(&mut eliminated[j], own);
            for (place, (left, &row)) in own.iter().zip(rows).enumerate() {
                let rights = &own[place + 1..];
                let (these, others) = targets.split_at(rights.len());
                targets = others;
                if algebra.is_open(left) {
                    continue;
                }
                algebra.inherit(&mut later[row as usize - j - 1], left, &weight);
                for (right, &target) in rights.iter().zip(these) {
                    algebra
                        .through(&mut after[target as usize - column.end], left, &weight, right)
                        .map_err(|failure| Stopped { node: structure.order[row as usize], failure })?;
                }
            }
        }
        Ok(())
    }

    /// The pattern this was made for.
    pub fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// The edge left between two nodes: for kept nodes after [`EliminationExtent::UpToKept`] the whole network between them. None
    /// where the pattern has no such edge, which means open.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn edge(&self, u: u32, v: u32) -> Option<&A::Edge> {
        let structure = &*self.pattern.structure;
        let (a, b) = (structure.position[u as usize], structure.position[v as usize]);
        structure.entry(a.min(b) as usize, a.max(b)).map(|entry| &self.entries[entry as usize])
    }
}
