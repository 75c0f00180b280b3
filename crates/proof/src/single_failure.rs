//! Each sliding joint, blade, contact, tap and feeder open, one at a time: what goes dead, on which ways?
//!
//! On one way with everything not on it open, what depends on a single edge is what a bridge of the closed graph
//! parts from the poles. All bridges of a graph come out of one walk, so no circuit is proved anew.

use circuit::{Circuit, EdgeId, Neighbours, NodeId, SegmentId, Way};
use std::collections::{BTreeMap, BTreeSet};

/// What goes dead when one joint, contact, tap or feeder opens.
#[derive(Clone, Debug, PartialEq)]
pub struct SingleFailure {
    /// The edge that opens.
    pub edge: EdgeId,
    /// Metres of rail that are then dead under a train on some way, both rails counted.
    pub dead_metres: f64,
    /// The same by segment.
    pub segments: Vec<(SegmentId, f64)>,
    /// Ways it matters to, by their index in the list.
    pub ways: Vec<usize>,
}

/// All single failures (N−1 contingencies) that leave rail dead, over a list of ways, those that take most rail with them first; what others leave of
/// a fault current is `electrics::failures`. A bus pole that dies with all it feeds
/// is one of them. What is dead anyway is not counted.
pub fn single_failures(circuit: &Circuit, ways: &[Way]) -> Vec<SingleFailure> {
    let neighbours = circuit.neighbours();
    let mut of_edge: BTreeMap<EdgeId, (BTreeMap<SegmentId, f64>, BTreeSet<usize>)> = BTreeMap::new();
    for (index, way) in ways.iter().enumerate() {
        let mut setting = vec![None; circuit.controls.len()];
        way.setting.iter().for_each(|(&control, &position)| setting[control] = Some(position));
        let walk = walk(circuit, &neighbours, &setting);
        // Rail under the train by the place of its far node in the walk.
        let mut rail: Vec<(u32, SegmentId, f64)> = Vec::new();
        let segments: BTreeSet<SegmentId> = way.steps.iter().map(|s| s.0).collect();
        for segment in segments {
            for line in &circuit.segments[segment].rails {
                for (&piece, stops) in line.pieces.iter().zip(line.stops.windows(2)) {
                    let edge = &circuit.edges[piece];
                    let place = [edge.a, edge.b].iter().filter_map(|&n| walk.place[n]).max();
                    if let Some(place) = place {
                        rail.push((place, segment, stops[1].x - stops[0].x));
                    }
                }
            }
        }
        rail.sort_by(|x, y| (x.0, x.1).cmp(&(y.0, y.1)).then(x.2.total_cmp(&y.2)));
        for &(edge, from, to) in &walk.bridges {
            if !circuit.edges[edge].kind.can_open() {
                continue;
            }
            let start = rail.partition_point(|r| r.0 < from);
            let mut here: BTreeMap<SegmentId, f64> = BTreeMap::new();
            for &(_, segment, metres) in rail[start..].iter().take_while(|r| r.0 < to) {
                *here.entry(segment).or_default() += metres;
            }
            if here.is_empty() {
                continue;
            }
            let slot = of_edge.entry(edge).or_default();
            for (segment, metres) in here {
                let known = slot.0.entry(segment).or_default();
                *known = known.max(metres);
            }
            slot.1.insert(index);
        }
    }
    let mut found: Vec<SingleFailure> = of_edge
        .into_iter()
        .map(|(edge, (segments, ways))| SingleFailure {
            edge,
            dead_metres: segments.values().sum(),
            segments: segments.into_iter().collect(),
            ways: ways.into_iter().collect(),
        })
        .collect();
    found.sort_by(|a, b| b.dead_metres.total_cmp(&a.dead_metres).then(a.edge.cmp(&b.edge)));
    found
}

/// A depth-first walk from all poles at once.
struct PoleWalk {
    /// When each node was met; none where no pole is joined to it.
    place: Vec<Option<u32>>,
    /// Bridges, and the places of what lies behind each: from, and up to.
    bridges: Vec<(EdgeId, u32, u32)>,
}

fn walk(circuit: &Circuit, neighbours: &Neighbours, setting: &[Option<u8>]) -> PoleWalk {
    let count = circuit.nodes.len();
    let mut place: Vec<Option<u32>> = vec![None; count];
    // The low-link of each node: the earliest node that what lies behind it is joined to.
    let mut low = vec![0u32; count];
    let mut bridges = Vec::new();
    let mut next = 0u32;
    let poles: BTreeSet<NodeId> = circuit.sources.iter().flat_map(|s| s.node).collect();
    for pole in circuit.sources.iter().flat_map(|s| s.node) {
        if place[pole].is_some() {
            continue;
        }
        place[pole] = Some(next);
        low[pole] = next;
        next += 1;
        let mut stack: Vec<(NodeId, Option<EdgeId>, usize)> = vec![(pole, None, 0)];
        while let Some((node, by, at)) = stack.last_mut() {
            let (node, by) = (*node, *by);
            let Some(&(to, edge)) = neighbours[node].get(*at) else {
                stack.pop();
                if let (Some((before, ..)), Some(edge)) = (stack.last(), by) {
                    let before = before.index();
                    low[before] = low[before].min(low[node]);
                    let met = place[node].unwrap_or(0);
                    if low[node] == met {
                        bridges.push((edge, met, next));
                    }
                }
                continue;
            };
            *at += 1;
            if Some(edge) == by || !circuit.edges[edge].is_closed(setting) {
                continue;
            }
            match place[to] {
                Some(met) => low[node] = low[node].min(met),
                None => {
                    place[to] = Some(next);
                    // Another pole is fed by itself: nothing before it is its only path.
                    low[to] = if poles.contains(&to) { 0 } else { next };
                    next += 1;
                    stack.push((to, Some(edge), 0));
                }
            }
        }
    }
    PoleWalk { place, bridges }
}
