//! The circuit of a plan: conductors, and edges that close in some positions of the switches.
//!
//! A layout is a conditional circuit. [`Circuit::from_plan`] turns a plan into [`Node`]s (points of rail
//! and wire), [`Edge`]s with a resistance and a [`Guard`] (which positions close them), [`Control`]s
//! (what has positions), [`Segment`]s (two rails under a train, through plain line or through
//! trackwork) and [`Gap`]s. Everything knows the plan's words it came from.
//!
//! All ideas of what a turnout is live in [`trackwork`]; no other room may have its own.

mod boards;
mod build;
mod builder;
mod bus;
mod conductors;
mod controls;
mod copper;
mod detector_feeds;
pub mod detectors;
mod drivers;
pub mod drives;
mod edge;
mod ids;
mod inductance;
pub mod inputs;
mod lines;
mod on_bus;
mod part;
mod promises;
mod reach;
mod reversers;
mod spot;
mod switches;
pub mod terminals;
mod tracks;
pub mod trackwork;
pub mod ways;
mod wire;
mod wire_ends;
mod work_lengths;
mod works;

pub use boards::PlugContact;
pub use copper::copper_ohms_per_metre;
pub use copper::wire_henries_per_metre;
pub use drivers::{links, side_in};
pub use edge::{Edge, EdgeKind, Guard, Literal};
pub use ids::{BreakerPole, ControlId, EdgeId, NodeId, PoleId};
pub use inductance::bus_henries_per_metre;
pub use inputs::{Input, InputId, Origin};
pub use part::{Part, WorkPiece};
pub use plan::tables::Senses;
pub use promises::Promised;
pub use spot::Spot;
pub use terminals::{CoilTerminal, DriverTerminal, MotorTerminal, OutputWire};
pub use ways::{Way, Ways};
pub use wire::{AssumedTap, RunSource, WireRun};
pub use work_lengths::WorkLengths;

use handbook::quantity::Units;
use plan::tables::RailSide;
use plan::{Kind, Names, Plan, TrackEnd};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Index of a segment.
pub type SegmentId = usize;

/// A point of rail or wire.
#[derive(Clone, Debug)]
pub struct Node {
    /// Its name in a builder's words: `dock 1 left rail at 0.4 m`.
    pub name: String,
    /// The words of the plan it came from.
    pub span: Range<usize>,
    /// What of the plan it is a point of.
    pub spot: Spot,
}

/// Something with positions: turnouts moved together, a turntable, a toggle.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// Its name: `T1`, `W1.left`, or `T1+T2` where one motor moves both.
    pub name: String,
    /// The names of what it moves, or its own: `T1` and `T2`.
    pub parts: Vec<String>,
    /// The toggles whose contacts throw it, so that they stand off in its first position and on in its second.
    pub toggles: Vec<String>,
    /// The names of its positions.
    pub positions: Vec<String>,
    /// The position that it stands in where nobody asks for another one: the first, or what the plan says of a toggle.
    pub usual: u8,
    /// Whether it takes, by itself and at once, whichever position makes no fault: a reverser that senses shorts.
    pub settles: bool,
    /// The words of the plan it came from.
    pub span: Range<usize>,
}

/// A supply that hangs behind nothing: an ideal source from `plus` to `node[1]`, its source
/// resistance being the edge from `plus` to `node[0]`.
#[derive(Clone, Debug)]
pub struct Source {
    /// Index of the supply in the plan.
    pub supply: usize,
    /// Its name.
    pub name: String,
    /// The far side of its source resistance.
    pub plus: NodeId,
    /// Its terminals A and B.
    pub node: [NodeId; 2],
    /// Its voltage.
    pub volts: f64,
    /// Whether it is a square wave that reverses with every half bit; if not, a direct voltage or one that hardly reverses.
    pub square_wave: bool,
}

/// A breaker: a root supply's own, or a sub-breaker.
#[derive(Clone, Debug)]
pub struct Breaker {
    /// Index of the supply in the plan.
    pub supply: usize,
    /// Its terminals A and B, on the layout's side.
    pub node: [NodeId; 2],
    /// The breaker it hangs behind.
    pub behind: Option<usize>,
    /// Whether it opens pole A and pole B. A pole it does not open is common with the breaker it hangs behind; the
    /// edge to it is then a bus wire and no [`EdgeKind::Source`].
    pub opens: [bool; 2],
    /// The current that trips it, where the plan says.
    pub trip_amps: Option<f64>,
    /// What of a current that reverses it measures, where the plan says.
    pub senses: Option<Senses>,
    /// The index of the root source.
    pub source: usize,
}

/// A stop on a rail line: a place where something is, and the nodes on both sides of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// Distance from the segment's start, metres.
    pub x: f64,
    /// The node just before the place.
    pub before: NodeId,
    /// The node just behind it; differs from `before` at joints, blades and gaps.
    pub after: NodeId,
}

