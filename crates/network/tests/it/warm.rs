//! New values in old memory: nothing is taken from the heap.

use crate::common::{ladder, noise};
use allocation_counter::measure;
use network::{EdgeChange, Factor, Pattern};

/// A ladder, and a grid with columns too long for the index list.
#[test]
fn new_values_take_no_memory() {
    let (n, edges) = ladder(1000);
    let grid: Vec<(u32, u32)> =
        (0..1600).flat_map(|node| [(node, node + 1), (node, node + 40)]).filter(|&(_, node)| node < 1600).collect();
    for (n, edges) in [(n, edges), (1600, grid)] {
        let pattern = Pattern::new(n, &edges, &[2, 3]);
        let mut noise = noise(29);
        let mut values = || -> Vec<f64> { edges.iter().map(|_| 0.1 + noise()).collect() };
        let (first, second) = (values(), values());
        let ground = pattern.kept_as_ground();
        let mut potentials = vec![0.0; n];
        let mut factor = Factor::new(&pattern, &first, &ground).expect("conductances");
        let mut inverse = factor.selected_inverse();
        let mut sum = 0.0;
        let warm = measure(|| {
            factor.refactor(&second, &ground).expect("conductances");
            inverse.update(&factor);
            for node in 0..n as u32 {
                sum += inverse.driving_point(node);
            }
            for (edge, &conductance) in second.iter().enumerate() {
                sum += inverse.worst_place(edge, 1.0 / conductance).driving_point + inverse.transfer(edge);
                sum += inverse.resistance_between_ends(edge);
            }
            let (u, v) = pattern.ends(7);
            (potentials[u as usize], potentials[v as usize]) = (1.0, -1.0);
            factor.solve(&mut potentials);
            let opened = EdgeChange::new(inverse.resistance_between_ends(7), -second[7]).expect("the ends are joined");
            for (node, &across) in potentials.iter().enumerate() {
                sum += opened.transfer_across(inverse.driving_point(node as u32), across, across);
            }
        });
        assert_eq!(warm.count_total, 0, "{warm:?}");
        assert!(sum.is_finite());
        // The counter counts: the same from the start takes memory.
        let cold = measure(|| drop(Factor::new(&pattern, &second, &ground)));
        assert!(cold.count_total > 0);
    }
}
