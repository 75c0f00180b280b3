//! A rail can be live on the other conductor than the plan says.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{EdgeId, NodeId};
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "wrong-phase",
        title: "a rail can be on the wrong conductor",
        text: "The plan says which bus conductor each rail belongs to. In some setting this piece of rail is joined to \
               the other one instead. As long as gaps keep it apart from its neighbours nothing shorts, but a train \
               that runs onto it does.\n\nThe usual causes: a feeder landed on the wrong conductor, a contact on the \
               wrong terminal.\n\nFix: follow the path that the finding shows and move its end.",
        drawing: r#"   A ══════╤══════┤├══════╤══════ B!    the left rail belongs to A;
           │              │             this feeder goes to B
   bus.A ──┘      bus.B ──┘"#,
        example: include_str!("examples/wrong-phase.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    for wrong in &proof.wrong_phases {
        let track = &facts.plan.track[wrong.track];
        let when = words::when(circuit, &wrong.witness.setting);
        let is = words::pole(circuit, wrong.meant.other());
        let due = words::pole(circuit, wrong.meant);
        let Some(wire) = own_wire(facts, wrong) else { continue };
        let mut finding = Finding::error(
            "wrong-phase",
            Harm::CanBurn,
            format!(
                "`{}`'s {} rail from {} on is on `{is}`, not `{due}`, {when}",
                track.name.value,
                wrong.side.word(),
                facts.plan.units().metres(wrong.from)
            ),
        )
        .witness(words::witness(circuit, &wrong.witness));
        finding = finding.at(wire.span.clone(), format!("it gets there by the {}", wire.name));
        if let Some(said) = track.conductor(wrong.side) {
            finding = finding.also(said.span.clone(), "where the rail belongs");
        }
        finding = match crate::fixes::wire_move(facts, "wrong-phase", &wrong.witness.edges) {
            Some(proposal) => finding.proposal(proposal.says, proposal.edits),
            None => finding.help("move the wire to the other conductor, or correct what the rail belongs to"),
        };
        found.push(finding);
    }
}

/// The wire that brings the wrong conductor to a track, where one ends at the very rail: the first along it. A rail that
/// has it from its neighbour is not at fault: the gap before it is bridged, and told as that.
pub(super) fn own_wire<'f>(facts: &'f Context<'_>, wrong: &proof::WrongPhase) -> Option<&'f circuit::Edge> {
    use circuit::EdgeKind::{Feeder, Wire};
    let circuit = &facts.circuit;
    let stops = &circuit.segments[wrong.track].rails[wrong.side].stops;
    let within = stops.iter().filter(|s| wrong.from <= s.x && s.x <= wrong.to);
    let own: Vec<NodeId> = within.flat_map(|s| [s.before, s.after]).collect();
    let reached = without(facts, wrong, &own);
    let lands = |&node: &NodeId| {
        let wires = circuit.edges.iter().filter(|e| matches!(e.kind, Feeder | Wire));
        let ends = wires.filter_map(|e| (e.a == node).then_some((e, e.b)).or((e.b == node).then_some((e, e.a))));
        ends.filter(|(_, far)| reached[*far]).map(|(e, _)| e).min_by_key(|e| &e.name)
    };
    own.iter().find_map(lands)
}

/// What the pole that a rail should not be on is joined to in the setting that shows it, the rail itself left out.
fn without(facts: &Context<'_>, wrong: &proof::WrongPhase, own: &[NodeId]) -> Vec<bool> {
    let circuit = &facts.circuit;
    let mut setting = vec![None; circuit.controls.len()];
    for literal in &wrong.witness.setting {
        setting[literal.control] = Some(literal.position);
    }
    let mut reached = vec![false; circuit.nodes.len()];
    // The path itself may lead over what settles by itself and is not named in the setting.
    let mut todo: Vec<NodeId> = wrong.witness.nodes.iter().copied().take_while(|n| !own.contains(n)).collect();
    let neighbours = circuit.neighbours();
    while let Some(node) = todo.pop() {
        if own.contains(&node) || std::mem::replace(&mut reached[node], true) {
            continue;
        }
        let closed = |edge: EdgeId| circuit.edges[edge].is_closed(&setting);
        todo.extend(neighbours[node].iter().filter(|(_, edge)| closed(*edge)).map(|(next, _)| *next));
    }
    reached
}
