//! A plan walked in one setting after another: what is joined to which pole, where trains are lined, and what is
//! wrong there. It holds no condition and no decision diagram; what is joined for good is found with a general
//! graph library (petgraph).

use circuit::{Circuit, Guard};
use petgraph::unionfind::UnionFind;
use plan::TrackEnd;
use proof::Storage;
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

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
    /// Conductors that no pole reaches in any setting; found out when first asked for.
    never_fed: OnceCell<BTreeSet<usize>>,
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
        let mut joined = UnionFind::<usize>::new(circuit.tracks);
        for track in 0..circuit.tracks {
            for &(next, _) in circuit.segments[track].ends.iter().flat_map(|e| &e.next).filter(|n| n.0 < circuit.tracks) {
                joined.union(track, next);
            }
        }
        let run = joined.into_labeling();
        let length = |of: usize| (0..run.len()).filter(|&t| run[t] == of).map(|t| circuit.segments[t].length).sum();
        let runs = run.iter().map(|&of| (of, length(of))).collect();
        let never_fed = OnceCell::new();
        let mut walker = Walker { circuit, of, switches, poles, spots: Vec::new(), onward, runs, never_fed };
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
            // Where a train stops that waits at an end: before the last gap of either rail, whichever it meets first.
            let stops = [0, 1].map(|end| {
                let joins_work = s.ends[end].next.iter().any(|n| n.0 >= circuit.tracks);
                let out = |x: f64| if end == 0 { x } else { s.length - x };
                let last = |side: usize| {
                    let of_rail = gaps().filter(|(_, g)| g.side == side).map(|(_, g)| out(g.x));
                    of_rail.filter(|&o| o <= s.length / 2.0 + 1e-6).fold(f64::INFINITY, f64::min)
                };
                let met = [last(0), last(1)].into_iter().filter(|o| o.is_finite()).fold(-1.0, f64::max);
                if segment < circuit.tracks && joins_work { met } else { -1.0 }
            });
            let beyond_stop = |x: f64| [x <= stops[0] + 1e-6, s.length - x <= stops[1] + 1e-6];
            let mut found = Vec::new();
            for (index, gap) in gaps() {
                let conductors = [gap.before, gap.after].map(|n| self.of[n as usize]);
                let (ends, beyond_stop) = ([gap.x; 2], beyond_stop(gap.x));
                found.push(Spot { segment, conductors, is_gap: Some(index), ends, beyond_stop });
            }
            let mut places: Vec<f64> = s.rails.iter().flat_map(|l| l.stops.iter().map(|p| p.x)).collect();
            places.sort_by(f64::total_cmp);
            places.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            for pair in places.windows(2) {
                let middle = (pair[0] + pair[1]) / 2.0;
                let node = |side: usize| s.rails[side].stops.iter().rev().find(|p| p.x <= middle).unwrap().after;
                let conductors = [0, 1].map(|side| self.of[node(side) as usize]);
                let ends = [pair[0], pair[1]];
                found.push(Spot { segment, conductors, is_gap: None, ends, beyond_stop: beyond_stop(middle) });
            }
            self.spots.extend(found);
        }
    }

    /// With every setting tried.
    fn never_fed(&self) -> BTreeSet<usize> {
        let mut left: BTreeSet<usize> = self.of.iter().copied().collect();
        for setting in oracle::settings(self.circuit) {
            let live = self.walk(&setting).live;
            left.retain(|&c| !live.iter().flatten().any(|l| l[c]));
        }
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
                let into = |n: usize| n / 2 < self.circuit.tracks && s / 2 >= self.circuit.tracks && self.has_room(n / 2);
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

    fn can_be(&self, walked: &Walked, spot: &Spot) -> bool {
        let free = |end: usize| !spot.beyond_stop[end] || walked.clear[2 * spot.segment + end];
        walked.over[spot.segment] && free(0) && free(1)
    }

    /// Whether some stretch of at least 0.4 m (or the longest) of a run is powered.
    fn run_is_live(&self, run: usize, powered: &dyn Fn([usize; 2]) -> bool) -> bool {
        // Stretches: what lies between one gap and the next, in either rail.
        let mut stretches: Vec<(f64, bool)> = Vec::new();
        for track in (0..self.runs.len()).filter(|&t| self.runs[t].0 == run) {
            let spots = self.spots.iter().filter(|s| s.segment == track && s.is_gap.is_none());
            let gaps: Vec<f64> = self.circuit.gaps.iter().filter(|g| g.segment == track).map(|g| g.x).collect();
            for (i, spot) in spots.enumerate() {
                let fresh = i == 0 || gaps.iter().any(|g| (g - spot.ends[0]).abs() < 1e-6);
                let long = spot.ends[1] - spot.ends[0];
                match stretches.last_mut() {
                    Some(last) if !fresh => *last = (last.0 + long, last.1 || powered(spot.conductors)),
                    _ => stretches.push((long, powered(spot.conductors))),
                }
            }
        }
        let longest = stretches.iter().map(|s| s.0).fold(0.0, f64::max);
        stretches.iter().any(|s| s.1 && s.0 >= longest.min(0.4) - 1e-6)
    }

    /// Whether a train on a segment gets power, on its own run or on those next to it.
    fn moves(&self, segment: usize, setting: &[Option<u8>], powered: &dyn Fn([usize; 2]) -> bool) -> bool {
        let tracks = self.circuit.tracks;
        let set = |s: usize| Circuit::holds(&self.circuit.segments[s / 2].guard, setting);
        let mut seen: BTreeSet<usize> = BTreeSet::from([2 * segment, 2 * segment + 1]);
        let mut stack: Vec<usize> = seen.iter().copied().collect();
        if segment < tracks && self.run_is_live(self.runs[segment].0, powered) {
            return true;
        }
        while let Some(at) = stack.pop() {
            for &next in self.onward[at].iter().filter(|&&n| set(n)) {
                let (here, there) = (at / 2, next / 2);
                let new_run = there < tracks && (here >= tracks || self.runs[here].0 != self.runs[there].0);
                if new_run && self.run_is_live(self.runs[there].0, powered) {
                    return true;
                }
                if !(new_run && self.has_room(there)) && seen.insert(next) {
                    stack.push(next);
                }
            }
        }
        false
    }

    /// Whether a train at a spot moves under power.
    fn under_train(
        &self,
        walked: &Walked,
        spot: &Spot,
        setting: &[Option<u8>],
        powered: &dyn Fn([usize; 2]) -> bool,
    ) -> bool {
        self.can_be(walked, spot) && self.moves(spot.segment, setting, powered)
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
                let never_fed = self.never_fed.get_or_init(|| self.never_fed());
                let never = spot.conductors.iter().any(|c| never_fed.contains(c));
                if never || self.moves(spot.segment, &positions, &powered) {
                    found.dead.insert(spot.segment);
                }
            }
            for side in 0..2 {
                if let Some((breaker, pole)) = self.circuit.meant.get(spot.segment).and_then(|m| m[side])
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

    /// The trackwork that a train from a track trails, at both its ends: of each piece the routes of which one must be set.
    pub fn neck(&self, track: usize) -> Vec<Vec<Guard>> {
        let mut neck = Vec::new();
        for end in 0..2 {
            let mut at = 2 * track + end;
            let mut own = Guard::new();
            let mut seen = BTreeSet::new();
            loop {
                let routes = &self.onward[at];
                let guards: Vec<Guard> = routes.iter().map(|r| self.circuit.segments[r / 2].guard.clone()).collect();
                let [next] = routes.as_slice() else {
                    // Where as many routes leave as there are positions, one always does.
                    let control = guards.first().and_then(|g| g.first()).map(|l| l.control);
                    let all = control.map_or(0, |c| self.circuit.controls[c].positions.len());
                    if guards.len() < all {
                        neck.push(guards);
                    }
                    break;
                };
                let against = |l: &circuit::Literal| own.iter().any(|o| o.control == l.control && o.position != l.position);
                if !seen.insert(*next) || guards[0].iter().any(against) {
                    break;
                }
                own.extend(guards[0].iter().copied());
                if !guards[0].is_empty() {
                    neck.push(guards);
                }
                at = *next;
            }
        }
        neck
    }

    /// Whether all of a track's necks is set.
    pub fn neck_is_set(&self, track: usize, setting: &[Option<u8>]) -> bool {
        self.neck(track).iter().all(|piece| piece.iter().any(|guard| Circuit::holds(guard, setting)))
    }

    /// A storage track of a yard whose other tracks are all storage tracks.
    fn storage(
        &self,
        track: usize,
        walked: &Walked,
        storage: Option<&Storage>,
        (positions, powered): (&[Option<u8>], &dyn Fn([usize; 2]) -> bool),
        found: &mut Faults,
    ) {
        let set = self.neck_is_set(track, positions);
        // The tracks of the yard join in at each piece, or lie on from there.
        let lined = storage.is_some_and(|s| s.live == plan::tables::Live::Lined);
        for spot in self.spots.iter().filter(|s| s.segment == track && s.is_gap.is_none()) {
            let stub = spot.ends[1] - spot.ends[0] < 0.4;
            let live = powered(spot.conductors);
            match (lined, live) {
                (true, true) if !set && !stub => {
                    found.storage.insert((track, true));
                }
                (true, false) if set && self.can_be(walked, spot) => {
                    found.dead.insert(track);
                }
                (false, false) if !stub => {
                    found.storage.insert((track, false));
                }
                _ => {}
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
