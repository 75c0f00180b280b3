//! A rail or frog is fed from a neighbouring district.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::EdgeKind;
use finding::{Finding, Harm};
use proof::Landing;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "fed-past-its-breaker",
        title: "a rail or frog is fed from another district",
        text: "A wire brings this rail or frog the power of a neighbouring district, past the breaker that all around \
               it hangs behind. A short there stops the wrong district: one sees trains stand where nothing is wrong, \
               and the breaker of the place itself stays closed. Switching one district off leaves this piece \
               live.\n\nThe usual cause: a frog's contact or a feeder landed on the neighbour's bus because it was \
               nearer.\n\nFix: bring the wire to the bus of its own district.",
        drawing: r#"   west breaker ─── west rails ──┤ frog ├── west rails
   east breaker ─────────────────────┘     the frog is fed by the neighbour's"#,
        example: include_str!("examples/fed-past-its-breaker.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    let breaker = |b: usize| facts.plan.supply[circuit.breakers[b].supply].name.value.as_str();
    for past in &proof.past_breakers {
        // Where the wire joins two districts for good it is reported as that.
        let pair = [past.meant.min(past.from), past.meant.max(past.from)];
        let wires = past.witness.edges.iter().map(|&e| &circuit.edges[e]);
        let joined = proof.joined.iter().any(|j| j.breakers == pair)
            || proof.shorts.iter().any(|s| {
                let own = |side: usize| s.poles[side].source;
                own(0) != own(1) && pair.map(|b| circuit.breakers[b].source) == [own(0).min(own(1)), own(0).max(own(1))]
            });
        if joined {
            continue;
        }
        let what = match past.landing {
            Landing::Frog(frog) => format!("the {}", circuit.nodes[circuit.frogs[frog].2].name),
            Landing::Rail(track, side) => format!("`{}`'s {} rail", circuit.segments[track].name, side.word()),
        };
        let mut finding = Finding::warning(
            "fed-past-its-breaker",
            Harm::CanStop,
            format!("{what} is fed from behind `{}`, all around it from `{}`", breaker(past.from), breaker(past.meant)),
        )
        .witness(words::witness(circuit, &past.witness))
        .help(format!("bring the wire to the bus behind `{}`", breaker(past.meant)));
        // The wire that comes from the bus: the first one on the path.
        let wire = wires.into_iter().find(|e| matches!(e.kind, EdgeKind::Wire | EdgeKind::Feeder));
        if let Some(wire) = wire {
            finding = finding.at(wire.span.clone(), format!("it comes by the {}", wire.name));
        }
        found.push(finding);
    }
}
