//! The circuit as a network of conductances, in one setting at a time.

use crate::breakers::Districts;
use crate::bridges::Bridges;
use crate::poles::JoinedPieces;
use crate::{Failed, Feed, Level, TrainPlace};
use circuit::{Circuit, EdgeId, NodeId};
use network::{BadConductance, Factor, Pattern, SelectedInverse};
use std::cell::{OnceCell, RefCell};

/// A circuit as a resistor network, in one setting and at one level.
///
/// An ideal source has no resistance: `plus` and terminal B of each are one node of the network, so that its voltage
/// falls out and only currents remain. The pattern is found once, over all edges whether open or closed; another
/// setting is only other numbers ([`Grid::set`]).
///
/// One source of each part of the circuit is ground. Where several sources share a part (boosters with a common
/// return), each is ground once, in an elimination of its own: grounding two at a time would lay a wire between them
/// that is not there.
pub struct Grid<'c> {
    pub(crate) circuit: &'c Circuit,
    pub(crate) level: Level,
    /// By how many seconds of its inductance each resistance is less: see [`crate::loops`].
    bent: f64,
    pub(crate) poles: JoinedPieces,
    /// For each node of the circuit its node of the network.
    pub(crate) network_node: Vec<u32>,
    /// For each edge; 0 is open.
    pub(crate) conductance: Vec<f64>,
    /// For each round of grounds.
    factors: Vec<Factor>,
    /// Memory for the resistances that are asked for next.
    spare: RefCell<Vec<SelectedInverse>>,
    /// For each node the breaker that feeds it, in this setting; worked out when first asked for.
    pub(crate) districts: OnceCell<Option<Districts>>,
    /// The bridges of the graph (edges that alone hold parts of it together), in this setting; worked out when first asked for.
    pub(crate) bridges: OnceCell<Bridges>,
}

