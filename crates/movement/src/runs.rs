//! Which rails move as one: rails joined by solder, over joints and through trackwork, and where they part.
//!
//! Everything comes from the circuit's lines: which piece of rail runs on into which. Along a run each node has a
//! coordinate, metres along the track. The run's *still point* is where as much rail lies on one side as on the other: what
//! holds all of it alike lets it grow from there. A run that closes on itself is still all round its ring.

mod held;
mod ring;
mod run;

pub use run::{Joint, Run};

use crate::walk::{Tree, middle};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, RailOwner, SegmentId};
use handbook::rails::{self, RailProfile};
use plan::tables::RailSide;
use plan::{Kind, Plan, TrackEnd};
use std::collections::BTreeMap;

/// Index of a run.
pub type RunId = usize;

/// A place where runs part: a gap, or a joint that slides.
#[derive(Clone, Debug, PartialEq)]
pub struct RailOpening {
    /// Where it is; where trackwork joins, at the end of the track.
    pub joint: Joint,
    /// For the rail on either side, how far it reaches from the parting to its still point: a strain times this is how far
    /// its end comes into the parting. Metres.
    pub reach: [f64; 2],
    /// The run on either side.
    pub runs: [RunId; 2],
}

/// All runs, and where each node stands in its run.
#[derive(Clone, Debug, Default)]
pub struct RigidRuns {
    /// The runs.
    pub list: Vec<Run>,
    /// Gaps and sliding joints, in the order of the plan's tracks. Gaps inside trackwork are its maker's and left out.
    pub openings: Vec<RailOpening>,
    at: Vec<Option<RunCoordinate>>,
}

/// Where a node stands: its run, its coordinate, and whether its track's `from` end lies up the coordinate.
#[derive(Clone, Copy, Debug)]
struct RunCoordinate {
    run: RunId,
    coordinate: f64,
    turned: bool,
}

/// Two nodes of one run: how far the second lies behind the first, and whether its frame is turned against the first's.
#[derive(Clone, Copy)]
struct RigidLink {
    nodes: [NodeId; 2],
    metres: f64,
    turns: bool,
}

struct RailLength {
    nodes: [NodeId; 2],
    metres: f64,
    rail: &'static RailProfile,
    board: Option<usize>,
}

impl RigidRuns {
    /// The runs of a circuit.
    pub fn from_circuit(plan: &Plan, circuit: &Circuit) -> RigidRuns {
        RigidRuns::with_slides(plan, circuit, &[])
    }

    /// The same where these soldered joints are left to slide.
    pub fn with_slides(plan: &Plan, circuit: &Circuit, slides: &[EdgeId]) -> RigidRuns {
        RigidRuns::search(RunSearch::new(plan, circuit, slides))
    }

    /// What the runs would be if everything that parts had shut: a ring of them is closed then.
    pub fn shut(plan: &Plan, circuit: &Circuit) -> RigidRuns {
        RigidRuns::search(RunSearch { all_shut: true, ..RunSearch::new(plan, circuit, &[]) })
    }

    fn search(mut search: RunSearch<'_>) -> RigidRuns {
        search.lines();
        search.ends();
        search.joints();
        search.stand()
    }

    /// How far along its run a node stands from the still point, metres, up the coordinate; and its run. None of what is
    /// no rail.
    pub fn from_anchor(&self, node: NodeId) -> Option<(RunId, f64)> {
        let standing = self.at.get(node.index()).copied().flatten()?;
        Some((standing.run, self.list[standing.run].from_still(standing.coordinate)))
    }
}

struct RunSearch<'p> {
    plan: &'p Plan,
    circuit: &'p Circuit,
    slides: &'p [EdgeId],
    /// Whether gaps and sliding joints hold together too.
    all_shut: bool,
    links: Vec<RigidLink>,
    pieces: Vec<RailLength>,
    soldered: Vec<Joint>,
    /// Partings, and for each of their nodes whether its rail comes from below, in the frame of its segment.
    parted: Vec<(Joint, [bool; 2])>,
    /// The segment whose line a node is on, and which of its ends the node is, if it is one.
    owner: Vec<Option<(SegmentId, Option<TrackEnd>)>>,
    /// Joints and bonds, by their nodes.
    joined: BTreeMap<(NodeId, NodeId), EdgeId>,
}

