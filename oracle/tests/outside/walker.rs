//! A plan walked in one setting after another: what is joined to which pole, where trains are lined, and what is
//! wrong there. It holds no condition and no decision diagram; what is joined for good is found with a general
//! graph library (petgraph).

mod idle;
mod storage;

use circuit::{BreakerPole, Circuit, Guard};
use petgraph::unionfind::UnionFind;
use plan::TrackEnd;
use plan::tables::RailSide;
use proof::Storage;
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

/// Whether two rails side by side have power.
type Powered<'p> = &'p dyn Fn([usize; 2]) -> bool;

/// What is wrong in some setting, over all of them. What settles by itself takes another position where one is a fault:
/// settings that differ in nothing else are looked at together, and what is no fault in one of them (that is not shorted) is
/// none.
pub fn faults_over_all(circuit: &Circuit, storage: Option<&Storage>) -> Faults {
    let walker = Walker::new(circuit);
    let mut by_hand: BTreeMap<Vec<u8>, Vec<Faults>> = BTreeMap::new();
    for setting in oracle::settings(circuit) {
        let set = setting.iter().zip(&circuit.controls).filter(|(_, c)| !c.settles).map(|(&p, _)| p).collect();
        let mut found = Faults::default();
        walker.faults(&setting, &walker.walk(&setting), storage, &mut found);
        by_hand.entry(set).or_default().push(found);
    }
    let mut all = Faults { short: walker.poles_merged(), ..Faults::default() };
    for senses in by_hand.values() {
        let clean: Vec<&Faults> = senses.iter().filter(|f| !f.short).collect();
        let Some(first) = clean.first() else {
            all.short = true;
            continue;
        };
        all.bridges.extend(first.bridges.iter().filter(|&gap| clean.iter().all(|f| f.bridges.contains(gap))));
        all.dead.extend(first.dead.iter().filter(|&s| clean.iter().all(|f| f.dead.contains(s))));
        clean.iter().for_each(|f| all.storage.extend(&f.storage));
    }
    all
}

/// What is wrong in some setting, by the place.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    /// Whether any two poles meet.
    pub short: bool,
    /// Tracks and rails on the wrong pole under a train.
    pub wrong_phases: BTreeSet<(usize, RailSide)>,
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
    /// From where to where it is, metres from the segment's start.
    ends: [f64; 2],
    /// For each end of the segment, whether a train that waits there stops before it.
    beyond_stop: [bool; 2],
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
    onward: Vec<Vec<usize>>,
    /// For each track the plain track it is part of: its number, and how long that is in metres.
    runs: Vec<(usize, f64)>,
    /// Conductors under a train that are on opposite poles of one supply in no setting; found out when first asked for.
    never_powered: OnceCell<BTreeSet<[usize; 2]>>,
    /// Trackwork on which a train can be and moves in no setting; found out when first asked for.
    idle_routes: OnceCell<BTreeSet<usize>>,
}

/// A setting, walked.
pub struct Walked {
    /// For each source and pole, the conductors joined to it over no other pole.
    pub live: Vec<[Vec<bool>; 2]>,
    /// For each segment, whether a train can be on it.
    pub over: Vec<bool>,
    /// For each state, whether it is clear ahead.
    clear: Vec<bool>,
}

