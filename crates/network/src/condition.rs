//! Elimination of conditions: when is what joined to which pole.

use crate::diagram::{Condition, Diagrams, Overgrown};
use crate::elimination::{Algebra, Eliminated, EliminationExtent, Stopped};
use crate::pattern::Pattern;

/// A condition grew beyond the limit: most often the variables are in a bad order (put them along the track), or too
/// much depends on too much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a condition at node {node} needs more than {limit} decision nodes")]
pub struct TooLarge {
    /// The node whose conditions were being worked out.
    pub node: u32,
    /// The limit it went beyond.
    pub limit: usize,
}

/// Conditions (decision diagrams over the same variables) under elimination: beside each other `or`, through a node
/// `and`.
#[derive(Debug, Clone)]
pub struct ConditionAlgebra {
    diagrams: Diagrams,
}

impl ConditionAlgebra {
    /// Conditions of some diagrams.
    pub fn new(diagrams: &Diagrams) -> ConditionAlgebra {
        ConditionAlgebra { diagrams: diagrams.clone() }
    }
}

impl Algebra for ConditionAlgebra {
    type Edge = Condition;
    type Pivot = ();
    type Weight = ();
    type Failure = Overgrown;

    fn open(&self) -> Condition {
        Condition::NEVER
    }

    fn is_open(&self, edge: &Condition) -> bool {
        edge.is_false()
    }

    fn join(&self, into: &mut Condition, other: &Condition) -> Result<(), Overgrown> {
        *into = self.diagrams.or(*into, *other)?;
        Ok(())
    }

    fn close(&self, (): &mut (), _edges: &[Condition]) {}

    fn through(&self, into: &mut Condition, left: &Condition, (): &(), right: &Condition) -> Result<(), Overgrown> {
        if !into.is_true() {
            *into = self.diagrams.or(*into, self.diagrams.and(*left, *right)?)?;
        }
        Ok(())
    }
}

/// When poles meet, and when each node is joined to each pole. The poles are the kept nodes of the pattern.
#[derive(Debug, Clone)]
pub struct LiveConditions {
    eliminated: Eliminated<ConditionAlgebra>,
    diagrams: Diagrams,
    /// Each node's own stretch of `live`, by its position: from this index to the next position's.
    start: Vec<u32>,
    /// The poles a node can be joined to at all, in order, and when. Most nodes see few of many poles.
    live: Vec<(u32, Condition)>,
    /// Joins that the way back took.
    steps_back: usize,
}

/// Eliminates a network whose edge `e` (as given to the pattern) is closed when `guards[e]` holds, and finds for every
/// node the exact condition under which it is joined to each pole: `c[i][j] |= c[i][v] & c[v][j]` for every node `v` in
/// turn, then backwards `R[v] = OR_i c[v][i] & R[i]`.
///
/// # Errors
/// When a condition needs more decision nodes than the diagrams allow.
///
/// # Panics
/// When there is not one guard per edge.
pub fn reach(pattern: &Pattern, guards: &[Condition], diagrams: &Diagrams) -> Result<LiveConditions, TooLarge> {
    let algebra = ConditionAlgebra::new(diagrams);
    let too_large = |Stopped { node, failure: Overgrown }| TooLarge { node, limit: diagrams.limit() };
    let mut eliminated = Eliminated::new(pattern, &algebra);
    eliminated.eliminate(&algebra, guards, |_| (), EliminationExtent::UpToKept).map_err(too_large)?;
    let BackSubstitution { start, live, steps } = substitute_back(&algebra, &eliminated).map_err(too_large)?;
    Ok(LiveConditions { eliminated, diagrams: diagrams.clone(), start, live, steps_back: steps })
}

/// What each node is live from.
struct BackSubstitution {
    start: Vec<u32>,
    live: Vec<(u32, Condition)>,
    steps: usize,
}