fn pair(a: NodeId, b: NodeId) -> (NodeId, NodeId) {
    (a.min(b), a.max(b))
}

impl<'p> RunSearch<'p> {
    fn new(plan: &'p Plan, circuit: &'p Circuit, slides: &'p [EdgeId]) -> RunSearch<'p> {
        let joins = |kind| matches!(kind, EdgeKind::SolderedJoint | EdgeKind::SlidingJoint | EdgeKind::Wire);
        let edges = EdgeId::each(&circuit.edges).filter(|(_, e)| joins(e.kind) && e.is_always_closed());
        let joined = edges.map(|(id, e)| (pair(e.a, e.b), id)).collect();
        let owner = vec![None; circuit.nodes.len()];
        let (links, pieces, soldered, parted) = Default::default();
        RunSearch { plan, circuit, slides, all_shut: false, links, pieces, soldered, parted, owner, joined }
    }

    /// The pieces of rail.
    fn lines(&mut self) {
        let mut seen = vec![false; self.circuit.edges.len()];
        for (segment, s) in self.circuit.segments.iter().enumerate() {
            let (rail, board) = (self.rail_of(&s.owner), self.circuit.board_of(&s.owner));
            for line in &s.rails {
                for (k, &edge) in line.pieces.iter().enumerate() {
                    let [from, to] = [&line.stops[k], &line.stops[k + 1]];
                    for node in [from.after, to.before] {
                        self.owner[node].get_or_insert((segment, None));
                    }
                    if !std::mem::replace(&mut seen[edge], true) {
                        let metres = to.x - from.x;
                        self.links.push(RigidLink { nodes: [from.after, to.before], metres, turns: false });
                        self.pieces.push(RailLength { nodes: [from.after, to.before], metres, rail, board });
                    }
                }
            }
        }
    }

    /// Which nodes are ends of segments. At a joint that is a gap, a line's outermost node is the neighbour's.
    fn ends(&mut self) {
        for (segment, s) in self.circuit.segments.iter().enumerate() {
            for line in &s.rails {
                let (Some(first), Some(last)) = (line.stops.first(), line.stops.last()) else { continue };
                let ends = [(first.before, first.after, TrackEnd::From), (last.after, last.before, TrackEnd::To)];
                for (outer, inner, end) in ends {
                    let theirs = self.owner[outer].is_some_and(|(owner, _)| owner != segment);
                    let node = if theirs && segment < self.circuit.tracks { inner } else { outer };
                    let known = self.owner[node].get_or_insert((segment, None));
                    known.1.get_or_insert(end);
                }
            }
        }
    }

    /// What stands between pieces: joints, bonds and gaps.
    fn joints(&mut self) {
        let circuit = self.circuit;
        let mut inside = vec![false; circuit.edges.len()];
        for (segment, s) in circuit.segments.iter().enumerate() {
            for (side, line) in RailSide::ALL.into_iter().zip(&s.rails) {
                for stop in line.stops.iter().filter(|s| s.before != s.after) {
                    let nodes = [stop.before, stop.after];
                    let edge = self.joined.get(&pair(stop.before, stop.after)).copied();
                    if let Some(edge) = edge {
                        inside[edge] = true;
                    }
                    if segment >= circuit.tracks {
                        // What the maker left apart inside trackwork stays his; what he bonded moves as one.
                        if edge.is_some() {
                            self.links.push(RigidLink { nodes, metres: 0.0, turns: false });
                        }
                        continue;
                    }
                    let [before, after] = nodes.map(|node| self.owner[node].map(|o| o.0) == Some(segment));
                    let own = |node: NodeId| circuit.nodes[node].span.clone();
                    let span = own(if before { stop.before } else { stop.after });
                    let joint = Joint { track: segment, side, x: stop.x, nodes, edge, span };
                    // Where one of them is the neighbour's, which end of it says where its rail lies.
                    let below = [before || self.is_to_end(stop.before), !after && self.is_to_end(stop.after)];
                    self.joint(joint, below);
                }
            }
        }
        for (id, edge) in EdgeId::each(&circuit.edges) {
            let joint = matches!(edge.kind, EdgeKind::SolderedJoint | EdgeKind::SlidingJoint);
            if !joint || inside[id] {
                continue;
            }
            let nodes = [edge.a, edge.b];
            let [Some(one), Some(other)] = nodes.map(|node| self.owner[node]) else { continue };
            let (track, node) = if one.0 < circuit.tracks { (one.0, edge.a) } else { (other.0, edge.b) };
            let Some(s) = circuit.segments.get(track) else { continue };
            let left = [s.rails[0].stops.first(), s.rails[0].stops.last()];
            let is_left = left.into_iter().flatten().any(|s| s.before == node || s.after == node);
            let side = if is_left { RailSide::Left } else { RailSide::Right };
            let x = if self.is_to_end(node) { s.length } else { 0.0 };
            let joint = Joint { track, side, x, nodes, edge: Some(id), span: edge.span.clone() };
            let below = nodes.map(|node| self.is_to_end(node));
            self.joint(joint, below);
        }
    }

    fn is_to_end(&self, node: NodeId) -> bool {
        self.owner[node].and_then(|o| o.1) == Some(TrackEnd::To)
    }

    fn joint(&mut self, joint: Joint, below: [bool; 2]) {
        if self.all_shut {
            self.links.push(RigidLink { nodes: joint.nodes, metres: 0.0, turns: below[0] == below[1] });
            return;
        }
        let kind = joint.edge.map(|edge| (edge, self.circuit.edges[edge].kind));
        match kind {
            Some((edge, EdgeKind::SolderedJoint)) if !self.slides.contains(&edge) => {
                self.links.push(RigidLink { nodes: joint.nodes, metres: 0.0, turns: below[0] == below[1] });
                self.soldered.push(joint);
            }
            _ => self.parted.push((joint, below)),
        }
    }

    fn rail_of(&self, owner: &RailOwner) -> &'static RailProfile {
        let plan = self.plan;
        let named = match *owner {
            RailOwner::Track(index) => plan.track[index].rail.as_ref(),
            RailOwner::Work { kind, index, .. } => match kind {
                Kind::Turnout => plan.turnout[index].rail.as_ref(),
                Kind::Crossing => plan.crossing[index].rail.as_ref(),
                Kind::Slip => plan.slip[index].rail.as_ref(),
                Kind::ThreeWay => plan.three_way[index].rail.as_ref(),
                _ => plan.turntable[index].rail.as_ref(),
            },
        };
        let layout = plan.layout.as_ref().map(|l| &l.value);
        let said = named.or_else(|| layout.and_then(|l| l.rail.as_ref()));
        let scale = layout.map_or("OO", |l| l.scale.value.as_str());
        said.and_then(|text| rails::rail(&text.value)).unwrap_or_else(|| rails::default_rail(scale))
    }

