//! What a loop resistance is made of.

use crate::bridges::Bridges;
use crate::{Feed, Grid, TrainPlace};
use circuit::{Edge, EdgeId, InputId};
use handbook::Spread;
use std::collections::BTreeMap;

/// The part of a loop resistance that comes from one input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The input, by its index in the circuit.
    pub input: InputId,
    /// Its part of the loop resistance in ohms.
    pub ohms: f64,
    /// What that part would be with the input at the low end of its band, the currents staying as they are.
    pub low_ohms: f64,
    /// The same at the high end.
    pub high_ohms: f64,
}

impl Share {
    /// How far the loop resistance moves, to first order, as the input goes through its band: its sensitivity times the band.
    pub fn swing(&self) -> f64 {
        self.high_ohms - self.low_ohms
    }
}

/// One ampere out of the left rail through a train into the right one, and what flows in every edge because of it.
pub(crate) struct UnitCurrent {
    /// From each edge's `a` to its `b`. In the two edges of the place itself, what flows at its `a`.
    pub(crate) amps: Vec<f64>,
    /// Mean square along each edge.
    pub(crate) squares: Vec<f64>,
}

impl Grid<'_> {
    /// What the loop resistance at a place is made of, the greatest part first: with `i` the current in each edge for
    /// one ampere through the place, `R_loop = Σ r·i²` (Tellegen's theorem), summed by input. The `i²` are at the same
    /// time the slopes of `R_loop` by each `r`, hence the swing. None where the place is not powered.
    ///
    /// # Panics
    /// When the place names an edge that is not there.
    pub fn shares(&self, place: &TrainPlace) -> Option<Vec<Share>> {
        let current = self.unit_current(place)?;
        let mut by_input: BTreeMap<InputId, Share> = BTreeMap::new();
        for (edge, &square) in self.circuit.edges.iter().zip(&current.squares).filter(|(_, square)| **square != 0.0) {
            let share = by_input.entry(edge.input).or_insert(Share {
                input: edge.input,
                ohms: 0.0,
                low_ohms: 0.0,
                high_ohms: 0.0,
            });
            share.ohms += self.level.pick(edge.ohms) * square;
            share.low_ohms += edge.ohms.low * square;
            share.high_ohms += edge.ohms.high * square;
        }
        let mut shares: Vec<Share> = by_input.into_values().collect();
        shares.sort_by(|one, other| other.ohms.total_cmp(&one.ohms)); // stable: by input where equal
        Some(shares)
    }

    /// Inductance of the loop at a place, in henries, over its band: `L = Σ l·i²` with the currents as the resistances share them out. The
    /// true one, with currents that share themselves out by inductance too, is never more (Thomson's principle). None where
    /// the place is not powered.
    ///
    /// # Panics
    /// When the place names an edge that is not there.
    pub fn loop_henries(&self, place: &TrainPlace) -> Option<Spread<f64>> {
        let current = self.unit_current(place)?;
        let each = self.circuit.edges.iter().zip(&current.squares).map(|(edge, square)| edge.henries.times(*square));
        Some(each.fold(Spread::exactly(0.0), Spread::plus))
    }

    /// What part of one ampere through a place flows in each edge, in amperes, those that carry none left out.
    /// None where the place is not powered.
    ///
    /// # Panics
    /// When the place names an edge that is not there.
    pub fn carried(&self, place: &TrainPlace) -> Option<Vec<(EdgeId, f64)>> {
        // Less than this is what rounding leaves of nothing.
        let carries = |amps: f64| amps > 1e-9;
        let amps = self.unit_current(place)?.amps;
        Some(EdgeId::each(&amps).map(|(edge, amps)| (edge, amps.abs())).filter(|&(_, amps)| carries(amps)).collect())
    }

    /// The edges over which all of the current to a place goes, those of the rails it stands on left out. None where the place
    /// is not powered.
    ///
    /// # Panics
    /// When the place names an edge that is not there.
    pub fn carry_all(&self, place: &TrainPlace) -> Option<Vec<EdgeId>> {
        let Feed::Powered { .. } = self.feed(place) else { return None };
        let bridges = self.bridges.get_or_init(|| {
            let edges = EdgeId::each(&self.circuit.edges);
            let ends = edges.map(|(id, e)| self.is_closed(id).then(|| [e.a, e.b].map(|node| self.network_node(node))));
            Bridges::from_graph(self.circuit.nodes.len(), &ends.collect::<Vec<_>>())
        });
        let [left, right] = place.rail.map(|edge| self.network_node(self.circuit.edges[edge].a));
        let mut all = bridges.between(left, right);
        all.retain(|edge| !place.rail.contains(edge));
        Some(all)
    }

    /// What flows along an edge where the nodes are lifted so.
    fn flow(&self, source: usize, volts: &[f64], id: EdgeId, edge: &Edge) -> f64 {
        // Other parts of the circuit carry nothing, and may have no ground in this round.
        let part = self.poles.part_of(self.circuit.sources[source].plus);
        if !self.is_closed(id) || self.poles.part_of(edge.a) != part {
            return 0.0;
        }
        let [a, b] = [edge.a, edge.b].map(|node| volts[self.network_node(node) as usize]);
        self.conductance[id] * (a - b)
    }

    /// By how many volts each node of the network is lifted by one ampere into the left rail at a place and out of the right
    /// one. None where the place is not powered.
    pub(crate) fn lifted(&self, place: &TrainPlace) -> Option<Vec<f64>> {
        let Feed::Powered { source } = self.feed(place) else { return None };
        let mut volts = vec![0.0; self.circuit.nodes.len()];
        // A current put in part of the way along an edge is, for everything beyond the edge, put in at its ends by the
        // lever.
        for (side, sign) in [(0, 1.0), (1, -1.0)] {
            let edge = &self.circuit.edges[place.rail[side]];
            let t = place.fraction[side];
            volts[self.network_node(edge.a) as usize] += sign * (1.0 - t);
            volts[self.network_node(edge.b) as usize] += sign * t;
        }
        self.solve(self.poles.rank[source], &mut volts);
        Some(volts)
    }

    pub(crate) fn unit_current(&self, place: &TrainPlace) -> Option<UnitCurrent> {
        let Feed::Powered { source } = self.feed(place) else { return None };
        let circuit = self.circuit;
        let volts = self.lifted(place)?;
        let edges = EdgeId::each(&circuit.edges);
        let amps: Vec<f64> = edges.map(|(id, edge)| self.flow(source, &volts, id, edge)).collect();
        let mut current = UnitCurrent { squares: amps.iter().map(|i| i * i).collect(), amps };
        for (side, sign) in [(0, 1.0), (1, -1.0)] {
            let edge = place.rail[side];
            let t = place.fraction[side];
            // Before the place and behind it, what came in at the place is on its way to the two ends.
            let before = current.amps[edge] - sign * (1.0 - t);
            let behind = current.amps[edge] + sign * t;
            current.amps[edge] = before;
            current.squares[edge] = t * before * before + (1.0 - t) * behind * behind;
        }
        Some(current)
    }
}
