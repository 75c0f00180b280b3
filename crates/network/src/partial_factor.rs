//! A few edges changed at a time: only what depends on them is eliminated anew, and only what is asked for is inverted.
//!
//! Taking a node out changes nothing but the columns of its later neighbours, and so on up the elimination tree to its root. So a
//! changed edge asks for the columns on one way to the root anew (partial refactorisation, Chan and Brandwajn 1986), and the
//! resistance of a node for the inverse along its own such way (sparse vector methods, Tinney, Brandwajn and Chan 1985). Both do the
//! same sums in the same turn as [`Factor`](crate::Factor) and [`SelectedInverse`](crate::SelectedInverse) do, so that every figure is
//! the same to the last bit; but for rows to which hundreds of columns add, which are summed by blocks, and then the same but for
//! rounding. What was changed before never shows in a figure.

use crate::conductance::{BadConductance, ConductanceAlgebra, ConductancePivot, GROUNDED, check};
use crate::elimination::{Algebra as _, Eliminated, EliminationExtent};
use crate::long_rows::{LongRows, places};
use crate::pattern::{NO_SLOT, Pattern, Structure};
use crate::selected_inverse::{PairEntry, Sums, invert_column};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Where more than one edge in so many is changed at once everything is eliminated anew.
const MANY: usize = 8;

/// Nodes whose resistances a change may have touched: all that lie below a changed column, which stand one behind the other in the
/// order of elimination ([`Pattern::position`]).
#[derive(Debug, Clone, Default)]
pub struct Touched {
    /// Whether it may be all of them.
    pub everything: bool,
    /// From which position to which, both counted in.
    ranges: Vec<(u32, u32)>,
}

impl Touched {
    /// The stretches of positions, in order and apart.
    pub fn ranges(&mut self) -> &[(u32, u32)] {
        // Stretches lie one within the other or apart: of those that begin alike the longest first.
        self.ranges.sort_unstable_by_key(|range| (range.0, Reverse(range.1)));
        self.ranges.dedup_by(|next, kept| next.1 <= kept.1);
        &self.ranges
    }

    /// Nothing any more.
    pub fn clear(&mut self) {
        self.everything = false;
        self.ranges.clear();
    }
}

/// A network whose conductances change a few at a time, and that is asked for a few resistances each time.
#[derive(Debug, Clone)]
pub struct PartialFactor {
    eliminated: Eliminated<ConductanceAlgebra>,
    conductance: Vec<f64>,
    to_ground: Vec<f64>,
    /// Positions of columns that are to be worked out anew, the first on top.
    due: BinaryHeap<Reverse<u32>>,
    is_due: Vec<bool>,
    /// What a column was.
    before: Vec<f64>,
    long_rows: LongRows,
    /// The inverse, where its column is younger than all that it was made from.
    driving_point: Vec<f64>,
    across: Vec<PairEntry>,
    island: Vec<u32>,
    /// For each column when it was inverted last, and when it changed; by the count of changes.
    inverted: Vec<u32>,
    changed: Vec<u32>,
    /// For each column when it was last found to be as young as all that it was made from.
    checked: Vec<u32>,
    all_changed: u32,
    now: u32,
    /// Memory for the way to the root, for rows and for targets.
    way: Vec<u32>,
    sums: Vec<Sums>,
    found: Vec<u32>,
    steps: usize,
}

impl PartialFactor {
    /// The network with these values, as [`Factor::new`](crate::Factor::new) takes them.
    ///
    /// # Errors
    /// When a value is no conductance.
    ///
    /// # Panics
    /// When there is not one value per edge and per node.
    pub fn new(pattern: &Pattern, conductance: &[f64], to_ground: &[f64]) -> Result<PartialFactor, BadConductance> {
        let (n, structure) = (pattern.node_count(), &*pattern.structure);
        let mut factor = PartialFactor {
            eliminated: Eliminated::new(pattern, &ConductanceAlgebra),
            conductance: Vec::new(),
            to_ground: Vec::new(),
            due: BinaryHeap::new(),
            is_due: vec![false; n],
            before: Vec::new(),
            long_rows: LongRows::new(structure),
            driving_point: vec![0.0; n],
            across: vec![PairEntry::default(); structure.row.len()],
            island: vec![GROUNDED; n],
            inverted: vec![0; n],
            changed: vec![0; n],
            checked: vec![0; n],
            all_changed: 0,
            now: 0,
            way: Vec::new(),
            sums: vec![Sums::default(); structure.widest],
            found: structure.room_for_targets(),
            steps: 0,
        };
        factor.refactor(conductance, to_ground)?;
        Ok(factor)
    }