/// One rail along a segment: stops, and the rail between each two as an edge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RailLine {
    /// The stops, in order; the first at 0, the last at the segment's length.
    pub stops: Vec<Stop>,
    /// `pieces[k]` is the rail between `stops[k]` and `stops[k + 1]`.
    pub pieces: Vec<EdgeId>,
}

/// Whose rails a segment is.
#[derive(Clone, Debug, PartialEq)]
pub enum RailOwner {
    /// Plain line.
    Track(usize),
    /// A route through special trackwork.
    Work {
        /// What it is.
        kind: Kind,
        /// Which one.
        index: usize,
        /// The ends of the route, by their words.
        ends: [String; 2],
    },
}

/// Two rails under a train: a track, or one route through a turnout.
#[derive(Clone, Debug)]
pub struct Segment {
    /// Its name: `dock 1`, or `T1 through`.
    pub name: String,
    /// Whose rails it is.
    pub owner: RailOwner,
    /// Positions in which a train can run over it.
    pub guard: Guard,
    /// Its length in metres.
    pub length: f64,
    /// Left and right rail, seen from its start.
    pub rails: [RailLine; 2],
    /// What its start and its end join.
    pub ends: [SegmentEnd; 2],
    /// The words of the plan it came from.
    pub span: Range<usize>,
}

/// What an end of a segment joins.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SegmentEnd {
    /// Segments that go on from here, and by which of their ends. A route's `guard` says which of
    /// several is lined.
    pub next: Vec<(SegmentId, TrackEnd)>,
    /// Whether track that is not on the plan goes on from here.
    pub beyond: bool,
}

/// A break in a rail: nothing joins its two sides here.
#[derive(Clone, Debug)]
pub struct Gap {
    /// On which segment. A gap inside trackwork stands once per route over it.
    pub segment: SegmentId,
    /// On which of its rails.
    pub side: RailSide,
    /// Where, metres from the segment's start.
    pub x: f64,
    /// The node just before it.
    pub before: NodeId,
    /// The node just behind it.
    pub after: NodeId,
    /// The words of the plan it came from.
    pub span: Range<usize>,
}

/// The neighbours of each node, over which edge, in the order of the edges; indexed by the node.
#[derive(Clone, Debug)]
pub struct Neighbours {
    start: Vec<usize>,
    list: Vec<(NodeId, EdgeId)>,
}

impl std::ops::Index<NodeId> for Neighbours {
    type Output = [(NodeId, EdgeId)];

    fn index(&self, node: NodeId) -> &Self::Output {
        &self.list[self.start[node]..self.start[node.index() + 1]]
    }
}

/// The circuit of a plan.
#[derive(Clone, Debug, Default)]
pub struct Circuit {
    /// In which units its places are named.
    pub units: Units,
    /// Points of rail and wire.
    pub nodes: Vec<Node>,
    /// What joins them.
    pub edges: Vec<Edge>,
    /// Closed blades beside the bonds that do their work. Nothing is proved or calculated with them, since a blade gets dirty; a
    /// meter on the bench sees them all the same.
    pub touching: Vec<Edge>,
    /// What has positions.
    pub controls: Vec<Control>,
    /// Root supplies that feed track.
    pub sources: Vec<Source>,
    /// Breakers, the roots' own first.
    pub breakers: Vec<Breaker>,
    /// Where trains run; segment `i` is track `i` for the first `tracks` ones, routes follow.
    pub segments: Vec<Segment>,
    /// How many of the segments are tracks.
    pub tracks: usize,
    /// Volts that detectors may keep of what feeds each segment.
    pub detector_drop: Vec<f64>,
    /// Volts that detectors keep whichever way the current flows, as diodes do, by the edges that are their inside.
    pub kept_volts: BTreeMap<EdgeId, f64>,
    /// Breaks in rails, in the order of their segments.
    pub gaps: Vec<Gap>,
    /// For each track and side, the pole its rail is meant to be on.
    pub intended_pole: Vec<[Option<BreakerPole>; 2]>,
    /// The frogs that a wire can feed: what trackwork, its index, the frog's node, and the frog's word.
    pub frogs: Vec<(Kind, usize, NodeId, &'static str)>,
    /// The controls of each piece of special trackwork, in the order of its template.
    pub work_controls: BTreeMap<(Kind, usize), Vec<ControlId>>,
    /// Positions that never hold together, such as both pairs of a three-way turnout's blades thrown; last of all what the plan
    /// promises never to set.
    pub illegal: Vec<Guard>,
    /// What the plan promises, in the order in which it stands at the end of `illegal`.
    pub promised: Vec<Promised>,
    /// Where each resistance comes from.
    pub inputs: Vec<Input>,
    /// How long each feeder and contact wire runs.
    pub runs: BTreeMap<EdgeId, WireRun>,
    /// The taps, by the node on the wire's side, whose place on the bus the plan does not say, and what was assumed.
    pub assumed_taps: BTreeMap<NodeId, AssumedTap>,
    /// The board on which things lie, by kind and index, none being the rest of the layout. Motors, toggles, relays and supplies that are
    /// not here may be anywhere; all else that is not here lies on the rest.
    pub on_board: BTreeMap<(Kind, usize), Option<usize>>,
    /// The plugs that wires pass and branches start with, by their edges.
    pub plugs: BTreeMap<EdgeId, PlugContact>,
    /// Joints of rails that no table says are soldered or slide: they are taken to slide.
    pub assumed_joints: BTreeSet<EdgeId>,
}

/// A place on a track where a node is wanted beyond those the plan gives rise to: metres from the
/// `from` end of a track, on both rails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    /// Index of the track.
    pub track: usize,
    /// Where, metres from its `from` end.
    pub at: f64,
}