impl<'c> Grid<'c> {
    /// The network of a circuit in a setting: a position for each control, `None` for no position, in which whatever
    /// depends on the control is open.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn new(circuit: &'c Circuit, setting: &[Option<u8>], level: Level) -> Result<Grid<'c>, Failed> {
        let mut parent: Vec<u32> = (0..circuit.nodes.len() as u32).collect();
        for source in &circuit.sources {
            let (a, b) = (
                network::set_root(&mut parent, u32::from(source.plus)),
                network::set_root(&mut parent, u32::from(source.node[1])),
            );
            parent[a.max(b) as usize] = a.min(b);
        }
        let network_node: Vec<u32> =
            (0..circuit.nodes.len() as u32).map(|node| network::set_root(&mut parent, node)).collect();
        let at = |node: NodeId| network_node[node];
        let edges: Vec<(u32, u32)> = circuit.edges.iter().map(|e| (at(e.a), at(e.b))).collect();
        let kept: Vec<u32> = circuit.sources.iter().map(|s| at(s.plus)).collect();
        let pattern = Pattern::new(circuit.nodes.len(), &edges, &kept);
        let open = vec![0.0; edges.len()];
        let factor = Factor::new(&pattern, &open, &pattern.kept_as_ground()).map_err(|bad| refused(circuit, bad))?;
        let poles = JoinedPieces::from_circuit(circuit, |_| false);
        let (districts, bridges) = (OnceCell::new(), OnceCell::new());
        let factors = vec![factor];
        let spare = RefCell::default();
        let conductance = open;
        let bent = 0.0;
        let mut grid =
            Grid { circuit, level, bent, poles, network_node, conductance, factors, spare, districts, bridges };
        grid.set(setting, level)?;
        Ok(grid)
    }

    /// Another setting, another level.
    ///
    /// # Errors
    /// [`Failed::Resistance`]. Nothing must be asked of the grid then before another call has gone well.
    pub fn set(&mut self, setting: &[Option<u8>], level: Level) -> Result<(), Failed> {
        self.set_bent(setting, level, 0.0)
    }

    /// The same with every resistance less by so many seconds of its inductance.
    pub(crate) fn set_bent(&mut self, setting: &[Option<u8>], level: Level, bent: f64) -> Result<(), Failed> {
        let circuit = self.circuit;
        let mut same = true;
        for (conductance, edge) in self.conductance.iter_mut().zip(&circuit.edges) {
            let holds = edge.is_closed(setting);
            same &= holds == (*conductance != 0.0);
            *conductance = if holds { 1.0 / (level.pick(edge.ohms) - bent * level.pick(edge.henries)) } else { 0.0 };
        }
        (self.level, self.bent) = (level, bent);
        // Another level joins nothing else.
        if !same {
            self.districts = OnceCell::new();
            self.bridges = OnceCell::new();
            let closed = |edge: EdgeId| self.conductance[edge] != 0.0;
            self.poles = JoinedPieces::from_circuit(circuit, closed);
        }
        for round in 0..self.poles.rounds() {
            let mut to_ground = vec![0.0; circuit.nodes.len()];
            for (source, _) in self.poles.rank.iter().enumerate().filter(|(_, rank)| **rank == round) {
                to_ground[self.network_node(circuit.sources[source].plus) as usize] = f64::INFINITY;
            }
            if round == self.factors.len() {
                self.factors.push(self.factors[0].clone());
            }
            let eliminated = self.factors[round].refactor(&self.conductance, &to_ground);
            eliminated.map_err(|bad| refused(circuit, bad))?;
        }
        Ok(())
    }

    /// The circuit.
    pub fn circuit(&self) -> &'c Circuit {
        self.circuit
    }

    /// The level.
    pub fn level(&self) -> Level {
        self.level
    }

    /// What a train at a place has under it.
    ///
    /// # Panics
    /// When the place names an edge that is not there.
    pub fn feed(&self, place: &TrainPlace) -> Feed {
        if place.rail.iter().any(|&edge| !self.is_closed(edge)) {
            return Feed::Dead;
        }
        let [left, right] = place.rail.map(|edge| self.circuit.edges[edge].a);
        self.poles.feed(left, right)
    }

    /// What a train between two nodes has under it.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn feed_between(&self, left: NodeId, right: NodeId) -> Feed {
        self.poles.feed(left, right)
    }

    /// Resistances of all nodes and edges: what profiles are made from.
    pub fn resistances(&self) -> Resistances<'_> {
        let mut inverses = self.spare.take();
        inverses.truncate(self.poles.rounds());
        for (round, factor) in self.factors[..self.poles.rounds()].iter().enumerate() {
            match inverses.get_mut(round) {
                Some(inverse) => inverse.update(factor),
                None => inverses.push(factor.selected_inverse()),
            }
        }
        Resistances { grid: self, inverses }
    }

    pub(crate) fn is_closed(&self, edge: EdgeId) -> bool {
        self.conductance[edge] != 0.0
    }

    pub(crate) fn ohms(&self, edge: EdgeId) -> f64 {
        let edge = &self.circuit.edges[edge];
        self.level.pick(edge.ohms) - self.bent * self.level.pick(edge.henries)
    }

    pub(crate) fn pattern(&self) -> &Pattern {
        self.factors[0].pattern()
    }

    pub(crate) fn network_node(&self, node: NodeId) -> u32 {
        self.network_node[node]
    }

    /// Potentials of the network's nodes for currents into them, the sources of this round being ground.
    pub(crate) fn solve(&self, round: usize, injected: &mut [f64]) {
        self.factors[round].solve(injected);
    }
}

pub(crate) fn refused(circuit: &Circuit, bad: BadConductance) -> Failed {
    match bad {
        BadConductance::OnEdge { edge, value } => Failed::Resistance {
            edge: Some(EdgeId::new(edge)),
            name: circuit.edges[edge].name.clone(),
            ohms: 1.0 / value,
        },
        // Grounds are 0 or infinite by our own hand.
        BadConductance::ToGround { node, value } => {
            Failed::Resistance { edge: None, name: circuit.nodes[node as usize].name.clone(), ohms: 1.0 / value }
        }
    }
}

/// Driving-point resistances of all nodes and resistances across all edges, in the grid's setting.
pub struct Resistances<'g> {
    pub(crate) grid: &'g Grid<'g>,
    /// For each round of grounds.
    pub(crate) inverses: Vec<SelectedInverse>,
}

impl Drop for Resistances<'_> {
    fn drop(&mut self) {
        self.grid.spare.replace(std::mem::take(&mut self.inverses));
    }
}
