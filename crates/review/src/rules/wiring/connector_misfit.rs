//! Tap connectors that are not made for the wires they are to join.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{feeds, words};
use finding::{Finding, Harm};
use handbook::contacts::TAP_COLOURS;
use handbook::wires;
use plan::tables::Taps;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "connector-misfit",
        title: "a tap connector is not made for one of its wires",
        text: "A tap connector cuts through the insulation of both wires and presses on the copper. On a wire thinner than \
               it is made for it does not press; on a thicker one it cuts strands. Either works on the bench and fails \
               years later, when nobody can reach it.\n\nThe ranges are common practice (red 22-18 AWG, blue 18-14, yellow \
               12-10; no source) and the same for both wires; metric sizes are held against them by their area. Makers \
               differ by a size, and some make connectors for two sizes: what is printed on the packet rules.\n\nFix: \
               another colour, another wire, or solder.",
        drawing: r#"   bus 2.5 mm² ═══════╦══════      blue: 18-14 AWG, fits
                      ║
   feeder 0.5 mm² ────╨            20 AWG: too thin for blue"#,
        example: include_str!("examples/connector-misfit.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    let Some(layout) = plan.layout.as_ref().map(|l| &l.value) else { return };
    let Some(taps) = &layout.taps else { return };
    let colour = match taps.value {
        Taps::Soldered => return,
        Taps::Red => "red",
        Taps::Blue => "blue",
        Taps::Yellow => "yellow",
    };
    let Some(colour) = TAP_COLOURS.value.iter().find(|c| c.name == colour) else { return };
    let mut misfits: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut hold = |label: &str, name: String| {
        let Ok(wire) = wires::wire(label) else { return };
        let names = misfits.entry(wire.label.clone()).or_default();
        if !colour.takes(&wire) && !names.contains(&name) {
            names.push(name);
        }
    };
    for bus in &plan.bus {
        hold(&bus.wire.value, format!("`{}`", bus.name.value));
    }
    for (track, said) in feeds::feeder_wires(plan) {
        hold(feeds::wire_size(said), format!("feeders of `{}`", plan.track[track].name.value));
    }
    misfits.retain(|_, names| !names.is_empty());
    if misfits.is_empty() {
        return;
    }
    let [thin, thick] = colour.awg;
    let sizes: Vec<String> = misfits.keys().cloned().collect();
    let mut finding = Finding::warning(
        "connector-misfit",
        Harm::WillAge,
        format!("{} tap connectors are for {thin} to {thick} AWG, not for {}", colour.name, words::list(&sizes)),
    )
    .at(taps.span.clone(), "these connectors");
    for (size, names) in &misfits {
        let more = names.len().saturating_sub(4);
        let mut names: Vec<String> = names.iter().take(4).cloned().collect();
        if more > 0 {
            names.push(format!("{more} more"));
        }
        finding = finding.fact(format!("{size}: {}", words::list(&names)));
    }
    found.push(finding.help("another colour, another wire, or solder"));
}
