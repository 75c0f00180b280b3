//! The entries of the inverse that are asked for, without the others.

use crate::conductance::{Factor, GROUNDED};
use crate::pattern::{NO_SLOT, Pattern};

/// Driving-point and transfer resistances of a [`Factor`], ohms if its conductances were siemens.
///
/// `Z_uv` is the potential of `u` against ground for one ampere into `v` (the same the other way round). Both
/// recursions run over the columns of the factor from the last to the first, `w_i` being the share of a current into
/// `j` that leaves it towards the later node `i`, and `w_g` straight to ground:
/// - Takahashi, Fagan and Chin 1973: `Z_jk = Σ w_i · Z_ik`, `Z_jj = 1/d + Σ w_i · Z_ij`, all terms positive;
/// - for the resistance between two ends the same put into differences, ground counted among the nodes:
///   `R_jk = 1/d + Σ w_i · R_ik − ½ · ΣΣ w_i · w_l · R_il`. `Z_jj + Z_kk − 2·Z_jk` would be the same number, but two
///   nodes a milliohm apart behind a leak of a gigaohm would lose all its digits, and in an island there is no `Z`.
#[derive(Debug, Clone)]
pub struct SelectedInverse {
    pattern: Pattern,
    island: Vec<u32>,
    /// `Z_jj` by position.
    driving_point: Vec<f64>,
    /// `Z_jk` by entry.
    transfer: Vec<f64>,
    /// `R_jk` by entry.
    between: Vec<f64>,
}

impl SelectedInverse {
    pub(crate) fn new(factor: &Factor) -> SelectedInverse {
        const OUTSIDE: u32 = u32::MAX;
        let pattern = factor.pattern().clone();
        let structure = &*pattern.structure;
        let entries = &factor.eliminated.entries;
        let n = structure.order.len();
        let mut driving_point = vec![0.0; n];
        let mut transfer = vec![0.0; entries.len()];
        let mut between = vec![0.0; entries.len()];
        let mut place = vec![OUTSIDE; n];
        // For each row of the column at hand: its share, and Σ w·Z and Σ w·R.
        let mut sums: Vec<[f64; 3]> = Vec::new();
        for j in (0..n).rev() {
            // An island's last node has no share and no 1/d: the island is measured from there, as from a ground.
            let star = &factor.eliminated.pivots[j];
            let column = structure.column(j);
            let rows = &structure.row[column.clone()];
            let ground_share = star.ground_share();
            sums.clear();
            for (q, (&row, &conductance)) in rows.iter().zip(&entries[column.clone()]).enumerate() {
                place[row as usize] = q as u32;
                sums.push([star.per_total(conductance), 0.0, 0.0]);
            }
            // Σ w·R for ground, whose resistance to a node is that node's Z.
            let mut ground_sum = 0.0;
            for (q, &row) in rows.iter().enumerate() {
                let k = row as usize;
                let share = sums[q][0];
                sums[q][1] += share * driving_point[k];
                sums[q][2] += ground_share * driving_point[k];
                ground_sum += share * driving_point[k];
                for entry in structure.column(k) {
                    let other = place[structure.row[entry] as usize];
                    if other != OUTSIDE {
                        let other = other as usize;
                        let other_share = sums[other][0];
                        sums[other][1] += share * transfer[entry];
                        sums[other][2] += share * between[entry];
                        sums[q][1] += other_share * transfer[entry];
                        sums[q][2] += other_share * between[entry];
                    }
                }
            }
            let lift = star.per_total(1.0);
            let mut own = lift;
            let mut spread = ground_share * ground_sum;
            for [share, potential, resistance] in &sums {
                own += share * potential;
                spread += share * resistance;
            }
            for (q, entry) in column.enumerate() {
                place[structure.row[entry] as usize] = OUTSIDE;
                transfer[entry] = sums[q][1];
                between[entry] = lift + sums[q][2] - 0.5 * spread;
            }
            driving_point[j] = own;
        }
        SelectedInverse { island: factor.island.clone(), pattern, driving_point, transfer, between }
    }

    /// Resistance from a node to ground, `Z_uu`; infinite in an island, 0 at ground itself.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn driving_point(&self, node: u32) -> f64 {
        let position = self.pattern.structure.position[node as usize] as usize;
        if self.island[position] == GROUNDED { self.driving_point[position] } else { f64::INFINITY }
    }

    /// Transfer resistance `Z_uv` between the ends of an edge as given to the pattern, open or closed; infinite where
    /// an end is in an island.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn transfer(&self, edge: usize) -> f64 {
        let structure = &*self.pattern.structure;
        let (u, v) = structure.ends[edge];
        let grounded = |node: u32| self.island[structure.position[node as usize] as usize] == GROUNDED;
        if !grounded(u) || !grounded(v) {
            return f64::INFINITY;
        }
        match structure.slot[edge] {
            NO_SLOT => self.driving_point(u),
            slot => self.transfer[slot as usize],
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
        if island(u) != island(v) {
            return f64::INFINITY;
        }
        match structure.slot[edge] {
            NO_SLOT => 0.0,
            slot => self.between[slot as usize],
        }
    }
}
