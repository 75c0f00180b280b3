//! A storage track is live when the policy says it should be dead.

use crate::context::Context;
use crate::fixes::first_good;
use crate::fixes::wires::wire_moves;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{EdgeId, EdgeKind, NodeId, Part};
use finding::{Finding, Harm};
use plan::tables::{Live, RailSide};
use proof::{Proof, StorageCause, StorageFault};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "storage-live-unlined",
        title: "a storage track is live although no route is set for it",
        text: "Trains wait on storage tracks with their engines on the rails. The plan says when such a track is to \
               be live; in the setting shown it is live although it should not be, so an engine on it can answer and \
               run.\n\nTo be dead, a track needs at least one of its rails cut off from everything that is always fed: \
               by a gap, and by a contact that closes only when the turnouts are set for the track. A turnout's frog gap does \
               that for the rail behind the frog; the other rail of the same track is the turnout's continuous stock \
               rail and needs a gap of its own if it is the one to be switched. A feeder straight from the bus undoes \
               both.\n\nWhere a contact is free, the finding proposes the edit, after proving that it ends the fault \
               and makes no new one.",
        drawing: r#"                     ┌┤├═══════════ track 1, set: live
   ═════ turnout ════╡
                     └──═══════════ track 2, not set: live too,
                          │         for a rail of it is never cut off"#,
        example: include_str!("../../../../../plans/thistle-dock/plan.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    for cause in &proof.storage_causes {
        found.push(of_one_cause(facts, &proof.storage, cause));
    }
    let alone = |index: &usize| !proof.storage_causes.iter().any(|c| c.faults.contains(index));
    let single = proof.storage.iter().enumerate().filter(|(i, _)| alone(i)).map(|f| f.1);
    for fault in single.filter(|f| f.live) {
        let track = &facts.plan.track[fault.track];
        let when = words::when(circuit, &fault.setting);
        let policy = facts.plan.storage_of(&track.name.value);
        let due = match policy.map_or(Live::Lined, |s| s.value.live.value) {
            Live::BothEndsAgree => "the turnouts at both its ends are set for it",
            Live::EitherEnd => "the turnouts at one of its ends are set for it",
            _ => "the turnouts next to it are set for it",
        };
        let part = match (fault.whole, fault.stretch) {
            (true, _) => String::new(),
            (false, [from, to]) => {
                format!(" from {} to {}", facts.plan.units().metres(from), facts.plan.units().metres(to))
            }
        };
        let mut finding = Finding::error(
            "storage-live-unlined",
            Harm::CanStop,
            format!("`{}` is live{part} {when}: it should be dead then", track.name.value),
        )
        .at(track.name.span.clone(), "live when it should be dead");
        if let Some(storage) = policy {
            finding = finding.also(storage.value.live.span.clone(), "the policy");
        }
        finding = finding
            .fact(format!("the policy wants it live only when {due}"))
            .witness(finding::FindingWitness { setting: words::setting(circuit, &fault.setting), path: Vec::new() });
        for (side, path) in RailSide::ALL.into_iter().zip(&fault.paths) {
            let pieces = words::path(circuit, path).join(" → ");
            finding = finding.fact(format!("{} rail: {pieces}", side.word()));
        }
        for side in RailSide::ALL {
            if fault.always_fed[side] {
                finding = finding.fact(why_always_fed(facts, fault, side));
            }
        }
        match crate::fixes::storage::storage(facts, fault) {
            Some(proposal) => finding = finding.proposal(proposal.says, proposal.edits),
            None => {
                finding = finding.help(
                    "cut one of its rails off with a gap and feed it through a contact that closes only when the turnouts are set for it",
                );
            }
        }
        found.push(finding);
    }
}

