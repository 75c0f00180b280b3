//! What depends on a single joint or contact, against opening each and walking again.

use crate::common::{DEMOS, demo, made, reached};
use circuit::{Circuit, EdgeKind, NodeId, ways::ways};
use std::collections::BTreeMap;

/// Metres of rail by segment that are under a train on a way and dead once an edge is open, but not before.
fn lost(circuit: &Circuit, way: &circuit::Way, open: usize, alive: &[bool]) -> BTreeMap<usize, f64> {
    let mut setting = vec![None; circuit.controls.len()];
    way.setting.iter().for_each(|(&c, &p)| setting[c] = Some(p));
    let poles: Vec<NodeId> = circuit.sources.iter().flat_map(|s| s.node).collect();
    let left = reached(circuit, &poles, |e| e != open && circuit.edges[e].is_closed(&setting));
    let mut lost = BTreeMap::new();
    let mut segments: Vec<usize> = way.steps.iter().map(|s| s.0).collect();
    segments.sort_unstable();
    segments.dedup();
    for segment in segments {
        for line in &circuit.segments[segment].rails {
            for stops in line.stops.windows(2) {
                let node = stops[0].after.index();
                if alive[node] && !left[node] {
                    *lost.entry(segment).or_insert(0.0) += stops[1].x - stops[0].x;
                }
            }
        }
    }
    lost
}

#[test]
fn single_failures_are_those_that_walking_finds() {
    use EdgeKind::{Blade, Contact, Feeder, SlidingJoint, Tap};
    for name in DEMOS {
        let circuit = made(&demo(name)).circuit;
        let all = ways(&circuit, 1000);
        assert!(all.complete);
        let told = proof::single_failures(&circuit, &all.list);
        assert!(told.windows(2).all(|w| w[0].dead_metres >= w[1].dead_metres), "{name}: worst first");
        let mut compared = 0;
        for edge in 0..circuit.edges.len() {
            if !matches!(circuit.edges[edge].kind, SlidingJoint | Blade | Contact | Tap | Feeder) {
                assert!(told.iter().all(|t| t.edge.index() != edge));
                continue;
            }
            let mut worst: BTreeMap<usize, f64> = BTreeMap::new();
            let mut on: Vec<usize> = Vec::new();
            for (index, way) in all.list.iter().enumerate() {
                let mut setting = vec![None; circuit.controls.len()];
                way.setting.iter().for_each(|(&c, &p)| setting[c] = Some(p));
                let poles: Vec<NodeId> = circuit.sources.iter().flat_map(|s| s.node).collect();
                let alive = reached(&circuit, &poles, |e| circuit.edges[e].is_closed(&setting));
                let lost = lost(&circuit, way, edge, &alive);
                if !lost.is_empty() {
                    on.push(index);
                }
                for (segment, metres) in lost {
                    let known = worst.entry(segment).or_insert(0.0);
                    *known = known.max(metres);
                }
            }
            let words = || format!("{name}: {}", circuit.edges[edge].name);
            let found = told.iter().find(|t| t.edge.index() == edge);
            assert_eq!(found.is_some(), !worst.is_empty(), "{}", words());
            if let Some(found) = found {
                compared += 1;
                assert_eq!(found.ways, on, "{}", words());
                assert_eq!(found.segments.len(), worst.len(), "{}", words());
                for (segment, metres) in &found.segments {
                    assert!((metres - worst[segment]).abs() < 1e-9, "{}", words());
                }
                assert!((found.dead_metres - worst.values().sum::<f64>()).abs() < 1e-9, "{}", words());
            }
        }
        assert!(compared > 0, "{name}: nothing hangs on a single piece");
    }
}
