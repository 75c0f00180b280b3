//! Every node's potential while given loads draw their currents.

use crate::{Failed, Feed, Grid, Level};
use circuit::{Circuit, EdgeId, NodeId};

/// Something that draws a current: a train, a lamp. It draws from whichever of its nodes has the higher potential while
/// no current flows, so that left and right may be given as they lie; at a short it draws from left to right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// The node under its left wheels.
    pub left: NodeId,
    /// The node under its right wheels.
    pub right: NodeId,
    /// What it draws, in amperes.
    pub amps: f64,
}

/// Potentials and currents of a circuit in one setting under given loads.
#[derive(Debug, Clone, PartialEq)]
pub struct OperatingPoint {
    /// For each node its potential in volts, none in an island. The reference is terminal B of the first source of each
    /// part of the circuit.
    pub volts: Vec<Option<f64>>,
    /// For each edge the current in amperes from its `a` to its `b`; 0 in islands and in open edges.
    pub edge_amps: Vec<f64>,
    /// For each source the current in amperes it gives.
    pub source_amps: Vec<f64>,
    /// Indices of loads that draw nothing because they are not between two poles.
    pub unfed: Vec<usize>,
}

/// A solution that breaks a law of conservation. It is never handed out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unbalanced {
    /// Kirchhoff's first law.
    #[error("{residual:e} of {largest:e} amperes are left over at `{name}`: a fault of the program, not of the plan")]
    Currents {
        /// Name of the node.
        name: String,
        /// What its currents add up to.
        residual: f64,
        /// The sum of their magnitudes.
        largest: f64,
    },
    /// Tellegen's theorem.
    #[error("{given:e} watts go in and {used:e} watts are used: a fault of the program, not of the plan")]
    Power {
        /// What the sources give.
        given: f64,
        /// What loads and resistances use.
        used: f64,
    },
}

/// How much of the currents, or of the power, may be left over.
const TOLERANCE: f64 = 1e-9;

/// What a drop or a current may be off by, as a part of the largest one. Between two nodes joined by next to nothing
/// this is all there is of a current.
const LAST_DIGITS: f64 = 64.0 * f64::EPSILON;

/// Potentials and currents of a circuit in a setting, at a level, while loads draw their currents.
///
/// # Errors
/// As [`Grid::new`] and [`Grid::operating_point`].
pub fn operating_point(
    circuit: &Circuit,
    setting: &[Option<u8>],
    level: Level,
    loads: &[Load],
) -> Result<OperatingPoint, Failed> {
    Grid::new(circuit, setting, level)?.operating_point(loads)
}