impl<'c> Walker<'c> {
    pub fn new(circuit: &'c Circuit) -> Walker<'c> {
        let mut joined = UnionFind::<usize>::new(circuit.nodes.len());
        for edge in circuit.edges.iter().filter(|e| e.is_always_closed()) {
            joined.union(edge.a.index(), edge.b.index());
        }
        let of = joined.into_labeling();
        let switches = circuit.edges.iter().filter(|e| !e.is_always_closed());
        let switches = switches.map(|e| (of[e.a], of[e.b], e.guard.clone())).collect();
        let poles = circuit.sources.iter().map(|s| s.node.map(|n| of[n])).collect();
        let ends = circuit.segments.iter().flat_map(|s| &s.ends);
        let onward = ends
            .map(|e| e.next.iter().map(|&(s, entered)| 2 * s + usize::from(entered == TrackEnd::From)).collect())
            .collect();
        let mut joined = UnionFind::<usize>::new(circuit.tracks);
        for track in 0..circuit.tracks {
            for &(next, _) in circuit.segments[track].ends.iter().flat_map(|e| &e.next).filter(|n| n.0 < circuit.tracks)
            {
                joined.union(track, next);
            }
        }
        let run = joined.into_labeling();
        let length = |of: usize| (0..run.len()).filter(|&t| run[t] == of).map(|t| circuit.segments[t].length).sum();
        let runs = run.iter().map(|&of| (of, length(of))).collect();
        let (never_powered, idle_routes) = (OnceCell::new(), OnceCell::new());
        let mut walker =
            Walker { circuit, of, switches, poles, spots: Vec::new(), onward, runs, never_powered, idle_routes };
        walker.spots();
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
            let gaps = || circuit.gaps.iter().enumerate().filter(|(_, g)| g.segment == segment);
            let stops = [0, 1].map(|end| self.stop(segment, end));
            let beyond_stop = |x: f64| [x <= stops[0] + 1e-6, s.length - x <= stops[1] + 1e-6];
            let mut found = Vec::new();
            for (index, gap) in gaps() {
                let conductors = [gap.before, gap.after].map(|n| self.of[n]);
                let (ends, beyond_stop) = ([gap.x; 2], beyond_stop(gap.x));
                found.push(Spot { segment, conductors, is_gap: Some(index), ends, beyond_stop });
            }
            let mut places: Vec<f64> = s.rails.iter().flat_map(|l| l.stops.iter().map(|p| p.x)).collect();
            places.sort_by(f64::total_cmp);
            places.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            for pair in places.windows(2) {
                let middle = (pair[0] + pair[1]) / 2.0;
                let node = |side: RailSide| s.rails[side].stops.iter().rev().find(|p| p.x <= middle).unwrap().after;
                let conductors = RailSide::ALL.map(|side| self.of[node(side)]);
                let ends = [pair[0], pair[1]];
                found.push(Spot { segment, conductors, is_gap: None, ends, beyond_stop: beyond_stop(middle) });
            }
            self.spots.extend(found);
        }
    }

    /// How far from an end of a track a train stops that waits for the trackwork at the end of its run in that direction: before
    /// the last gap of either rail, whichever it meets first. Negative where it may come up to it.
    fn stop(&self, track: usize, end: usize) -> f64 {
        let circuit = self.circuit;
        if track >= circuit.tracks {
            return -1.0;
        }
        // All tracks of the run, from that end back: each with how far its near end lies from the trackwork.
        let onward = |at: usize| match self.onward[at].as_slice() {
            [next] if next / 2 < circuit.tracks => Some(*next),
            _ => None,
        };
        let mut path = vec![2 * track + end];
        while let Some(next) = onward(path[path.len() - 1]).filter(|n| path.iter().all(|p| p / 2 != n / 2)) {
            path.push(next);
        }
        let last = path[path.len() - 1];
        if circuit.segments[last / 2].ends[last % 2].next.iter().all(|n| n.0 < circuit.tracks) {
            return -1.0;
        }
        let behind: f64 = path[1..].iter().map(|p| circuit.segments[p / 2].length).sum();
        let mut back = vec![last ^ 1];
        while let Some(next) = onward(back[back.len() - 1]).filter(|n| back.iter().all(|p| p / 2 != n / 2)) {
            back.push(next);
        }
        let half = self.runs[track].1 / 2.0;
        let mut nearest = [f64::INFINITY; 2];
        let (mut before, mut turned) = (0.0, false);
        for (i, &at) in back.iter().enumerate() {
            let s = &circuit.segments[at / 2];
            if i > 0 {
                // The ends of theirs by which two meet.
                turned ^= back[i - 1] % 2 != at % 2;
            }
            for gap in circuit.gaps.iter().filter(|g| g.segment == at / 2) {
                let out = before + if at % 2 == 1 { gap.x } else { s.length - gap.x };
                let rail = &mut nearest[if turned { gap.side.other() } else { gap.side }];
                if out < half - 1e-6 {
                    *rail = rail.min(out);
                }
            }
            before += s.length;
        }
        let first = nearest.into_iter().filter(|o| o.is_finite()).fold(-1.0, f64::max);
        if first < 0.0 { -1.0 } else { first - behind }
    }

