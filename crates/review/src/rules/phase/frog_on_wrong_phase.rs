//! A frog carries the wrong phase under a train.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, Harm};
use plan::Kind;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "frog-on-wrong-phase",
        title: "a frog carries the wrong phase when its turnout is set",
        text: "A frog must always carry the phase of the stock rail that the closed blade touches. Here it carries the \
               other one: the first wheel that runs onto it bridges a gap whose two sides are opposite poles, and the \
               breaker trips.\n\nThe usual causes: the two wires of the frog's contact exchanged, or a contact wired \
               to a motor that moves another turnout.\n\nFix: exchange the wires at the contact's two positions.",
        drawing: r#"   A ═══════════════════════ A
   A ──closure rail──┤ B ├── A      the frog is on B where A is due:
                      frog          each wheel on it joins A and B"#,
        example: include_str!("examples/frog-on-wrong-phase.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    let mut reported = BTreeSet::new();
    for bridge in &proof.bridges {
        let Some((frog, frog_side)) = own_frog(facts, bridge) else { continue };
        if !reported.insert(frog) {
            continue;
        }
        let (kind, index, node, word) = circuit.frogs[frog];
        let Some((_, _, name)) = plan::names::each_name(facts.plan).find(|w| (w.0, w.1) == (kind, index)) else {
            continue;
        };
        let when = words::when(circuit, &bridge.witness.setting);
        let frog_path = if frog_side == 0 { &bridge.witness } else { &bridge.other_path };
        let has = words::pole(circuit, bridge.poles[frog_side]);
        let due = words::pole(circuit, bridge.poles[1 - frog_side]);
        let mut finding = Finding::error(
            "frog-on-wrong-phase",
            Harm::CanBurn,
            format!("the {word} of `{}` is on `{has}` {when}, where `{due}` is due", name.value),
        )
        .witness(words::witness(circuit, frog_path))
        .fact("the first wheel on the frog bridges a gap between opposite poles");
        // The place that shows it: what feeds the frog, if anything does in the plan's own words.
        let feed = circuit
            .edges
            .iter()
            .find(|e| (e.a == node || e.b == node) && matches!(e.part, circuit::Part::ContactWire { .. }));
        finding = match feed {
            Some(edge) => finding.at(edge.span.clone(), "fed from this contact"),
            None => finding.at(name.span.clone(), format!("this {}'s {word}", kind.word())),
        };
        for fact in crate::loops::facts_of(facts, &[circuit.gaps[bridge.gap].segment], &[]) {
            finding = finding.fact(fact);
        }
        match crate::fixes::exchange_frog_contact(facts, node) {
            Some(proposal) => finding = finding.proposal(proposal.says, proposal.edits),
            None => finding = finding.help(what_to_do(facts, (kind, index))),
        }
        found.push(finding);
    }
}

fn what_to_do(facts: &Context<'_>, (kind, index): (Kind, usize)) -> String {
    match crate::fixes::other_routes(facts, kind, index) {
        Some(routes) => format!(
            "look which route each position sets: if it is the other one, say `{routes}` at the crossing; if it is as \
             the plan says, exchange the wires of its frogs' contacts"
        ),
        None => "feed the frog so that it follows the blade that touches".to_owned(),
    }
}

/// The frog at fault, where the bridged gap is one of its trackwork's own. A gap further out says only that
/// its two sides disagree.
pub(super) fn own_frog(facts: &Context<'_>, bridge: &proof::Bridge) -> Option<(usize, usize)> {
    let segment = facts.circuit.gaps[bridge.gap].segment;
    let own = matches!(facts.circuit.segments[segment].owner, circuit::RailOwner::Work { .. });
    bridge.frogs.first().copied().filter(|_| own)
}