    /// Puts every node in its run.
    fn stand(self) -> RigidRuns {
        let nodes = self.circuit.nodes.len();
        // The links of each node as a chain: the first one, and for each end of a link the next.
        let mut first = vec![usize::MAX; nodes];
        let mut next = vec![usize::MAX; 2 * self.links.len()];
        let mut degree = vec![0u8; nodes];
        for (id, end) in (0..self.links.len()).flat_map(|id| [(id, 0), (id, 1)]) {
            let node = self.links[id].nodes[end].index();
            next[2 * id + end] = std::mem::replace(&mut first[node], 2 * id + end);
            degree[node] = degree[node].saturating_add(1);
        }
        let mut at: Vec<Option<RunCoordinate>> = vec![None; nodes];
        let mut list: Vec<Run> = Vec::new();
        let mut stack: Vec<NodeId> = Vec::new();
        let mut tree = Tree::with_nodes(nodes);
        for piece in &self.pieces {
            let start = piece.nodes[0];
            if at[start].is_some() {
                continue;
            }
            let run = list.len();
            list.push(Run::starting_at(start, piece.rail));
            at[start] = Some(RunCoordinate { run, coordinate: 0.0, turned: false });
            stack.push(start);
            while let Some(node) = stack.pop() {
                let Some(here) = at[node] else { continue };
                list[run].reached(here.coordinate, degree[node]);
                let mut slot = first[node];
                while slot != usize::MAX {
                    let link = self.links[slot / 2];
                    let ahead = if slot % 2 == 0 { link.metres } else { -link.metres };
                    let coordinate = here.coordinate + if here.turned { -ahead } else { ahead };
                    let there = RunCoordinate { run, coordinate, turned: here.turned != link.turns };
                    let other = link.nodes[1 - slot % 2];
                    match at[other] {
                        None => {
                            at[other] = Some(there);
                            tree.grow(node, other, link.metres);
                            stack.push(other);
                        }
                        Some(known) => {
                            let net = (known.coordinate - coordinate).abs();
                            // Round a passing loop one comes back to where one was; round a ring, its whole length further.
                            let mut ring = || net > tree.round(node, other, link.metres) / 2.0;
                            list[run].closed |= known.turned != there.turned || (net > 1e-6 && ring());
                        }
                    }
                    slot = next[slot];
                }
            }
        }
        for (run, _) in list.iter().enumerate().filter(|(_, run)| run.closed) {
            self.hold_ring(run, &mut at);
        }
        self.finish(list, at)
    }

