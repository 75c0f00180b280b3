//! A detector that shows trains on a track that is not its own.

use super::sight;
use crate::context::Context;
use crate::fixes::proving::ends;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{Circuit, EdgeId, Neighbours, NodeId};
use finding::{Finding, Harm, Severity};
use plan::tables::RailSide;
use std::collections::{BTreeMap, VecDeque};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "detector-sees-too-much",
        title: "a detector shows trains on a track that is not its own",
        text: "A current detector shows that something draws current from the rail it feeds. It cannot tell where on this rail. \
               If the rail runs on into another track without a gap, a train there draws its current over the same detector, \
               and the panel shows the wrong track as taken.\n\n\
               What to do: cut a gap in this rail where the two tracks meet. If the detector is meant to show both tracks as one \
               section, name both in its `tracks`.",
        drawing: r#"            ┌ D1 ┐
   bus.A ═══╡    ╞══╤══════════════════════════
            └────┘  │            train
   dock 1 ══════════╧══════ ═ ══[____]══ lead
                             no gap: D1 shows `dock 1` taken"#,
        example: include_str!("examples/detector-sees-too-much.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let circuit = &facts.circuit;
    let detectors = sight::detectors(facts);
    if detectors.is_empty() {
        return;
    }
    let neighbours = circuit.neighbours();
    let settings = sight::settings(facts);
    for detector in &detectors {
        // For each track that is not its own, the first setting in which it is seen, and the place that is come to first.
        let mut others: BTreeMap<usize, (usize, RailSide, NodeId)> = BTreeMap::new();
        for (number, setting) in settings.iter().enumerate() {
            let seen = circuit.seen_from(&neighbours, detector.output, |edge| edge.is_closed(setting));
            for track in (0..circuit.tracks).filter(|track| !detector.tracks.contains(track)) {
                for side in RailSide::ALL {
                    if let Some(node) = sight::rail_nodes(circuit, track, side).find(|&node| seen[node]) {
                        others.entry(track).or_insert((number, side, node));
                    }
                }
            }
        }
        let Some((&first, &(number, side, node))) =
            others.iter().min_by_key(|(track, (number, ..))| (*number, **track))
        else {
            continue;
        };
        let table = &facts.plan.detector[detector.index];
        let when = sight::literals(&settings[number]);
        let when = if when.is_empty() { String::new() } else { format!(" {}", words::when(circuit, &when)) };
        let names: Vec<String> = others.keys().map(|&t| format!("`{}`", facts.plan.track[t].name.value)).collect();
        let own: Vec<String> = table.tracks.iter().map(|t| format!("`{}`", t.value)).collect();
        let other = &facts.plan.track[first].name;
        let mut finding = Finding::new(
            Severity::Error,
            "detector-sees-too-much",
            Harm::CanStop,
            format!(
                "detector `{}` shows {} taken when a train stands on `{}`{when}",
                table.name.value,
                words::list(&own),
                other.value
            ),
        )
        .at(table.name.span.clone(), "sees more than its own tracks")
        .also(other.span.clone(), format!("its {} rail is joined to the detector's", side.word()));
        let joint = joined_by(circuit, &neighbours, &settings[number], (detector.output, node), first);
        if let Some(edge) = joint {
            let edge = &circuit.edges[edge];
            finding = finding.also(edge.span.clone(), "joined here").fact(format!("by the {}", edge.name));
        }
        if names.len() > 1 {
            finding = finding.fact(format!("it sees {}", words::list(&names)));
        }
        let joint: Vec<EdgeId> = joint.into_iter().collect();
        let cuts = crate::fixes::gaps::at_end_joints(facts, &joint, false);
        let good = |(_, edits): &crate::fixes::Change| ends(facts, edits, "detector-sees-too-much");
        found.push(match cuts.into_iter().find(good) {
            Some((says, edits)) => finding.proposal(says, edits),
            None => finding.help(format!(
                "cut a gap in this rail where `{}` begins; or name it in the `tracks` of the detector",
                other.value
            )),
        });
    }
}

/// The edge over which the shortest way from a detector comes to a track.
fn joined_by(
    circuit: &Circuit,
    neighbours: &Neighbours,
    setting: &[Option<u8>],
    (from, to): (NodeId, NodeId),
    track: usize,
) -> Option<EdgeId> {
    let may = circuit.seen_from(neighbours, from, |edge| edge.is_closed(setting));
    let mut came: Vec<Option<(NodeId, EdgeId)>> = vec![None; circuit.nodes.len()];
    let mut queue = VecDeque::from([from]);
    while let Some(node) = queue.pop_front() {
        for &(next, edge) in &neighbours[node] {
            if next != from && may[next] && came[next].is_none() && circuit.edges[edge].is_closed(setting) {
                came[next] = Some((node, edge));
                queue.push_back(next);
            }
        }
    }
    let on_track =
        |node: NodeId| matches!(circuit.nodes[node].spot, circuit::Spot::Rail { track: t, .. } if t == track);
    let mut at = to;
    while let Some((before, edge)) = came[at] {
        if !on_track(before) {
            return Some(edge);
        }
        at = before;
    }
    None
}
