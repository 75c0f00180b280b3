//! Networks small enough to be worked out on paper.

use crate::common::check_near;
use network::{
    BadConductance, ConductanceAlgebra, ConductancePivot, EdgeChange, Eliminated, EliminationExtent, Factor, Pattern,
};

fn inverse_of(n: usize, edges: &[(u32, u32)], kept: &[u32], conductance: &[f64]) -> network::SelectedInverse {
    let pattern = Pattern::new(n, edges, kept);
    Factor::new(&pattern, conductance, &pattern.kept_as_ground()).expect("conductances").selected_inverse()
}

/// Kennelly's star-delta transformation [calc]: G_ab = G_a·G_b / (G_a + G_b + G_c).
#[test]
fn a_star_of_three_becomes_its_delta() {
    let pattern = Pattern::new(4, &[(3, 0), (3, 1), (3, 2)], &[0, 1, 2]);
    let mut star = Eliminated::new(&pattern, &ConductanceAlgebra);
    let node = |_| ConductancePivot { to_ground: 0.0, total: 0.0 };
    let (a, b, c) = (1.0, 2.0, 5.0);
    star.eliminate(&ConductanceAlgebra, &[a, b, c], node, EliminationExtent::UpToKept).expect("cannot fail");
    for (u, v, expected) in [(0, 1, a * b / 8.0), (1, 2, b * c / 8.0), (2, 0, c * a / 8.0)] {
        check_near(*star.edge(u, v).expect("filled"), expected, 1e-15);
    }
}

/// Rosen's star-mesh transformation [calc], with one ray of the star to ground.
#[test]
fn a_star_of_five_becomes_its_mesh_and_hands_on_its_ground() {
    let rays = [0.5, 1.0, 3.0, 7.0];
    let edges: Vec<(u32, u32)> = (0..4).map(|ray| (4, ray)).collect();
    let pattern = Pattern::new(5, &edges, &[0, 1, 2, 3]);
    let ground = |node| ConductancePivot { to_ground: if node == 4 { 0.25 } else { 0.0 }, total: 0.0 };
    let mut star = Eliminated::new(&pattern, &ConductanceAlgebra);
    star.eliminate(&ConductanceAlgebra, &rays, ground, EliminationExtent::UpToKept).expect("cannot fail");
    let total = 11.75;
    for u in 0..4 {
        for v in 0..u {
            let expected = rays[u] * rays[v] / total;
            let found = star.edge(u as u32, v as u32).expect("filled");
            check_near(*found, expected, 1e-15);
        }
    }
    // The same five nodes, now with rays 1–3 open: ray 0 in a row with the leak.
    let conductance = [0.5, 0.0, 0.0, 0.0];
    let to_ground = [0.0, 0.0, 0.0, 0.0, 0.25];
    let factor = Factor::new(&pattern, &conductance, &to_ground).expect("conductances");
    let inverse = factor.selected_inverse();
    check_near(inverse.driving_point(0), 2.0 + 4.0, 1e-15);
    assert_eq!(inverse.driving_point(1), f64::INFINITY);
}

/// A delta of three measured between its corners [calc]: r_ab beside (r_bc + r_ca).
#[test]
fn a_delta_between_its_corners() {
    // 1, 2 and 3 ohm; corner 2 grounded.
    let inverse = inverse_of(3, &[(0, 1), (1, 2), (2, 0)], &[2], &[1.0, 1.0 / 2.0, 1.0 / 3.0]);
    for (edge, expected) in [(0, 1.0 * 5.0 / 6.0), (1, 2.0 * 4.0 / 6.0), (2, 3.0 * 3.0 / 6.0)] {
        check_near(inverse.resistance_between_ends(edge), expected, 1e-15);
    }
    check_near(inverse.driving_point(0), 1.5, 1e-15);
    check_near(inverse.driving_point(1), 8.0 / 6.0, 1e-15);
    // Z_01 = (Z_00 + Z_11 − R_01) / 2.
    check_near(inverse.transfer(0), (1.5 + 8.0 / 6.0 - 5.0 / 6.0) / 2.0, 1e-15);
    assert_eq!(inverse.driving_point(2), 0.0);
    assert_eq!(inverse.transfer(1), 0.0);
}

/// A bridge in balance [calc]: the arm across carries nothing, whatever it is.
#[test]
fn a_balanced_bridge() {
    for across in [0.0, 1e-9, 1.0, 1e9] {
        let edges = [(0, 1), (0, 2), (1, 3), (2, 3), (1, 2)];
        let inverse = inverse_of(4, &edges, &[3], &[1.0, 2.0, 3.0, 6.0, across]);
        check_near(inverse.driving_point(0), 1.0 / (1.0 / (4.0 / 3.0) + 1.0 / (2.0 / 3.0)), 1e-14);
    }
}

