//! The districts of two breakers are joined.

use crate::context::Context;
use crate::fixes::parting::{Parted, parted};
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "districts-joined",
        title: "the districts of two breakers are joined",
        text: "What hangs behind one breaker can be reached round it, from another. A short then draws its current \
               through both: each sees only a part and may stay closed, and when one opens the other goes on feeding \
               the fault.\n\nThe usual causes: a rail without a gap where two districts meet, a frog or feeder wired \
               to the neighbour's bus.\n\nFix: gap both rails at the boundary, and feed everything on one side \
               of it from that side's bus.",
        drawing: r#"   booster ─┬─ west breaker ─── ══════┐
            └─ east breaker ─── ══════┘  one rail over the boundary:
                                         a short draws through both breakers"#,
        example: include_str!("examples/districts-joined.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    for joined in &proof.joined {
        let [one, other] = joined.breakers.map(|b| facts.plan.supply[circuit.breakers[b].supply].name.value.as_str());
        let when = words::when(circuit, &joined.witness.setting);
        let mut finding = Finding::error(
            "districts-joined",
            Harm::CanBurn,
            format!("the districts of `{one}` and `{other}` are joined {when}"),
        )
        .witness(words::witness(circuit, &joined.witness));
        // A wire that lands in the other district, or else the rail that runs over the boundary.
        let edges = joined.witness.edges.iter().map(|&e| &circuit.edges[e]);
        let suspect = edges.max_by_key(|e| {
            use circuit::EdgeKind::{Contact, Rail, SlidingJoint, SolderedJoint, Wire};
            match e.kind {
                SolderedJoint | SlidingJoint => 3,
                Wire | Contact => 2,
                Rail => 1,
                _ => 0,
            }
        });
        if let Some(edge) = suspect {
            finding = finding.at(edge.span.clone(), format!("on the path: {}", edge.name));
        }
        let were = proof.joined.len();
        let fewer = |proof: &proof::Proof| proof.joined.len() < were;
        let Parted { why, proposal } = parted(facts, "districts-joined", &joined.witness.edges, None, fewer);
        finding = why.into_iter().fold(finding, Finding::fact);
        finding = match proposal {
            Some(proposal) => finding.proposal(proposal.says, proposal.edits),
            None => finding.help("gap both rails at the boundary, and feed each side from its own bus only"),
        };
        found.push(finding);
    }
}
