//! Tests that could be made with every supply unplugged; [`crate::cover`] chooses among them.

use crate::mistake::{gaps, is_made, loose_ends};
use crate::test::Element;
use circuit::{Circuit, ControlId, Edge, EdgeId, EdgeKind, Literal, NodeId, Part, WorkPiece};
use plan::Pole;
use std::collections::{BTreeMap, BTreeSet};

/// What a candidate looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Looks {
    /// At a chain of pieces, end to end.
    Chain,
    /// Across a gap.
    Gap,
    /// At two conductors that must not be joined, or must: rail or frog and a conductor of a bus, or two of these.
    Conductors,
}

/// A test that could be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What it looks at.
    pub looks: Looks,
    /// Where the probes go.
    pub pair: [NodeId; 2],
    /// The pieces between them, where it looks at a chain.
    pub chain: Vec<EdgeId>,
    /// Index of its setting.
    pub setting: usize,
}

/// The settings in which tests are made: everything in its first position, and each other position of each control with
/// the rest in their first; then those that some edge needs besides.
pub fn settings(circuit: &Circuit) -> Vec<Vec<Option<u8>>> {
    let first = circuit.complete(&[]);
    let mut settings = vec![first.clone()];
    for (control, c) in ControlId::each(&circuit.controls).filter(|(_, c)| !c.settles) {
        let others = (0..c.positions.len()).map(|p| p as u8).filter(|p| Some(*p) != first[control]);
        for position in others {
            settings.extend(with(circuit, &[Literal { control, position }]));
        }
    }
    for edge in circuit.edges.iter().filter(|e| is_made(e) && e.guard.len() > 1) {
        settings.extend(with(circuit, &edge.guard).filter(|s| !settings.contains(s)));
    }
    settings
}

/// The usual positions with these instead; none where there is no such setting.
fn with(circuit: &Circuit, guard: &[Literal]) -> Option<Vec<Option<u8>>> {
    let mut given: Vec<Option<u8>> = vec![None; circuit.controls.len()];
    for literal in guard {
        *given.get_mut(literal.control.index())? = Some(literal.position);
    }
    let setting = circuit.complete(&given);
    circuit.is_legal(&setting).then_some(setting)
}

/// Blades that touch beside a bond, by the nodes they join.
pub struct BladesBesideBonds(BTreeMap<(NodeId, NodeId), EdgeId>);

impl BladesBesideBonds {
    /// Those of a circuit.
    pub fn from_circuit(circuit: &Circuit) -> BladesBesideBonds {
        let touching = EdgeId::each(&circuit.edges);
        let touching = touching.filter(|(_, e)| matches!(e.part, Part::Work { piece: WorkPiece::Touching, .. }));
        BladesBesideBonds(touching.map(|(id, e)| (ends(e), id)).collect())
    }

    /// The first setting in which a piece is joined, and no blade touches beside it.
    pub fn setting_for(&self, circuit: &Circuit, edge: EdgeId, settings: &[Vec<Option<u8>>]) -> Option<usize> {
        let edge = &circuit.edges[edge];
        let blade = self.0.get(&ends(edge)).map(|blade| &circuit.edges[*blade]);
        settings
            .iter()
            .position(|setting| edge.is_closed(setting) && blade.is_none_or(|blade| !blade.is_closed(setting)))
    }
}

fn ends(edge: &Edge) -> (NodeId, NodeId) {
    (edge.a.min(edge.b), edge.a.max(edge.b))
}

/// All candidates for a circuit whose supplies are unplugged; on a long plan only those that look at their own pieces, and at
/// the poles of each breaker.
pub fn candidates(circuit: &Circuit, settings: &[Vec<Option<u8>>], long: bool) -> Vec<Candidate> {
    let mut found = CandidateList::default();
    chains(circuit, settings, &mut found);
    for (a, b) in gaps(circuit) {
        found.push(Looks::Gap, [a, b], Vec::new(), 0);
    }
    conductors(circuit, settings, long, &mut found);
    found.list
}

#[derive(Default)]
struct CandidateList {
    list: Vec<Candidate>,
    seen: BTreeSet<(NodeId, NodeId, usize)>,
}

impl CandidateList {
    fn push(&mut self, looks: Looks, pair: [NodeId; 2], chain: Vec<EdgeId>, setting: usize) {
        let [a, b] = pair;
        if a != b && self.seen.insert((a.min(b), a.max(b), setting)) {
            self.list.push(Candidate { looks, pair, chain, setting });
        }
    }
}