/// Twelve equal edges of a cube [calc]: 5/6 over the long diagonal, 7/12 along an edge.
#[test]
fn a_cube_of_ohms() {
    let edges: Vec<(u32, u32)> =
        (0..8).flat_map(|node| [1, 2, 4].map(|bit| (node, node ^ bit))).filter(|(u, v)| u < v).collect();
    let inverse = inverse_of(8, &edges, &[0], &[1.0; 12]);
    check_near(inverse.driving_point(7), 5.0 / 6.0, 1e-14);
    for edge in 0..12 {
        check_near(inverse.resistance_between_ends(edge), 7.0 / 12.0, 1e-14);
    }
}

/// A triangle of joints of 1 kS that depends on a leak of 1e-12 S: the leak's resistance, to the last digits, and the
/// milliohms between the corners all the same.
#[test]
fn a_tiny_leak_beside_strong_joints() {
    let edges = [(0, 1), (1, 2), (2, 0)];
    for leak in [1e-6, 1e-9, 1e-12, 1e-30] {
        for kept in 0..3 {
            let pattern = Pattern::new(3, &edges, &[kept]);
            for at in 0..3 {
                let mut to_ground = [0.0; 3];
                to_ground[at] = leak;
                let factor = Factor::new(&pattern, &[1000.0; 3], &to_ground).expect("conductances");
                let inverse = factor.selected_inverse();
                check_near(inverse.driving_point(at as u32) * leak, 1.0, 1e-12);
                // On the way from u to the leak a current shares ohms of the triangle with one from v, unless one of
                // them is the leak's corner.
                let shared = |u: u32, v: u32| match (u, v) {
                    _ if u == at as u32 || v == at as u32 => 0.0,
                    _ if u == v => 2.0 / 3000.0,
                    _ => 1.0 / 3000.0,
                };
                for (edge, (u, v)) in edges.into_iter().enumerate() {
                    check_near(inverse.transfer(edge), 1.0 / leak + shared(u, v), 1e-12);
                    check_near(inverse.resistance_between_ends(edge), 2.0 / 3000.0, 1e-12);
                }
                let mut potentials = [1.0, 0.0, 0.0];
                factor.solve(&mut potentials);
                for (node, potential) in potentials.into_iter().enumerate() {
                    check_near(potential, 1.0 / leak + shared(0, node as u32), 1e-12);
                }
            }
        }
    }
}

#[test]
fn islands_are_named_and_the_rest_is_solved() {
    // 0–1 grounded at 1; 2–3–4 an island; 5 alone; 6–7 grounded by a leak; 4–0 and 5–6 open.
    let edges = [(0, 1), (2, 3), (3, 4), (6, 7), (4, 0), (5, 6), (3, 3)];
    let conductance = [1.0, 2.0, 4.0, 1.0, 0.0, 0.0, 9.0];
    let pattern = Pattern::new(8, &edges, &[1]);
    let mut to_ground = pattern.kept_as_ground();
    to_ground[7] = 0.5;
    let mut factor = Factor::new(&pattern, &conductance, &to_ground).expect("conductances");
    let grounded: Vec<bool> = (0..8).map(|node| factor.is_grounded(node)).collect();
    assert_eq!(grounded, [true, true, false, false, false, false, true, true]);
    let island = factor.island(2);
    assert!(matches!(island, Some(2..=4)), "{island:?}");
    assert_eq!((factor.island(3), factor.island(4)), (island, island));
    assert_eq!(factor.island(5), Some(5));

    let mut potentials = [3.0, 0.0, 1.0, 0.0, 0.0, 7.0, 1.0, 0.0];
    factor.solve(&mut potentials);
    assert_eq!(potentials[..2], [3.0, 0.0]);
    assert!(potentials[2..6].iter().all(|potential| potential.is_nan()));
    assert_eq!(potentials[6..], [3.0, 2.0]);

    let inverse = factor.selected_inverse();
    assert_eq!(inverse.driving_point(3), f64::INFINITY);
    assert_eq!(inverse.transfer(1), f64::INFINITY);
    assert_eq!(inverse.resistance_between_ends(1), 0.5);
    assert_eq!(inverse.resistance_between_ends(2), 0.25);
    assert_eq!(inverse.resistance_between_ends(4), f64::INFINITY);
    assert_eq!(inverse.resistance_between_ends(6), 0.0);

    // The switch 4–0 closes: no island but 5.
    let closed = [1.0, 2.0, 4.0, 1.0, 10.0, 0.0, 9.0];
    factor.refactor(&closed, &to_ground).expect("conductances");
    let named: Vec<u32> = (0..8).filter(|&node| !factor.is_grounded(node)).collect();
    assert_eq!(named, [5]);
    let far = factor.selected_inverse().driving_point(2);
    check_near(far, 1.0 + 0.1 + 0.25 + 0.5, 1e-15);
}

