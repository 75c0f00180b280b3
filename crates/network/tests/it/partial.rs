//! A few edges changed at a time: the same figures to the last bit as from everything anew, in the work of what depends on them.

use crate::common::{ladder, noise, radial};
use network::{Factor, PartialFactor, Pattern, SolveMemory, Touched};

/// Ladders, trees and a grid with columns too long for the index list; edges opened, closed and changed at random.
#[test]
fn amended_factors_give_the_figures_of_whole_ones_to_the_last_bit() {
    let grid: Vec<(u32, u32)> =
        (0..1600).flat_map(|node| [(node, node + 1), (node, node + 40)]).filter(|&(_, node)| node < 1600).collect();
    for (n, edges) in [ladder(60), radial(400), (1600, grid)] {
        let pattern = Pattern::shallow(n, &edges, &[2, 3]);
        let mut noise = noise(41);
        let mut values: Vec<f64> = edges.iter().map(|_| 0.1 + noise()).collect();
        let ground = pattern.kept_as_ground();
        let mut partial = PartialFactor::new(&pattern, &values, &ground).expect("conductances");
        let mut islands = 0;
        let mut whole = Factor::new(&pattern, &values, &ground).expect("conductances").selected_inverse();
        for round in 0..30 {
            let changes: Vec<(usize, f64)> = (0..1 + round % 6)
                .map(|_| {
                    let edge = (noise() * edges.len() as f64) as usize;
                    (edge, if noise() < 0.5 { 0.0 } else { 0.1 + noise() })
                })
                .collect();
            changes.iter().for_each(|&(edge, value)| values[edge] = value);
            let before = whole.clone();
            let mut touched = Touched::default();
            partial.amend(&changes, &mut touched).expect("conductances");
            whole = Factor::new(&pattern, &values, &ground).expect("conductances").selected_inverse();
            let nodes = if touched.everything { 0 } else { n as u32 };
            for node in 0..nodes {
                let position = pattern.position(node);
                let is_touched = touched.ranges().iter().any(|r| (r.0..=r.1).contains(&position));
                let same = before.driving_point(node).to_bits() == whole.driving_point(node).to_bits();
                assert!(is_touched || same, "node {node} changed unseen");
            }
            for _ in 0..40 {
                let (node, edge) = ((noise() * n as f64) as u32, (noise() * edges.len() as f64) as usize);
                let found = [partial.driving_point(node), partial.resistance_between_ends(edge)];
                let expected = [whole.driving_point(node), whole.resistance_between_ends(edge)];
                assert_eq!(found.map(f64::to_bits), expected.map(f64::to_bits), "{found:?} {expected:?}");
                islands += usize::from(expected[0].is_infinite());
            }
        }
        assert!(islands > 0 || n == 1600, "some were cut off");
    }
}

/// A bus that feeds a thousand tracks, each a rail in two pieces to the other bus, which is not ground; edges opened, closed and
/// changed. What comes out is what those values give, whatever was before, and what a whole factor gives but for rounding.
#[test]
fn rows_to_which_thousands_of_columns_add_forget_what_was_before() {
    let spokes = 1000_u32;
    let edges: Vec<(u32, u32)> =
        (0..spokes).flat_map(|k| [(0, 3 + 2 * k), (3 + 2 * k, 4 + 2 * k), (4 + 2 * k, 1)]).chain([(1, 2)]).collect();
    let n = 3 + 2 * spokes as usize;
    let pattern = Pattern::shallow(n, &edges, &[2]);
    let mut noise = noise(47);
    let mut values: Vec<f64> = edges.iter().map(|_| 0.1 + noise()).collect();
    let ground = pattern.kept_as_ground();
    let mut partial = PartialFactor::new(&pattern, &values, &ground).expect("conductances");
    for round in 0..40 {
        let changes: Vec<(usize, f64)> = (0..1 + round % 6)
            .map(|_| ((noise() * edges.len() as f64) as usize, if noise() < 0.3 { 0.0 } else { 0.1 + noise() }))
            .collect();
        changes.iter().for_each(|&(edge, value)| values[edge] = value);
        partial.amend(&changes, &mut Touched::default()).expect("conductances");
        let mut anew = PartialFactor::new(&pattern, &values, &ground).expect("conductances");
        let whole = Factor::new(&pattern, &values, &ground).expect("conductances").selected_inverse();
        for node in (0..n as u32).step_by(7) {
            let [amended, anew, whole] =
                [partial.driving_point(node), anew.driving_point(node), whole.driving_point(node)];
            assert_eq!(amended.to_bits(), anew.to_bits(), "node {node}: {amended} {anew}");
            assert!(amended == whole || (amended / whole - 1.0).abs() < 1e-12, "node {node}: {amended} {whole}");
        }
    }
}

