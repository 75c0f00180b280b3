//! Which nodes are joined, in which order they are eliminated, and which edges that makes.

use crate::contributions::Contributions;
use crate::lists::Lists;
use crate::order::elimination_order;
use std::sync::{Arc, OnceLock};

/// Marks an edge from a node to itself, which has no place in the structure.
pub(crate) const NO_SLOT: u32 = u32::MAX;

/// The pattern of a network: its nodes and edges without values, the order in which nodes are eliminated, and every
/// edge the elimination will make (the fill). Found once, used for every set of values and for every [`Algebra`].
///
/// Cloning is cheap: clones share the structure.
///
/// [`Algebra`]: crate::Algebra
#[derive(Clone)]
pub struct Pattern {
    pub(crate) structure: Arc<Structure>,
}

/// The arrays behind a [`Pattern`]. *Positions* count nodes in the order of elimination. Each position has a column:
/// the later positions to which it is joined when its turn comes, ascending.
pub(crate) struct Structure {
    /// Ends of each edge as given.
    pub(crate) ends: Vec<(u32, u32)>,
    /// Node at each position.
    pub(crate) order: Vec<u32>,
    /// Position of each node.
    pub(crate) position: Vec<u32>,
    /// First position of a kept node; all later ones are kept too.
    pub(crate) first_kept: usize,
    column_start: Vec<u32>,
    /// Position of the other end of each entry.
    pub(crate) row: Vec<u32>,
    /// The index list: column by column, for every pair of entries of a column (first with second, first with third …,
    /// second with third …) the entry between their rows, which lies in the column of the pair's first row. Columns
    /// with more than [`LONGEST_LISTED`] entries are left out.
    target: Vec<u32>,
    /// Entries of the column that has most.
    pub(crate) widest: usize,
    /// Entry of each edge as given, or [`NO_SLOT`].
    pub(crate) slot: Vec<u32>,
    /// The same the other way round, found when first asked for.
    contributions: OnceLock<Contributions>,
}

/// A column of more entries than this has no part in the index list: its targets are found anew each time. So the list
/// has no more than 16 steps for each entry, where the whole one of a fine grid would fill the memory.
const LONGEST_LISTED: usize = 32;

impl Pattern {
    /// The pattern of `n` nodes joined by `edges` (pairs of nodes). Edges from a node to itself are ignored, parallel
    /// edges share one place and their values are joined. `kept` nodes (poles, ground) come last, in the order given;
    /// the second mention of a kept node is ignored.
    ///
    /// The order takes off leaves and chains first, chains halved and halved again; then follows approximate minimum
    /// degree (Amestoy, Davis and Duff 1996).
    ///
    /// # Panics
    /// When an edge or a kept node names a node not in `0..n`, there are 2³¹ edges or more, or the fill has 2³² entries
    /// or more.
    pub fn new(n: usize, edges: &[(u32, u32)], kept: &[u32]) -> Pattern {
        Pattern::ordered(n, edges, kept, false)
    }

    /// The same in an order in which little depends on any one node: nested dissection in place of minimum degree. It has more
    /// entries, and is for a [`PartialFactor`](crate::PartialFactor).
    ///
    /// # Panics
    /// As [`Pattern::new`].
    pub fn shallow(n: usize, edges: &[(u32, u32)], kept: &[u32]) -> Pattern {
        Pattern::ordered(n, edges, kept, true)
    }

    fn ordered(n: usize, edges: &[(u32, u32)], kept: &[u32], shallow: bool) -> Pattern {
        assert!(n < NO_SLOT as usize, "too many nodes");
        assert!(edges.len() < NO_SLOT as usize / 2, "too many edges");
        for &(u, v) in edges {
            assert!((u as usize) < n && (v as usize) < n, "edge {u}–{v} leaves the {n} nodes");
        }
        let mut seen = vec![false; n];
        let kept: Vec<u32> =
            kept.iter().copied().filter(|&node| !std::mem::replace(&mut seen[node as usize], true)).collect();
        let order = elimination_order(n, edges, &kept, shallow);
        let structure = Structure::new(edges.to_vec(), order, n - kept.len());
        Pattern { structure: Arc::new(structure) }
    }

    /// Whether this is the other pattern or a clone of it.
    pub(crate) fn is(&self, other: &Pattern) -> bool {
        Arc::ptr_eq(&self.structure, &other.structure)
    }

    /// Number of nodes.
    pub fn node_count(&self) -> usize {
        self.structure.order.len()
    }

    /// Number of edges as given, loops and parallel ones counted.
    pub fn edge_count(&self) -> usize {
        self.structure.ends.len()
    }