/// For each made piece the longest chain it is a link of, in the first setting that closes it, and the piece alone; for
/// each conductor of a bus the whole of it.
fn chains(circuit: &Circuit, settings: &[Vec<Option<u8>>], found: &mut CandidateList) {
    let neighbours = circuit.neighbours();
    let loose = loose_ends(circuit);
    let beside = BladesBesideBonds::from_circuit(circuit);
    for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| is_made(e) && e.kind != EdgeKind::BusWire) {
        if edge.kind == EdgeKind::Contact && [edge.a, edge.b].iter().any(|end| loose.contains(end)) {
            continue;
        }
        let Some(setting) = beside.setting_for(circuit, id, settings) else { continue };
        let grow = |chain: &mut Vec<EdgeId>, mut end: NodeId| loop {
            let closed = |e: &&(NodeId, EdgeId)| circuit.edges[e.1].is_closed(&settings[setting]);
            let here: Vec<&(NodeId, EdgeId)> = neighbours[end].iter().filter(closed).collect();
            let on = here.iter().find(|e| !chain.contains(&e.1));
            match (here.len(), on) {
                (2, Some(&&(next, on))) if !matches!(circuit.edges[on].kind, EdgeKind::Rail | EdgeKind::BusWire) => {
                    chain.push(on);
                    end = next;
                }
                _ => return end,
            }
        };
        let mut chain = vec![id];
        let there = grow(&mut chain, edge.b);
        chain.reverse();
        let here = grow(&mut chain, edge.a);
        chain.reverse();
        found.push(Looks::Chain, [here, there], chain, setting);
        found.push(Looks::Chain, [edge.a, edge.b], vec![id], setting);
    }
    // By bus and conductor, what else is bus wire each by itself.
    let mut buses: BTreeMap<(usize, Option<Pole>), Vec<EdgeId>> = BTreeMap::new();
    for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| is_made(e) && e.kind == EdgeKind::BusWire) {
        let key = match edge.part {
            Part::BusRun { bus, pole } => (bus, Some(pole)),
            _ => (id.index(), None),
        };
        buses.entry(key).or_default().push(id);
    }
    for runs in buses.into_values() {
        let (Some(&first), Some(&last)) = (runs.first(), runs.last()) else { continue };
        let ends = [circuit.edges[first].a, circuit.edges[last].b];
        found.push(Looks::Chain, ends, runs.clone(), 0);
        for run in runs {
            let edge = &circuit.edges[run];
            found.push(Looks::Chain, [edge.a, edge.b], vec![run], 0);
        }
    }
}

/// The two poles of each breaker against each other in every setting that changes something on them. On a plan that is not
/// long, each pole against all others in the first setting too; each conductor of the track and each frog against the poles,
/// in the first setting and wherever it depends on others than there.
fn conductors(circuit: &Circuit, settings: &[Vec<Option<u8>>], long: bool, found: &mut CandidateList) {
    let poles: Vec<NodeId> = circuit.breakers.iter().flat_map(|b| b.node).collect();
    let first = pieces(circuit, &settings[0]);
    let mut moved: Vec<BTreeSet<NodeId>> = vec![BTreeSet::new(); circuit.controls.len()];
    for edge in circuit.edges.iter().filter(|e| !e.removed) {
        for literal in &edge.guard {
            moved[literal.control].extend([first[edge.a], first[edge.b]]);
        }
    }
    for (index, setting) in settings.iter().enumerate() {
        let changed = |node: NodeId| {
            let thrown = ControlId::each(setting).filter(|(control, position)| **position != settings[0][*control]);
            index == 0 || thrown.into_iter().any(|(control, _)| moved[control].contains(&first[node]))
        };
        for breaker in circuit.breakers.iter().filter(|b| b.node.into_iter().any(changed)) {
            found.push(Looks::Conductors, breaker.node, Vec::new(), index);
        }
    }
    if long {
        return;
    }
    for (i, &one) in poles.iter().enumerate() {
        for &other in &poles[i + 1..] {
            found.push(Looks::Conductors, [one, other], Vec::new(), 0);
        }
    }
    let track = track_places(circuit);
    let on = |piece: &[NodeId], node: NodeId| -> Vec<bool> {
        poles.iter().map(|&pole| piece[pole] == piece[node]).collect()
    };
    for (index, setting) in settings.iter().enumerate() {
        let piece = pieces(circuit, setting);
        for &node in track.iter().filter(|&&node| index == 0 || on(&piece, node) != on(&first, node)) {
            for &pole in &poles {
                found.push(Looks::Conductors, [node, pole], Vec::new(), index);
            }
        }
    }
}

/// A place on each conductor of the track (rail and what joins it for good), and each frog.
fn track_places(circuit: &Circuit) -> Vec<NodeId> {
    let is_track = |kind| matches!(kind, EdgeKind::Rail | EdgeKind::SolderedJoint | EdgeKind::SlidingJoint);
    let conductor = circuit.conductors(|edge| edge.is_always_closed() && is_track(edge.kind));
    let mut seen = BTreeSet::new();
    let frogs = circuit.frogs.iter().map(|f| f.2);
    let rails = circuit.edges.iter().filter(|e| e.kind == EdgeKind::Rail).map(|e| e.b);
    frogs.chain(rails).filter(|&node| seen.insert(conductor[node])).collect()
}

/// For each node the conductor it belongs to in a setting, identified by the first of its nodes.
pub fn pieces(circuit: &Circuit, setting: &[Option<u8>]) -> Vec<NodeId> {
    circuit.conductors(|edge| edge.is_closed(setting))
}

/// What a candidate is made to look at.
pub fn own_elements(candidate: &Candidate) -> Vec<Element> {
    match candidate.looks {
        Looks::Gap => vec![Element::Gap(candidate.pair[0], candidate.pair[1])],
        _ => candidate.chain.iter().map(|&edge| Element::Edge(edge)).collect(),
    }
}
