//! What is known beforehand of what an edge can do when it opens.

use crate::Grid;
use crate::bridges::Bridges;
use crate::poles::NetworkPieces;
use circuit::EdgeId;
use network::{Pattern, SearchTree};

/// Of edges with everything open that need not be closed, at one level: endless for what is not tried.
pub(super) struct OpenLevel {
    /// No less than this is `1/g − R` in any setting.
    pub(super) room: EdgeBounds,
    /// Where that is known, the least that one over the resistance of the loop round the edge can be: a rise is no more than that
    /// resistance, which a current of one ampere would take. With everything else open it is greatest.
    pub(super) round: EdgeBounds,
    /// Resistances of those of which that is not known.
    pub(super) weak: EdgeBounds,
    /// And of those that cut something off, unless positions join it in a second way.
    pub(super) cutting: EdgeBounds,
    /// Where to search for any of them, and for any but those that cut.
    pub(super) trees: [SearchTree; 2],
}

/// Something of each edge, and the least of it from each column of the network down.
pub(super) struct EdgeBounds {
    pub(super) of: Vec<f64>,
    pub(super) below: Vec<f64>,
}

impl EdgeBounds {
    pub(super) fn new(of: Vec<f64>, pattern: &Pattern) -> EdgeBounds {
        EdgeBounds { below: pattern.least_below(&of), of }
    }
}

/// For each edge whether it alone joins two pieces of what is joined for good, whatever joins parts of one piece taken as closed, or
/// two of those pieces.
pub(super) fn cutting(grid: &Grid<'_>, pieces: &NetworkPieces) -> Vec<bool> {
    let edges = &grid.circuit().edges;
    let mut closed: Vec<bool> = edges.iter().map(|edge| edge.is_always_closed()).collect();
    let mut cutting: Vec<bool> = edges.iter().map(|edge| !edge.removed && !edge.guard.is_empty()).collect();
    for edge in &pieces.within {
        (closed[edge.index()], cutting[edge.index()]) = (true, false);
    }
    let ends = |id: EdgeId| [edges[id].a, edges[id].b].map(|node| grid.network_node(node));
    let joined: Vec<Option<[u32; 2]>> = EdgeId::each(&closed).map(|(id, closed)| closed.then(|| ends(id))).collect();
    let bridges = Bridges::from_graph(grid.circuit().nodes.len(), &joined);
    for (id, _) in EdgeId::each(&closed).filter(|(_, closed)| **closed) {
        cutting[id.index()] |= bridges.is_bridge(id, ends(id));
    }
    cutting
}

/// The rise from which on something matters, ohms, rounded down; none where nothing does.
pub(super) fn least_rise(matters: impl Fn(f64) -> bool) -> Option<f64> {
    // On the logarithm, from a nanoohm to a gigaohm.
    let (mut too_small, mut enough) = (1e-9_f64.ln(), 1e9_f64.ln());
    if !matters(enough.exp()) {
        return None;
    }
    while enough - too_small > 1e-6 {
        let middle = 0.5 * (too_small + enough);
        if matters(middle.exp()) { enough = middle } else { too_small = middle }
    }
    Some(too_small.exp())
}
