//! Networks and independent answers for the tests of this crate.
#![allow(dead_code)] // each test binary uses its own part

pub mod exact;

/// A ladder like two rails under a bus: four lines of `sections` pieces side by side, the two rails joined to their bus
/// wires every 6th section (feeders) and to each other every 20th (loads). Node `4·section + line`.
pub fn ladder(sections: usize) -> (usize, Vec<(u32, u32)>) {
    let node = |section: usize, line: usize| (4 * section + line) as u32;
    let mut edges = Vec::new();
    for section in 0..sections {
        if section + 1 < sections {
            for line in 0..4 {
                edges.push((node(section, line), node(section + 1, line)));
            }
        }
        if section % 6 == 0 {
            edges.push((node(section, 0), node(section, 2)));
            edges.push((node(section, 1), node(section, 3)));
        }
        if section % 20 == 0 {
            edges.push((node(section, 0), node(section, 1)));
        }
    }
    (4 * sections, edges)
}

/// A tree like a bus wire with sidings: branches of 20 pieces, one on each piece of the trunk.
pub fn radial(n: usize) -> (usize, Vec<(u32, u32)>) {
    (n, (1..n as u32).map(|node| (if node % 20 == 0 { node - 20 } else { node - 1 }, node)).collect())
}

/// A cheap sequence of numbers in 0..1, the same every time.
pub fn noise(mut state: u64) -> impl FnMut() -> f64 {
    move || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Sets of nodes.
pub struct Union(Vec<usize>);

impl Union {
    pub fn new(n: usize) -> Union {
        Union((0..n).collect())
    }

    pub fn find(&self, mut a: usize) -> usize {
        while self.0[a] != a {
            a = self.0[a];
        }
        a
    }

    pub fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.0[a] = b;
    }
}

/// The inverse of the node equations of everything that depends on ground, by Gauss's elimination of the full assembled
/// matrix with pivoting; none for nodes of islands. Knows nothing of stars and meshes.
pub fn dense_inverse(n: usize, edges: &[(u32, u32)], conductance: &[f64], to_ground: &[f64]) -> Vec<Vec<Option<f64>>> {
    let mut joined = Union::new(n + 1);
    for (&(u, v), &g) in edges.iter().zip(conductance) {
        if g > 0.0 {
            joined.join(u as usize, v as usize);
        }
    }
    for (node, &g) in to_ground.iter().enumerate() {
        if g > 0.0 {
            joined.join(node, n);
        }
    }
    let grounded = |node: usize| joined.find(node) == joined.find(n);
    // Unknowns: the grounded nodes that are not ground itself.
    let unknown: Vec<usize> = (0..n).filter(|&node| grounded(node) && to_ground[node].is_finite()).collect();
    let index = |node: u32| unknown.iter().position(|&other| other == node as usize);
    let m = unknown.len();
    let mut rows = vec![vec![0.0; 2 * m]; m];
    for (k, &node) in unknown.iter().enumerate() {
        rows[k][k] += to_ground[node];
        rows[k][m + k] = 1.0;
    }
    for (&(u, v), &g) in edges.iter().zip(conductance) {
        let (a, b) = (index(u), index(v));
        if u == v {
            continue;
        }
        for (own, other) in [(a, b), (b, a)] {
            if let Some(own) = own {
                rows[own][own] += g;
                if let Some(other) = other {
                    rows[own][other] -= g;
                }
            }
        }
    }
    for k in 0..m {
        let best = (k..m).max_by(|&a, &b| rows[a][k].abs().total_cmp(&rows[b][k].abs())).expect("at least one row");
        rows.swap(k, best);
        let pivot = rows[k].clone();
        for (i, row) in rows.iter_mut().enumerate() {
            let factor = if i == k { 0.0 } else { row[k] / pivot[k] };
            for (value, p) in row.iter_mut().zip(&pivot) {
                *value -= factor * p;
            }
            if i == k {
                row.iter_mut().for_each(|value| *value /= pivot[k]);
            }
        }
    }
    let mut inverse = vec![vec![None; n]; n];
    for a in (0..n).filter(|&a| grounded(a)) {
        for b in (0..n).filter(|&b| grounded(b)) {
            let at = (index(a as u32), index(b as u32));
            inverse[a][b] = Some(match at {
                (Some(i), Some(j)) => rows[i][m + j],
                _ => 0.0,
            });
        }
    }
    inverse
}

/// Fails unless two numbers agree to a part of `tolerance` of the larger, or are both infinite.
#[track_caller]
pub fn check_near(found: f64, expected: f64, tolerance: f64) {
    let near = found == expected || (found - expected).abs() <= tolerance * found.abs().max(expected.abs());
    assert!(near, "found {found:e}, expected {expected:e}");
}
