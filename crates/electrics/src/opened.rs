//! The numbers once one joint, tap, feeder or contact has opened: closed forms, nothing is factored again.

use crate::profile::Parabola;
use crate::{Grid, Profile, Resistances};
use circuit::{EdgeId, NodeId, SegmentId};
use network::EdgeChange;
use std::collections::BTreeMap;

/// Resistances of a grid with one of its closed edges opened.
///
/// With one ampere put in at the edge's one end and taken out at its other, each node `a` is lifted by `x_a`; opening the
/// edge of conductance `g` lifts the driving-point resistance of `a` by `x_a² / (1/g − R)`, with `R` the resistance
/// between the edge's ends (Sherman and Morrison 1950; see [`EdgeChange`]). One solve gives all `x`.
pub struct OpenedEdge<'r> {
    resistances: &'r Resistances<'r>,
    change: EdgeChange,
    /// Potentials of all nodes of the network.
    across: Vec<f64>,
}

impl Resistances<'_> {
    /// What is left when a closed edge opens. None where it is open already, joined to no source, or the only way
    /// between what lies before and behind it: then that is dead, which is no matter of numbers.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn opened(&self, edge: EdgeId) -> Option<OpenedEdge<'_>> {
        let grid = self.grid;
        let ends = &grid.circuit.edges[edge];
        let (round, change) = self.change_by_opening(edge)?;
        let mut across = vec![0.0; grid.circuit.nodes.len()];
        across[grid.network_node(ends.a) as usize] += 1.0;
        across[grid.network_node(ends.b) as usize] -= 1.0;
        grid.solve(round, &mut across);
        Some(OpenedEdge { resistances: self, change, across })
    }

    /// The round in which the part of a closed edge is calculated, and what its opening changes; none as for
    /// [`Resistances::opened`].
    fn change_by_opening(&self, edge: EdgeId) -> Option<(usize, EdgeChange)> {
        let grid = self.grid;
        let part = grid.poles.part_of(grid.circuit.edges[edge].a).filter(|_| grid.is_closed(edge))?;
        let round = self.round_of(part)?;
        let between = self.inverses[round].resistance_between_ends(edge.index());
        let change = EdgeChange::new(between, -grid.conductance[edge]).filter(|change| !change.cuts())?;
        Some((round, change))
    }

    /// What the opening of a closed edge changes, and how far its own ends are lifted (see [`OpenedEdge`]): no node is lifted
    /// further. None as for [`Resistances::opened`].
    pub(crate) fn ends_lifted(&self, edge: EdgeId) -> Option<(EdgeChange, [f64; 2])> {
        let (round, change) = self.change_by_opening(edge)?;
        let inverse = &self.inverses[round];
        let ends = &self.grid.circuit.edges[edge];
        let [a, b] = [ends.a, ends.b].map(|node| inverse.driving_point(self.grid.network_node(node)));
        let between = inverse.resistance_between_ends(edge.index());
        Some((change, [0.5 * (between + a - b), 0.5 * (between + b - a)]))
    }

    /// Resistance of the loop through a closed edge and back through all else, `1/g + R/(1 − g·R)`. None as for
    /// [`Resistances::opened`], and where less than a part `alone` of a current between its ends goes another way.
    pub(crate) fn round_edge(&self, edge: EdgeId, alone: f64) -> Option<f64> {
        let (round, _) = self.change_by_opening(edge)?;
        let own = self.grid.conductance[edge];
        let beside = 1.0 - own * self.inverses[round].resistance_between_ends(edge.index());
        (beside > alone).then(|| 1.0 / (own * beside))
    }

    /// The round in which a part is calculated.
    fn round_of(&self, part: usize) -> Option<usize> {
        let grid = self.grid;
        let sources = &grid.circuit.sources;
        let source = (0..sources.len()).find(|&s| grid.poles.part_of(sources[s].plus) == Some(part))?;
        Some(grid.poles.rank[source])
    }
}

