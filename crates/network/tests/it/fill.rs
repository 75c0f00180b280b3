//! How much the elimination makes, counted, and that a second run takes no new memory.

use crate::common::{check_near, ladder, noise, radial};
use allocation_counter::measure;
use network::{Factor, Pattern};

type Network = fn(usize) -> (usize, Vec<(u32, u32)>);

/// Work and memory grow with the length of the network and no faster: entries and steps of the index list, which are
/// all that a factorisation and a selected inverse walk over, and the bytes in use while everything is made from the
/// edges.
#[test]
fn work_and_memory_grow_linearly() {
    let networks: [(Network, f64, f64); 2] = [(radial, 1.2, 0.2), (|n| ladder(n / 4), 3.0, 4.5)];
    for (network, most_entries, most_steps) in networks {
        let counts = [4_000, 16_000, 64_000, 256_000, 1_000_000].map(|n| {
            let (n, edges) = network(n);
            let conductance = vec![1.0; edges.len()];
            let mut counts = (0, 0);
            // A pole at each end of each line.
            let kept: Vec<u32> = (0..4).chain(n as u32 - 4..n as u32).collect();
            let memory = measure(|| {
                let pattern = Pattern::new(n, &edges, &kept);
                let factor = Factor::new(&pattern, &conductance, &pattern.kept_as_ground()).expect("conductances");
                drop(factor.selected_inverse());
                counts = (pattern.entry_count(), pattern.step_count());
            });
            [counts.0 as f64, counts.1 as f64, memory.bytes_max as f64].map(|count| count / n as f64)
        });
        for per_node in counts {
            assert!(per_node[0] < most_entries && per_node[1] < most_steps && per_node[2] < 250.0, "{counts:?}");
            for (here, first) in per_node.into_iter().zip(counts[0]) {
                assert!(here < 1.05 * first, "{counts:?}");
            }
        }
    }
}

/// A tree far deeper than leaves are taken off in one go: at most an entry more for each node.
#[test]
fn deep_trees_have_little_fill() {
    let line: Vec<(u32, u32)> = (1..100_000).map(|node| (node - 1, node)).collect();
    let pattern = Pattern::new(100_000, &line, &[0]);
    assert!(pattern.entry_count() < 200_000, "{}", pattern.entry_count());
    assert!(pattern.step_count() < 100_000, "{}", pattern.step_count());
}

/// Two hubs with a thousand chains between them, a ring, and rings that depend on each other by a node.
#[test]
fn hubs_and_rings() {
    let chains: Vec<(u32, u32)> =
        (0..1000).flat_map(|k| [(0, 2 + 2 * k), (2 + 2 * k, 3 + 2 * k), (3 + 2 * k, 1)]).collect();
    let pattern = Pattern::new(2002, &chains, &[0]);
    let inverse = Factor::new(&pattern, &vec![1.0; 3000], &pattern.kept_as_ground()).expect("conductances");
    check_near(inverse.selected_inverse().driving_point(1), 0.003, 1e-12);
    assert!(pattern.entry_count() <= 4002, "{}", pattern.entry_count());
    for length in [2u32, 3, 4, 63, 64, 65, 66, 1000] {
        let ring: Vec<(u32, u32)> = (0..length).map(|node| (node, (node + 1) % length)).collect();
        let pattern = Pattern::new(length as usize, &ring, &[]);
        assert!(pattern.entry_count() < 2 * ring.len(), "{length}: {}", pattern.entry_count());
    }
    let rings: Vec<(u32, u32)> =
        (0..500).flat_map(|k| [(2 * k, 2 * k + 1), (2 * k + 1, 2 * k + 2), (2 * k, 2 * k + 2)]).collect();
    assert!(Pattern::new(1001, &rings, &[]).entry_count() < 2 * 1001);
}

#[test]
fn kept_nodes_come_last_in_the_order_given() {
    let (n, edges) = ladder(30);
    let pattern = Pattern::new(n, &edges, &[17, 0, 99, 17]);
    assert_eq!(pattern.kept(), [17, 0, 99]);
    let mut order = pattern.elimination_order().to_vec();
    assert_eq!(order[n - 3..], [17, 0, 99]);
    order.sort_unstable();
    assert!(order.iter().copied().eq(0..n as u32));
}

/// A tree is eliminated from its leaves: not one edge more than it has.
#[test]
fn a_tree_has_no_fill() {
    let mut noise = noise(11);
    let edges: Vec<(u32, u32)> = (1..2000u32).map(|node| (node, (f64::from(node) * noise()) as u32)).collect();
    let pattern = Pattern::new(2000, &edges, &[]);
    assert_eq!(pattern.entry_count(), edges.len());
}

/// A star with more rays than the ordering takes for a dense row, lone nodes, and a node joined to all: the places
/// where an ordering library can stumble.
#[test]
fn awkward_patterns() {
    let star: Vec<(u32, u32)> = (1..500).map(|ray| (0, ray)).collect();
    assert_eq!(Pattern::new(700, &star, &[]).entry_count(), 499);
    assert_eq!(Pattern::new(700, &star, &[0]).entry_count(), 499);
    assert_eq!(Pattern::new(50, &[], &[]).entry_count(), 0);
    assert_eq!(Pattern::new(1, &[(0, 0)], &[]).entry_count(), 0);
    let everyone: Vec<(u32, u32)> = (0..30).flat_map(|u| (0..30).map(move |v| (u, v))).collect();
    assert_eq!(Pattern::new(30, &everyone, &[4]).entry_count(), 30 * 29 / 2);
}

/// New values in an old factor give what a new factor gives, to the last bit, whatever was in it.
#[test]
fn a_second_run_leaves_nothing_of_the_first() {
    let (n, edges) = ladder(200);
    let pattern = Pattern::new(n, &edges, &[2]);
    let ground = pattern.kept_as_ground();
    let mut noise = noise(5);
    let mut values = || -> Vec<f64> { edges.iter().map(|_| if noise() < 0.1 { 0.0 } else { noise() }).collect() };
    let (first, second) = (values(), values());
    let mut used = Factor::new(&pattern, &first, &ground).expect("conductances");
    used.refactor(&second, &ground).expect("conductances");
    let new = Factor::new(&pattern, &second, &ground).expect("conductances");
    let (used_inverse, new_inverse) = (used.selected_inverse(), new.selected_inverse());
    for node in 0..n as u32 {
        assert_eq!(used.island(node), new.island(node));
        assert_eq!(used_inverse.driving_point(node).to_bits(), new_inverse.driving_point(node).to_bits());
    }
}
