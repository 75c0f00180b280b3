//! A wire whose length, as the plan says it, does not reach.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use circuit::{EdgeId, RunSource};
use finding::{Finding, Harm, Severity};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "wire-too-short",
        title: "a wire is shorter than the way it must go",
        text: "Your plan gives a length for wires, and at least one of them ends further away than that. Wires are cut to this \
               length, so it would not reach; and a longer one loses more voltage than was calculated.\n\n\
               A plan has no map. The way is measured along the track: from the motor, which sits beside the blades, to the \
               rail, frog or place on the bus where the wire ends. Where the track bends back on itself, a wire that goes \
               straight across may be shorter than that.\n\n\
               What to do: leave the length out, then it is worked out for each wire by itself. Or write the length of the \
               longest one.",
        drawing: r#"   M1 ○──── 150 mm ────✂        ╳ road 1, fed 300 mm beyond the frog
      │                         │
   ═══╪═════════════════════════╧═════"#,
        example: include_str!("examples/wire-too-short.toml"),
    },
    find,
};

/// Lengths are written to a centimetre.
const CLOSE: f64 = 0.01;

/// A wire that does not reach: how far it must go and how long it is, in metres.
struct ShortWire {
    way: f64,
    metres: f64,
    edge: EdgeId,
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let circuit = &facts.circuit;
    // The wires that one key gives their length, the furthest first.
    let mut short: BTreeMap<(usize, usize), Vec<ShortWire>> = BTreeMap::new();
    for (&edge, run) in &circuit.runs {
        if let (RunSource::Plan(span), Some(way)) = (&run.source, run.way)
            && way > run.metres + CLOSE
        {
            short.entry((span.start, span.end)).or_default().push(ShortWire { way, metres: run.metres, edge });
        }
    }
    for ((start, end), mut wires) in short {
        wires.sort_by(|a, b| b.way.total_cmp(&a.way).then(a.edge.cmp(&b.edge)));
        let ShortWire { way, metres, edge } = wires[0];
        let message = format!(
            "a wire of {} cannot reach: it must go {}",
            facts.plan.units().metres(metres),
            facts.plan.units().metres(way)
        );
        let mut finding = Finding::new(Severity::Warning, "wire-too-short", Harm::WillAge, message)
            .at(start..end, "this length")
            .also(circuit.edges[edge].span.clone(), "where it must go")
            .fact(format!("the furthest: the {}", circuit.edges[edge].name));
        if wires.len() > 1 {
            finding = finding.fact(format!("{} wires of this length do not reach", wires.len()));
        }
        found.push(finding.help(format!(
            "leave the length out, so that each wire gets its own; or write {} and what goes down through the base",
            facts.plan.units().metres(way)
        )));
    }
}
