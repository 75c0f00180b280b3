//! Two poles of one supply can meet.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::EdgeKind;
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "short-circuit",
        title: "the two poles of a supply can meet",
        text: "In at least one setting there is a closed path of rail, wire and contacts from pole A of a supply to \
               its pole B, with nothing in it but their own resistance. The breaker trips, or, where the path is long \
               and thin, does not, and something gets hot.\n\nThe finding names the smallest set of positions that \
               makes the short, the path of the current piece by piece, and the pieces of which cutting any one ends \
               it. The usual causes: a missing gap behind a live frog, a feeder on the wrong conductor, a contact \
               wired the wrong way round, a track that returns to itself with left and right exchanged.",
        drawing: r#"   A ══════╦══════════ A
           ╚═══╗
   B ══════════╬══════ B      A and B meet, with no load between them"#,
        example: include_str!("examples/short-circuit.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    for short in proof.shorts.iter().filter(|s| s.poles[0].source == s.poles[1].source) {
        let circuit = &facts.circuit;
        let supply = &circuit.sources[short.poles[0].source].name;
        let when = words::when(circuit, &short.witness.setting);
        let mut finding =
            Finding::error("short-circuit", Harm::CanBurn, format!("SHORT CIRCUIT: A of `{supply}` touches B {when}"))
                .witness(words::witness(circuit, &short.witness));
        let suspect = short.cuts.first().or(short.witness.edges.first());
        if let Some(&edge) = suspect {
            let edge = &circuit.edges[edge];
            finding = finding.at(edge.span.clone(), format!("part of the short: {}", edge.name));
        }
        let proposal = crate::fixes::gaps::short(facts, short);
        if proposal.is_none() {
            finding = finding.help(what_to_part(facts, short));
        }
        let over = crate::loops::rail_segments(facts, &short.witness.edges);
        for fact in crate::loops::facts_of(facts, &over, &short.witness.edges) {
            finding = finding.fact(fact);
        }
        if let Some(proposal) = proposal {
            finding = finding.proposal(proposal.says, proposal.edits);
        }
        found.push(finding);
    }
}

/// Pieces that are tried as what to part, for one short.
const MOST_PARTED: usize = 8;

/// Which pieces end a short when any one of them is parted: only those of which no other harm comes.
fn what_to_part(facts: &Context<'_>, short: &proof::Short) -> String {
    let mut names: Vec<&str> = Vec::new();
    let mut harmful = false;
    for &edge in short.cuts.iter() {
        let edge_name = facts.circuit.edges[edge].name.as_str();
        let seen = names.contains(&edge_name);
        if names.len() >= MOST_PARTED || seen || facts.circuit.edges[edge].kind == EdgeKind::Tap {
            continue;
        }
        match crate::fixes::proving::parting_fixes(facts, edge, "short-circuit") {
            true => names.push(edge_name),
            false => harmful = true,
        }
    }
    match (names.as_slice(), harmful) {
        ([], false) => "A touches B over several paths side by side; part all of them".to_owned(),
        ([], true) => {
            "follow the path and ask at each piece whether it should be there; to part any one of them alone \
                       makes something else worse"
                .to_owned()
        }
        (names, _) => format!("parting any one of these ends it: {}", names.join("; ")),
    }
}
