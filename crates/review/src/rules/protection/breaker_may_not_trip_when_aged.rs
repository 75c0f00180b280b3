//! Once joints have aged, a short may draw too little to trip the breaker.

use super::breaker_may_not_trip::margin;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, Harm};
use handbook::quantity::{Amps, show_amps};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "breaker-may-not-trip-when-aged",
        title: "a short may not trip the breaker once joints have aged",
        text: "With everything as it usually is a short trips the breaker with the margin you ask for. With unsoldered \
               joiners, blades and contacts aged to the high end of the handbook's range, rail of the poorest alloy \
               and a poor contact of the wheels, with the wires of a bus as far apart as they may lie and the shortest ones \
               that may be sent, it may not. This is what a layout drifts towards over the years.\n\n\
               Fix: solder joints or give each piece of rail its own feeder, do not let blades carry the current \
               (bond them), and repeat the coin test every year.",
        drawing: r#"   feeder ═══╪═══╪═══╪═══╪═══╪═══ ⚡ short
             5 mΩ each as new, 100 mΩ each when aged"#,
        example: include_str!("examples/breaker-may-not-trip-when-aged.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Some(figures) = facts.figures() else { return };
    let aged = |t: &analysis::figures::TrackLine| t.margin.map_or(f64::INFINITY, |m| m.low);
    let mut low: Vec<_> =
        figures.tracks.iter().filter(|t| aged(t) < 1.0 && margin(t) >= figures.load_case.fault_margin).collect();
    low.sort_by(|a, b| aged(a).total_cmp(&aged(b)));
    let Some(worst) = low.first() else { return };
    let name = &facts.plan.track[worst.track].name;
    let noticed = &worst.noticed;
    let amps = noticed.amps();
    let sees = if noticed.square_wave { " as the breaker measures it" } else { "" };
    let mut finding = Finding::warning(
        "breaker-may-not-trip-when-aged",
        Harm::WillAge,
        format!("with aged joints a short on `{}` may draw only {:.2} times the trip current", worst.name, aged(worst)),
    )
    .at(name.span.clone(), "the worst place is on this track")
    .fact(format!(
        "a short at {} may draw only {}{sees} then",
        facts.plan.units().metres(noticed.at),
        show_amps(Amps(amps.low))
    ))
    .fact(format!("as built it draws {}{sees}, {:.1} times", show_amps(Amps(amps.typical)), margin(worst)));
    if noticed.square_wave {
        let upper = worst.upper_margin.map_or(String::new(), |m| format!(", {:.2} times", m.low));
        finding = finding.fact(format!(
            "a direct voltage would drive {} then{upper}; up to {:.1} µH of wiring and ones of {:.0} µs are counted in",
            show_amps(Amps(worst.fault_amps.low)),
            noticed.henries.high * 1e6,
            figures.load_case.half_bit.low * 1e6
        ));
    }
    if low.len() > 1 {
        let others = low[1..].iter().map(|t| format!("`{}`", t.name));
        finding = finding.fact(format!("also: {}", words::few(others)));
    }
    found.push(finding.help(if noticed.inductance_leads() {
        "twist the two wires of the bus or bring them closer; solder joints, or give each piece of rail its own feeder"
    } else {
        "solder joints, or give each piece of rail its own feeder"
    }));
}
