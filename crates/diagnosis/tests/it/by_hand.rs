//! Halving by hand, as a careful builder does it without a program: along the shortest way from the pole to the place, each reading held
//! against twice what it should be.

use crate::player::Bench;
use circuit::{EdgeId, NodeId};
use diagnosis::{Conditions, Element, Hunt, Kit, Measurement, Running, Value};
use oracle::drawn::Layout;
use std::collections::{BTreeMap, BTreeSet};

/// A hunt by hand: the element it names, if any, and how many readings it took.
pub fn by_hand(hunt: &Hunt, bench: &mut Bench<'_>, kit: Kit) -> (Option<Element>, usize) {
    let meant = bench.meant;
    let usual = Layout::with_ohms(meant, |edge| hunt.parts[1][edge].mean);
    let setting = meant.complete(&[]);
    let mut readings = 0;
    let tracks: Vec<usize> = (0..meant.tracks).filter(|&t| bench.goes(hunt, t, &setting) != Running::Well).collect();
    for track in tracks.iter().copied().chain((0..meant.tracks).filter(|t| !tracks.contains(t))) {
        for side in 0..2 {
            let Some(stop) = meant.segments[track].rails[side].stops.last() else { continue };
            for pole in meant.breakers.iter().flat_map(|b| b.node) {
                let Some(way) = way(meant, &setting, pole, stop.before) else { continue };
                let mut bad = |node: NodeId, readings: &mut usize| {
                    *readings += 1;
                    let due = usual.ohms([pole, node], &setting, &BTreeSet::new(), false).unwrap_or(f64::INFINITY);
                    let measurement = Measurement {
                        kit,
                        conditions: Conditions { powered: false, setting: setting.clone(), pulled: BTreeSet::new() },
                        force: [pole, node],
                        sense: [pole, node],
                    };
                    match bench.value(&measurement) {
                        Value::Ohms(ohms) => ohms > 2.0 * due + 0.15,
                        value => value == Value::Open && due < 1e4,
                    }
                };
                if readings >= 60 || !bad(stop.before, &mut readings) {
                    continue;
                }
                let (mut well, mut wrong) = (0, way.len());
                while wrong - well > 1 && readings < 60 {
                    let middle = (well + wrong) / 2;
                    if bad(way[middle - 1].1, &mut readings) { wrong = middle } else { well = middle }
                }
                return (Some(Element::Edge(way[wrong - 1].0)), readings);
            }
        }
    }
    (None, readings)
}

/// The way of least resistance, by its edges and the nodes behind them (Dijkstra).
fn way(meant: &circuit::Circuit, setting: &[Option<u8>], from: NodeId, to: NodeId) -> Option<Vec<(EdgeId, NodeId)>> {
    let neighbours = meant.neighbours();
    let mut best: BTreeMap<NodeId, (f64, Option<(EdgeId, NodeId)>)> = BTreeMap::from([(from, (0.0, None))]);
    let mut due = BTreeSet::from([(0_u64, from)]);
    while let Some((_, node)) = due.pop_first() {
        let here = best[&node].0;
        for &(next, edge) in &neighbours[node] {
            let edge_of = &meant.edges[edge];
            if !edge_of.is_closed(setting) || edge_of.kind == circuit::EdgeKind::Source {
                continue;
            }
            let there = here + edge_of.ohms.typical;
            if best.get(&next).is_none_or(|b| there < b.0) {
                best.insert(next, (there, Some((edge, node))));
                due.insert(((there * 1e9) as u64, next));
            }
        }
    }
    let mut way = Vec::new();
    let mut at = to;
    while at != from {
        let (edge, before) = best.get(&at)?.1?;
        way.push((edge, at));
        at = before;
    }
    way.reverse();
    Some(way)
}