#[test]
fn what_is_no_conductance_is_refused_and_the_factor_stays() {
    let pattern = Pattern::new(2, &[(0, 1)], &[1]);
    let ground = pattern.kept_as_ground();
    let mut factor = Factor::new(&pattern, &[4.0], &ground).expect("conductances");
    for value in [-1.0, f64::NAN, f64::INFINITY, 1e-101, 1e101] {
        let found = factor.refactor(&[value], &ground);
        assert!(matches!(found, Err(BadConductance::OnEdge { edge: 0, .. })), "{found:?}");
    }
    let found = factor.refactor(&[1.0], &[-2.0, 0.0]);
    let expected = BadConductance::ToGround { node: 0, value: -2.0 };
    assert_eq!(found, Err(expected));
    assert_eq!(factor.selected_inverse().driving_point(0), 0.25);
}

#[test]
fn patterns_of_nothing_and_of_kept_nodes_only() {
    let empty = Pattern::new(0, &[], &[]);
    let factor = Factor::new(&empty, &[], &[]).expect("nothing to refuse");
    factor.solve(&mut []);
    let pattern = Pattern::new(3, &[(0, 1), (1, 0), (2, 2)], &[2, 0, 1, 0]);
    assert_eq!(pattern.kept(), [2, 0, 1]);
    assert_eq!(pattern.entry_count(), 1);
    let factor = Factor::new(&pattern, &[1.0, 3.0, 1.0], &[0.0, f64::INFINITY, 0.0]);
    let inverse = factor.expect("conductances").selected_inverse();
    assert_eq!(inverse.driving_point(0), 0.25);
    assert_eq!(inverse.driving_point(2), f64::INFINITY);
}

/// Taking away the only edge to a node cuts it off, and what is before the cut does not notice.
#[test]
fn taking_away_the_only_way_is_seen_as_a_cut() {
    // 0 –1 S– 1 –3 S– 2 = ground.
    let inverse = inverse_of(3, &[(0, 1), (1, 2)], &[2], &[1.0, 3.0]);
    let cut = EdgeChange::new(inverse.resistance_between_ends(0), -1.0).expect("joined");
    assert!(cut.cuts());
    assert_eq!(cut.resistance_between_ends(), f64::INFINITY);
    let (z00, z11, z01) = (inverse.driving_point(0), inverse.driving_point(1), inverse.transfer(0));
    assert_eq!(cut.driving_point(z00, z00, z01), f64::INFINITY);
    assert_eq!(cut.driving_point(z11, z01, z11), z11);
    assert_eq!(EdgeChange::new(f64::INFINITY, 1.0), None);
    assert_eq!(EdgeChange::new(1.0, f64::NAN), None);
    assert_eq!(EdgeChange::new(1.0, f64::NEG_INFINITY), None);
}

/// A dead short across one of two resistors in a row leaves the other; a negligible one leaves both.
#[test]
fn a_short_across_an_edge() {
    let inverse = inverse_of(3, &[(0, 1), (1, 2)], &[2], &[1.0, 4.0]);
    let (z00, z11, z01) = (inverse.driving_point(0), inverse.driving_point(1), inverse.transfer(0));
    let shorted = EdgeChange::new(inverse.resistance_between_ends(0), f64::INFINITY);
    let shorted = shorted.expect("joined");
    assert!(!shorted.cuts());
    assert_eq!(shorted.resistance_between_ends(), 0.0);
    assert_eq!(shorted.driving_point(z00, z00, z01), 0.25);
    assert_eq!(shorted.driving_point(z11, z01, z11), 0.25);
    assert_eq!(shorted.transfer(z01, [z00, z01], [z01, z11]), 0.25);
    let unchanged = EdgeChange::new(1.0, 0.0).expect("joined");
    assert_eq!(unchanged.driving_point(z00, z00, z01), z00);
    assert_eq!(unchanged.resistance_between_ends(), 1.0);
}
