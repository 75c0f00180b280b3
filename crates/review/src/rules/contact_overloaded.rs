//! A contact in a track feed would not bear a short until the breaker opens.

use super::{Page, Rule};
use crate::{Facts, feeds, words};
use circuit::{Breaker, Circuit, EdgeKind, Neighbours, NodeId};
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Quantity, show_amps, show_seconds};
use plan::At;
use plan::tables::ContactTable;
use plan::value::List;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    page: Page {
        name: "contact-overloaded",
        title: "a contact cannot bear the current that trips its breaker",
        text: "Whatever shorts the rail behind a contact draws at least what trips the breaker, or the breaker would not \
               open; until it does, that current flows through the contact. A contact that may carry less can weld \
               together. It then feeds a frog of the wrong phase, or a storage track that should be dead.\n\nThe finding \
               compares `contact_rating` with the current at which the nearest breaker above the contact trips. A rating \
               is most often for hours; a maker who gives a higher one for a moment may be believed instead. Contacts \
               that feed no rail are left alone.\n\nMend: a relay with stronger contacts that follows the motor; or a \
               sub-breaker that trips at less, for what these contacts feed.",
        drawing: r#"   bus ──── contact, rated 1 A ──── rails ⚡ short: 4.5 A
   until the breaker opens, the contact must bear it"#,
        example: r#"[layout]
name = "a weak contact"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4.5 A", after = "120 ms" }

[[bus]]
name = "bus"
supply = "booster"
wire = "2.5 mm²"
length = "3 m"

[[turnout]]
name = "T1"
hand = "left"
wiring = "live-bonded"

[[motor]]
name = "M1"
moves = "T1"
contact_rating = "1 A"
contact = [{ common = "T1.frog", through = "bus.A", diverging = "bus.B" }]

[[track]]
name = "main"
from = "beyond"
to = "T1.points"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]

[[track]]
name = "siding"
from = "T1.diverging"
to = "buffer"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
gaps = [{ at = "90 mm", rail = "right" }]

[[track]]
name = "line"
from = "T1.through"
to = "beyond"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
gaps = [{ at = "90 mm", rail = "left" }]
"#,
    },
    find,
};

/// The wires of the circuit, to be followed from one contact after another.
pub(super) struct Wires<'c> {
    circuit: &'c Circuit,
    neighbours: Neighbours,
    /// For each node, whether it is on a rail.
    on_rail: Vec<bool>,
    /// The two ends of each edge of a contact, by where the contact stands in the plan.
    terminals: BTreeMap<usize, Vec<NodeId>>,
}

impl<'c> Wires<'c> {
    pub(super) fn of(circuit: &'c Circuit) -> Wires<'c> {
        let mut on_rail = vec![false; circuit.nodes.len()];
        for stop in circuit.segments.iter().flat_map(|s| &s.rails).flat_map(|line| &line.stops) {
            on_rail[stop.before] = true;
            on_rail[stop.after] = true;
        }
        let mut terminals: BTreeMap<usize, Vec<NodeId>> = BTreeMap::new();
        for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Contact) {
            terminals.entry(edge.span.start).or_default().extend([edge.a, edge.b]);
        }
        Wires { circuit, neighbours: circuit.neighbours(), on_rail, terminals }
    }

    /// Nodes reached over edges of these kinds, open or closed.
    fn reached(&self, from: &[NodeId], over: &[EdgeKind]) -> BTreeSet<NodeId> {
        let mut reached: BTreeSet<NodeId> = from.iter().copied().collect();
        let mut queue = from.to_vec();
        while let Some(at) = queue.pop() {
            for &(next, edge) in &self.neighbours[at] {
                if over.contains(&self.circuit.edges[edge].kind) && reached.insert(next) {
                    queue.push(next);
                }
            }
        }
        reached
    }
}

