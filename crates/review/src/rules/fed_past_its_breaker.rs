//! A rail or frog is fed from a neighbouring district.

use super::{FindingPage, Rule};
use crate::context::Context;
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
               nearer.\n\nMend: bring the wire to the bus of its own district.",
        drawing: r#"   west breaker ─── west rails ──┤ frog ├── west rails
   east breaker ─────────────────────┘     the frog hangs on the neighbour's"#,
        example: r#"[layout]
name = "the nearer bus"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "6 A", after = "500 ms" }

[[supply]]
name = "yard breaker"
behind = "booster"
trips = { at = "3 A", after = "20 ms" }

[[supply]]
name = "main breaker"
behind = "booster"
trips = { at = "3 A", after = "20 ms" }

[[bus]]
name = "yard bus"
supply = "yard breaker"
wire = "1.5 mm²"
length = "3 m"

[[bus]]
name = "main bus"
supply = "main breaker"
wire = "1.5 mm²"
length = "3 m"

[[track]]
name = "main"
from = "beyond"
to = "beyond"
length = "3 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["1 m"]

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "1 m"
left = "yard bus.A"
right = "yard bus.B"
feeders = ["0.5 m"]

[[turnout]]
name = "T1"
hand = "left"
wiring = "live-bonded"

[[track]]
name = "road 1"
from = "T1.through"
to = "buffer"
length = "1 m"
left = "yard bus.A"
right = "yard bus.B"
gaps = [{ at = "80 mm", rail = "left" }]
feeders = ["0.5 m"]

[[track]]
name = "road 2"
from = "T1.diverging"
to = "buffer"
length = "1 m"
left = "yard bus.A"
right = "yard bus.B"
gaps = [{ at = "80 mm", rail = "right" }]
feeders = ["0.5 m"]

[[motor]]
name = "M1"
moves = "T1"
contact = [{ common = "T1.frog", through = "main bus.A", diverging = "main bus.B" }]
"#,
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = &facts.proof else { return };
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