/// From the last node to the first: a node is live from what its later neighbours are live from, where it is joined to
/// them.
fn substitute_back(
    algebra: &ConditionAlgebra,
    eliminated: &Eliminated<ConditionAlgebra>,
) -> Result<BackSubstitution, Stopped<Overgrown>> {
    let structure = &*eliminated.pattern.structure;
    let (n, first_pole) = (structure.order.len(), structure.first_kept);
    // Backwards, as they are found; turned round in the end.
    let mut live: Vec<(u32, Condition)> =
        (0..(n - first_pole) as u32).rev().map(|pole| (pole, Condition::ALWAYS)).collect();
    let mut end = vec![0; n + 1];
    for (position, end) in end[first_pole..n].iter_mut().enumerate() {
        *end = (n - first_pole - position) as u32;
    }
    let mut own: Vec<(u32, Condition)> = Vec::new();
    let mut steps = 0;
    for j in (0..first_pole).rev() {
        let stopped = |failure| Stopped { node: structure.order[j], failure };
        for entry in structure.column(j) {
            let edge = &eliminated.entries[entry];
            if edge.is_false() {
                continue;
            }
            let row = structure.row[entry] as usize;
            let theirs = &live[end[row + 1] as usize..end[row] as usize];
            steps += theirs.len();
            for (pole, from) in theirs {
                let place = own.binary_search_by(|(mine, _)| pole.cmp(mine));
                let place = place.unwrap_or_else(|place| {
                    own.insert(place, (*pole, algebra.open()));
                    place
                });
                algebra.through(&mut own[place].1, edge, &(), from).map_err(stopped)?;
            }
        }
        live.extend(own.drain(..).filter(|(_, when)| !when.is_false()));
        end[j] = live.len() as u32;
    }
    live.reverse();
    let all = live.len() as u32;
    Ok(BackSubstitution { start: end.into_iter().map(|end| all - end).collect(), live, steps })
}

impl LiveConditions {
    /// The poles, in the order given to the pattern.
    pub fn poles(&self) -> &[u32] {
        self.eliminated.pattern.kept()
    }

    /// When pole `i` meets pole `j` over closed edges and nodes that are not poles. Symmetric; always, for `i = j`.
    ///
    /// # Panics
    /// When `i` or `j` is not a pole.
    pub fn between_poles(&self, i: u32, j: u32) -> Condition {
        if self.pole(i) == self.pole(j) {
            return Condition::ALWAYS;
        }
        self.eliminated.edge(i, j).copied().unwrap_or(Condition::NEVER)
    }

    /// When a node is joined to a pole by closed edges over nodes that are not poles. For a node that is a pole itself:
    /// always for that pole, never for another (that two poles meet is [`between_poles`](LiveConditions::between_poles)).
    ///
    /// # Panics
    /// When there is no such node or `pole` is not a pole.
    pub fn live(&self, node: u32, pole: u32) -> Condition {
        let (own, pole) = (self.own(node), self.pole(pole) as u32);
        own.binary_search_by_key(&pole, |l| l.0).map_or(Condition::NEVER, |place| own[place].1)
    }

    /// The poles that a node can be joined to at all, as [`live`](LiveConditions::live) has it, each by its index in
    /// [`poles`](LiveConditions::poles).
    ///
    /// # Panics
    /// When there is no such node.
    pub fn live_from(&self, node: u32) -> impl Iterator<Item = (usize, Condition)> {
        self.own(node).iter().map(|&(pole, when)| (pole as usize, when))
    }

    fn own(&self, node: u32) -> &[(u32, Condition)] {
        let position = self.eliminated.pattern.structure.position[node as usize] as usize;
        &self.live[self.start[position] as usize..self.start[position + 1] as usize]
    }

    /// Decision nodes of the largest condition found: how near to the limit it came.
    pub fn largest(&self) -> usize {
        self.found().map(|condition| self.diagrams.size(condition)).max().unwrap_or(0)
    }

    /// Decision nodes of all conditions found, the two end nodes of each counted.
    pub fn decision_nodes(&self) -> usize {
        self.found().map(|condition| self.diagrams.size(condition)).sum()
    }

    fn found(&self) -> impl Iterator<Item = Condition> {
        self.eliminated.entries.iter().copied().chain(self.live.iter().map(|l| l.1))
    }

    /// How many joins through a node the elimination took at most, and the way back.
    pub fn steps(&self) -> usize {
        self.eliminated.pattern.join_count() + self.steps_back
    }

    fn pole(&self, node: u32) -> usize {
        let structure = &*self.eliminated.pattern.structure;
        let pole = (structure.position[node as usize] as usize).checked_sub(structure.first_kept);
        assert!(pole.is_some(), "node {node} is not a pole");
        pole.unwrap_or_default()
    }
}
