//! The entries of the inverse that are asked for, without the others.

use crate::conductance::{ConductanceAlgebra, CurrentDivision, Factor, GROUNDED};
use crate::elimination::Eliminated;
use crate::pattern::{IndexWalk, NO_SLOT, Pattern, Structure};

/// Driving-point and transfer resistances of a [`Factor`], ohms if its conductances were siemens.
///
/// `Z_uv` is the potential of `u` against ground for one ampere into `v` (the same the other way round). Both
/// recursions run over the columns of the factor from the last to the first, `w_i` being the share of a current into
/// `j` that leaves it towards the later node `i`, and `w_g` straight to ground:
/// - Takahashi, Fagan and Chin 1973: `Z_jk = Σ w_i · Z_ik`, `Z_jj = 1/d + Σ w_i · Z_ij`, all terms positive;
/// - for the resistance between two ends the same put into differences, ground counted among the nodes:
///   `R_jk = 1/d + Σ w_i · R_ik − ½ · ΣΣ w_i · w_l · R_il`. `Z_jj + Z_kk − 2·Z_jk` would be the same number, but two
///   nodes a milliohm apart behind a leak of a gigaohm would lose all its digits, and in an island there is no `Z`.
///
/// A column with one entry, or with two and no share to ground, needs no subtraction for the second either: with
/// `w_a + w_b = 1` it is `R_ja = 1/d + w_b² · R_ab`. In a longer one of `m` entries the subtraction takes no more than
/// `m + 1` times what it leaves, because `R_ik ≤ R_ij + R_jk` and `w_i · R_ij ≤ 1/d ≤ R_jk`.
#[derive(Debug, Clone)]
pub struct SelectedInverse {
    pattern: Pattern,
    island: Vec<u32>,
    has_islands: bool,
    /// `Z_jj` by position.
    driving_point: Vec<f64>,
    /// By entry.
    across: Vec<PairEntry>,
    /// Workspace, for the rows of the column at hand.
    sums: Vec<Sums>,
    /// Workspace, for the targets of a wide column.
    found: Vec<u32>,
}

/// A place along an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstPlace {
    /// How far along the edge, 0 at its first end and 1 at its second.
    pub fraction: f64,
    /// Resistance from there to ground.
    pub driving_point: f64,
}

/// Between two nodes.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct PairEntry {
    /// `Z_jk`.
    transfer: f64,
    /// `R_jk`.
    pub(crate) between: f64,
}

/// For one row of a column: its share, and `Σ w · Z` and `Σ w · R`.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Sums {
    share: f64,
    potential: f64,
    resistance: f64,
}

impl SelectedInverse {
    fn new(factor: &Factor) -> SelectedInverse {
        let pattern = factor.pattern().clone();
        let structure = &*pattern.structure;
        let mut inverse = SelectedInverse {
            island: vec![GROUNDED; structure.order.len()],
            has_islands: false,
            driving_point: vec![0.0; structure.order.len()],
            across: vec![PairEntry::default(); structure.row.len()],
            sums: vec![Sums::default(); structure.widest],
            found: structure.room_for_targets(),
            pattern,
        };
        inverse.update(factor);
        inverse
    }

    /// The resistances of a factor of the same pattern, or of this one with new values, in the same memory.
    ///
    /// # Panics
    /// When the factor is of another pattern.
    pub fn update(&mut self, factor: &Factor) {
        assert!(self.pattern.is(factor.pattern()), "the factor is of another pattern");
        if self.has_islands || factor.has_islands {
            self.island.copy_from_slice(&factor.island);
            self.has_islands = factor.has_islands;
        }
        let structure = &*self.pattern.structure;
        let mut walk = IndexWalk::backwards(structure);
        for j in (0..structure.order.len()).rev() {
            let rows = &structure.row[structure.column(j)];
            let targets = walk.next_back(rows, &mut self.found);
            let of = (&self.driving_point[..], &mut self.across[..]);
            self.driving_point[j] = invert_column((structure, &factor.eliminated), j, targets, of, &mut self.sums);
        }
    }

    fn is_grounded(&self, position: usize) -> bool {
        !self.has_islands || self.island[position] == GROUNDED
    }

    /// Resistance from a node to ground, `Z_uu`; infinite in an island, 0 at ground itself.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn driving_point(&self, node: u32) -> f64 {
        let position = self.pattern.structure.position[node as usize] as usize;
        if self.is_grounded(position) { self.driving_point[position] } else { f64::INFINITY }
    }

    /// Transfer resistance `Z_uv` between the ends of an edge as given to the pattern, open or closed; infinite where
    /// an end is in an island.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn transfer(&self, edge: usize) -> f64 {
        let structure = &*self.pattern.structure;
        let (u, v) = structure.ends[edge];
        let grounded = |node: u32| self.is_grounded(structure.position[node as usize] as usize);
        if !grounded(u) || !grounded(v) {
            return f64::INFINITY;
        }
        match structure.slot[edge] {
            NO_SLOT => self.driving_point(u),
            slot => self.across[slot as usize].transfer,
        }
    }

    /// Resistance measured between the two ends of an edge as given to the pattern, the edge itself (if closed) and
    /// all else left in place. Also within an island; infinite where the ends are not joined, neither by edges nor
    /// over ground.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn resistance_between_ends(&self, edge: usize) -> f64 {
        let structure = &*self.pattern.structure;
        let (u, v) = structure.ends[edge];
        let island = |node: u32| self.island[structure.position[node as usize] as usize];
        if self.has_islands && island(u) != island(v) {
            return f64::INFINITY;
        }
        match structure.slot[edge] {
            NO_SLOT => 0.0,
            slot => self.across[slot as usize].between,
        }
    }

    /// The place along an edge with the greatest resistance to ground, exactly; the edge is of this resistance, spread
    /// evenly over its length, and closed. At a fraction `t` of the way from `u` to `v` the resistance is the parabola
    /// `(1−t)·Z_uu + t·Z_vv + t·(1−t)·(r − R_uv)`: the mean of the ends' potentials and what the place's own current
    /// lifts it by. Infinite in an island.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn worst_place(&self, edge: usize, resistance: f64) -> WorstPlace {
        let (u, v) = self.pattern.structure.ends[edge];
        let [start, end] = [u, v].map(|node| self.driving_point(node));
        // Never below 0 but by rounding: the edge is one of the ways between its ends.
        let bow = (resistance - self.resistance_between_ends(edge)).max(0.0);
        let rise = end - start;
        if rise.abs() < bow {
            // The top, where the slope `rise + bow·(1 − 2t)` is 0.
            let fraction = 0.5 + 0.5 * rise / bow;
            return WorstPlace { fraction, driving_point: start + fraction * fraction * bow };
        }
        let fraction = if rise > 0.0 { 1.0 } else { 0.0 };
        WorstPlace { fraction, driving_point: start.max(end) }
    }
}