    /// With every setting tried. While something is shorted, only what has a rail that no pole reaches.
    fn never_powered(&self) -> BTreeSet<[usize; 2]> {
        let mut left: BTreeSet<[usize; 2]> = self.spots.iter().map(|s| s.conductors).collect();
        let mut unreached: BTreeSet<usize> = self.of.iter().copied().collect();
        let mut shorted = false;
        for setting in oracle::settings(self.circuit) {
            let live = self.walk(&setting).live;
            left.retain(|&[a, b]| !live.iter().any(|l| (l[0][a] && l[1][b]) || (l[1][a] && l[0][b])));
            unreached.retain(|&c| !live.iter().flatten().any(|l| l[c]));
            shorted |= live.iter().zip(&self.poles).any(|(l, p)| l[0][p[1]]);
        }
        left.retain(|pair| !shorted || pair.iter().any(|c| unreached.contains(c)));
        left.extend(self.spots.iter().map(|s| s.conductors).filter(|pair| pair.iter().any(|c| unreached.contains(c))));
        left
    }

    fn has_room(&self, track: usize) -> bool {
        self.runs[track].1 >= 0.4 - 1e-6
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
        // Clear ahead: the greatest solution, so that a walk that comes back to where it began is clear.
        let mut clear = vec![true; self.onward.len()];
        loop {
            let mut changed = false;
            for s in 0..clear.len() {
                let next = &self.onward[s];
                let into =
                    |n: usize| n / 2 < self.circuit.tracks && s / 2 >= self.circuit.tracks && self.has_room(n / 2);
                let new = next.is_empty() || next.iter().any(|&n| set(n) && (into(n) || clear[n]));
                changed |= clear[s] != new;
                clear[s] = new;
            }
            if !changed {
                break;
            }
        }
        let over = (0..self.circuit.segments.len())
            .map(|s| {
                let room = s < self.circuit.tracks && self.has_room(s);
                set(2 * s) && (room || (clear[2 * s] && clear[2 * s + 1]))
            })
            .collect();
        Walked { live, over, clear }
    }

    /// The far end of a run in the direction of a state.
    fn far(&self, mut at: usize) -> usize {
        for _ in 0..self.circuit.tracks {
            match self.onward[at].as_slice() {
                [next] if at / 2 < self.circuit.tracks && next / 2 < self.circuit.tracks => at = *next,
                _ => break,
            }
        }
        at
    }

    fn can_be(&self, walked: &Walked, spot: &Spot) -> bool {
        let free = |end: usize| !spot.beyond_stop[end] || walked.clear[self.far(2 * spot.segment + end)];
        walked.over[spot.segment] && free(0) && free(1)
    }

    /// Whether a train can be on some stretch of a run that is powered.
    fn run_is_live(&self, run: usize, walked: &Walked, powered: &dyn Fn([usize; 2]) -> bool) -> bool {
        let mut spots = self.spots.iter().filter(|s| s.is_gap.is_none() && s.segment < self.runs.len());
        spots.any(|s| self.runs[s.segment].0 == run && powered(s.conductors) && self.can_be(walked, s))
    }

    /// Whether a train on a segment gets power, on its own run or on those next to it.
    fn moves(
        &self,
        segment: usize,
        walked: &Walked,
        setting: &[Option<u8>],
        powered: &dyn Fn([usize; 2]) -> bool,
    ) -> bool {
        let own = (segment < self.circuit.tracks).then(|| self.runs[segment].0);
        own.into_iter().chain(self.runs_next_to(segment, setting)).any(|run| self.run_is_live(run, walked, powered))
    }