/// Four times the network, hardly more columns for one edge and one place.
#[test]
fn one_edge_and_one_place_take_a_logarithm_of_the_network() {
    let columns = |sections: usize| {
        let (n, edges) = ladder(sections);
        let pattern = Pattern::shallow(n, &edges, &[2, 3]);
        assert!(pattern.entry_count() < 3 * edges.len(), "{} entries", pattern.entry_count());
        let values = vec![1.0; edges.len()];
        let mut partial = PartialFactor::new(&pattern, &values, &pattern.kept_as_ground()).expect("conductances");
        let before = partial.steps();
        for k in 1..20 {
            partial.amend(&[(k * edges.len() / 20, 0.5)], &mut Touched::default()).expect("a conductance");
            partial.driving_point((k * n / 20) as u32);
        }
        (partial.steps() - before) / 19
    };
    let (small, large) = (columns(500), columns(8000));
    assert!(large < 2 * small && large < 200, "{small} {large}");
}

/// Potentials of a few nodes are those of a whole solve, and no edge with as many volts as were asked for is missed.
#[test]
fn sparse_solves_agree_with_whole_ones() {
    for (n, edges) in [ladder(60), radial(400)] {
        let pattern = Pattern::shallow(n, &edges, &[2, 3]);
        let mut noise = noise(43);
        let values: Vec<f64> = edges.iter().map(|_| if noise() < 0.1 { 0.0 } else { 0.1 + noise() }).collect();
        let ground = pattern.kept_as_ground();
        let mut partial = PartialFactor::new(&pattern, &values, &ground).expect("conductances");
        let whole = Factor::new(&pattern, &values, &ground).expect("conductances");
        let mut memory = SolveMemory::new(&pattern);
        let (mut met_in_all, mut missed) = (0, 0);
        for _ in 0..40 {
            let (node, edge) = ((noise() * n as f64) as usize, (noise() * edges.len() as f64) as usize);
            let (u, v) = edges[edge];
            let mut volts = vec![0.0; n];
            (volts[u as usize], volts[v as usize]) = (1.0, -1.0);
            whole.solve(&mut volts);
            let found = partial.across(edge, &[node as u32, 7], &mut memory);
            for (found, expected) in found.iter().zip([volts[node], volts[7]]) {
                assert!((found - expected).abs() < 1e-12 || found.is_nan() && expected.is_nan(), "{found} {expected}");
            }
            let mut volts = vec![0.0; n];
            volts[node] = 1.0;
            whole.solve(&mut volts);
            let least = pattern.least_below(&vec![1e-2; edges.len()]);
            let mut met = std::collections::BTreeMap::new();
            let tree = pattern.search_tree(|_| true, |_| true);
            partial.search_from(
                node as u32,
                (&tree, &mut memory),
                |at, volts| volts > least[at],
                |edge, volts| {
                    met.insert(edge, volts);
                },
            );
            for (edge, &(u, v)) in edges.iter().enumerate().filter(|(edge, _)| values[*edge] > 0.0) {
                let expected = (volts[u as usize] - volts[v as usize]).abs();
                match met.get(&edge) {
                    Some(found) => assert!((found - expected).abs() < 1e-12, "{found} {expected}"),
                    None => {
                        assert!(expected.is_nan() || expected <= 1e-2 + 1e-12, "edge {edge} has {expected} V");
                        missed += 1;
                    }
                }
            }
            met_in_all += met.len();
        }
        assert!(met_in_all > 100 && missed > 100, "{met_in_all} {missed}");
    }
}
