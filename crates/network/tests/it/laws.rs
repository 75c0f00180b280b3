//! Laws that every network of conductances obeys, on random networks, and a second opinion by full elimination.

use crate::common::{Union, check_near, dense_inverse, ladder, noise};
use network::{EdgeChange, Factor, Pattern};
use proptest::prelude::*;

#[derive(Debug, Clone)]
struct Network {
    n: usize,
    edges: Vec<(u32, u32)>,
    kept: Vec<u32>,
    conductance: Vec<f64>,
    to_ground: Vec<f64>,
}

impl Network {
    fn factor(&self) -> Factor {
        let pattern = Pattern::new(self.n, &self.edges, &self.kept);
        Factor::new(&pattern, &self.conductance, &self.to_ground).expect("conductances")
    }
}

/// Anything up to 40 nodes: loops, parallel edges, open edges, islands, several grounds, some of them perfect.
fn any_network() -> impl Strategy<Value = Network> {
    (2usize..=40).prop_flat_map(|n| {
        let node = 0..n as u32;
        let conductance = prop_oneof![1 => Just(0.0), 4 => (-2.0..2.0f64).prop_map(|e| 10f64.powf(e))];
        let edge = ((node.clone(), node.clone()), conductance);
        let ground = prop_oneof![
            12 => Just(0.0), 2 => (-2.0..2.0f64).prop_map(|e| 10f64.powf(e)), 1 => Just(f64::INFINITY)
        ];
        (prop::collection::vec(edge, 0..2 * n), prop::collection::vec(ground, n), prop::collection::vec(node, 0..4))
            .prop_map(move |(edges, to_ground, kept)| {
                let (edges, conductance) = edges.into_iter().unzip();
                Network { n, edges, kept, conductance, to_ground }
            })
    })
}

/// A ladder of up to 40 nodes with some pieces missing.
fn any_ladder() -> impl Strategy<Value = Network> {
    (1usize..=10, any::<u64>(), 0.0..0.4f64).prop_map(|(sections, seed, missing)| {
        let (n, edges) = ladder(sections);
        let mut noise = noise(seed);
        let conductance = edges.iter().map(|_| if noise() < missing { 0.0 } else { 0.1 + 10.0 * noise() }).collect();
        let mut to_ground = vec![0.0; n];
        to_ground[2] = f64::INFINITY;
        to_ground[3] = 5.0;
        Network { n, edges, kept: vec![2, 3], conductance, to_ground }
    })
}

/// Every potential, driving-point and transfer resistance against the full inverse.
fn check_against_full_elimination(network: &Network) {
    const TOLERANCE: f64 = 1e-9; // what the assembled matrix holds
    let expected = dense_inverse(network.n, &network.edges, &network.conductance, &network.to_ground);
    let factor = network.factor();
    let inverse = factor.selected_inverse();
    for a in 0..network.n {
        assert_eq!(factor.is_grounded(a as u32), expected[a][a].is_some());
        let found = inverse.driving_point(a as u32);
        check_near(found, expected[a][a].unwrap_or(f64::INFINITY), TOLERANCE);
        let mut potentials = vec![0.0; network.n];
        potentials[a] = 1.0;
        factor.solve(&mut potentials);
        for b in 0..network.n {
            match expected[a][b] {
                Some(value) => {
                    let scale = TOLERANCE * expected[a][a].unwrap_or_default();
                    assert!((potentials[b] - value).abs() <= scale, "{a} {b}");
                }
                None if expected[b][b].is_some() => assert_eq!(potentials[b], 0.0),
                None => assert!(potentials[b].is_nan()),
            }
        }
    }
    for (edge, &(u, v)) in network.edges.iter().enumerate() {
        let (u, v) = (u as usize, v as usize);
        match (expected[u][v], expected[u][u], expected[v][v]) {
            (Some(uv), Some(uu), Some(vv)) => {
                let scale = TOLERANCE * (uu + vv);
                assert!((inverse.transfer(edge) - uv).abs() <= scale);
                let between = inverse.resistance_between_ends(edge);
                assert!((between - (uu + vv - 2.0 * uv)).abs() <= scale);
            }
            _ => assert_eq!(inverse.transfer(edge), f64::INFINITY),
        }
    }
}