    /// The runs that a train on a segment comes to, as far as the first with room.
    fn runs_next_to(&self, segment: usize, setting: &[Option<u8>]) -> BTreeSet<usize> {
        let tracks = self.circuit.tracks;
        let set = |s: usize| Circuit::holds(&self.circuit.segments[s / 2].guard, setting);
        let mut seen: BTreeSet<usize> = BTreeSet::from([2 * segment, 2 * segment + 1]);
        let mut stack: Vec<usize> = seen.iter().copied().collect();
        let mut met = BTreeSet::new();
        while let Some(at) = stack.pop() {
            for &next in self.onward[at].iter().filter(|&&n| set(n)) {
                let (here, there) = (at / 2, next / 2);
                let new_run = there < tracks && (here >= tracks || self.runs[here].0 != self.runs[there].0);
                if new_run {
                    met.insert(self.runs[there].0);
                }
                if !(new_run && self.has_room(there)) && seen.insert(next) {
                    stack.push(next);
                }
            }
        }
        met
    }

    /// Whether a train at a spot moves under power.
    fn under_train(
        &self,
        walked: &Walked,
        spot: &Spot,
        setting: &[Option<u8>],
        powered: &dyn Fn([usize; 2]) -> bool,
    ) -> bool {
        self.can_be(walked, spot) && self.moves(spot.segment, walked, setting, powered)
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
        let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
        let stored = |track: usize| storage.is_some_and(|s| s.tracks.contains(&track));
        for spot in &self.spots {
            if let Some(gap) = spot.is_gap {
                let [a, b] = spot.conductors;
                let disagree = |&p: &(usize, usize)| on(a, p) && poles.iter().any(|&q| p.1 != q.1 && on(b, q));
                if poles.iter().any(disagree) && self.under_train(walked, spot, &positions, &powered) {
                    found.bridges.insert(gap);
                }
                continue;
            }
            if !powered(spot.conductors) && !stored(spot.segment) && self.can_be(walked, spot) {
                let never = self.never_powered.get_or_init(|| self.never_powered()).contains(&spot.conductors);
                if never
                    || self.moves(spot.segment, walked, &positions, &powered)
                    || self.beside_idle_route(spot.segment, walked, &positions)
                {
                    found.dead.insert(spot.segment);
                }
            }
            for side in RailSide::ALL {
                if let Some(BreakerPole { breaker, pole }) =
                    self.circuit.intended_pole.get(spot.segment).and_then(|m| m[side])
                    && on(
                        spot.conductors[side],
                        (self.circuit.breakers[breaker].source, usize::from(pole == plan::Pole::A)),
                    )
                    && self.under_train(walked, spot, &positions, &powered)
                {
                    found.wrong_phases.insert((spot.segment, side));
                }
            }
        }
        for &track in storage.iter().flat_map(|s| &s.tracks) {
            self.storage(track, walked, storage, (&positions, &powered), found);
        }
    }

    /// With everything inside supplies and breakers taken out.
    fn districts_joined(&self, setting: &[u8]) -> bool {
        let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
        let mut joined = UnionFind::<usize>::new(self.circuit.nodes.len());
        let outside = self.circuit.edges.iter().filter(|e| e.kind != circuit::EdgeKind::Source);
        for edge in outside.filter(|e| e.is_closed(&positions)) {
            joined.union(edge.a.index(), edge.b.index());
        }
        let breakers = &self.circuit.breakers;
        (0..breakers.len()).any(|one| {
            (0..one).filter(|&other| breakers[one].source == breakers[other].source).any(|other| {
                (0..2).any(|pole| joined.equiv(breakers[one].node[pole].index(), breakers[other].node[pole].index()))
            })
        })
    }
}
