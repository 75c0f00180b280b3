//! A plan walked in one setting after another: what is joined to which pole, where trains are lined, and what is
//! wrong there. It holds no condition and no decision diagram; what is joined for good is found with a general
//! graph library (petgraph).

use circuit::{Circuit, Guard};
use petgraph::unionfind::UnionFind;
use plan::TrackEnd;
use proof::Storage;
use std::collections::BTreeSet;

/// What is wrong in some setting, by the place.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    /// Whether any two poles meet.
    pub short: bool,
    /// Tracks and rails (0 left) on the wrong pole under a train.
    pub wrong_phases: BTreeSet<(usize, usize)>,
    /// Gaps that a train bridges while their sides disagree.
    pub bridges: BTreeSet<usize>,
    /// Segments with a train on rail that gives it no power.
    pub dead: BTreeSet<usize>,
    /// Whether two breakers of one source are joined beyond them.
    pub joined: bool,
    /// Storage tracks live when they should not be (true), or dead when they should be live.
    pub storage: BTreeSet<(usize, bool)>,
}

/// A place to be asked about.
struct Spot {
    segment: usize,
    /// What lies on both sides of a gap, or under both wheels.
    conductors: [usize; 2],
    is_gap: Option<usize>,
    /// How far both rails keep their conductors here, metres.
    long: f64,
    near: Option<usize>,
    gaps: [bool; 2],
}

/// A circuit made ready for walking.
pub struct Walker<'c> {
    pub circuit: &'c Circuit,
    /// For each node its conductor.
    pub of: Vec<usize>,
    /// Edges between conductors that close in some positions.
    pub switches: Vec<(usize, usize, Guard)>,
    pub poles: Vec<[usize; 2]>,
    spots: Vec<Spot>,
    /// For each segment and end, what follows: segments, each about to be left by an end.
    pub onward: Vec<Vec<usize>>,
    pub entering: BTreeSet<usize>,
    pub closing: BTreeSet<usize>,
}

/// A setting, walked.
pub struct Walked {
    /// For each source and pole, the conductors joined to it over no other pole.
    pub live: Vec<[Vec<bool>; 2]>,
    /// For each segment, whether a train on a lined way can be on it.
    pub over: Vec<bool>,
    strict: Vec<bool>,
    waiting: Vec<bool>,
}

