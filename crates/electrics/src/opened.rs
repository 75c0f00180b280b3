//! The numbers once one joint, tap, feeder or contact has opened: closed forms, nothing is factored again.

use crate::{Profile, Resistances};
use circuit::{EdgeId, NodeId, SegmentId};
use network::EdgeChange;

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

    /// Resistance between the ends of an edge, open or closed. None where they lie in different parts, of which nothing is known
    /// together.
    pub(crate) fn between_ends(&self, edge: EdgeId) -> Option<f64> {
        let grid = self.grid;
        let ends = &grid.circuit.edges[edge];
        let [one, other] = [ends.a, ends.b].map(|node| grid.poles.part_of(node));
        let round = match (one, other) {
            (Some(one), Some(other)) if one == other => self.round_of(one)?,
            (None, None) => 0,
            _ => return None,
        };
        Some(self.inverses[round].resistance_between_ends(edge.index()))
    }

    /// The round in which a part is calculated.
    fn round_of(&self, part: usize) -> Option<usize> {
        let grid = self.grid;
        let sources = &grid.circuit.sources;
        let source = (0..sources.len()).find(|&s| grid.poles.part_of(sources[s].plus) == Some(part))?;
        Some(grid.poles.rank[source])
    }
}

/// Below this what an opened edge lifts a node by, in ohms, is rounding.
const NOTHING: f64 = 1e-9;

impl OpenedEdge<'_> {
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
        self.resistances.profile_with(segment, |_, ends, before| before.opened(&self.change, ends.map(at)))
    }
}
