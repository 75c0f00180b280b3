//! Star-mesh elimination of conductances: factor and solve.

use crate::elimination::{Algebra, Eliminated, EliminationExtent};
use crate::pattern::Pattern;
use std::convert::Infallible;

/// The smallest conductance taken that is not 0, and the inverse of the largest: far outside anything built, and far
/// enough inside what a double holds that no product on the way vanishes or overflows.
const SMALLEST: f64 = 1e-100;

/// A value that is no conductance: negative, not a number, or beyond 1e-100 to 1e100 and not 0.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BadConductance {
    /// On an edge.
    #[error("edge {edge}: {value} is no conductance")]
    OnEdge {
        /// The edge, as given to the pattern.
        edge: usize,
        /// The value refused.
        value: f64,
    },
    /// Between a node and ground.
    #[error("node {node} to ground: {value} is no conductance")]
    ToGround {
        /// The node.
        node: u32,
        /// The value refused.
        value: f64,
    },
}

/// Conductances under star-mesh elimination: beside each other they add, through a node `a·b/d`.
#[derive(Debug, Clone, Copy, Default)]
pub struct ConductanceAlgebra;

/// A node and all its edges at the time of its elimination. Siemens, if the edges were.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConductancePivot {
    /// To ground, straight or over nodes eliminated before; infinite for ground itself.
    pub to_ground: f64,
    /// To ground and to all later nodes together: `d`. 0 for the last node of an island.
    pub total: f64,
}

impl ConductancePivot {
    /// How a current into this node leaves it. Without a way out, as from the last node of an island, nothing does.
    pub(crate) fn current_division(&self) -> CurrentDivision {
        let per_siemens = if self.total > 0.0 { 1.0 / self.total } else { 0.0 };
        let to_ground = if self.to_ground.is_infinite() { 1.0 } else { self.to_ground * per_siemens };
        CurrentDivision { per_siemens, to_ground }
    }
}

/// How a current into a node leaves it: each edge's share is its conductance times `per_siemens`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurrentDivision {
    /// The inverse of the total. Ohms, if the edges were siemens.
    pub per_siemens: f64,
    /// The part that goes to ground at once, not over later nodes.
    pub to_ground: f64,
}

impl Algebra for ConductanceAlgebra {
    type Edge = f64;
    type Pivot = ConductancePivot;
    type Weight = CurrentDivision;
    type Failure = Infallible;

    fn open(&self) -> f64 {
        0.0
    }

    fn is_open(&self, edge: &f64) -> bool {
        *edge == 0.0
    }

    fn join(&self, into: &mut f64, other: &f64) -> Result<(), Infallible> {
        *into += other;
        Ok(())
    }

    fn close(&self, node: &mut ConductancePivot, edges: &[f64]) -> CurrentDivision {
        node.total = node.to_ground + edges.iter().sum::<f64>();
        node.current_division()
    }

    fn through(&self, into: &mut f64, left: &f64, middle: &CurrentDivision, right: &f64) -> Result<(), Infallible> {
        *into += left * middle.per_siemens * right;
        Ok(())
    }

    fn inherit(&self, node: &mut ConductancePivot, edge: &f64, eliminated: &CurrentDivision) {
        // Most have nothing; not to add it keeps a column from waiting for the one before it.
        if eliminated.to_ground > 0.0 {
            node.to_ground += edge * eliminated.to_ground;
        }
    }
}

/// A network of conductances with all nodes eliminated: solves for potentials and gives resistances.
///
/// Nodes are joined to ground by a conductance each, 0 for most; an infinite one makes the node ground itself. Nodes
/// with no way to ground are *islands*. They are no error: what depends on ground is solved all the same, and
/// [`island`](Factor::island) names them.
#[derive(Debug, Clone)]
pub struct Factor {
    pub(crate) eliminated: Eliminated<ConductanceAlgebra>,
    /// For each position [`GROUNDED`] or the position of the last node of its island.
    pub(crate) island: Vec<u32>,
    /// Whether there are any islands.
    pub(crate) has_islands: bool,
}

/// In place of an island's last position: joined to ground.
pub(crate) const GROUNDED: u32 = u32::MAX;

impl Factor {
    /// Eliminates the network with `conductance[e]` on each edge as given to the pattern (0 is open) and
    /// `to_ground[v]` from each node to ground (0 none, `f64::INFINITY` for a node that is ground). Kept nodes are
    /// nothing special here but the last; [`Pattern::kept_as_ground`] grounds them.
    ///
    /// # Errors
    /// When a value is no conductance.
    ///
    /// # Panics
    /// When there is not one value per edge and per node.
    pub fn new(pattern: &Pattern, conductance: &[f64], to_ground: &[f64]) -> Result<Factor, BadConductance> {
        let mut factor = Factor {
            eliminated: Eliminated::new(pattern, &ConductanceAlgebra),
            island: vec![GROUNDED; pattern.node_count()],
            has_islands: false,
        };
        factor.refactor(conductance, to_ground)?;
        Ok(factor)
    }