    /// The two ends of an edge as given.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn ends(&self, edge: usize) -> (u32, u32) {
        self.structure.ends[edge]
    }

    /// Where a node stands in the order of elimination.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn position(&self, node: u32) -> u32 {
        self.structure.position[node as usize]
    }

    /// The kept nodes, each once, in the order given.
    pub fn kept(&self) -> &[u32] {
        &self.structure.order[self.structure.first_kept..]
    }

    /// All nodes in the order of their elimination, the kept ones last.
    pub fn elimination_order(&self) -> &[u32] {
        &self.structure.order
    }

    /// Number of edges after elimination: the distinct edges given and those made between neighbours of eliminated
    /// nodes. Time and memory of everything else go with it.
    pub fn entry_count(&self) -> usize {
        self.structure.row.len()
    }

    /// How many pairs of neighbours the elimination of all but the kept nodes joins.
    pub fn join_count(&self) -> usize {
        let structure = &*self.structure;
        (0..structure.first_kept)
            .map(|j| structure.column(j).len())
            .map(|neighbours| neighbours * neighbours.saturating_sub(1) / 2)
            .sum()
    }

    /// Length of the index list: one step for each pair of entries of a column, columns of more than 32 left out. A
    /// factorisation and a selected inverse each walk it once.
    pub fn step_count(&self) -> usize {
        self.structure.target.len()
    }

    /// Conductances to ground that make every kept node ground itself and leave the others without: `f64::INFINITY` at
    /// kept nodes, 0 elsewhere. For [`Factor::new`](crate::Factor::new).
    pub fn kept_as_ground(&self) -> Vec<f64> {
        let mut to_ground = vec![0.0; self.node_count()];
        for &node in self.kept() {
            to_ground[node as usize] = f64::INFINITY;
        }
        to_ground
    }
}

impl std::fmt::Debug for Pattern {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Pattern")
            .field("nodes", &self.node_count())
            .field("edges", &self.edge_count())
            .field("kept", &self.kept())
            .field("entries", &self.entry_count())
            .finish()
    }
}

impl Structure {
    fn new(ends: Vec<(u32, u32)>, order: Vec<u32>, first_kept: usize) -> Structure {
        let n = order.len();
        let mut position = vec![0; n];
        for (k, &node) in order.iter().enumerate() {
            position[node as usize] = k as u32;
        }
        let placed = |&(u, v): &(u32, u32)| {
            let (a, b) = (position[u as usize], position[v as usize]);
            (a.min(b), a.max(b))
        };
        let later = Lists::new(n, ends.iter().map(placed).filter(|(a, b)| a != b));
        let (column_start, row) = columns(n, &later);
        let mut structure = Structure {
            ends,
            order,
            position,
            first_kept,
            column_start,
            row,
            target: Vec::new(),
            widest: 0,
            slot: Vec::new(),
            contributions: OnceLock::new(),
        };
        let slot = |&(u, v): &(u32, u32)| {
            let (a, b) = (structure.position[u as usize], structure.position[v as usize]);
            structure.entry(a.min(b) as usize, a.max(b)).unwrap_or(NO_SLOT)
        };
        structure.slot = structure.ends.iter().map(slot).collect();
        let columns = structure.column_start.windows(2).map(|pair| (pair[1] - pair[0]) as usize);
        structure.widest = columns.clone().max().unwrap_or(0);
        let steps = columns.filter(|&m| m <= LONGEST_LISTED).map(pairs).sum();
        let mut target = Vec::with_capacity(steps);
        for j in 0..n {
            let rows = &structure.row[structure.column(j)];
            if rows.len() <= LONGEST_LISTED {
                for place in 0..rows.len() {
                    structure.find_targets(&rows[place..], &mut target);
                }
            }
        }
        structure.target = target;
        structure
    }

    /// The entries of the column at a position.
    pub(crate) fn column(&self, position: usize) -> std::ops::Range<usize> {
        self.column_start[position] as usize..self.column_start[position + 1] as usize
    }

    /// The entry in the column at a position with this row.
    pub(crate) fn entry(&self, position: usize, row: u32) -> Option<u32> {
        let column = self.column(position);
        let place = self.row[column.clone()].binary_search(&row).ok()?;
        Some((column.start + place) as u32)
    }

    /// Memory enough for the targets of any column that has no part in the index list.
    pub(crate) fn room_for_targets(&self) -> Vec<u32> {
        Vec::with_capacity(if self.widest > LONGEST_LISTED { pairs(self.widest) } else { 0 })
    }

    /// What adds to each column.
    pub(crate) fn contributions(&self) -> &Contributions {
        self.contributions.get_or_init(|| Contributions::new(&self.column_start, &self.row, &self.slot, listed))
    }

    /// The targets of all pairs of a column, from where they begin in the index list.
    pub(crate) fn targets<'f>(&'f self, position: usize, from: usize, found: &'f mut Vec<u32>) -> &'f [u32] {
        let rows = &self.row[self.column(position)];
        if rows.len() > LONGEST_LISTED {
            return self.find_all_targets(rows, found);
        }
        &self.target[from..from + pairs(rows.len())]
    }