/// Foster's theorem (1949) [calc]: over all edges, ground's among them, conductance times the resistance between its
/// ends sums to the number of nodes less the number of separate parts.
fn check_foster(network: &Network, tolerance: f64) {
    let factor = network.factor();
    let inverse = factor.selected_inverse();
    let mut parts = Union::new(network.n + 1);
    let mut rank = 0;
    let mut join = |a: usize, b: usize| {
        rank += usize::from(parts.find(a) != parts.find(b));
        parts.join(a, b);
    };
    let (mut by_differences, mut by_entries) = (0.0, 0.0);
    for (edge, (&(u, v), &g)) in network.edges.iter().zip(&network.conductance).enumerate() {
        if g > 0.0 {
            join(u as usize, v as usize);
            let between = inverse.resistance_between_ends(edge);
            by_differences += g * between;
            by_entries += g * if factor.is_grounded(u) {
                inverse.driving_point(u) + inverse.driving_point(v) - 2.0 * inverse.transfer(edge)
            } else {
                between
            };
        }
    }
    for (node, &g) in network.to_ground.iter().enumerate() {
        if g > 0.0 {
            join(node, network.n);
            // The edge to a perfect ground carries all current put in at its end: g·Z is 1.
            let share = if g.is_infinite() { 1.0 } else { g * inverse.driving_point(node as u32) };
            by_differences += share;
            by_entries += share;
        }
    }
    check_near(by_differences, rank as f64, tolerance);
    check_near(by_entries, rank as f64, tolerance);
}

proptest! {
    #[test]
    fn random_networks_agree_with_full_elimination(network in any_network()) {
        check_against_full_elimination(&network);
    }

    #[test]
    fn ladders_agree_with_full_elimination(network in any_ladder()) {
        check_against_full_elimination(&network);
    }

    #[test]
    fn foster_on_random_networks(network in any_network()) {
        check_foster(&network, 1e-12);
    }

    /// Rayleigh's monotonicity law: more conductance anywhere never raises a resistance.
    #[test]
    fn rayleigh(network in any_network(), at in any::<prop::sample::Index>(), more in 1e-3..1e3f64) {
        let before = network.factor().selected_inverse();
        let mut stronger = network.clone();
        let place = at.index(network.edges.len() + network.n);
        match stronger.conductance.get_mut(place) {
            Some(edge) => *edge += more,
            None => stronger.to_ground[place - network.edges.len()] += more,
        }
        let after = stronger.factor().selected_inverse();
        let not_raised = |after: f64, before: f64| after <= before * (1.0 + 1e-12);
        for node in 0..network.n as u32 {
            prop_assert!(not_raised(after.driving_point(node), before.driving_point(node)));
        }
        for edge in 0..network.edges.len() {
            let (after, before) = (after.resistance_between_ends(edge), before.resistance_between_ends(edge));
            prop_assert!(not_raised(after, before), "{after} after {before}");
        }
    }

    /// The worst place of an edge is a node where the edge is cut in two there, and no other place is worse.
    #[test]
    fn worst_places(network in any_network(), at in any::<prop::sample::Index>(), elsewhere in 0.01..0.99f64) {
        let closed: Vec<usize> = (0..network.edges.len()).filter(|&edge| network.conductance[edge] > 0.0).collect();
        if closed.is_empty() {
            return Ok(());
        }
        let edge = closed[at.index(closed.len())];
        let whole = network.conductance[edge];
        let worst = network.factor().selected_inverse().worst_place(edge, 1.0 / whole);
        let cut_at = |fraction: f64| {
            let mut cut = network.clone();
            let (u, v) = network.edges[edge];
            let between = cut.n as u32;
            cut.n += 1;
            cut.to_ground.push(0.0);
            (cut.edges[edge], cut.conductance[edge]) = ((u, between), whole / fraction);
            cut.edges.push((between, v));
            cut.conductance.push(whole / (1.0 - fraction));
            cut.factor().selected_inverse().driving_point(between)
        };
        prop_assert!((0.0..=1.0).contains(&worst.fraction));
        check_near(cut_at(worst.fraction.clamp(1e-13, 1.0 - 1e-13)), worst.driving_point, 1e-9);
        prop_assert!(cut_at(elsewhere) <= worst.driving_point * (1.0 + 1e-9));
    }

    /// The closed forms for one changed edge against a factor made anew.
    #[test]
    fn one_changed_edge(network in any_network(), at in any::<prop::sample::Index>(), part in 0.0..3.0f64) {
        if network.edges.is_empty() {
            return Ok(());
        }
        let edge = at.index(network.edges.len());
        let (u, v) = network.edges[edge];
        let mut factor = network.factor();
        let before = factor.selected_inverse();
        // Weaker for parts below 1, 0 takes it away altogether; an open edge is closed.
        let old = network.conductance[edge];
        let new = if old > 0.0 && part < 0.5 { 0.0 } else if old > 0.0 { old * part } else { part };
        let change = EdgeChange::new(before.resistance_between_ends(edge), new - old);
        let mut conductance = network.conductance.clone();
        conductance[edge] = new;
        let column = |factor: &Factor, node: u32| {
            let mut potentials = vec![0.0; network.n];
            potentials[node as usize] = 1.0;
            factor.solve(&mut potentials);
            potentials
        };
        let (z_u, z_v) = (column(&factor, u), column(&factor, v));
        factor.refactor(&conductance, &network.to_ground).expect("conductances");
        let after = factor.selected_inverse();
        let Some(change) = change else {
            prop_assert_eq!(before.resistance_between_ends(edge), f64::INFINITY);
            return Ok(());
        };
        check_near(change.resistance_between_ends(), after.resistance_between_ends(edge), 1e-6);
        prop_assert_eq!(change.cuts(), after.resistance_between_ends(edge).is_infinite());
        for a in 0..network.n {
            let z = before.driving_point(a as u32);
            if z.is_finite() && z_u[a].is_finite() && z_v[a].is_finite() {
                let expected = after.driving_point(a as u32);
                let found = change.driving_point(z, z_u[a], z_v[a]);
                let near = found == expected || (found - expected).abs() <= 1e-6 * (expected + z);
                prop_assert!(near, "node {}: {} for {}", a, found, expected);
            }
        }
    }
}

