//! A plug that may carry less than what trips the breaker above it.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::contact_currents::Wires;
use analysis::words;
use circuit::{Breaker, EdgeId, Part, PlugContact};
use finding::{Finding, Harm};
use handbook::contacts::PLUG_RATING;
use handbook::quantity::{Amps, Quantity, show_amps};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "plug-overloaded",
        title: "a plug may carry less than what trips its breaker",
        text: "All current of a board flows through the plug of its bus, and that of a feeder or contact wire through the contact \
               that it passes. Until the breaker trips, that can be as much as trips it. \
               A contact that carries more than it is made for gets hot, and its spring goes soft: from then on it gets hotter.\
               \n\nThe finding compares the rating of one contact with the current at which the nearest breaker above trips. Where \
               the plan gives no rating, a usual one is assumed (from memory, confirm).\n\nFix: a plug with stronger contacts; or several \
               contacts side by side for each conductor, and their common rating in the plan; or a sub-breaker that trips at \
               less for that board.",
        drawing: r#"   bus ──── plug, 5 A ──── bus of the next board
   breaker trips at 8 A: the plug may carry up to 8 A for good"#,
        example: include_str!("examples/plug-overloaded.toml"),
    },
    find,
};

/// A plug of the plan whose contacts may carry too much.
struct Overloaded<'c> {
    plug: &'c PlugContact,
    trip: f64,
    breaker: &'c Breaker,
    /// What passes it.
    wires: Vec<EdgeId>,
}

fn rating_of(plug: &PlugContact) -> Amps {
    plug.rating.as_ref().map_or(PLUG_RATING.value, |said| said.value)
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    if circuit.plugs.is_empty() {
        return;
    }
    let above = Wires::from_circuit(circuit);
    // By where the plan says that a plug is there: both conductors of a bus, and all that a board's plug carries, are told once.
    let mut weak: BTreeMap<usize, Overloaded<'_>> = BTreeMap::new();
    for (&edge, plug) in &circuit.plugs {
        let Some((trip, breaker)) = above.above_wire(facts, edge) else { continue };
        if rating_of(plug).si() >= trip {
            continue;
        }
        let known =
            weak.entry(plug.span.start).or_insert_with(|| Overloaded { plug, trip, breaker, wires: Vec::new() });
        known.wires.push(edge);
        if trip > known.trip {
            (known.trip, known.breaker) = (trip, breaker);
        }
    }
    for Overloaded { plug, trip, breaker, wires } in weak.into_values() {
        let rating = rating_of(plug);
        let supply = &plan.supply[breaker.supply];
        let of = match (plug.board, &circuit.edges[wires[0]].part) {
            (Some(board), _) => format!("a contact of the plug of board `{}`", plan.board[board].name.value),
            (None, Part::BranchJoint { bus, .. }) => format!("the plug of `{}`", plan.bus[*bus].name.value),
            (None, _) => format!("the plug in the {}", circuit.edges[wires[0]].name),
        };
        let mut finding = Finding::warning(
            "plug-overloaded",
            Harm::CanBurn,
            format!("{of} may carry {}; `{}` trips at {}", show_amps(rating), supply.name.value, show_amps(Amps(trip))),
        )
        .at(plug.rating.as_ref().map_or(&plug.span, |said| &said.span).clone(), "what a contact of it may carry");
        if let Some(trips) = &supply.trips {
            finding = finding.also(trips.value.at.span.clone(), "what trips the breaker");
        }
        if plug.board.is_some() {
            let mut names: Vec<String> = wires.iter().take(4).map(|&wire| circuit.edges[wire].name.clone()).collect();
            if wires.len() > names.len() {
                names.push(format!("{} more", wires.len() - names.len()));
            }
            finding = finding.fact(format!("it carries {}", words::list(&names)));
        }
        if plug.rating.is_none() {
            finding = finding.fact(format!(
                "the plan gives no rating, so a usual one was assumed ({}): `plug = {{ rating = \"{}\" }}` would be enough",
                PLUG_RATING.source,
                show_amps(Amps(trip))
            ));
        }
        found.push(finding.help(
            "use a plug with stronger contacts, more contacts side by side, or a sub-breaker that trips at less",
        ));
    }
}
