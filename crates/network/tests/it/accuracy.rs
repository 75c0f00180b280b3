//! 100,000 positions to 1e-12, against figures worked out with 40 digits in other ways.

use crate::common::exact::{Block, Exact, block, inverse};
use crate::common::{ladder, noise};
use network::{Factor, Pattern, SelectedInverse};

const POSITIONS: usize = 40_000;
const TOLERANCE: f64 = 1e-12;

/// Conductances spread over three decades, the same every time.
fn spread(edges: usize) -> Vec<f64> {
    let mut noise = noise(17);
    (0..edges).map(|_| 10f64.powf(3.0 * noise())).collect()
}

fn selected_inverse(n: usize, edges: &[(u32, u32)], kept: &[u32], conductance: &[f64]) -> SelectedInverse {
    let pattern = Pattern::new(n, edges, kept);
    Factor::new(&pattern, conductance, &pattern.kept_as_ground()).expect("conductances").selected_inverse()
}

/// Fails when any of the figures is off by more than the tolerance; says how far the worst one is off.
#[track_caller]
fn check(what: &str, figures: impl Iterator<Item = (f64, Exact)>) {
    let worst = figures.map(|(found, expected)| expected.error_of(found).abs()).fold(0.0, f64::max);
    println!("{what}: {worst:.2e}");
    assert!(worst <= TOLERANCE, "{what}: {worst:e}");
}

/// A tree: the sum of the resistances on the way [calc]. A line with twigs, as deep as trees get; equal resistances are
/// the hardest, for their rounding errors all go one way.
#[test]
fn a_tree() {
    for equal in [true, false] {
        let edges: Vec<(u32, u32)> =
            (1..POSITIONS as u32).map(|node| (if node % 3 == 0 { node - 3 } else { node - 1 }, node)).collect();
        let conductance = if equal { vec![10.0; edges.len()] } else { spread(edges.len()) };
        let inverse = selected_inverse(POSITIONS, &edges, &[0], &conductance);
        let mut way = vec![Exact::zero()];
        for (&(before, _), &g) in edges.iter().zip(&conductance) {
            way.push(way[before as usize].clone() + Exact::from_f64(1.0) / Exact::from_f64(g));
        }
        let figures = way.into_iter().enumerate().skip(1);
        check("a tree", figures.map(|(node, expected)| (inverse.driving_point(node as u32), expected)));
    }
}

/// A ring fed at one place: the way there beside the way round [calc].
#[test]
fn a_ring() {
    for equal in [true, false] {
        let edges: Vec<(u32, u32)> = (0..POSITIONS as u32).map(|node| (node, (node + 1) % POSITIONS as u32)).collect();
        let conductance = if equal { vec![10.0; edges.len()] } else { spread(edges.len()) };
        let inverse = selected_inverse(POSITIONS, &edges, &[0], &conductance);
        let ohms = |edge: usize| Exact::from_f64(1.0) / Exact::from_f64(conductance[edge]);
        let all = (0..POSITIONS).map(ohms).fold(Exact::zero(), |a, b| a + b);
        let beside = |way: Exact| way.clone() * (all.clone() - way) / all.clone();
        let mut way = Exact::zero();
        let nodes = (1..POSITIONS).map(|node| {
            way = way.clone() + ohms(node - 1);
            (inverse.driving_point(node as u32), beside(way.clone()))
        });
        check("a ring, nodes", nodes);
        let edges = (0..POSITIONS).map(|edge| (inverse.resistance_between_ends(edge), beside(ohms(edge))));
        check("a ring, edges", edges);
        let mut start = Exact::zero();
        let half = all.clone() / Exact::from_f64(2.0);
        let worst = (0..POSITIONS).map(|edge| {
            let end = start.clone() + ohms(edge);
            // Nearest to half way round.
            let place = if end < half {
                end.clone()
            } else if start > half {
                start.clone()
            } else {
                half.clone()
            };
            start = end;
            (inverse.worst_place(edge, 1.0 / conductance[edge]).driving_point, beside(place))
        });
        check("a ring, worst places", worst);
    }
}

/// Two rails and their bus wires, fed at the start: section by section from both ends, in blocks of four [calc: with
/// `D` the block of a section and `C` the conductances to the next one, `S = D − C·S'⁻¹·C` gives what a section sees of
/// everything on one side of it].
fn check_ladder(values: impl Fn(usize) -> Vec<f64>) {
    let (n, edges) = ladder(POSITIONS / 4);
    let conductance = values(edges.len());
    let found = selected_inverse(n, &edges, &[2, 3], &conductance);
    let sections = n / 4;
    let mut own: Vec<Block> = vec![block(|_, _| Exact::zero()); sections];
    let mut next: Vec<[Exact; 4]> = vec![std::array::from_fn(|_| Exact::zero()); sections];
    for (&(u, v), &g) in edges.iter().zip(&conductance) {
        let [(a, i), (b, j)] = [u, v].map(|node| (node as usize / 4, node as usize % 4));
        let g = Exact::from_f64(g);
        own[a][i][i] = own[a][i][i].clone() + g.clone();
        own[b][j][j] = own[b][j][j].clone() + g.clone();
        if a == b {
            own[a][i][j] = own[a][i][j].clone() - g.clone();
            own[a][j][i] = own[a][j][i].clone() - g;
        } else {
            next[a][i] = g;
        }
    }
    // The poles are ground: far more than anything else joins them to it (10 digits more than are asked for).
    for pole in [2, 3] {
        own[0][pole][pole] = own[0][pole][pole].clone() + Exact::from_f64(1e27);
    }
    let less = |of: &Block, seen: &Block, joint: &[Exact; 4]| {
        let seen = inverse(seen);
        block(|i, j| of[i][j].clone() - joint[i].times(&seen[i][j]).times(&joint[j]))
    };
    let mut from_start = vec![own[0].clone()];
    for k in 1..sections {
        from_start.push(less(&own[k], &from_start[k - 1], &next[k - 1]));
    }
    let mut from_end = own.clone();
    for k in (0..sections - 1).rev() {
        from_end[k] = less(&own[k], &from_end[k + 1], &next[k]);
    }
    let figures = (0..sections).flat_map(|k| {
        let seen = block(|i, j| from_start[k][i][j].clone() + from_end[k][i][j].clone() - own[k][i][j].clone());
        let z = inverse(&seen);
        [0, 1, 2, 3].map(|i| (4 * k + i, z[i][i].clone()))
    });
    let figures = figures.filter(|(node, _)| *node != 2 && *node != 3);
    check("a ladder", figures.map(|(node, expected)| (found.driving_point(node as u32), expected)));
}

#[test]
fn a_ladder_of_equal_pieces() {
    check_ladder(|edges| vec![10.0; edges]);
}

#[test]
fn a_ladder_of_different_pieces() {
    check_ladder(spread);
}