/// For each contact of a motor, relay or toggle, by where it stands in the plan, the current that it must bear until the
/// nearest breaker above it trips, in amperes, and that breaker's supply. Contacts that feed no rail are left out.
pub fn contact_currents(facts: &Facts<'_>) -> BTreeMap<usize, (f64, usize)> {
    let wires = Wires::of(&facts.circuit);
    let plan = facts.plan;
    let lists = plan.motor.iter().map(|m| &m.contact);
    let lists = lists.chain(plan.relay.iter().map(|r| &r.contact)).chain(plan.toggle.iter().map(|t| &t.contact));
    let contacts = lists.flat_map(|list| list.iter());
    contacts
        .filter_map(|contact| {
            let (trip, breaker) = above(&wires, &contact.span)?;
            Some((contact.span.start, (trip, breaker.supply)))
        })
        .collect()
}

fn find(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let wires = Wires::of(&facts.circuit);
    for motor in &facts.plan.motor {
        hold(facts, &wires, ("motor", &motor.name), motor.contact_rating.as_ref(), &motor.contact, found);
    }
    for relay in &facts.plan.relay {
        hold(facts, &wires, ("relay", &relay.name), relay.contact_rating.as_ref(), &relay.contact, found);
    }
}

fn hold(
    facts: &Facts<'_>,
    wires: &Wires<'_>,
    (what, name): (&str, &At<String>),
    rating: Option<&At<Amps>>,
    contacts: &List<ContactTable>,
    found: &mut Vec<Finding>,
) {
    let Some(rating) = rating else { return };
    let mut weak: Vec<String> = Vec::new();
    let mut worst: Option<(f64, &Breaker)> = None;
    for (number, contact) in contacts.iter().enumerate() {
        let Some((trip, breaker)) = above(wires, &contact.span) else { continue };
        if rating.value.si() < trip {
            weak.push(format!("{}.{}", name.value, number + 1));
            if worst.is_none_or(|(most, _)| trip > most) {
                worst = Some((trip, breaker));
            }
        }
    }
    let Some((trip, breaker)) = worst else { return };
    let supply = &facts.plan.supply[breaker.supply];
    let mut told = Finding::warning(
        "contact-overloaded",
        Harm::CanBurn,
        format!(
            "the contacts of {what} `{}` may carry {}; `{}` lets {} through before it trips",
            name.value,
            show_amps(rating.value),
            supply.name.value,
            show_amps(Amps(trip))
        ),
    )
    .at(rating.span.clone(), "what each contact may carry");
    if let Some(trips) = &supply.trips {
        told = told.also(trips.value.at.span.clone(), "what trips the breaker");
        if let Some(after) = &trips.value.after {
            told = told.fact(format!("a short flows for {} until it opens", show_seconds(after.value)));
        }
    }
    told = told.fact(format!("in the feed of rails: {}", words::list(&weak)));
    found.push(told.help("use a relay with stronger contacts, or a sub-breaker that trips at less"));
}

/// The nearest breaker above a contact, of several the one that trips last, and its trip current; none where the
/// contact feeds no rail, or no trip current is known.
pub(super) fn above<'c>(wires: &Wires<'c>, contact: &std::ops::Range<usize>) -> Option<(f64, &'c Breaker)> {
    let circuit = wires.circuit;
    let terminals = wires.terminals.get(&contact.start).map_or(&[][..], Vec::as_slice);
    // Towards the rails and other contacts: wires. Towards the supply: the bus and its taps too, but no rail and
    // no breaker, so that what is met is the nearest.
    let fed = wires.reached(terminals, &[EdgeKind::Wire, EdgeKind::Contact]);
    if !fed.iter().any(|&n| wires.on_rail[n]) {
        return None;
    }
    let all = [EdgeKind::Wire, EdgeKind::Contact, EdgeKind::Tap, EdgeKind::BusWire];
    let reached = wires.reached(terminals, &all);
    let met = circuit.breakers.iter().filter(|b| b.node.iter().any(|n| reached.contains(n)));
    let known = met.filter_map(|nearest| {
        // Where the plan does not say what trips it, the one it hangs behind must.
        feeds::chain(circuit, nearest).find_map(|b| Some((b.trip_amps?, b)))
    });
    known.max_by(|a, b| a.0.total_cmp(&b.0))
}