impl<'c> Walker<'c> {
    pub fn new(circuit: &'c Circuit) -> Walker<'c> {
        let mut joined = UnionFind::<usize>::new(circuit.nodes.len());
        for edge in circuit.edges.iter().filter(|e| e.guard.is_empty()) {
            joined.union(edge.a as usize, edge.b as usize);
        }
        let of = joined.into_labeling();
        let switches = circuit.edges.iter().filter(|e| !e.guard.is_empty());
        let switches = switches.map(|e| (of[e.a as usize], of[e.b as usize], e.guard.clone())).collect();
        let poles = circuit.sources.iter().map(|s| s.node.map(|n| of[n as usize])).collect();
        let ends = circuit.segments.iter().flat_map(|s| &s.ends);
        let onward = ends
            .map(|e| e.next.iter().map(|&(s, entered)| 2 * s + usize::from(entered == TrackEnd::From)).collect())
            .collect();
        let mut walker = Walker {
            circuit,
            of,
            switches,
            poles,
            spots: Vec::new(),
            onward,
            entering: BTreeSet::new(),
            closing: BTreeSet::new(),
        };
        walker.spots();
        walker.loops();
        walker
    }

    /// Whether poles are one conductor for good: then nothing else is worth asking.
    pub fn poles_merged(&self) -> bool {
        let all: Vec<usize> = self.poles.iter().flatten().copied().collect();
        all.iter().collect::<BTreeSet<_>>().len() < all.len()
    }

    fn spots(&mut self) {
        let circuit = self.circuit;
        for (segment, s) in circuit.segments.iter().enumerate() {
            let of_segment = || circuit.gaps.iter().enumerate().filter(|(_, g)| g.segment == segment);
            let spot = |x: f64, others: Vec<f64>| {
                let near = match x.total_cmp(&(s.length / 2.0)) {
                    std::cmp::Ordering::Less => Some(0),
                    std::cmp::Ordering::Greater => Some(1),
                    std::cmp::Ordering::Equal => None,
                };
                let gaps = [others.iter().any(|&o| o < x), others.iter().any(|&o| o > x)];
                Spot { segment, conductors: [0, 0], is_gap: None, long: 0.0, near, gaps }
            };
            let mut found = Vec::new();
            for (index, gap) in of_segment() {
                let others = of_segment().filter(|(_, g)| g.side == gap.side).map(|(_, g)| g.x).collect();
                let conductors = [gap.before, gap.after].map(|n| self.of[n as usize]);
                found.push(Spot { conductors, is_gap: Some(index), ..spot(gap.x, others) });
            }
            let mut places: Vec<f64> = s.rails.iter().flat_map(|l| l.stops.iter().map(|p| p.x)).collect();
            places.sort_by(f64::total_cmp);
            places.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            let under = |x: f64| {
                let node = |side: usize| s.rails[side].stops.iter().rev().find(|p| p.x <= x).unwrap().after;
                [0, 1].map(|side| self.of[node(side) as usize])
            };
            for pair in places.windows(2) {
                // Over both rails' stretches of one conductor, as far as they go: they are one place.
                let conductors = under((pair[0] + pair[1]) / 2.0);
                let same = |x: f64| under(x) == conductors;
                let lies = |w: &&[f64]| same((w[0] + w[1]) / 2.0);
                let before = places.windows(2).rev().skip_while(|w| w[0] > pair[0]).take_while(lies);
                let after = places.windows(2).skip_while(|w| w[0] < pair[0]).take_while(lies);
                let ends = (before.last().unwrap()[0], after.last().unwrap()[1]);
                let middle = (ends.0 + ends.1) / 2.0;
                let others = of_segment().map(|(_, g)| g.x).collect();
                found.push(Spot { conductors, long: ends.1 - ends.0, ..spot(middle, others) });
            }
            self.spots.extend(found);
        }
    }

    /// Where a train meets trackwork that it has itself set otherwise, from each route in turn.
    fn loops(&mut self) {
        let guard = |s: usize| &self.circuit.segments[s / 2].guard;
        for start in (0..self.onward.len()).filter(|&s| !guard(s).is_empty()) {
            let against = |s: usize| {
                guard(s).iter().any(|l| guard(start).iter().any(|g| g.control == l.control && g.position != l.position))
            };
            let mut seen = BTreeSet::from([start]);
            let mut stack = vec![start];
            while let Some(at) = stack.pop() {
                let next = &self.onward[at];
                if !next.is_empty() && next.iter().all(|&n| against(n)) {
                    self.entering.insert(start);
                    self.closing.insert(at);
                }
                stack.extend(next.iter().copied().filter(|&n| !against(n) && seen.insert(n)));
            }
        }
    }

    pub fn walk(&self, setting: &[u8]) -> Walked {
        let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
        let closed: Vec<_> = self.switches.iter().filter(|s| Circuit::holds(&s.2, &positions)).collect();
        let all_poles: BTreeSet<usize> = self.poles.iter().flatten().copied().collect();
        let live_from = |pole: usize| {
            let mut live = vec![false; self.of.len()];
            live[pole] = true;
            loop {
                let mut more = false;
                for &&(a, b, _) in &closed {
                    for (from, to) in [(a, b), (b, a)] {
                        // Over no other pole: what is another pole is reached, but leads no further.
                        if live[from] && !live[to] && (from == pole || !all_poles.contains(&from)) {
                            (live[to], more) = (true, true);
                        }
                    }
                }
                if !more {
                    return live;
                }
            }
        };
        let live = self.poles.iter().map(|p| p.map(live_from)).collect();
        let set = |s: usize| Circuit::holds(&self.circuit.segments[s / 2].guard, &positions);
        let settle = |rule: &dyn Fn(usize) -> Option<bool>| {
            let mut good = vec![true; self.onward.len()];
            loop {
                let mut changed = false;
                for s in 0..good.len() {
                    let next = &self.onward[s];
                    let goes_on = next.is_empty() || next.iter().any(|&n| set(n) && good[n]);
                    let new = rule(s).unwrap_or(goes_on);
                    changed |= good[s] != new;
                    good[s] = new;
                }
                if !changed {
                    return good;
                }
            }
        };
        let waiting = settle(&|s| self.closing.contains(&s).then_some(true));
        let strict = settle(&|s| self.entering.contains(&s).then(|| waiting[s]));
        let over = (0..self.circuit.segments.len())
            .map(|s| {
                let (from, to) = (2 * s, 2 * s + 1);
                set(from) && ((strict[from] && waiting[to]) || (waiting[from] && strict[to]))
            })
            .collect();
        Walked { live, over, strict, waiting }
    }

    fn under_train(&self, walked: &Walked, spot: &Spot) -> bool {
        walked.over[spot.segment]
            && (0..2).any(|came_by| {
                let goes_to = 1 - came_by;
                let (back, out) = (2 * spot.segment + came_by, 2 * spot.segment + goes_to);
                let last =
                    spot.near == Some(goes_to) && !spot.gaps[goes_to] && (spot.is_gap.is_some() || spot.gaps[came_by]);
                let stops_short = last && self.closing.contains(&out);
                walked.strict[back] && if stops_short { walked.strict[out] } else { walked.waiting[out] }
            })
    }

    /// Adds what is wrong in a setting.
    pub fn faults(&self, setting: &[u8], walked: &Walked, storage: Option<&Storage>, found: &mut Faults) {
        let poles: Vec<(usize, usize)> = (0..self.poles.len()).flat_map(|s| [(s, 0), (s, 1)]).collect();
        let on = |conductor: usize, (source, pole): (usize, usize)| walked.live[source][pole][conductor];
        for &one in &poles {
            let others = poles.iter().filter(|&&other| other != one);
            found.short |= others.clone().any(|other| on(self.poles[other.0][other.1], one));
        }
        found.joined |= self.districts_joined(setting);
        if (0..self.poles.len()).any(|s| on(self.poles[s][1], (s, 0))) {
            return;
        }
        let powered = |[a, b]: [usize; 2]| poles.iter().any(|&(s, p)| on(a, (s, p)) && on(b, (s, 1 - p)));
        for spot in self.spots.iter().filter(|spot| self.under_train(walked, spot)) {
            let [a, b] = spot.conductors;
            if let Some(gap) = spot.is_gap {
                let disagree = |&p: &(usize, usize)| on(a, p) && poles.iter().any(|&q| p.1 != q.1 && on(b, q));
                if poles.iter().any(disagree) {
                    found.bridges.insert(gap);
                }
                continue;
            }
            if !powered(spot.conductors) {
                found.dead.insert(spot.segment);
            }
            for side in 0..2 {
                if let Some((breaker, pole)) = self.circuit.meant.get(spot.segment).and_then(|m| m[side])
                    && on(
                        spot.conductors[side],
                        (self.circuit.breakers[breaker].source, usize::from(pole == plan::Pole::A)),
                    )
                {
                    found.wrong_phases.insert((spot.segment, side));
                }
            }
        }
        let lined = storage.is_some_and(|s| s.live == plan::tables::Live::Lined);
        for &track in storage.iter().flat_map(|s| &s.tracks) {
            // A train stands on the longest stretch between gaps.
            let stretches = self.spots.iter().filter(|s| s.segment == track && s.is_gap.is_none());
            let standing = stretches.max_by(|a, b| a.long.total_cmp(&b.long)).unwrap();
            let live = powered(standing.conductors);
            if lined && live && !walked.over[track] {
                found.storage.insert((track, true));
            }
            if !lined && !live && !walked.over[track] {
                found.storage.insert((track, false));
            }
        }
    }

    /// With everything inside supplies and breakers taken out.
    fn districts_joined(&self, setting: &[u8]) -> bool {
        let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
        let mut joined = UnionFind::<u32>::new(self.circuit.nodes.len());
        let outside = self.circuit.edges.iter().filter(|e| e.kind != circuit::EdgeKind::Source);
        for edge in outside.filter(|e| Circuit::holds(&e.guard, &positions)) {
            joined.union(edge.a, edge.b);
        }
        let breakers = &self.circuit.breakers;
        (0..breakers.len()).any(|one| {
            (0..one)
                .filter(|&other| breakers[one].source == breakers[other].source)
                .any(|other| (0..2).any(|pole| joined.equiv(breakers[one].node[pole], breakers[other].node[pole])))
        })
    }
}