/// Several tracks that one wire, contact or piece of rail keeps live.
fn of_one_cause(facts: &Context<'_>, faults: &[StorageFault], cause: &StorageCause) -> Finding {
    let circuit = &facts.circuit;
    let edge = &circuit.edges[cause.edge];
    let path: Vec<EdgeId> = cause.faults.iter().flat_map(|&f| &faults[f].paths).flat_map(|p| p.edges.clone()).collect();
    let fewer = |proof: &Proof| proof.storage.len() < faults.len();
    let moved = first_good(facts, "storage-live-unlined", wire_moves(facts, &path), fewer);
    let tracks: Vec<String> =
        cause.faults.iter().map(|&f| format!("`{}`", facts.plan.track[faults[f].track].name.value)).collect();
    let rail = matches!(edge.kind, EdgeKind::Rail | EdgeKind::SlidingJoint | EdgeKind::SolderedJoint);
    let mut finding = Finding::error(
        "storage-live-unlined",
        Harm::CanStop,
        format!("{} can be live when they should be dead, all by way of the {}", words::list(&tracks), edge.name),
    )
    .at(edge.span.clone(), "without this all of them are right");
    finding = match moved {
        Some(proposal) => finding.proposal(proposal.says, proposal.edits),
        None => {
            let parting = crate::fixes::proving::parting_fixes(facts, cause.edge, "storage-live-unlined");
            finding.help(match (parting, rail) {
                (true, true) => "cut a gap here".to_owned(),
                (true, false) => format!("take the {} off", edge.name),
                (false, _) => {
                    "to part it alone makes something else worse: feed what lies behind it another way first".to_owned()
                }
            })
        }
    };
    let policies: BTreeSet<usize> = (cause.faults.iter())
        .filter_map(|&f| facts.plan.storage_of(&facts.plan.track[faults[f].track].name.value))
        .map(|policy| policy.value.live.span.start)
        .collect();
    for policy in facts.plan.storage.iter().filter(|p| policies.contains(&p.value.live.span.start)) {
        finding = finding.also(policy.value.live.span.clone(), "the policy");
    }
    for (track, &fault) in tracks.iter().zip(&cause.faults) {
        finding = finding.fact(format!("{track} is live {}", words::when(circuit, &faults[fault].setting)));
    }
    let first = cause.faults.first().map(|&f| &faults[f]);
    let path = first.and_then(|f| f.paths.iter().find(|p| p.edges.contains(&cause.edge)));
    match path {
        Some(path) => finding.witness(words::witness(circuit, path)),
        None => finding,
    }
}

/// Why nothing the turnouts do takes power from a rail.
fn why_always_fed(facts: &Context<'_>, fault: &proof::StorageFault, side: RailSide) -> String {
    let circuit = &facts.circuit;
    let rail = side.word();
    let edges = fault.paths.get(side.index()).map(|p| p.edges.as_slice()).unwrap_or_default();
    let own = |part: &Part| matches!(*part, Part::Feeder { track, side: s, .. } if (track, s) == (fault.track, side));
    let has_feeder = edges.iter().any(|&e| own(&circuit.edges[e].part));
    let unbroken = neighbour_over_rail(facts, fault, side);
    match (has_feeder, unbroken) {
        (true, None) => format!("the {rail} rail is gapped, but its feeder comes straight from the bus"),
        (true, Some(other)) => format!(
            "the {rail} rail has a feeder straight from the bus, and no gap parts it from {other}: it runs on \
             from the turnout's continuous stock rail, which no frog gap can switch off"
        ),
        (false, Some(other)) => format!(
            "no gap parts the {rail} rail from {other}: it runs on from the turnout's continuous stock rail, \
             which no frog gap can switch off"
        ),
        (false, None) => format!("the {rail} rail is fed in every setting"),
    }
}

/// The nearest other track's rail that a storage track's rail runs into over nothing but rail and joints.
fn neighbour_over_rail(facts: &Context<'_>, fault: &proof::StorageFault, side: RailSide) -> Option<String> {
    let circuit = &facts.circuit;
    let stops = &circuit.segments[fault.track].rails[side].stops;
    let middle = (fault.stretch[0] + fault.stretch[1]) / 2.0;
    let start = stops.iter().rev().find(|s| s.x <= middle)?.after;
    let own_nodes = |node: NodeId| stops.iter().any(|s| s.before == node || s.after == node);
    let neighbours = circuit.neighbours();
    let mut seen = vec![false; circuit.nodes.len()];
    let mut queue = std::collections::VecDeque::from([start]);
    seen[start] = true;
    while let Some(node) = queue.pop_front() {
        if !own_nodes(node) {
            for (track, segment) in circuit.segments.iter().enumerate().take(circuit.tracks) {
                for other in RailSide::ALL {
                    let there = &segment.rails[other].stops;
                    if track != fault.track && there.iter().any(|s| s.before == node || s.after == node) {
                        return Some(format!("`{}`'s {} rail", segment.name, other.word()));
                    }
                }
            }
        }
        for &(next, edge) in &neighbours[node] {
            let edge = &circuit.edges[edge];
            let rail = matches!(edge.kind, EdgeKind::Rail | EdgeKind::SolderedJoint | EdgeKind::SlidingJoint);
            if rail && edge.is_always_closed() && !std::mem::replace(&mut seen[next], true) {
                queue.push_back(next);
            }
        }
    }
    None
}
