//! Which rails a detector sees, setting by setting.

use crate::context::Context;
use circuit::{Circuit, Edge, EdgeId, Literal, Neighbours, NodeId, Part, Spot};
use plan::tables::RailSide;
use plan::{Kind, Terminal};
use std::collections::{BTreeSet, VecDeque};

/// Settings that are looked at: nothing set, so that only what is joined for good counts, then those of the routes.
const MOST_SETTINGS: usize = 200;

/// A detector, and what it is to show.
pub(super) struct Detector {
    pub(super) index: usize,
    /// What its rails are fed from.
    pub(super) output: NodeId,
    /// The tracks whose trains it is to show.
    pub(super) tracks: BTreeSet<usize>,
}

/// The detectors of a plan.
pub(super) fn detectors(facts: &Context<'_>) -> Vec<Detector> {
    let output = |index: usize| {
        let is_it = |node: &circuit::Node| node.spot == Spot::Detector { detector: index, output: true };
        facts.circuit.nodes.iter().position(is_it).map(NodeId::new)
    };
    let track = |text: &plan::At<String>| facts.names.of_kind(&text.value, &[Kind::Track]).ok().map(|t| t.1);
    let all = facts.plan.detector.iter().enumerate();
    all.filter_map(|(index, table)| {
        Some(Detector { index, output: output(index)?, tracks: table.tracks.iter().filter_map(track).collect() })
    })
    .collect()
}

/// The settings that are looked at.
pub(super) fn settings(facts: &Context<'_>) -> Vec<Vec<Option<u8>>> {
    let mut settings = vec![vec![None; facts.circuit.controls.len()]];
    for way in facts.ways().list.iter().take(MOST_SETTINGS) {
        let setting = electrics::setting_of(&facts.circuit, way);
        if !settings.contains(&setting) {
            settings.push(setting);
        }
    }
    settings
}

/// The positions of a setting as a finding tells them.
pub(super) fn literals(setting: &[Option<u8>]) -> Vec<Literal> {
    let set = circuit::ControlId::each(setting).filter_map(|(control, p)| Some(Literal { control, position: (*p)? }));
    set.collect()
}

/// The rail nodes of a side of a track; what lies beyond a gap at its very ends is none of its own.
pub(super) fn rail_nodes(circuit: &Circuit, track: usize, side: RailSide) -> impl Iterator<Item = NodeId> {
    circuit.rail_nodes(track, side)
}

/// The sides of its own track that a detector has in its feed: those that say so, and those that it sees in some setting.
pub(super) fn sides(facts: &Context<'_>, detector: &Detector, track: usize, seen: &[Vec<bool>]) -> BTreeSet<RailSide> {
    let table = &facts.plan.track[track];
    let says_so = |side: &RailSide| {
        let found = table.conductor(*side).and_then(|t| facts.names.terminal(facts.plan, &t.value).ok());
        found == Some(Terminal::Detector(detector.index))
    };
    let own = RailSide::ALL.into_iter().filter(says_so);
    let sees =
        |side: &RailSide| seen.iter().any(|seen| rail_nodes(&facts.circuit, track, *side).any(|node| seen[node]));
    own.chain(RailSide::ALL.into_iter().filter(sees)).collect()
}

/// The nodes that buses and supplies feed in a setting without any detector between, each with the edge by which it was come to.
pub(super) fn fed_round(circuit: &Circuit, neighbours: &Neighbours, setting: &[Option<u8>]) -> Vec<Option<EdgeId>> {
    let is_bus =
        |node: NodeId| matches!(circuit.nodes[node].spot, Spot::Bus { .. } | Spot::Tap { .. } | Spot::Supply { .. });
    let mut came: Vec<Option<EdgeId>> = vec![None; circuit.nodes.len()];
    let mut queue: VecDeque<NodeId> = NodeId::all(circuit.nodes.len()).filter(|&node| is_bus(node)).collect();
    let passes = |edge: &Edge| edge.is_closed(setting) && !matches!(edge.part, Part::Detector { .. });
    while let Some(node) = queue.pop_front() {
        for &(next, edge) in &neighbours[node] {
            if came[next].is_none() && !is_bus(next) && passes(&circuit.edges[edge]) {
                came[next] = Some(edge);
                queue.push_back(next);
            }
        }
    }
    came
}
