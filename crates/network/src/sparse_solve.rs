//! Potentials of a few nodes for currents into a few others, and where between nodes they differ most.
//!
//! A current touches the columns on the way from its node to the root, and a potential is found down the way from the root to its
//! node (sparse vector methods). Below a column no potential lies outside those of the column's rows: where these are all but one, no
//! current flows, and nothing below has to be looked at.

use crate::lists::Lists;
use crate::partial_factor::PartialFactor;
use crate::pattern::{NO_SLOT, Pattern};

/// Memory for solves by factors of one pattern.
#[derive(Debug, Clone)]
pub struct SolveMemory {
    /// Currents, then potentials, where the stamp is the present one.
    volts: Vec<f64>,
    stamp: Vec<u32>,
    now: u32,
    ways: Vec<u32>,
    below: Vec<u32>,
}

impl SolveMemory {
    /// For a pattern.
    pub fn new(pattern: &Pattern) -> SolveMemory {
        let n = pattern.node_count();
        SolveMemory { volts: vec![0.0; n], stamp: vec![0; n], now: 0, ways: Vec::new(), below: Vec::new() }
    }
}

/// The elimination tree of a pattern, or as much of it as is to be searched.
#[derive(Debug, Clone)]
pub struct SearchTree {
    below: Lists,
    /// By column: the edges that lie in it.
    edges: Lists,
}

impl Pattern {
    /// The columns that are so, each below the one that it is right below in the elimination tree, and the edges that are looked for.
    pub fn search_tree(&self, is_so: impl Fn(usize) -> bool, edge_is: impl Fn(usize) -> bool) -> SearchTree {
        let structure = &*self.structure;
        let n = structure.order.len();
        let above = |position: usize| Some((*structure.row[structure.column(position)].first()?, position as u32));
        let kept: Vec<(u32, u32)> = (0..n).filter(|&position| is_so(position)).filter_map(above).collect();
        let column_of = &structure.contributions().column_of;
        let slots = (0_u32..).zip(&structure.slot).filter(|&(edge, &slot)| slot != NO_SLOT && edge_is(edge as usize));
        let edges: Vec<(u32, u32)> = slots.map(|(edge, &slot)| (column_of[slot as usize], edge)).collect();
        SearchTree { below: Lists::new(n, kept.iter().copied()), edges: Lists::new(n, edges.iter().copied()) }
    }

    /// For each position of the order the least of what edges have that lie at it or below it.
    ///
    /// # Panics
    /// When there is not one value per edge.
    pub fn least_below(&self, of_edges: &[f64]) -> Vec<f64> {
        let structure = &*self.structure;
        assert_eq!(of_edges.len(), structure.ends.len(), "one value per edge");
        let mut least = vec![f64::INFINITY; structure.order.len()];
        let column_of = &structure.contributions().column_of;
        for (&slot, &value) in structure.slot.iter().zip(of_edges).filter(|(slot, _)| **slot != NO_SLOT) {
            let column = column_of[slot as usize] as usize;
            least[column] = least[column].min(value);
        }
        for position in 0..least.len() {
            if let Some(&above) = structure.row[structure.column(position)].first() {
                least[above as usize] = least[above as usize].min(least[position]);
            }
        }
        least
    }
}

impl PartialFactor {
    /// Adds the positions from a node to its root that are not stamped yet.
    fn way_to_root(&self, node: u32, memory: &mut SolveMemory) {
        let structure = &*self.pattern().structure;
        let mut at = Some(structure.position[node as usize]);
        while let Some(position) = at.filter(|&position| memory.stamp[position as usize] != memory.now) {
            memory.stamp[position as usize] = memory.now;
            memory.volts[position as usize] = 0.0;
            memory.ways.push(position);
            at = structure.row[structure.column(position as usize)].first().copied();
        }
    }

    fn begin(memory: &mut SolveMemory) {
        if memory.now == u32::MAX {
            memory.stamp.fill(0);
            memory.now = 0;
        }
        memory.now += 1;
        memory.ways.clear();
    }

