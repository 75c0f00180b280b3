//! Poles of two supplies can meet.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::words;
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "supplies-meet",
        title: "two supplies can be joined",
        text: "A pole of one supply can be joined to a pole of another, other than for the moment a wheel takes to \
               cross a gap. Two boosters joined at one pole may be harmless; joined at both they fight each other, \
               and an accessory supply joined to track power can burn motors and decoders.\n\nMend: gap both rails \
               where the districts meet, and keep wires of different supplies apart.",
        drawing: r#"   west.A ══════┤├══════ east.A
   west.B ══════════════ east.B      no gap: the two supplies are joined"#,
        example: r#"[layout]
name = "two boosters"
scale = "OO"

[[supply]]
name = "west booster"
voltage = "15 V"
trips = { at = "4.5 A" }

[[supply]]
name = "east booster"
voltage = "15 V"
trips = { at = "4.5 A" }

[[bus]]
name = "west bus"
supply = "west booster"
wire = "1.5 mm²"
length = "3 m"

[[bus]]
name = "east bus"
supply = "east booster"
wire = "1.5 mm²"
length = "3 m"

[[track]]
name = "west"
from = "beyond"
to = "east.from"
length = "2 m"
left = "west bus.A"
right = "west bus.B"
feeders = ["1 m"]
gaps = [{ at = "2 m", rail = "left" }]

[[track]]
name = "east"
from = "west.to"
to = "beyond"
length = "2 m"
left = "east bus.A"
right = "east bus.B"
feeders = ["1 m"]
"#,
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = &facts.proof else { return };
    for short in proof.shorts.iter().filter(|s| s.poles[0].source != s.poles[1].source) {
        let circuit = &facts.circuit;
        let [one, other] = short.poles.map(|p| words::pole(circuit, p));
        let when = words::when(circuit, &short.witness.setting);
        let mut finding =
            Finding::error("supplies-meet", Harm::CanBurn, format!("`{one}` and `{other}` are joined {when}"))
                .witness(words::witness(circuit, &short.witness))
                .help("gap both rails where the two districts meet");
        if let Some(&edge) = short.cuts.first().or(short.witness.edges.first()) {
            let edge = &circuit.edges[edge];
            finding = finding.at(edge.span.clone(), format!("part of the path: {}", edge.name));
        }
        found.push(finding);
    }
}