    /// The targets of the pairs of one entry of a column and those behind it, from where those of the column begin in the list.
    pub(crate) fn targets_from<'f>(
        &'f self,
        (position, place): (usize, usize),
        from: usize,
        found: &'f mut Vec<u32>,
    ) -> &'f [u32] {
        let rows = &self.row[self.column(position)];
        if rows.len() > LONGEST_LISTED {
            found.clear();
            self.find_targets(&rows[place..], found);
            return found;
        }
        let before = pairs(rows.len()) - pairs(rows.len() - place);
        &self.target[from + before..from + before + rows.len() - place - 1]
    }

    fn find_all_targets<'f>(&self, rows: &[u32], found: &'f mut Vec<u32>) -> &'f [u32] {
        found.clear();
        for place in 0..rows.len() {
            self.find_targets(&rows[place..], found);
        }
        found
    }

    /// Appends the entries between the first of some rows of one column and each of the others, in their order.
    fn find_targets(&self, rows: &[u32], targets: &mut Vec<u32>) {
        let Some((&first, others)) = rows.split_first() else { return };
        let mut candidates = self.column(first as usize);
        for &other in others {
            // All rows of a column after its first are in the column of the first too: that is what the fill is.
            targets.extend(candidates.find(|&entry| self.row[entry] == other).map(|entry| entry as u32));
        }
    }
}

/// Walks the index list: forwards for an elimination, backwards for what is substituted back.
pub(crate) struct IndexWalk<'s> {
    structure: &'s Structure,
    /// How much of the list lies before the column at hand.
    before: usize,
}

impl<'s> IndexWalk<'s> {
    /// Before the first column.
    pub(crate) fn forwards(structure: &'s Structure) -> IndexWalk<'s> {
        IndexWalk { structure, before: 0 }
    }

    /// Behind the last column.
    pub(crate) fn backwards(structure: &'s Structure) -> IndexWalk<'s> {
        IndexWalk { structure, before: structure.target.len() }
    }

    /// The targets of the pairs of the next column, which has these rows. `found` takes those of a column that has no
    /// part in the list.
    pub(crate) fn next<'f>(&mut self, rows: &[u32], found: &'f mut Vec<u32>) -> &'f [u32]
    where
        's: 'f,
    {
        if rows.len() > LONGEST_LISTED {
            return self.structure.find_all_targets(rows, found);
        }
        let from = self.before;
        self.before += pairs(rows.len());
        &self.structure.target[from..self.before]
    }

    /// The same for the column before, walking backwards.
    pub(crate) fn next_back<'f>(&mut self, rows: &[u32], found: &'f mut Vec<u32>) -> &'f [u32]
    where
        's: 'f,
    {
        if rows.len() > LONGEST_LISTED {
            return self.structure.find_all_targets(rows, found);
        }
        let to = self.before;
        self.before -= pairs(rows.len());
        &self.structure.target[self.before..to]
    }
}

fn pairs(entries: usize) -> usize {
    entries * entries.saturating_sub(1) / 2
}

/// How many steps of the index list a column of so many entries has.
fn listed(entries: usize) -> usize {
    if entries > LONGEST_LISTED { 0 } else { pairs(entries) }
}

/// Every column with its fill, from the later neighbours of each position: a column is its own later neighbours and
/// what is left of every earlier column whose first entry it is (that column's elimination joins all its rows).
fn columns(n: usize, later: &Lists) -> (Vec<u32>, Vec<u32>) {
    const NONE: u32 = u32::MAX;
    let mut start = Vec::with_capacity(n + 1);
    let mut row: Vec<u32> = Vec::with_capacity(2 * n);
    let mut marked = vec![NONE; n];
    // Chains of the columns that pass their rows on to a column.
    let mut first_child = vec![NONE; n];
    let mut next_child = vec![NONE; n];
    start.push(0);
    for j in 0..n {
        let begin = row.len();
        marked[j] = j as u32;
        for &i in later.get(j) {
            if marked[i as usize] != j as u32 {
                marked[i as usize] = j as u32;
                row.push(i);
            }
        }
        let mut child = first_child[j];
        while child != NONE {
            for entry in start[child as usize] as usize..start[child as usize + 1] as usize {
                let i = row[entry];
                if marked[i as usize] != j as u32 {
                    marked[i as usize] = j as u32;
                    row.push(i);
                }
            }
            child = next_child[child as usize];
        }
        row[begin..].sort_unstable();
        if let Some(&parent) = row.get(begin) {
            next_child[j] = first_child[parent as usize];
            first_child[parent as usize] = j as u32;
        }
        assert!(row.len() < NO_SLOT as usize, "too many edges after elimination");
        start.push(row.len() as u32);
    }
    (start, row)
}