    /// Hands currents on, and finds the potentials on the ways. What belongs to an island has none.
    fn solve_on_ways(&mut self, memory: &mut SolveMemory) {
        memory.ways.sort_unstable();
        let structure = &*self.pattern().structure;
        let eliminated = self.eliminated();
        for &j in &memory.ways {
            let current = eliminated.pivots[j as usize].current_division().per_siemens * memory.volts[j as usize];
            if current != 0.0 {
                for entry in structure.column(j as usize) {
                    memory.volts[structure.row[entry] as usize] += current * eliminated.entries[entry];
                }
            }
        }
        for at in (0..memory.ways.len()).rev() {
            let j = memory.ways[at] as usize;
            memory.volts[j] = self.potential(j, memory.volts[j], memory);
        }
        let steps = 2 * memory.ways.len();
        self.count(steps);
    }

    /// The potential of a column from those of its rows and the current that came to it.
    fn potential(&self, j: usize, current: f64, memory: &SolveMemory) -> f64 {
        let structure = &*self.pattern().structure;
        let eliminated = self.eliminated();
        let mut sum = current;
        let mut joined = eliminated.pivots[j].to_ground > 0.0;
        for entry in structure.column(j) {
            let conductance = eliminated.entries[entry];
            if conductance > 0.0 {
                sum += conductance * memory.volts[structure.row[entry] as usize];
                joined = true;
            }
        }
        if joined { eliminated.pivots[j].current_division().per_siemens * sum } else { f64::NAN }
    }

    /// Potentials of some nodes with one ampere put into an edge's one end and taken out of its other; not a number for those of
    /// islands.
    ///
    /// # Panics
    /// When there is no such edge or node.
    pub fn across(&mut self, edge: usize, at: &[u32], memory: &mut SolveMemory) -> Vec<f64> {
        let (u, v) = self.pattern().ends(edge);
        PartialFactor::begin(memory);
        for &node in [u, v].iter().chain(at) {
            self.way_to_root(node, memory);
        }
        let position = |node: u32| self.pattern().structure.position[node as usize] as usize;
        memory.volts[position(u)] += 1.0;
        memory.volts[position(v)] -= 1.0;
        self.solve_on_ways(memory);
        let position = |&node: &u32| self.pattern().structure.position[node as usize] as usize;
        at.iter().map(|node| memory.volts[position(node)]).collect()
    }

    /// Puts one ampere into a node and goes through the closed edges by how many volts lie between their ends, as far as `go_on` says:
    /// it is asked before the columns below a position are looked at, between whose ends no more than so many volts lie. Only columns
    /// of the tree are looked at, and those above the node.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn search_from(
        &mut self,
        node: u32,
        (tree, memory): (&SearchTree, &mut SolveMemory),
        go_on: impl Fn(usize, f64) -> bool,
        mut meet: impl FnMut(usize, f64),
    ) {
        PartialFactor::begin(memory);
        self.way_to_root(node, memory);
        memory.volts[self.pattern().structure.position[node as usize] as usize] = 1.0;
        self.solve_on_ways(memory);
        let pattern = self.pattern().clone();
        let structure = &*pattern.structure;
        let mut below = std::mem::take(&mut memory.below);
        below.clear();
        let mut steps = 0;
        for way in 0..memory.ways.len() {
            let j = memory.ways[way] as usize;
            self.meet_edges(j, (tree, memory), &mut meet);
            below.extend(tree.below.get(j).iter().filter(|&&child| memory.stamp[child as usize] != memory.now));
        }
        while let Some(j) = below.pop() {
            let j = j as usize;
            let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
            for &row in &structure.row[structure.column(j)] {
                let volts = memory.volts[row as usize];
                // What is at ground without being ground is joined to the node over ground only, and so is all that is joined to it.
                if volts == 0.0 && self.eliminated().pivots[row as usize].to_ground < f64::INFINITY {
                    continue;
                }
                (least, most) = (least.min(volts), most.max(volts));
            }
            if !(most > least && go_on(j, most - least)) {
                continue;
            }
            steps += 1;
            memory.volts[j] = self.potential(j, 0.0, memory);
            self.meet_edges(j, (tree, memory), &mut meet);
            below.extend_from_slice(tree.below.get(j));
        }
        memory.below = below;
        self.count(steps);
    }

    fn meet_edges(&self, j: usize, (tree, memory): (&SearchTree, &SolveMemory), meet: &mut impl FnMut(usize, f64)) {
        let structure = &*self.pattern().structure;
        for &edge in tree.edges.get(j) {
            let row = structure.row[structure.slot[edge as usize] as usize];
            let volts = (memory.volts[j] - memory.volts[row as usize]).abs();
            // Not over open edges, and not in islands.
            if volts > 0.0 && self.is_closed(edge as usize) {
                meet(edge as usize, volts);
            }
        }
    }
}
