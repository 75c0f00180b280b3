//! A bare plan as what its rails are made of: runs of plain line, and the conductors that trackwork has of itself.

use circuit::{Circuit, ControlId, EdgeId, NodeId, RailOwner, SegmentId};
use plan::tables::RailSide;
use plan::{Kind, Names, Plan, TrackEnd};
use std::collections::BTreeSet;

/// A run with less room than this holds no waiting train, metres (docs/definitions.md, "Where a train can be").
pub(crate) const ROOM: f64 = 0.4;

/// Index of a run.
pub(crate) type RunId = usize;
/// Index of a conductor of trackwork, or of a joint between two tracks.
pub(crate) type ConductorId = usize;

/// An end of a track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct RunEnd {
    pub(crate) track: usize,
    pub(crate) end: TrackEnd,
}

/// Plain line from one piece of trackwork to the next, or to where the line ends or storage begins.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    /// Its tracks, in order, and whether each lies against the direction of the run.
    pub(crate) tracks: Vec<(usize, bool)>,
    pub(crate) length: f64,
    /// The length of all plain line that it is part of: it ends, too, where storage begins.
    pub(crate) whole: f64,
    /// Its first and its last end; none where it is a circle.
    pub(crate) ends: Option<[RunEnd; 2]>,
}

impl Run {
    /// Whether a train can stand and wait here.
    pub(crate) fn has_room(&self) -> bool {
        self.whole >= ROOM
    }
}

/// A bare plan and what its rails are made of.
pub(crate) struct Sketch<'p> {
    pub(crate) text: &'p str,
    pub(crate) plan: &'p Plan,
    pub(crate) names: &'p Names,
    pub(crate) circuit: Circuit,
    pub(crate) runs: Vec<Run>,
    /// The run of each track.
    pub(crate) run_of: Vec<RunId>,
    /// The storage policy of each track, from 1.
    stored: Vec<usize>,
    /// The conductor of each node outside plain rail; of nodes inside it, one of its own.
    conductor_of: Vec<ConductorId>,
    /// Conductors that blades feed.
    pub(crate) blade_fed: BTreeSet<ConductorId>,
}

impl<'p> Sketch<'p> {
    pub(crate) fn new(text: &'p str, plan: &'p Plan, names: &'p Names) -> Sketch<'p> {
        let circuit = Circuit::from_plan(plan, names);
        let conductor_of = conductors(&circuit);
        let blades = circuit.edges.iter().filter(|e| e.kind == circuit::EdgeKind::Blade);
        let blade_fed = blades.flat_map(|e| [e.a, e.b]).map(|n| conductor_of[n.index()]).collect();
        let mut sketch = Sketch {
            text,
            plan,
            names,
            circuit,
            runs: Vec::new(),
            run_of: vec![usize::MAX; plan.track.len()],
            stored: stored(plan),
            conductor_of,
            blade_fed,
        };
        sketch.find_runs();
        sketch
    }

    /// The board that a track lies on; none being the rest of the layout.
    pub(crate) fn board_of(&self, track: usize) -> Option<usize> {
        self.circuit.board_of_thing((Kind::Track, track)).flatten()
    }

    /// The track that goes on from an end of a track, and by which of its ends.
    pub(crate) fn next_track(&self, at: RunEnd) -> Option<RunEnd> {
        let next = &self.circuit.segments[at.track].ends[usize::from(at.end == TrackEnd::To)].next;
        match next.as_slice() {
            [(segment, end)] if *segment < self.circuit.tracks => Some(RunEnd { track: *segment, end: *end }),
            _ => None,
        }
    }

    /// The routes that go on from an end of a track, and by which of their ends.
    pub(crate) fn routes_at(&self, at: RunEnd) -> Vec<(SegmentId, TrackEnd)> {
        let next = &self.circuit.segments[at.track].ends[usize::from(at.end == TrackEnd::To)].next;
        next.iter().copied().filter(|(segment, _)| *segment >= self.circuit.tracks).collect()
    }

    /// The track that goes on from an end of a track in the same run.
    fn next_in_run(&self, at: RunEnd) -> Option<RunEnd> {
        self.next_track(at).filter(|next| self.stored[next.track] == self.stored[at.track])
    }

    /// Whether a track stands in a storage policy that is not `always`.
    pub(crate) fn is_stored(&self, track: usize) -> bool {
        self.stored[track] > 0
    }

    /// The last end of plain line that goes on from an end of a track, away from that track.
    pub(crate) fn line_end(&self, start: RunEnd) -> Option<RunEnd> {
        let mut at = start;
        while let Some(next) = self.next_track(at) {
            at = RunEnd { track: next.track, end: next.end.other() };
            if at.track == start.track {
                return None;
            }
        }
        Some(at)
    }

    fn find_runs(&mut self) {
        for track in 0..self.plan.track.len() {
            if self.run_of[track] != usize::MAX {
                continue;
            }
            // Back to where the run begins, or once round.
            let mut first = RunEnd { track, end: TrackEnd::From };
            let mut circle = false;
            while let Some(before) = self.next_in_run(first) {
                first = RunEnd { track: before.track, end: before.end.other() };
                if first.track == track {
                    circle = true;
                    break;
                }
            }
            let mut tracks = Vec::new();
            let (mut at, mut length) = (first, 0.0);
            let last = loop {
                if self.run_of[at.track] != usize::MAX {
                    break at;
                }
                self.run_of[at.track] = self.runs.len();
                tracks.push((at.track, at.end == TrackEnd::To));
                length += self.circuit.segments[at.track].length;
                let out = RunEnd { track: at.track, end: at.end.other() };
                match self.next_in_run(out) {
                    Some(next) => at = next,
                    None => break out,
                }
            };
            let ends = (!circle).then_some([first, last]);
            let mut whole = length;
            for end in ends.into_iter().flatten() {
                let mut at = end;
                while let Some(next) = self.next_track(at).filter(|n| n.track != end.track && whole < 1e3) {
                    whole += self.circuit.segments[next.track].length;
                    at = RunEnd { track: next.track, end: next.end.other() };
                }
            }
            self.runs.push(Run { tracks, length, whole, ends });
        }
    }

    /// The conductor that the rail of a track meets at one of its ends.
    pub(crate) fn met(&self, at: RunEnd, side: RailSide) -> ConductorId {
        let stops = &self.circuit.segments[at.track].rails[side].stops;
        let node = match at.end {
            TrackEnd::From => stops.first().map(|s| s.after),
            TrackEnd::To => stops.last().map(|s| s.before),
        };
        node.map_or(usize::MAX, |node| self.conductor_of[node.index()])
    }

    /// The conductor of a node of trackwork.
    pub(crate) fn conductor(&self, node: NodeId) -> ConductorId {
        self.conductor_of[node.index()]
    }

    /// How many conductors there are.
    pub(crate) fn conductors(&self) -> usize {
        self.conductor_of.len()
    }

    /// Routes through trackwork that a train keeps its rails on: those of turntables have no far end and are left out.
    pub(crate) fn routes(&self) -> impl Iterator<Item = SegmentId> + '_ {
        (self.circuit.tracks..self.circuit.segments.len())
            .filter(|&s| !matches!(self.circuit.segments[s].owner, RailOwner::Work { kind: Kind::Turntable, .. }))
    }

