//! A wire that its breaker does not protect.

use crate::context::Context;
use crate::fixes::proving;
use crate::rules::{FindingPage, Rule};
use analysis::contact_currents::{self, Wires};
use analysis::{feeds, words};
use circuit::Breaker;
use electrics::conductor::{self, WireDuty, WireUnderFault};
use finding::{Edit, Finding, Harm, Severity};
use handbook::contacts;
use handbook::limits::FEEDER_LENGTH;
use handbook::quantity::{Amps, Quantity, show_amps, show_seconds};
use handbook::wires::{self, WireGauge};
use plan::{At, edit};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "wire-too-thin",
        title: "a wire is thinner than its breaker allows",
        text: "A breaker lets any current up to its trip current flow for as long as it likes, and a short until it has \
               opened. A wire behind it must carry the first for good, and stand the second until the breaker opens.\n\n\
               What a wire carries is the usual value of the trade for a single one in free air (common practice, no source); \
               several in a bundle or in wood carry less. Metric sizes are taken as the next thinner AWG size. What it \
               stands in a short is the adiabatic equation of IEC 60364-4-43 for PVC insulation, with nothing but \
               the supply's own resistance and the wheels in the way.\n\nFix: a thicker wire, or a breaker for this part \
               that trips at less. Wires on the mains side are a licensed person's work, and not looked at here.",
        drawing: r#"   5 A breaker ──────── bus 2.5 mm² ─────────
                             │ feeder 0.14 mm²: red hot at 5 A,
                             │ and the breaker sees nothing wrong
                         ════╧════"#,
        example: include_str!("examples/wire-too-thin.toml"),
    },
    find,
};

/// Wires of one size behind one breaker.
struct Uses<'p> {
    wire: WireGauge,
    /// Where the plan says it, each place once.
    said: Vec<&'p At<String>>,
    /// Whether some of them are not said, but the handbook's default.
    assumed: bool,
    names: Vec<String>,
    /// The least that the current of a short passes of such a wire itself, in metres: all of a feeder, of a bus perhaps nothing.
    own_metres: f64,
}

impl<'p> Uses<'p> {
    fn add_place(&mut self, said: Option<&'p At<String>>) {
        match said {
            Some(said) if self.said.iter().all(|known| known.span != said.span) => self.said.push(said),
            Some(_) => {}
            None => self.assumed = true,
        }
    }
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    let mut uses: BTreeMap<(usize, String), Uses<'_>> = BTreeMap::new();
    let mut add = |breaker: usize, said, label: &str, name: String, metres: f64| {
        let Ok(wire) = wires::wire(label) else { return };
        let slot = uses.entry((breaker, wire.label.clone())).or_insert(Uses {
            wire,
            said: Vec::new(),
            assumed: false,
            names: Vec::new(),
            own_metres: f64::INFINITY,
        });
        slot.own_metres = slot.own_metres.min(metres);
        slot.add_place(said);
        // What has several of them names them one after the other.
        if slot.names.last() != Some(&name) {
            slot.names.push(name);
        }
    };
    let layout = plan.layout.as_ref().and_then(|l| l.value.feeder_length.as_ref());
    let feeder = layout.map_or(FEEDER_LENGTH.value.si(), |said| said.value.si());
    for (index, bus) in plan.bus.iter().enumerate() {
        if let Some(breaker) = feeds::breaker_of_bus(facts, index) {
            add(breaker, Some(&bus.wire), &bus.wire.value, format!("bus `{}`", bus.name.value), 0.0);
        }
    }
    for (index, driver) in plan.driver.iter().enumerate() {
        let bus = plan::driven::bus_of_driver(plan, facts.names, index);
        if let Some(breaker) = bus.and_then(|bus| feeds::breaker_of_bus(facts, bus)) {
            let said = driver.wire.as_ref().or(feeds::feeder_wire(plan));
            add(breaker, said, feeds::wire_size(said), format!("wires of driver `{}`", driver.name.value), feeder);
        }
    }
    for (track, said) in feeds::feeder_wires(plan) {
        if let Some(meant) = facts.circuit.intended_pole[track].iter().flatten().next() {
            add(
                meant.breaker,
                said,
                feeds::wire_size(said),
                format!("feeders of `{}`", plan.track[track].name.value),
                feeder,
            );
        }
    }
    let wires = Wires::from_circuit(&facts.circuit);
    let motors = plan.motor.iter().map(|m| (&m.name, m.wire.as_ref(), &m.contact));
    let relays = plan.relay.iter().map(|r| (&r.name, r.wire.as_ref(), &r.contact));
    for (name, wire, contacts) in motors.chain(relays) {
        for contact in contacts.iter() {
            let Some((_, above)) = contact_currents::above(&wires, &contact.span) else { continue };
            let Some(breaker) = facts.circuit.breakers.iter().position(|b| std::ptr::eq(b, above)) else { continue };
            let of_contact = contact.value.wire.as_ref().or(wire).or(feeds::feeder_wire(plan));
            for wired in contact.value.wires() {
                let said = wired.wire.as_ref().or(of_contact);
                add(breaker, said, feeds::wire_size(said), format!("contacts of `{}`", name.value), feeder);
            }
        }
    }
    for ((breaker, _), uses) in &uses {
        found.extend(held(facts, &facts.circuit.breakers[*breaker], uses));
    }
}

