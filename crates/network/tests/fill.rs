//! How much the elimination makes, counted, and that a second run takes no new memory.

mod common;

use common::{ladder, noise};
use network::{Factor, Pattern};

/// The fill of ladders grows with their length: as many entries per section on a long one as on a short one.
#[test]
fn fill_of_ladders_grows_linearly() {
    let per_node: Vec<f64> = [250, 500, 1000, 2000, 4000, 25_000]
        .map(|sections| {
            let (n, edges) = ladder(sections);
            // A pole at each end of each line.
            let kept: Vec<u32> = (0..4).chain(n as u32 - 4..n as u32).collect();
            let pattern = Pattern::new(n, &edges, &kept);
            pattern.entry_count() as f64 / n as f64
        })
        .to_vec();
    for &ratio in &per_node {
        assert!(ratio < 3.0, "{per_node:?}");
        assert!((ratio / per_node[0] - 1.0).abs() < 0.05, "{per_node:?}");
    }
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

/// A star with more rays than the ordering takes for a dense row, lone nodes, and a node joined to all: the places where
/// an ordering library can stumble.
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