impl Circuit {
    /// The circuit of a plan that was read without errors.
    ///
    /// References that do not resolve are passed over, so this never fails; do not call it on a plan
    /// whose reading had errors and believe the result.
    pub fn from_plan(plan: &Plan, names: &Names) -> Circuit {
        Circuit::with_probes(plan, names, &[])
    }

    /// As [`Circuit::from_plan`], with a node at each probe on both rails.
    pub fn with_probes(plan: &Plan, names: &Names, probes: &[Probe]) -> Circuit {
        build::build(plan, names, probes)
    }

    /// For each node, the nodes it is joined to and by which edge, open or closed.
    pub fn neighbours(&self) -> Neighbours {
        let mut start = vec![0; self.nodes.len() + 1];
        for end in self.edges.iter().flat_map(|e| [e.a, e.b]) {
            start[end.index() + 1] += 1;
        }
        for node in 0..self.nodes.len() {
            start[node + 1] += start[node];
        }
        let mut list = vec![(NodeId::new(0), EdgeId::new(0)); 2 * self.edges.len()];
        let mut free = start.clone();
        for (id, edge) in EdgeId::each(&self.edges) {
            for (here, there) in [(edge.a, edge.b), (edge.b, edge.a)] {
                let slot = &mut free[here];
                list[*slot] = (there, id);
                *slot += 1;
            }
        }
        Neighbours { start, list }
    }

    /// The nodes on a rail of a segment. Where a gap is the joint at an end, the node beyond it is the neighbour's and is none of them.
    pub fn rail_nodes(&self, segment: SegmentId, side: RailSide) -> impl Iterator<Item = NodeId> + '_ {
        let pieces = self.segments[segment].rails[side].pieces.iter();
        pieces.flat_map(|&piece| [self.edges[piece].a, self.edges[piece].b])
    }

    /// The gaps of a segment.
    pub fn gaps_of(&self, segment: SegmentId) -> &[Gap] {
        &self.gaps[self.gap_numbers_of(segment)]
    }

    /// Where the gaps of a segment stand among all gaps.
    pub fn gap_numbers_of(&self, segment: SegmentId) -> Range<usize> {
        let start = self.gaps.partition_point(|g| g.segment < segment);
        start..start + self.gaps[start..].partition_point(|g| g.segment == segment)
    }

    /// Whether the same is joined, switched and promised in both, be it by other wires: what is proved of one holds for the other.
    pub fn is_joined_like(&self, other: &Circuit) -> bool {
        let joins = |edge: &Edge| (edge.a, edge.b, edge.kind, edge.removed);
        let alike = |(a, b): (&Edge, &Edge)| joins(a) == joins(b) && a.guard == b.guard;
        self.nodes.len() == other.nodes.len()
            && self.edges.len() == other.edges.len()
            && self.edges.iter().zip(&other.edges).all(alike)
            && self.illegal == other.illegal
            && self.intended_pole == other.intended_pole
    }

    /// Whether a guard holds in a setting (a position for each control; `None`: in no position).
    pub fn holds(guard: &[Literal], setting: &[Option<u8>]) -> bool {
        guard.iter().all(|l| setting.get(l.control.index()).copied().flatten() == Some(l.position))
    }

    /// Whether none of the combinations that never happen holds in a setting.
    pub fn is_legal(&self, setting: &[Option<u8>]) -> bool {
        !self.illegal.iter().any(|guard| Circuit::holds(guard, setting))
    }

    /// The words for a position: `T1 = diverging`.
    pub fn literal_words(&self, literal: Literal) -> (String, String) {
        let control = &self.controls[literal.control];
        (control.name.clone(), control.positions[usize::from(literal.position)].clone())
    }

    /// The node of a track's rail at a place where a stop is, on the track's own side at its ends and
    /// on the far side of a joint elsewhere.
    pub fn at(&self, track: usize, side: RailSide, x: f64) -> Option<NodeId> {
        let stops = &self.segments.get(track)?.rails[side].stops;
        // Places are one within a hundredth of a millimetre: the nearest stop is meant.
        let off = |place: &usize| (stops[*place].x - x).abs();
        let place = (0..stops.len()).min_by(|a, b| off(a).total_cmp(&off(b))).filter(|place| off(place) <= 1.01e-5)?;
        let stop = &stops[place];
        Some(if place + 1 == stops.len() { stop.before } else { stop.after })
    }
}