    /// All values anew.
    ///
    /// # Errors
    /// When a value is no conductance; everything is then as it was.
    ///
    /// # Panics
    /// When there is not one value per edge and per node.
    pub fn refactor(&mut self, conductance: &[f64], to_ground: &[f64]) -> Result<(), BadConductance> {
        check(conductance, to_ground)?;
        assert_eq!(to_ground.len(), self.island.len(), "one value per node");
        self.conductance.clear();
        self.conductance.extend_from_slice(conductance);
        self.to_ground.clear();
        self.to_ground.extend_from_slice(to_ground);
        self.eliminate();
        Ok(())
    }

    fn eliminate(&mut self) {
        let to_ground = &self.to_ground;
        let node = |node: u32| ConductancePivot { to_ground: to_ground[node as usize], total: 0.0 };
        let all =
            self.eliminated.eliminate(&ConductanceAlgebra, &self.conductance, node, EliminationExtent::Everything);
        match all {
            Ok(()) => {}
            Err(stopped) => match stopped.failure {},
        }
        self.steps += self.island.len();
        self.now += 1;
        self.all_changed = self.now;
        self.long_rows.want_all();
        for column in self.long_rows.columns().to_vec() {
            self.want(column);
        }
        self.eliminate_due(&mut Touched::default());
    }

    fn eliminate_due(&mut self, touched: &mut Touched) {
        while let Some(Reverse(column)) = self.due.pop() {
            self.is_due[column as usize] = false;
            self.eliminate_again(column as usize, touched);
        }
    }

