//! Poles of two supplies can meet.

use crate::context::Context;
use crate::fixes::parting::{Parted, parted};
use crate::rules::{FindingPage, Rule};
use crate::section_gaps::{self, Changes};
use analysis::words;
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "supplies-meet",
        title: "two supplies can be joined",
        text: "A pole of one supply can be joined to a pole of another, other than for the moment a wheel takes to \
               cross a gap. Two boosters joined at one pole may be harmless; joined at both they fight each other, \
               and an accessory supply joined to track power can burn motors and decoders.\n\nFix: gap both rails \
               where the districts meet, and keep wires of different supplies apart.",
        drawing: r#"   west.A ══════┤├══════ east.A
   west.B ══════════════ east.B      no gap: the two supplies are joined"#,
        example: include_str!("examples/supplies-meet.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    for short in proof.shorts.iter().filter(|s| s.poles[0].source != s.poles[1].source) {
        let circuit = &facts.circuit;
        let [one, other] = short.poles.map(|p| words::pole(circuit, p));
        let when = words::when(circuit, &short.witness.setting);
        let mut finding =
            Finding::error("supplies-meet", Harm::CanBurn, format!("`{one}` and `{other}` are joined {when}"))
                .witness(words::witness(circuit, &short.witness));
        if let Some(&edge) = short.cuts.first().or(short.witness.edges.first()) {
            let edge = &circuit.edges[edge];
            finding = finding.at(edge.span.clone(), format!("part of the path: {}", edge.name));
        }
        let lacking = section_gaps::lacking_on(facts, &short.witness.edges, Changes::Supply);
        let were = proof.shorts.len();
        let fewer = |proof: &proof::Proof| proof.shorts.len() < were;
        let Parted { why, proposal } = parted(facts, "supplies-meet", &short.witness.edges, lacking, fewer);
        finding = why.into_iter().fold(finding, Finding::fact);
        finding = match proposal {
            Some(proposal) => finding.proposal(proposal.says, proposal.edits),
            None => finding.help("gap both rails where the two districts meet"),
        };
        found.push(finding);
    }
}
