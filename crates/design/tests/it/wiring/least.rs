//! The fewest gaps there can be, found by trying every set of places, held against what is proposed.
//!
//! Nothing here knows how a proposal is made. A set of gaps will do only if, in every setting, the rails can be put on two poles so
//! that a train gets both wherever it can be, and finds both sides of a gap alike where it runs over one: a system of equations
//! over two values for each setting, which union-find with parity decides. That leaves out what feeds the rails, so no proposal can have
//! fewer gaps.

use circuit::{Circuit, NodeId, RailOwner};
use plan::TrackEnd;
use plan::tables::RailSide;
use std::collections::BTreeMap;

/// Where a gap may be: which rail of which track, at which end.
type GapPlace = (usize, RailSide, usize);

/// Union-find with parity: which nodes are on one pole, which on different ones.
struct Poles {
    parent: Vec<usize>,
    odd: Vec<bool>,
    good: bool,
}

impl Poles {
    fn new(count: usize) -> Poles {
        Poles { parent: (0..count).collect(), odd: vec![false; count], good: true }
    }

    fn root(&self, mut at: usize) -> (usize, bool) {
        let mut odd = false;
        while self.parent[at] != at {
            odd ^= self.odd[at];
            at = self.parent[at];
        }
        (at, odd)
    }

    fn join(&mut self, a: NodeId, b: NodeId, differ: bool) {
        let ((a, x), (b, y)) = (self.root(a.index()), self.root(b.index()));
        if a == b {
            self.good &= (x ^ y) == differ;
        } else {
            self.parent[a] = b;
            self.odd[a] = x ^ y ^ differ;
        }
    }
}

/// The fewest gaps of a bare plan; none where it has more places than are tried.
pub(crate) fn fewest(bare: &str, most: usize) -> Option<usize> {
    let reading = plan::read(bare);
    let (plan, names) = (&reading.plan, &reading.names);
    let circuit = Circuit::from_plan(plan, names);
    let mut table: toml::Table = bare.parse().expect("a table");
    let mut places: Vec<GapPlace> = Vec::new();
    let tracks = table["track"].as_array_mut().expect("tracks");
    for (index, track) in tracks.iter_mut().enumerate() {
        let length = circuit.segments[index].length;
        let near = (length / 5.0).min(0.02);
        let mut gaps = Vec::new();
        for (end, x) in [near, length - near].into_iter().enumerate() {
            if circuit.segments[index].ends[end].next.iter().any(|n| n.0 >= circuit.tracks) {
                gaps.push(toml::Value::String(format!("{x} m")));
                places.extend(RailSide::ALL.map(|side| (index, side, end)));
            }
        }
        track.as_table_mut().expect("a track").insert("gaps".to_owned(), toml::Value::Array(gaps));
    }
    if places.len() > most {
        return None;
    }
    let text = toml::to_string(&table).expect("text");
    let reading = plan::read(&text);
    assert!(reading.understood(), "{:?}", reading.findings);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let settings: Vec<Vec<u8>> = oracle::settings(&circuit).collect();
    // Sets of places by their number.
    (0..=places.len()).find(|&count| {
        let mut chosen: Vec<usize> = (0..count).collect();
        loop {
            let cut: Vec<GapPlace> = chosen.iter().map(|&k| places[k]).collect();
            if settings.iter().all(|setting| will_do(&circuit, setting, &cut)) {
                return true;
            }
            // The next combination in order.
            let Some(place) = (0..count).rev().find(|&k| chosen[k] < places.len() - count + k) else { return false };
            chosen[place] += 1;
            for k in place + 1..count {
                chosen[k] = chosen[k - 1] + 1;
            }
        }
    })
}

fn will_do(circuit: &Circuit, setting: &[u8], cut: &[GapPlace]) -> bool {
    let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
    let set = |segment: usize| Circuit::holds(&circuit.segments[segment].guard, &positions);
    let mut poles = Poles::new(circuit.nodes.len());
    for edge in circuit.edges.iter().filter(|e| e.is_closed(&positions)) {
        poles.join(edge.a, edge.b, false);
    }
    let mut gaps: BTreeMap<(usize, usize, usize), [NodeId; 2]> = BTreeMap::new();
    for gap in circuit.gaps.iter().filter(|g| g.segment < circuit.tracks) {
        let end = usize::from(gap.x > circuit.segments[gap.segment].length / 2.0);
        gaps.insert((gap.segment, gap.side.index(), end), [gap.before, gap.after]);
    }
    // Whether a route at an end of a track is set, so that a train runs over what lies there.
    let open = |track: usize, end: usize| {
        let routes = circuit.segments[track].ends[end].next.iter().filter(|n| n.0 >= circuit.tracks);
        let routes: Vec<_> = routes.collect();
        routes.is_empty() || routes.iter().any(|n| set(n.0))
    };
    for (&(track, side, end), &[before, after]) in &gaps {
        let is_cut = cut.iter().any(|c| (c.0, c.1.index(), c.2) == (track, side, end));
        if !is_cut || open(track, end) {
            poles.join(before, after, false);
        }
    }
    for (index, segment) in circuit.segments.iter().enumerate() {
        let [left, right] = &segment.rails;
        if let RailOwner::Work { .. } = segment.owner {
            if !set(index) {
                continue;
            }
            // Wherever a train stands on the route, its wheels are on different poles.
            for stop in &left.stops {
                let other = right.stops.iter().rev().find(|s| s.x <= stop.x + 1e-9).unwrap_or(&right.stops[0]);
                poles.join(stop.after, other.after, true);
            }
            for stop in &right.stops {
                let other = left.stops.iter().rev().find(|s| s.x <= stop.x + 1e-9).unwrap_or(&left.stops[0]);
                poles.join(stop.after, other.after, true);
            }
            continue;
        }
        let ends = [open(index, 0), open(index, 1)];
        // Between its gaps a track is under a train always, where one can wait there; beyond them only with the route set.
        let inner = |rail: &circuit::RailLine| {
            let gapped = gaps.contains_key(&(index, 0, 0));
            rail.stops[usize::from(gapped)].after
        };
        if segment.length >= 0.4 || (ends[0] && ends[1]) {
            poles.join(inner(left), inner(right), true);
        }
        for (end, open) in [TrackEnd::From, TrackEnd::To].into_iter().zip(ends) {
            if open {
                let outer = |rail: &circuit::RailLine| match end {
                    TrackEnd::From => rail.stops.first().map(|s| s.after),
                    TrackEnd::To => rail.stops.last().map(|s| s.before),
                };
                if let (Some(l), Some(r)) = (outer(left), outer(right)) {
                    poles.join(l, r, true);
                }
            }
        }
    }
    poles.good
}
