//! Two poles of one supply can meet.

use super::{Page, Rule};
use crate::{Facts, words};
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: Page {
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
        example: r#"[layout]
name = "siding"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4.5 A" }

[[bus]]
name = "bus"
supply = "booster"
wire = "1.5 mm²"
length = "3 m"

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[turnout]]
name = "T1"
hand = "right"
wiring = "live-routed"

[[track]]
name = "main"
from = "T1.through"
to = "beyond"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "siding"
from = "T1.diverging"
to = "buffer"
length = "1 m"
"#,
    },
    find,
};

fn find(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = &facts.proof else { return };
    for short in proof.shorts.iter().filter(|s| s.poles[0].0 == s.poles[1].0) {
        let circuit = &facts.circuit;
        let supply = &circuit.sources[short.poles[0].0].name;
        let when = words::when(circuit, &short.witness.setting);
        let mut told =
            Finding::error("short-circuit", Harm::CanBurn, format!("the two poles of `{supply}` meet {when}"))
                .witness(words::witness(circuit, &short.witness));
        let suspect = short.cuts.first().or(short.witness.edges.first());
        if let Some(&edge) = suspect {
            let edge = &circuit.edges[edge as usize];
            told = told.at(edge.span.clone(), format!("part of the short: {}", edge.name));
        }
        let mut cuts: Vec<String> = Vec::new();
        for &edge in &short.cuts {
            let name = &circuit.edges[edge as usize].name;
            if !cuts.contains(name) && !name.starts_with("tap on") {
                cuts.push(name.clone());
            }
        }
        cuts.truncate(5);
        told = match cuts.as_slice() {
            [] => told.help("the poles meet over several paths side by side; part all of them"),
            _ => told.help(format!("parting any one of these ends it: {}", cuts.join("; "))),
        };
        let over = crate::loops::rail_segments(facts, &short.witness.edges);
        for fact in
            over.into_iter().map(|s| crate::loops::facts_of(facts, s)).find(|f| !f.is_empty()).unwrap_or_default()
        {
            told = told.fact(fact);
        }
        if let Some(proposal) = crate::mend::short(facts, short) {
            told = told.proposal(proposal.says, proposal.edits);
        }
        found.push(told);
    }
}
