//! Elimination of conditions: when is what joined to which pole.

use crate::elimination::{Algebra, Eliminated, EliminationExtent, Stopped};
use crate::pattern::Pattern;
use biodivine_lib_bdd::{Bdd, BddVariableSet, op_function};

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

/// The failure of [`ConditionAlgebra`]: a condition beyond the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Overgrown;

/// Conditions (decision diagrams over the same variables) under elimination: beside each other `or`, through a node
/// `and`.
#[derive(Debug, Clone)]
pub struct ConditionAlgebra {
    never: Bdd,
    limit: usize,
}

impl ConditionAlgebra {
    /// Conditions over `variables`, none with more than `limit` decision nodes (the two end nodes counted).
    pub fn new(variables: &BddVariableSet, limit: usize) -> ConditionAlgebra {
        ConditionAlgebra { never: variables.mk_false(), limit }
    }
}

impl Algebra for ConditionAlgebra {
    type Edge = Bdd;
    type Pivot = ();
    type Weight = ();
    type Failure = Overgrown;

    fn open(&self) -> Bdd {
        self.never.clone()
    }

    fn is_open(&self, edge: &Bdd) -> bool {
        edge.is_false()
    }

    fn join(&self, into: &mut Bdd, other: &Bdd) -> Result<(), Overgrown> {
        if into.is_true() || other.is_false() {
            return Ok(());
        }
        if into.is_false() || other.is_true() {
            if other.size() > self.limit {
                return Err(Overgrown);
            }
            into.clone_from(other);
            return Ok(());
        }
        *into = Bdd::binary_op_with_limit(self.limit, into, other, op_function::or).ok_or(Overgrown)?;
        Ok(())
    }

    fn close(&self, (): &mut (), _edges: &[Bdd]) {}

    fn through(&self, into: &mut Bdd, left: &Bdd, (): &(), right: &Bdd) -> Result<(), Overgrown> {
        if into.is_true() || left.is_false() || right.is_false() {
            return Ok(());
        }
        if left.is_true() {
            return self.join(into, right);
        }
        if right.is_true() {
            return self.join(into, left);
        }
        let both = Bdd::binary_op_with_limit(self.limit, left, right, op_function::and).ok_or(Overgrown)?;
        self.join(into, &both)
    }
}

/// When poles meet, and when each node is joined to each pole. The poles are the kept nodes of the pattern.
#[derive(Debug, Clone)]
pub struct LiveConditions {
    eliminated: Eliminated<ConditionAlgebra>,
    never: Bdd,
    always: Bdd,
    /// Each node's own stretch of `live`, by its position: from this index to the next position's.
    start: Vec<u32>,
    /// The poles a node can be joined to at all, in order, and when. Most nodes see few of many poles.
    live: Vec<(u32, Bdd)>,
    /// Joins that the way back took.
    steps_back: usize,
}

/// Eliminates a network whose edge `e` (as given to the pattern) is closed when `guards[e]` holds, and finds for every
/// node the exact condition under which it is joined to each pole: `c[i][j] |= c[i][v] & c[v][j]` for every node `v` in
/// turn, then backwards `R[v] = OR_i c[v][i] & R[i]`.
///
/// # Errors
/// When a condition needs more than `limit` decision nodes.
///
/// # Panics
/// When there is not one guard per edge, or a guard is not over `variables`.
pub fn reach(
    pattern: &Pattern,
    guards: &[Bdd],
    variables: &BddVariableSet,
    limit: usize,
) -> Result<LiveConditions, TooLarge> {
    for guard in guards {
        assert_eq!(guard.num_vars(), variables.num_vars(), "guards are over the given variables");
    }
    let algebra = ConditionAlgebra::new(variables, limit);
    let mut eliminated = Eliminated::new(pattern, &algebra);
    eliminated
        .eliminate(&algebra, guards, |_| (), EliminationExtent::UpToKept)
        .map_err(|Stopped { node, .. }| TooLarge { node, limit })?;
    let always = variables.mk_true();
    let back = substitute_back(&algebra, &eliminated, &always);
    let BackSubstitution { start, live, steps } = back.map_err(|Stopped { node, .. }| TooLarge { node, limit })?;
    Ok(LiveConditions { eliminated, never: variables.mk_false(), always, start, live, steps_back: steps })
}

/// What each node is live from.
struct BackSubstitution {
    start: Vec<u32>,
    live: Vec<(u32, Bdd)>,
    steps: usize,
}

/// From the last node to the first: a node is live from what its later neighbours are live from, where it is joined to
/// them.
fn substitute_back(
    algebra: &ConditionAlgebra,
    eliminated: &Eliminated<ConditionAlgebra>,
    always: &Bdd,
) -> Result<BackSubstitution, Stopped<Overgrown>> {
    let structure = &*eliminated.pattern.structure;
    let (n, first_pole) = (structure.order.len(), structure.first_kept);
    // Backwards, as they are found; turned round in the end.
    let mut live: Vec<(u32, Bdd)> = (0..(n - first_pole) as u32).rev().map(|pole| (pole, always.clone())).collect();
    let mut end = vec![0; n + 1];
    for (position, end) in end[first_pole..n].iter_mut().enumerate() {
        *end = (n - first_pole - position) as u32;
    }
    let mut own: Vec<(u32, Bdd)> = Vec::new();
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
    pub fn between_poles(&self, i: u32, j: u32) -> &Bdd {
        if self.pole(i) == self.pole(j) {
            return &self.always;
        }
        self.eliminated.edge(i, j).unwrap_or(&self.never)
    }

    /// When a node is joined to a pole by closed edges over nodes that are not poles. For a node that is a pole itself:
    /// always for that pole, never for another (that two poles meet is [`between_poles`](Reach::between_poles)).
    ///
    /// # Panics
    /// When there is no such node or `pole` is not a pole.
    pub fn live(&self, node: u32, pole: u32) -> &Bdd {
        let (own, pole) = (self.own(node), self.pole(pole) as u32);
        own.binary_search_by_key(&pole, |l| l.0).map_or(&self.never, |place| &own[place].1)
    }

    /// The poles that a node can be joined to at all, as [`live`](Reach::live) has it, each by its index in
    /// [`poles`](Reach::poles).
    ///
    /// # Panics
    /// When there is no such node.
    pub fn live_from(&self, node: u32) -> impl Iterator<Item = (usize, &Bdd)> {
        self.own(node).iter().map(|(pole, when)| (*pole as usize, when))
    }

    fn own(&self, node: u32) -> &[(u32, Bdd)] {
        let position = self.eliminated.pattern.structure.position[node as usize] as usize;
        &self.live[self.start[position] as usize..self.start[position + 1] as usize]
    }

    /// Decision nodes of the largest condition found: how near to the limit it came.
    pub fn largest(&self) -> usize {
        self.found().map(Bdd::size).max().unwrap_or(0)
    }

    /// Decision nodes of all conditions found, the two end nodes of each counted.
    pub fn decision_nodes(&self) -> usize {
        self.found().map(Bdd::size).sum()
    }

    fn found(&self) -> impl Iterator<Item = &Bdd> {
        self.eliminated.entries.iter().chain(self.live.iter().map(|l| &l.1))
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