    /// Still points, and how far partings are from them.
    fn finish(self, mut list: Vec<Run>, at: Vec<Option<RunCoordinate>>) -> RigidRuns {
        let mut edges: Vec<Vec<(f64, f64)>> = vec![Vec::new(); list.len()];
        let mut longest = vec![0.0; list.len()];
        let mut on_board: BTreeMap<(RunId, Option<usize>), f64> = BTreeMap::new();
        for piece in &self.pieces {
            let [Some(one), Some(other)] = piece.nodes.map(|n| at[n]) else { continue };
            *on_board.entry((one.run, piece.board)).or_default() += piece.metres;
            let run = &mut list[one.run];
            run.length += piece.metres;
            if piece.metres > longest[one.run] {
                (longest[one.run], run.rail) = (piece.metres, piece.rail);
            }
            let [low, high] = [one.coordinate.min(other.coordinate), one.coordinate.max(other.coordinate)];
            edges[one.run].extend([(low, 1.0), (high, -1.0)]);
        }
        let mut most = vec![0.0; list.len()];
        for (&(run, board), &metres) in &on_board {
            if metres > most[run] {
                (most[run], list[run].board) = (metres, board);
            }
        }
        for (run, edges) in list.iter_mut().zip(&mut edges) {
            run.anchor = if run.closed { 0.0 } else { middle(edges, run.length / 2.0) };
        }
        self.hold(&mut list, &at);
        for joint in self.soldered {
            if let Some(standing) = at[joint.nodes[0]] {
                list[standing.run].soldered.push(joint);
            }
        }
        let mut partings = Vec::new();
        for (joint, below) in self.parted {
            let [Some(one), Some(other)] = joint.nodes.map(|n| at[n]) else { continue };
            let reach = |standing: RunCoordinate, below: bool| {
                let up = list[standing.run].from_still(standing.coordinate);
                if standing.turned == below { -up } else { up }
            };
            let reach = [reach(one, below[0]), reach(other, below[1])];
            partings.push(RailOpening { joint, reach, runs: [one.run, other.run] });
        }
        let order = |p: &RailOpening| (p.joint.track, p.joint.side);
        partings.sort_by(|a, b| order(a).cmp(&order(b)).then(a.joint.x.total_cmp(&b.joint.x)));
        RigidRuns { list, openings: partings, at }
    }
}