    /// The trackwork that a route leads through.
    pub(crate) fn work_of(&self, route: SegmentId) -> Option<(Kind, usize)> {
        match self.circuit.segments[route].owner {
            RailOwner::Work { kind, index, .. } => Some((kind, index)),
            RailOwner::Track(_) => None,
        }
    }

    /// The length of the longest train that must fit into a reversing section.
    pub(crate) fn longest_train(&self) -> f64 {
        use handbook::quantity::Quantity as _;
        let long = |t: &plan::tables::Train| t.metal_wheels.as_ref().unwrap_or(&t.length).value.si();
        self.plan.train.iter().map(long).fold(0.0, f64::max)
    }

    /// The words of a control's position.
    pub(crate) fn position(&self, control: ControlId, position: usize) -> &str {
        &self.circuit.controls[control].positions[position]
    }
}

/// For each track the number of the storage policy that it stands in, from 1; 0 where in none, or in one that changes nothing.
fn stored(plan: &Plan) -> Vec<usize> {
    let policy = |name: &str| {
        let names = |storage: &plan::tables::Storage| storage.tracks.iter().any(|t| t.value == name);
        let changes = |storage: &plan::tables::Storage| storage.live.value != plan::tables::Live::Always;
        plan.storage.iter().position(|s| changes(&s.value) && names(&s.value)).map_or(0, |number| number + 1)
    };
    plan.track.iter().map(|track| policy(&track.name.value)).collect()
}

/// What is one conductor for good, plain rail between the ends of its track left out (union-find).
fn conductors(circuit: &Circuit) -> Vec<ConductorId> {
    let mut plain: BTreeSet<EdgeId> = BTreeSet::new();
    let mut inside: BTreeSet<NodeId> = BTreeSet::new();
    for segment in &circuit.segments[..circuit.tracks] {
        for rail in &segment.rails {
            plain.extend(rail.pieces.iter().copied());
            let between = rail.stops.len().saturating_sub(1).max(1);
            inside.extend(rail.stops.get(1..between).into_iter().flatten().flat_map(|s| [s.before, s.after]));
        }
    }
    let mut parent: Vec<usize> = (0..circuit.nodes.len()).collect();
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let own = plain.contains(&id) || inside.contains(&edge.a) || inside.contains(&edge.b);
        if !own && edge.is_always_closed() {
            let (a, b) = (root(&mut parent, edge.a.index()), root(&mut parent, edge.b.index()));
            parent[a] = b;
        }
    }
    (0..circuit.nodes.len()).map(|node| root(&mut parent, node)).collect()
}

/// The root of a set of a union-find forest.
pub(crate) fn root(parent: &mut [usize], mut at: usize) -> usize {
    while parent[at] != at {
        parent[at] = parent[parent[at]];
        at = parent[at];
    }
    at
}