/// Everyone joined to nearly everyone: columns far longer than the index list takes.
#[test]
fn a_dense_network_agrees_with_full_elimination() {
    let n = 70;
    let mut noise = noise(23);
    let edges: Vec<(u32, u32)> =
        (0..n as u32).flat_map(|u| (0..u).map(move |v| (u, v))).filter(|_| noise() < 0.8).collect();
    let conductance = edges.iter().map(|_| 0.1 + 10.0 * noise()).collect();
    let mut to_ground = vec![0.0; n];
    (to_ground[3], to_ground[9]) = (f64::INFINITY, 0.5);
    let network = Network { n, edges, kept: vec![3], conductance, to_ground };
    check_against_full_elimination(&network);
    check_foster(&network, 1e-12);
}

#[test]
fn foster_on_a_long_ladder() {
    let (n, edges) = ladder(5000);
    let mut noise = noise(7);
    let conductance = edges.iter().map(|_| 10f64.powf(3.0 * noise())).collect();
    let mut to_ground = vec![0.0; n];
    to_ground[2] = f64::INFINITY;
    to_ground[n - 1] = 1e-12;
    check_foster(&Network { n, edges, kept: vec![2], conductance, to_ground }, 1e-12);
}

/// The resistance between two ends keeps its digits where the whole network depends on next to nothing: the same ladder
/// with a perfect ground is the reference, for between two nodes of a part with one ground the ground plays no role.
#[test]
fn resistances_between_ends_do_not_depend_on_the_one_leak() {
    let (n, edges) = ladder(300);
    let mut noise = noise(3);
    let conductance: Vec<f64> = edges.iter().map(|_| 10f64.powf(3.0 * noise())).collect();
    let pattern = Pattern::new(n, &edges, &[0]);
    let inverse = |value: f64| {
        let mut to_ground = vec![0.0; n];
        to_ground[0] = value;
        Factor::new(&pattern, &conductance, &to_ground).expect("conductances").selected_inverse()
    };
    let expected = inverse(f64::INFINITY);
    for leak in [0.0, 1e-12, 1.0] {
        let found = inverse(leak);
        for edge in 0..edges.len() {
            check_near(found.resistance_between_ends(edge), expected.resistance_between_ends(edge), 1e-12);
        }
    }
}