    /// As [`Factor::new`], with new values in the same memory.
    ///
    /// # Errors
    /// When a value is no conductance; the factor is then as it was.
    ///
    /// # Panics
    /// When there is not one value per edge and per node.
    pub fn refactor(&mut self, conductance: &[f64], to_ground: &[f64]) -> Result<(), BadConductance> {
        assert_eq!(to_ground.len(), self.island.len(), "one value per node");
        check(conductance, to_ground)?;
        let node = |node: u32| ConductancePivot { to_ground: to_ground[node as usize], total: 0.0 };
        match self.eliminated.eliminate(&ConductanceAlgebra, conductance, node, EliminationExtent::Everything) {
            Ok(()) => {}
            Err(stopped) => match stopped.failure {},
        }
        self.find_islands();
        Ok(())
    }

    /// Last node first: a node shares the fate of any later node it is joined to.
    fn find_islands(&mut self) {
        // Every island has a last node, which has no way out. Mostly there is none, now as before.
        let had_islands = self.has_islands;
        self.has_islands = self.eliminated.pivots.iter().any(|star| star.total <= 0.0);
        if !self.has_islands && !had_islands {
            return;
        }
        let structure = &*self.eliminated.pattern.structure;
        for j in (0..self.island.len()).rev() {
            self.island[j] = if self.eliminated.pivots[j].to_ground > 0.0 {
                GROUNDED
            } else {
                structure
                    .column(j)
                    .find(|&entry| self.eliminated.entries[entry] > 0.0)
                    .map_or(j as u32, |entry| self.island[structure.row[entry] as usize])
            };
        }
    }

    /// The pattern this was made for.
    pub fn pattern(&self) -> &Pattern {
        &self.eliminated.pattern
    }

    /// Whether a node has a way to ground over closed edges, or is ground.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn is_grounded(&self, node: u32) -> bool {
        self.island(node).is_none()
    }

    /// None for a grounded node; for others a node of the same island, the same one for all of its nodes.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn island(&self, node: u32) -> Option<u32> {
        let structure = &*self.pattern().structure;
        let last = self.island[structure.position[node as usize] as usize];
        (last != GROUNDED).then(|| structure.order[last as usize])
    }

    /// Turns currents into the nodes (amperes, out of ground) into potentials of the nodes (volts, against ground), in
    /// place. Nodes of islands get NaN, whatever was injected there: they have no potential.
    ///
    /// # Panics
    /// When there is not one value per node.
    pub fn solve(&self, injected: &mut [f64]) {
        let structure = &*self.pattern().structure;
        let n = structure.order.len();
        assert_eq!(injected.len(), n, "one value per node");
        let at = |position: u32| structure.order[position as usize] as usize;
        // Each node hands its current on to the nodes it is joined to, by their shares.
        for j in 0..n {
            let current = self.eliminated.pivots[j].current_division().per_siemens * injected[at(j as u32)];
            if current != 0.0 {
                for entry in structure.column(j) {
                    injected[at(structure.row[entry])] += current * self.eliminated.entries[entry];
                }
            }
        }
        // Each node's potential is the mean of its neighbours', and what its own current lifts it by.
        for j in (0..n).rev() {
            let mut sum = injected[at(j as u32)];
            for entry in structure.column(j) {
                // Not over open edges: beyond them may be an island's NaN.
                let conductance = self.eliminated.entries[entry];
                if conductance > 0.0 {
                    sum += conductance * injected[at(structure.row[entry])];
                }
            }
            injected[at(j as u32)] = if self.island[j] == GROUNDED {
                self.eliminated.pivots[j].current_division().per_siemens * sum
            } else {
                f64::NAN
            };
        }
    }
}

pub(crate) fn check(conductance: &[f64], to_ground: &[f64]) -> Result<(), BadConductance> {
    let good = |value: f64| value == 0.0 || (SMALLEST..=1.0 / SMALLEST).contains(&value);
    if let Some((edge, &value)) = conductance.iter().enumerate().find(|&(_, &v)| !good(v)) {
        return Err(BadConductance::OnEdge { edge, value });
    }
    let good = |value: f64| good(value) || value == f64::INFINITY;
    if let Some((node, &value)) = to_ground.iter().enumerate().find(|&(_, &v)| !good(v)) {
        let node = node as u32;
        return Err(BadConductance::ToGround { node, value });
    }
    Ok(())
}
