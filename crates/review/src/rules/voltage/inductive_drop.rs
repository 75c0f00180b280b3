//! Wires so far apart that their inductance costs a decoder more than is accepted.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::feeds;
use analysis::figures::TrackLine;
use finding::{Finding, Harm};
use handbook::quantity::{Fraction, Volts, show_percent, show_volts};
use plan::tables::{Bus, Pairing};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "inductive-drop",
        title: "the wiring's inductance costs a decoder too much voltage",
        text: "The track signal turns over some 17,000 times a second, and each time the current in the wiring has to turn \
               round with it. Until it has, the decoder gets nothing. The farther apart the two wires of a bus run, the \
               longer that takes; thicker wire does not help.\n\nThe number is what is left behind the decoder's rectifier, \
               `(V − I·R)·(1 − 2·f·t)` with `t = (L/R)·ln((V + I·R)/(V − I·R))`, the commutation overlap of power \
               electronics; where the plan does not say how a bus is run, as two wires 25 mm apart.\n\nFix: twist the \
               two wires of the bus together, or run them as one cable.",
        drawing: r#"   A ════════════════════════      apart: 1.4 µH a metre

   B ════════════════════════      A╲╱A╲╱A╲╱A  twisted: 0.5 µH
                                   B╱╲B╱╲B╱╲B"#,
        example: include_str!("examples/inductive-drop.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Some(figures) = facts.figures() else { return };
    let lost = |t: &TrackLine| t.decoder.map_or(0.0, |(volts, _)| (t.supply_volts - volts.typical) / t.supply_volts);
    let by_wire = |t: &TrackLine| 1.0 - t.volts.typical / t.supply_volts;
    // What resistance alone costs too much is reported as such.
    let low =
        figures.tracks.iter().filter(|t| lost(t) > figures.load_case.drop && by_wire(t) <= figures.load_case.drop);
    let Some(worst) = low.max_by(|a, b| lost(a).total_cmp(&lost(b))) else { return };
    let Some((volts, henries)) = worst.decoder else { return };
    let track = &facts.plan.track[worst.track];
    let mut finding = Finding::warning(
        "inductive-drop",
        Harm::CanStop,
        format!(
            "a decoder on `{}` at {} sees {}, {} below the supply's {}",
            worst.name,
            facts.plan.units().metres(worst.volts_at),
            show_volts(Volts(volts.typical)),
            show_percent(Fraction(lost(worst))),
            show_volts(Volts(worst.supply_volts)),
        ),
    )
    .at(track.name.span.clone(), "the worst place is on this track")
    .fact(format!(
        "the rails there have {}; turning the current round in {:.1} µH of wiring takes the rest",
        show_volts(Volts(worst.volts.typical)),
        henries.typical * 1e6
    ))
    .fact(format!("from {} aged to {} new", show_volts(Volts(volts.low)), show_volts(Volts(volts.high))));
    let feeds_track = |bus: usize| {
        let breaker = feeds::breaker_of_bus(facts, bus).map(|breaker| &facts.circuit.breakers[breaker]);
        breaker.is_some_and(|breaker| facts.circuit.sources[breaker.source].square_wave)
    };
    let twisted = |bus: &Bus| matches!(bus.pair.as_ref().map(|p| &p.value), Some(Pairing::Twisted));
    let mut buses = facts.plan.bus.iter().enumerate();
    let Some((_, bus)) = buses.find(|(index, bus)| !twisted(bus) && feeds_track(*index)) else {
        found.push(
            finding.help("the bus is twisted already: keep the two wires of each feeder together, shorter and thicker"),
        );
        return;
    };
    let span = bus.pair.as_ref().map_or(&bus.name.span, |p| &p.span);
    finding = finding.also(span.clone(), "run apart");
    found.push(finding.help("twist the two wires of the bus together: `pair = \"twisted\"`"));
}
