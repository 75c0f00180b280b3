//! Both rails under a train are on one pole.

use super::frog_on_wrong_phase::own_frog;
use super::wrong_phase::own_wire;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::NodeId;
use finding::{Finding, FindingWitness, Harm};
use plan::tables::RailSide;
use proof::DeadWhy;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "rails-on-one-pole",
        title: "both rails under a train are on one pole",
        text: "Turnouts can be set so that a train runs over this place, and both rails are live, but on the same pole: there is no \
               voltage between them and the engine stops, although a lamp from either rail to the other conductor \
               burns.\n\nThe usual causes: a contact that feeds the wrong conductor, both rails of a section wired to \
               one wire.\n\nFix: follow the two paths the finding shows; one of them starts at the wrong conductor.",
        drawing: r#"   A ══════════════════════ A
   B ══════════┤├══════════ A!      no voltage between the rails here"#,
        example: include_str!("examples/rails-on-one-pole.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    let wrong_frogs: BTreeSet<NodeId> =
        proof.bridges.iter().filter_map(|b| own_frog(facts, b)).map(|(frog, _)| circuit.frogs[frog].2).collect();
    for dead in proof.dead.iter().filter(|d| d.why == DeadWhy::SamePole) {
        let Some(piece) = dead.pieces.first() else { continue };
        // Where a piece is on the wrong conductor by the plan's own words, that is the cause and told as such.
        let wrong = |piece: &proof::DeadPiece| {
            let touches = |w: &&proof::WrongPhase| w.track == piece.segment && w.from < piece.to && piece.from < w.to;
            proof.wrong_phases.iter().filter(touches).any(|w| own_wire(facts, w).is_some())
        };
        // So is a frog, with the rail that depends on it.
        let on_frog = |path: &proof::ProofWitness| path.nodes.iter().any(|node| wrong_frogs.contains(node));
        if dead.pieces.iter().any(wrong) || dead.paths.iter().any(on_frog) {
            continue;
        }
        let segment = &circuit.segments[piece.segment];
        let when = words::when(circuit, &dead.setting);
        let length = facts.plan.units().metres(piece.to - piece.from);
        let mut finding = Finding::error(
            "rails-on-one-pole",
            Harm::CanStop,
            format!(
                "both rails of `{}` are on one pole at {} {when}",
                segment.name,
                facts.plan.units().metres(piece.from)
            ),
        )
        .at(segment.span.clone(), format!("no voltage for {length}"));
        for (side, path) in RailSide::ALL.into_iter().zip(&dead.paths) {
            let pieces = words::path(circuit, path).join(" → ");
            finding = finding.fact(format!("{} rail: {pieces}", side.word()));
        }
        if !dead.setting.is_empty() {
            finding =
                finding.witness(FindingWitness { setting: words::setting(circuit, &dead.setting), path: Vec::new() });
        }
        found.push(finding.help("one of the two paths starts at the wrong conductor"));
    }
}