impl Grid<'_> {
    /// Potentials and currents while loads draw their currents. The currents are given, as those of a train whose
    /// decoder holds its speed: where a load asks for more than the wiring can bring, its voltage comes out below 0.
    ///
    /// What is solved for is the drop below the potentials without current, not the potentials: beside 15 V the drop
    /// over a solder joint would keep a few digits only.
    ///
    /// # Errors
    /// [`Failed::Load`]; [`Failed::Unbalanced`] where the currents at a node leave more than 1e-9 of them over, or the
    /// power given differs from the power used by more than 1e-9 of it.
    ///
    /// # Panics
    /// When a load names a node that is not there.
    pub fn operating_point(&self, loads: &[Load]) -> Result<OperatingPoint, Failed> {
        if let Some((load, l)) = loads.iter().enumerate().find(|(_, l)| !(0.0..f64::INFINITY).contains(&l.amps)) {
            return Err(Failed::Load { load, amps: l.amps });
        }
        let drops = self.drops(loads);
        let volts = NodeId::all(self.circuit.nodes.len())
            .map(|node| self.poles.part_of(node).map(|_| self.poles.idle_volts(node) + drops[node]))
            .collect();
        let edge_amps: Vec<f64> = (EdgeId::each(&self.circuit.edges))
            .map(|(id, edge)| {
                let flows = self.is_closed(id) && self.poles.part_of(edge.a).is_some();
                // Both ends have the same potential without current.
                if flows { self.conductance[id] * (drops[edge.a] - drops[edge.b]) } else { 0.0 }
            })
            .collect();
        let unfed = (0..loads.len()).filter(|&load| self.drawn(&loads[load]).is_none()).collect();
        let mut point = OperatingPoint { volts, edge_amps, source_amps: Vec::new(), unfed };
        self.balance(&mut point, &drops, loads)?;
        Ok(point)
    }

    /// From where to where a load draws its current; none where it is not between two poles.
    pub(crate) fn drawn(&self, load: &Load) -> Option<[NodeId; 2]> {
        let same_part = self.poles.part_of(load.left) == self.poles.part_of(load.right);
        let fed = match self.poles.feed(load.left, load.right) {
            Feed::Powered { .. } | Feed::Shorted => same_part,
            // Between two sources that have a terminal in common there is a voltage; between two that have none there
            // is not.
            Feed::SeveralSources => same_part,
            Feed::Dead | Feed::SamePole => false,
        };
        let turned = self.poles.idle_volts(load.left) < self.poles.idle_volts(load.right);
        fed.then_some(if turned { [load.right, load.left] } else { [load.left, load.right] })
    }

    /// What loads, and sources that are shorted or stand side by side, change in each node's potential.
    fn drops(&self, loads: &[Load]) -> Vec<f64> {
        let circuit = self.circuit;
        let mut injected = vec![0.0; circuit.nodes.len()];
        for load in loads {
            if let Some([from, to]) = self.drawn(load) {
                injected[self.network_node(from) as usize] -= load.amps;
                injected[self.network_node(to) as usize] += load.amps;
            }
        }
        // A source's `plus` and B are one node of the network, with B's potential; `plus` has its source's excess
        // besides.
        let mut drops = vec![0.0; circuit.nodes.len()];
        for (source, excess) in circuit.sources.iter().zip(&self.poles.excess_volts) {
            drops[source.plus] = *excess;
        }
        // An excess acts as two great currents that nearly cancel. What that costs in digits, solving for what is left
        // over brings back; without one the first pass is the answer.
        let passes = if drops.iter().any(|&drop| drop != 0.0) { 3 } else { 1 };
        for _ in 0..passes {
            let mut left_over = injected.clone();
            // Not over open edges: beyond them may be an island, which has no drop.
            for (id, edge) in EdgeId::each(&circuit.edges).filter(|(id, _)| self.is_closed(*id)) {
                let amps = self.conductance[id] * (drops[edge.a] - drops[edge.b]);
                if amps != 0.0 && self.poles.part_of(edge.a).is_some() {
                    left_over[self.network_node(edge.a) as usize] -= amps;
                    left_over[self.network_node(edge.b) as usize] += amps;
                }
            }
            self.solve(0, &mut left_over);
            for (node, drop) in drops.iter_mut().enumerate() {
                *drop += left_over[self.network_node[node] as usize];
            }
        }
        drops
    }

    /// Finds what each source gives and holds the whole against the laws.
    fn balance(&self, point: &mut OperatingPoint, drops: &[f64], loads: &[Load]) -> Result<(), Unbalanced> {
        let circuit = self.circuit;
        let mut sums = vec![Sum::default(); circuit.nodes.len()];
        let mut move_amps = |from: NodeId, to: NodeId, amps: f64, rounding: f64| {
            sums[from].add(-amps, rounding);
            sums[to].add(amps, rounding);
        };
        // A current comes from the difference of two drops, and each drop is a sum, of all that loads do, with its last
        // digits. The passes over `max` leave out what is not a number; the balance itself does not.
        let largest_drop =
            drops.iter().chain(&self.poles.excess_volts).fold(0.0, |most: f64, drop| most.max(drop.abs()));
        let mut power = Sum::default();
        let (mut given, mut used) = (0.0, 0.0);
        for (id, edge) in EdgeId::each(&circuit.edges) {
            let amps = point.edge_amps[id];
            if self.is_closed(id) && point.volts[edge.a].is_some() {
                move_amps(edge.a, edge.b, amps, LAST_DIGITS * largest_drop * self.conductance[id]);
                let watts = amps * amps * self.ohms(id);
                used += watts;
                power.add(watts, 0.0);
            }
        }
        let volts = |node: NodeId| point.volts[node].unwrap_or(f64::NAN);
        for load in loads {
            if let Some([from, to]) = self.drawn(load) {
                move_amps(from, to, load.amps, 0.0);
                let watts = load.amps * (volts(from) - volts(to));
                used += watts;
                power.add(watts, 0.0);
            }
        }
        for source in &circuit.sources {
            // Nothing else knows what a source gives; whether B takes as much back is then a check.
            let sum = sums[source.plus];
            let amps = -sum.amps;
            sums[source.plus].add(amps, 0.0);
            sums[source.node[1]].add(-amps, sum.rounding);
            // What cancels at one terminal leaves its last digits over at the other.
            sums[source.node[1]].largest += sum.largest;
            point.source_amps.push(amps);
            given += amps * source.volts;
            power.add(amps * source.volts, sum.rounding * source.volts.abs());
        }
        // What the last digits of the greatest current do not add up to must flow to ground somewhere, be it where
        // nothing else does.
        let largest_amps = sums.iter().fold(0.0, |most: f64, sum| most.max(sum.largest));
        for (node, sum) in circuit.nodes.iter().zip(&mut sums) {
            sum.rounding += LAST_DIGITS * largest_amps;
            if !sum.is_nothing(sum.amps) {
                return Err(Unbalanced::Currents { name: node.name.clone(), residual: sum.amps, largest: sum.largest });
            }
        }
        if !power.is_nothing(given - used) {
            return Err(Unbalanced::Power { given, used });
        }
        Ok(())
    }
}