    /// Another conductance on some edges, each by its index and the value; others keep theirs. Nodes whose resistances that may
    /// change are added to `touched`.
    ///
    /// # Errors
    /// When a value is no conductance; everything is then as it was.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn amend(&mut self, changes: &[(usize, f64)], touched: &mut Touched) -> Result<(), BadConductance> {
        for &(edge, value) in changes {
            check(&[value], &[]).map_err(|_| BadConductance::OnEdge { edge, value })?;
        }
        let many = changes.len() > self.conductance.len() / MANY;
        let mut any = false;
        for &(edge, value) in changes {
            if std::mem::replace(&mut self.conductance[edge], value) != value {
                any = true;
                let structure = &*self.eliminated.pattern.structure;
                if !many && structure.slot[edge] != NO_SLOT {
                    let column = structure.contributions().column_of[structure.slot[edge] as usize];
                    self.want(column);
                }
            }
        }
        if many && any {
            self.eliminate();
            touched.everything = true;
        } else if any {
            self.now += 1;
            self.eliminate_due(touched);
        }
        Ok(())
    }

    fn want(&mut self, column: u32) {
        if !std::mem::replace(&mut self.is_due[column as usize], true) {
            self.due.push(Reverse(column));
        }
    }

    /// A column anew from its edges and from what earlier columns add to it.
    fn eliminate_again(&mut self, j: usize, touched: &mut Touched) {
        self.steps += 1;
        let pattern = self.eliminated.pattern.clone();
        let structure = &*pattern.structure;
        let contributions = structure.contributions();
        let column = structure.column(j);
        let Eliminated { entries, pivots, .. } = &mut self.eliminated;
        self.before.clear();
        self.before.extend_from_slice(&entries[column.clone()]);
        let pivot_before = pivots[j];
        for entry in column.clone() {
            let edges = contributions.edges(entry).iter().map(|&edge| self.conductance[edge as usize]);
            entries[entry] = edges.fold(0.0, |sum, one| sum + one);
        }
        let mut pivot = ConductancePivot { to_ground: self.to_ground[structure.order[j] as usize], total: 0.0 };
        let (earlier, own) = entries.split_at_mut(column.start);
        let own = &mut own[..column.len()];
        let adding = contributions.in_row(j);
        let before = (structure, &*earlier, &pivots[..]);
        match self.long_rows.of(j) {
            None => add(before, (j, adding), own, &mut pivot, &mut self.found),
            Some(long) => {
                let width = own.len() + 1;
                while let Some(block) = long.next_due() {
                    let mut alone = ConductancePivot { to_ground: 0.0, total: 0.0 };
                    let sums = &mut long.sums[block * width..(block + 1) * width];
                    sums.fill(0.0);
                    let (to_ground, edges) = sums.split_last_mut().expect("one for ground");
                    add(before, (j, &adding[places(block, adding.len())]), edges, &mut alone, &mut self.found);
                    *to_ground = alone.to_ground;
                }
                for sums in long.sums.chunks_exact(width) {
                    own.iter_mut().zip(sums).for_each(|(edge, sum)| *edge += sum);
                    pivot.to_ground += sums[width - 1];
                }
            }
        }
        let _ = ConductanceAlgebra.close(&mut pivot, own);
        if pivot != pivot_before || *own != self.before[..] {
            pivots[j] = pivot;
            self.changed[j] = self.now;
            // Below a kept node is more than one stretch of the order; mostly it is ground, and never changes.
            touched.everything |= j >= structure.first_kept;
            touched.ranges.push((contributions.first_below[j], j as u32));
            for entry in column {
                self.want(structure.row[entry]);
                self.long_rows.want(structure.row[entry], entry, contributions);
            }
        }
    }

    /// Inverts the column at a position and all that it needs, those of the nodes on the way to the root, as far as any of them
    /// changed meanwhile.
    fn invert(&mut self, position: usize) {
        let structure = &*self.eliminated.pattern.structure;
        let contributions = structure.contributions();
        self.way.clear();
        let mut at = Some(position);
        let mut latest = self.all_changed;
        while let Some(position) = at {
            if self.checked[position] == self.now {
                latest = self.inverted[position];
                break;
            }
            self.way.push(position as u32);
            at = structure.row[structure.column(position)].first().map(|&above| above as usize);
        }
        while let Some(j) = self.way.pop() {
            let j = j as usize;
            latest = latest.max(self.changed[j]);
            self.checked[j] = self.now;
            if self.inverted[j] >= latest {
                continue;
            }
            self.steps += 1;
            let targets = structure.targets(j, contributions.target_start[j] as usize, &mut self.found);
            let of = (&self.driving_point[..], &mut self.across[..]);
            self.driving_point[j] = invert_column((structure, &self.eliminated), j, targets, of, &mut self.sums);
            self.island[j] = if self.eliminated.pivots[j].to_ground > 0.0 {
                GROUNDED
            } else {
                let entry = structure.column(j).find(|&entry| self.eliminated.entries[entry] > 0.0);
                entry.map_or(j as u32, |entry| self.island[structure.row[entry] as usize])
            };
            self.inverted[j] = self.now;
        }
    }

    /// As [`SelectedInverse::driving_point`](crate::SelectedInverse::driving_point).
    ///
    /// # Panics
    /// When there is no such node.
    pub fn driving_point(&mut self, node: u32) -> f64 {
        let position = self.eliminated.pattern.structure.position[node as usize] as usize;
        self.invert(position);
        if self.island[position] == GROUNDED { self.driving_point[position] } else { f64::INFINITY }
    }

    /// As [`SelectedInverse::resistance_between_ends`](crate::SelectedInverse::resistance_between_ends).
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn resistance_between_ends(&mut self, edge: usize) -> f64 {
        let structure = &*self.eliminated.pattern.structure;
        let (u, v) = structure.ends[edge];
        let slot = structure.slot[edge];
        let [u, v] = [u, v].map(|node| structure.position[node as usize] as usize);
        self.invert(u);
        self.invert(v);
        if self.island[u] != self.island[v] {
            return f64::INFINITY;
        }
        if slot == NO_SLOT { 0.0 } else { self.across[slot as usize].between }
    }

    pub(crate) fn pattern(&self) -> &Pattern {
        &self.eliminated.pattern
    }

    pub(crate) fn eliminated(&self) -> &Eliminated<ConductanceAlgebra> {
        &self.eliminated
    }

    pub(crate) fn is_closed(&self, edge: usize) -> bool {
        self.conductance[edge] != 0.0
    }

    pub(crate) fn count(&mut self, steps: usize) {
        self.steps += steps;
    }

    /// Columns that were eliminated, inverted or solved for so far.
    pub fn steps(&self) -> usize {
        self.steps
    }
}

/// What some earlier columns, by their entries in the row of this one, add to its edges and its way to ground.
fn add(
    (structure, earlier, pivots): (&Structure, &[f64], &[ConductancePivot]),
    (j, adding): (usize, &[u32]),
    edges: &mut [f64],
    pivot: &mut ConductancePivot,
    found: &mut Vec<u32>,
) {
    let contributions = structure.contributions();
    let start = structure.column(j).start;
    for &entry in adding {
        let left = earlier[entry as usize];
        if left == 0.0 {
            continue;
        }
        let k = contributions.column_of[entry as usize] as usize;
        let theirs = structure.column(k);
        let weight = pivots[k].current_division();
        ConductanceAlgebra.inherit(pivot, &left, &weight);
        let place = entry as usize - theirs.start;
        let rights = &earlier[entry as usize + 1..theirs.end];
        let from = contributions.target_start[k] as usize;
        for (right, &target) in rights.iter().zip(structure.targets_from((k, place), from, found)) {
            let Ok(()) = ConductanceAlgebra.through(&mut edges[target as usize - start], &left, &weight, right);
        }
    }
}
