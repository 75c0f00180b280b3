//! A reverser that does not notice the short at its gaps before the breaker does, or not at all.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::feeds;
use circuit::{Circuit, ControlId, Part};
use electrics::square_short::SquareShort;
use electrics::{Level, across};
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Quantity, show_amps, show_seconds};
use plan::tables::ReverserKind;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "reverser-trips-late",
        title: "a reverser does not see the short at its gaps, or sees it after the breaker",
        text: "A reverser that senses shorts waits for the first wheel that bridges a gap at an end of its section. The short that \
               makes must be large enough for the reverser to notice, and the reverser must change over before the breaker \
               above it opens. So its trip current lies below what the short draws through its own wires and contacts, \
               with the plan's margin, and below that of the breaker; and it acts sooner than the breaker (common practice, no \
               source). Set too high, it sits there and lets the breaker switch off the whole district each time a train \
               crosses the gap.\n\nThe current is worked out at every gap of the section, as usual, for what a breaker notices of a \
               track signal (mean, root mean square or peak, the least of them). Only reversers that say `trips` are held \
               against it.\n\nFix: set the reverser lower or quicker, the breaker higher or slower; or feed it with shorter and thicker \
               wire.",
        drawing: r#"   breaker 3 A ──┬─ reverser 4 A ─── section ──┤├── main
                 └──────────────────────────────┘
                     the breaker opens before the reverser turns"#,
        example: include_str!("examples/reverser-trips-late.toml"),
    },
    find,
};

/// What control settles a reverser.
fn control_of(circuit: &Circuit, index: usize) -> Option<ControlId> {
    let own = |part: &Part| matches!(part, Part::Reverser { reverser, .. } if *reverser == index);
    circuit.edges.iter().find(|e| own(&e.part))?.guard.first().map(|literal| literal.control)
}

/// The least that is noticed of a short at a gap of a section that the reverser settles, and at which gap.
fn least(facts: &Context<'_>, control: ControlId) -> Option<(f64, usize, usize)> {
    let circuit = &facts.circuit;
    let asked = &facts.figures()?.load_case;
    let sections = facts.proof().ok()?.reversing.iter().filter(|s| s.controls.contains(&control));
    let mut least: Option<(f64, usize, usize)> = None;
    for gap in sections.flat_map(|s| s.gaps.iter().copied()) {
        let nodes = [circuit.gaps[gap].before, circuit.gaps[gap].after];
        for position in 0..circuit.controls[control].positions.len() as u8 {
            let mut setting = vec![None; circuit.controls.len()];
            setting[control.index()] = Some(position);
            let Ok(Some(found)) = across(circuit, &setting, Level::Typical, nodes) else { continue };
            let source = &circuit.sources[found.source];
            let short = SquareShort {
                volts: source.volts,
                ohms: found.ohms + asked.bridge_ohms.typical,
                henries: found.henries,
                half_bit: if source.square_wave { asked.half_bit.typical } else { f64::INFINITY },
            };
            let amps = short.sensed().by(None);
            if least.is_none_or(|l| amps < l.0) {
                least = Some((amps, gap, found.source));
            }
        }
    }
    least
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    for (index, reverser) in plan.reverser.iter().enumerate() {
        let (Some(trips), ReverserKind::ShortSensing) = (&reverser.trips, reverser.kind.value) else { continue };
        let Some(control) = control_of(circuit, index) else { continue };
        let at = trips.value.at.value;
        let mut faults = Vec::new();
        let mut finding_facts = Vec::new();
        let mut seen = true;
        if let (Some((amps, gap, _)), Some(figures)) = (least(facts, control), facts.figures()) {
            let gap = &circuit.gaps[gap];
            let place = format!(
                "`{}`'s {} rail at {}",
                circuit.segments[gap.segment].name,
                gap.side.word(),
                facts.plan.units().metres(gap.x)
            );
            finding_facts
                .push(format!("a wheel over the gap in {place} draws {} that can be noticed", show_amps(Amps(amps))));
            seen = amps >= at.si();
            if !seen {
                faults.push(format!(
                    "trips at {}, more than the {} a short at its gaps draws",
                    show_amps(at),
                    show_amps(Amps(amps))
                ));
            } else if amps < figures.load_case.fault_margin * at.si() {
                faults.push(format!(
                    "trips at {}, too near to the {} a short at its gaps draws",
                    show_amps(at),
                    show_amps(Amps(amps))
                ));
            }
        }
        let bus = facts.names.bus_place(&reverser.from.value).ok().map(|(bus, _)| bus);
        let breaker = bus.and_then(|bus| feeds::breaker_of_bus(facts, bus));
        let above = breaker.and_then(|b| {
            feeds::chain(circuit, &circuit.breakers[b]).find_map(|b| {
                let supply = &plan.supply[b.supply];
                Some((supply, supply.trips.as_ref()?))
            })
        });
        if let Some((supply, upper)) = above {
            let breaker_at = upper.value.at.value;
            let name = &supply.name.value;
            if at.si() >= breaker_at.si() {
                faults.push(format!("trips at {}, not below `{name}` at {}", show_amps(at), show_amps(breaker_at)));
            }
            if let (Some(own), Some(upper)) = (&trips.value.after, &upper.value.after)
                && own.value.si() >= upper.value.si()
            {
                let [own, upper] = [own, upper].map(|after| show_seconds(after.value));
                faults.push(format!("changes over after {own}, when `{name}` opens after {upper}"));
            }
        }
        if faults.is_empty() {
            continue;
        }
        let message = format!("the reverser `{}` {}", reverser.name.value, faults.join("; it "));
        let severity = if seen { Finding::warning } else { Finding::error };
        let mut finding =
            severity("reverser-trips-late", Harm::CanStop, message).at(trips.span.clone(), "set too high or too slow");
        if let Some((_, upper)) = above {
            finding = finding.also(upper.span.clone(), "the breaker above it");
        }
        let finding = finding_facts.into_iter().fold(finding, Finding::fact);
        found.push(
            finding.help("set the reverser lower and quicker than the breaker above it, and below what its gaps draw"),
        );
    }
}