/// What a wire carries for good: its own row, or that of the next thinner size that has one.
fn carries(wire: &WireGauge) -> Option<Amps> {
    let thinner = wires::all_wires().iter().filter(|w| w.area.0 <= wire.area.0 && w.chassis_current.is_some());
    thinner.max_by(|a, b| a.area.0.total_cmp(&b.area.0))?.chassis_current.map(|c| c.value)
}

fn held(facts: &Context<'_>, nearest: &Breaker, uses: &Uses<'_>) -> Option<Finding> {
    // Where the plan does not say what trips it, the one it hangs behind must.
    let mut chain = feeds::chain(&facts.circuit, nearest);
    let (trip, breaker) = chain.find_map(|b| Some((b.trip_amps?, b)))?;
    let supply = &facts.plan.supply[breaker.supply];
    let after = supply.trips.as_ref().and_then(|t| t.value.after.as_ref()).map(|a| a.value);
    let source = &facts.circuit.sources[nearest.source];
    let fault = source.volts / (feeds::inside_ohms(facts, nearest) + contacts::WHEEL_SHORT.value.typical.si());
    let k = contacts::insulation_k("PVC")?.value;
    let clear_seconds = after.map_or(f64::INFINITY, |a| a.si());
    let duty = WireDuty { load_amps: trip, fault_amps: fault, clear_seconds, breaker_amps: Some(trip) };
    let judged = conductor::judge(&uses.wire, k, &duty);
    let overheats = after.is_some() && judged.fault == WireUnderFault::Overheats;
    // The most that a short can draw: the least resistance inside the supply, wheels that press hard.
    let inside = feeds::inside_band(facts, nearest).low;
    let most_amps = |wire: &WireGauge| {
        let own = 2.0 * uses.own_metres * wire.resistance_per_metre.low.si();
        source.volts / (inside + own + contacts::WHEEL_SHORT.value.low.si())
    };
    let in_hardest = |wire: &WireGauge| conductor::judge(wire, k, &WireDuty { fault_amps: most_amps(wire), ..duty });
    let hardest = in_hardest(&uses.wire);
    let may_overheat = after.is_some() && !overheats && hardest.fault == WireUnderFault::Overheats;
    let weak = carries(&uses.wire).filter(|most| most.si() < trip);
    if weak.is_none() && !overheats && !may_overheat {
        return None;
    }
    let (label, breaker) = (&uses.wire.label, &supply.name.value);
    let message = match weak {
        Some(most) => format!(
            "wire of {label} carries {} for good; `{breaker}` lets {} through and never trips",
            show_amps(most),
            show_amps(Amps(trip))
        ),
        None if overheats => format!("wire of {label} gets too hot in a short before `{breaker}` opens"),
        None => format!("wire of {label} may get too hot in the hardest short before `{breaker}` opens"),
    };
    let severity = if overheats { Severity::Error } else { Severity::Warning };
    let mut finding = Finding::new(severity, "wire-too-thin", Harm::CanBurn, message);
    finding = match uses.said.first() {
        Some(said) => finding.at(said.span.clone(), "this wire"),
        None => finding.at(supply.name.span.clone(), "what feeds it"),
    };
    if let Some(trips) = &supply.trips {
        finding = finding.also(trips.value.at.span.clone(), "what trips the breaker");
    }
    if let Some(after) = after.filter(|_| overheats || may_overheat) {
        finding = finding.fact(format!(
            "a short of {} heats its insulation to the limit in {}; the breaker takes {}",
            show_amps(Amps(if overheats { fault } else { most_amps(&uses.wire) })),
            show_seconds(handbook::quantity::Seconds(if overheats {
                judged.withstand_seconds
            } else {
                hardest.withstand_seconds
            })),
            show_seconds(after)
        ));
    }
    finding = finding.fact(format!("used for {}", some(&uses.names)));
    if uses.assumed {
        finding =
            finding.fact("the plan does not say the feeders' wire; the handbook's default was assumed".to_owned());
    }
    let enough = |w: &&&WireGauge| {
        let carried = carries(w).is_some_and(|most| most.si() >= trip);
        // What is thicker lets more flow, too.
        let stands = after.is_none() || in_hardest(w).fault != WireUnderFault::Overheats;
        w.size.same_system(uses.wire.size) && w.size.is_sold() && carried && stands
    };
    let all: Vec<&WireGauge> = wires::all_wires().iter().collect();
    let thicker = all.iter().filter(enough).min_by(|a, b| a.area.0.total_cmp(&b.area.0));
    Some(match thicker {
        Some(thicker) => {
            let edits: Vec<Edit> =
                uses.said.iter().map(|said| edit::set(said, &edit::quoted(&thicker.label))).collect();
            let whole = !uses.assumed && proving::ends(facts, &edits, "wire-too-thin");
            if whole {
                finding.proposal(format!("{} instead of {label}", thicker.label), edits)
            } else {
                finding.help(format!("wire of {} or thicker", thicker.label))
            }
        }
        None => finding.help("a sub-breaker that trips at less"),
    })
}

fn some(names: &[String]) -> String {
    const MOST: usize = 4;
    if names.len() <= MOST {
        return words::list(names);
    }
    format!("{} and {} more", names[..MOST].join(", "), names.len() - MOST)
}