/// A sum that ought to be 0, and what it is to be measured by.
#[derive(Clone, Copy, Default)]
struct Sum {
    amps: f64,
    largest: f64,
    rounding: f64,
}

impl Sum {
    fn add(&mut self, amps: f64, rounding: f64) {
        self.amps += amps;
        self.largest += amps.abs();
        self.rounding += rounding;
    }

    /// Whether what is left over is nothing; not a number is not nothing.
    fn is_nothing(&self, left_over: f64) -> bool {
        left_over.abs() <= TOLERANCE * self.largest + self.rounding
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::{ControlId, Edge, EdgeKind, Node, Source};
    use handbook::Spread;

    /// 15 V behind 0.1 ohm, a wire of 1 ohm to a train that draws 2 A.
    fn small() -> (Circuit, [Load; 1]) {
        let [inside, a, b, train] = [0, 1, 2, 3].map(NodeId::new);
        let edge = |a, b, ohms| Edge {
            a,
            b,
            guard: Vec::new(),
            removed: false,
            ohms: Spread::exactly(ohms),
            henries: Spread::exactly(0.0),
            kind: EdgeKind::Wire,
            part: circuit::Part::Loose,
            name: String::new(),
            span: 0..0,
            input: 0,
        };
        let circuit = Circuit {
            nodes: ["inside", "A", "B", "train"]
                .map(|name| Node { name: name.to_owned(), span: 0..0, spot: circuit::Spot::Loose })
                .to_vec(),
            edges: vec![edge(inside, a, 0.1), edge(a, train, 1.0)],
            sources: vec![Source {
                supply: 0,
                name: String::new(),
                plus: inside,
                node: [a, b],
                volts: 15.0,
                square_wave: true,
            }],
            ..Circuit::default()
        };
        (circuit, [Load { left: train, right: b, amps: 2.0 }])
    }

    /// Beyond an open switch lies a piece of rail that is joined to nothing: it must not spoil what a short draws.
    #[test]
    fn a_short_beside_an_island() {
        let (mut circuit, _) = small();
        circuit.nodes.push(Node { name: "island".to_owned(), span: 0..0, spot: circuit::Spot::Loose });
        let wire = circuit.edges[1].clone();
        circuit.edges.push(Edge { b: NodeId::new(2), ..wire.clone() });
        circuit.edges.push(Edge {
            b: NodeId::new(4),
            guard: vec![circuit::Literal { control: ControlId::new(0), position: 1 }],
            ..wire
        });
        let point = operating_point(&circuit, &[Some(0)], Level::Typical, &[]).expect("a solution");
        assert!((point.source_amps[0] - 15.0 / 1.1).abs() < 1e-9, "{:?}", point.source_amps);
    }

    /// The check is there for the day the solver is wrong: a wrong drop, a wrong current, a wrong voltage must not
    /// pass.
    #[test]
    fn wrong_results_do_not_pass() {
        let (circuit, loads) = small();
        let grid = Grid::new(&circuit, &[], Level::Typical).expect("resistances");
        let drops = grid.drops(&loads);
        let right = grid.operating_point(&loads).expect("a solution");
        assert_eq!(right.volts[3], Some(15.0 - 2.0 * 1.1));
        let balance = |change: fn(&mut OperatingPoint)| {
            let mut point = OperatingPoint { source_amps: Vec::new(), ..right.clone() };
            change(&mut point);
            grid.balance(&mut point, &drops, &loads)
        };
        assert_eq!(balance(|_| {}), Ok(()));
        let currents = balance(|point| point.edge_amps[1] *= 1.0 + 1e-8);
        assert!(matches!(&currents, Err(Unbalanced::Currents { name, .. }) if name == "A"), "{currents:?}");
        let power = balance(|point| point.volts[3] = Some(12.8 * (1.0 + 1e-8)));
        assert!(matches!(power, Err(Unbalanced::Power { .. })), "{power:?}");
        assert!(balance(|point| point.edge_amps[0] = f64::NAN).is_err());
    }
}