/// The same for many edges and few nodes: by reciprocity, what one ampere through an edge's ends does to a node is what one
/// ampere into the node does between the ends. One solve a node gives all edges.
pub(crate) struct Seen<'r> {
    resistances: &'r Resistances<'r>,
    /// Each node of the network that is asked for, its part, and the potentials of all nodes for one ampere into it.
    from: Vec<(u32, usize, Vec<f64>)>,
}

impl<'r> Seen<'r> {
    /// Seen from these nodes.
    pub(crate) fn from_nodes(resistances: &'r Resistances<'r>, nodes: &[NodeId]) -> Seen<'r> {
        let grid = resistances.grid;
        let solved = |&node: &NodeId| {
            let part = grid.poles.part_of(node)?;
            let mut potentials = vec![0.0; grid.circuit.nodes.len()];
            potentials[grid.network_node(node) as usize] = 1.0;
            grid.solve(resistances.round_of(part)?, &mut potentials);
            Some((grid.network_node(node), part, potentials))
        };
        Seen { resistances, from: nodes.iter().filter_map(solved).collect() }
    }

    /// As [`Resistances::opened`], right at the nodes asked for and nowhere else; `memory` has room for all nodes, and is
    /// taken.
    pub(crate) fn opened(&self, edge: EdgeId, memory: &mut Vec<f64>) -> Option<OpenedEdge<'r>> {
        let grid = self.resistances.grid;
        let (_, change) = self.resistances.change_by_opening(edge)?;
        let mut across = std::mem::take(memory);
        let ends = &grid.circuit.edges[edge];
        let own = grid.poles.part_of(ends.a);
        let [a, b] = [ends.a, ends.b].map(|node| grid.network_node(node) as usize);
        for (node, part, potentials) in &self.from {
            across[*node as usize] = if own == Some(*part) { potentials[a] - potentials[b] } else { 0.0 };
        }
        Some(OpenedEdge { resistances: self.resistances, change, across })
    }
}

/// The nodes of the stops of some tracks, each node of the network once.
pub(crate) fn stops_of(grid: &Grid<'_>, tracks: &[usize]) -> Vec<NodeId> {
    let lines = tracks.iter().flat_map(|&track| &grid.circuit.segments[track].rails);
    let nodes = lines.flat_map(|line| &line.stops).flat_map(|stop| [stop.before, stop.after]);
    let by_place: BTreeMap<u32, NodeId> = nodes.map(|node| (grid.network_node(node), node)).collect();
    by_place.into_values().collect()
}

/// Below this what an opened edge lifts a node by, in ohms, is rounding.
const NOTHING: f64 = 1e-9;

impl OpenedEdge<'_> {
    /// The memory it took.
    pub(crate) fn into_memory(self) -> Vec<f64> {
        self.across
    }

    /// Whether the numbers of a segment change at all.
    pub fn touches(&self, segment: SegmentId) -> bool {
        let grid = self.resistances.grid;
        let mut stops = grid.circuit.segments[segment].rails.iter().flat_map(|line| &line.stops);
        stops.any(|stop| {
            [stop.before, stop.after].iter().any(|&n| self.across[grid.network_node(n) as usize].abs() > NOTHING)
        })
    }

    /// Loop resistance along a segment, as [`Resistances::profile`] gives it with the edge closed.
    pub fn profile(&self, segment: SegmentId) -> Profile {
        let grid = self.resistances.grid;
        let at = |node: NodeId| self.across[grid.network_node(node) as usize];
        self.resistances.profile_with(segment, |_, ends, before| {
            let [start, end] = ends.map(at);
            let more = |was: f64, across: f64| self.change.transfer_across(was, across, across);
            // What rises between the ends falls out of the bow, which is the edge's own resistance less that.
            let bow = before.bow - (more(0.0, start - end));
            Parabola { start: more(before.start, start), end: more(before.end, end), bow: bow.max(0.0) }
        })
    }
}