impl Factor {
    /// Driving-point resistances of all nodes and transfer resistances along all edges.
    pub fn selected_inverse(&self) -> SelectedInverse {
        SelectedInverse::new(self)
    }
}

/// One column of the inverse, from those of its rows, which are later ones: gives `Z_jj` and fills in the column's entries.
pub(crate) fn invert_column(
    (structure, eliminated): (&Structure, &Eliminated<ConductanceAlgebra>),
    j: usize,
    targets: &[u32],
    (driving_point, across): (&[f64], &mut [PairEntry]),
    sums: &mut [Sums],
) -> f64 {
    // An island's last node has no share and no 1/d: the island is measured from there, as from a ground.
    let shares = eliminated.pivots[j].current_division();
    let column = structure.column(j);
    let rows = &structure.row[column.clone()];
    let (before, after) = across.split_at_mut(column.end);
    let conductance = &eliminated.entries[column.clone()];
    let own = &mut before[column.start..];
    let later = Later { driving_point, across: after, first: column.end };
    match (rows, conductance, own) {
        (&[k], &[g], [own]) => later.one(shares, k, g, own),
        (&[k, l], &[g, h], [own_k, own_l]) if shares.to_ground == 0.0 => {
            later.two(shares, [k, l], [g, h], targets[0], own_k, own_l)
        }
        (rows, conductance, own) => later.many(shares, rows, conductance, targets, &mut sums[..rows.len()], own),
    }
}

/// What is known of later nodes.
struct Later<'i> {
    driving_point: &'i [f64],
    /// The entries from `first` on.
    across: &'i [PairEntry],
    first: usize,
}

impl Later<'_> {
    fn at(&self, target: u32) -> PairEntry {
        self.across[target as usize - self.first]
    }

    fn one(&self, shares: CurrentDivision, k: u32, conductance: f64, own: &mut PairEntry) -> f64 {
        let z = self.driving_point[k as usize];
        let (lift, share) = (shares.per_siemens, conductance * shares.per_siemens);
        own.transfer = share * z;
        own.between = lift + shares.to_ground * shares.to_ground * z;
        lift + share * own.transfer
    }

    fn two(
        &self,
        shares: CurrentDivision,
        row: [u32; 2],
        conductance: [f64; 2],
        target: u32,
        own_k: &mut PairEntry,
        own_l: &mut PairEntry,
    ) -> f64 {
        let lift = shares.per_siemens;
        let [k, l] = row.map(|row| self.driving_point[row as usize]);
        let [to_k, to_l] = conductance.map(|conductance| conductance * lift);
        let across = self.at(target);
        own_k.transfer = to_k * k + to_l * across.transfer;
        own_l.transfer = to_k * across.transfer + to_l * l;
        own_k.between = lift + to_l * to_l * across.between;
        own_l.between = lift + to_k * to_k * across.between;
        lift + to_k * own_k.transfer + to_l * own_l.transfer
    }

    fn many(
        &self,
        shares: CurrentDivision,
        rows: &[u32],
        conductance: &[f64],
        mut targets: &[u32],
        sums: &mut [Sums],
        own: &mut [PairEntry],
    ) -> f64 {
        let lift = shares.per_siemens;
        // Σ w·R for ground, whose resistance to a node is that node's Z.
        let mut ground_sum = 0.0;
        for ((sums, &row), &conductance) in sums.iter_mut().zip(rows).zip(conductance) {
            let (share, z) = (conductance * lift, self.driving_point[row as usize]);
            *sums = Sums { share, potential: share * z, resistance: shares.to_ground * z };
            ground_sum += share * z;
        }
        let mut rest = &mut *sums;
        while let Some((one, others)) = rest.split_first_mut() {
            let (these, those) = targets.split_at(others.len());
            for (other, &target) in others.iter_mut().zip(these) {
                let across = self.at(target);
                one.potential += other.share * across.transfer;
                one.resistance += other.share * across.between;
                other.potential += one.share * across.transfer;
                other.resistance += one.share * across.between;
            }
            (rest, targets) = (others, those);
        }
        let (mut z, mut spread) = (lift, shares.to_ground * ground_sum);
        for sums in &*sums {
            z += sums.share * sums.potential;
            spread += sums.share * sums.resistance;
        }
        for (own, sums) in own.iter_mut().zip(&*sums) {
            *own = PairEntry { transfer: sums.potential, between: lift + sums.resistance - 0.5 * spread };
        }
        z
    }
}
