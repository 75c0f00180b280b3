//! A track signal of fewer volts than decoders need.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};
use handbook::limits::TRACK_VOLTS;
use handbook::quantity::{Quantity, Volts, show_volts};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "track-voltage-too-low",
        title: "the track has fewer volts than decoders need",
        text: "A command station gives 8.5 V or more, peak (NMRA S-9.1), and decoders are made for that. With less they reset, \
               forget what they were told, or never answer, and where a train draws its current the track has less still.\n\nHeld against it \
               are the voltage of every supply that feeds a bus with a track signal and the volts under a train at the worst place \
               of each track, with everything as it usually is. It is an error where the supply itself has too little, a warning where \
               the wiring takes it.\n\nFix: set the booster to the voltage of your scale; thicker wire and more feeders where the \
               wiring takes it.",
        drawing: r#"   8.5 V ─ ─ ─ ─ ─ ─   the least that a command station may give
   6 V   ────────────  this booster"#,
        example: include_str!("examples/track-voltage-too-low.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let least = TRACK_VOLTS.value[0].si();
    let shown = |volts: f64| show_volts(Volts(volts));
    let mut weak = Vec::new();
    for source in facts.circuit.sources.iter().filter(|s| s.square_wave && s.volts < least) {
        let supply = &facts.plan.supply[source.supply];
        let Some(voltage) = &supply.voltage else { continue };
        weak.push(source.volts);
        found.push(
            Finding::error(
                "track-voltage-too-low",
                Harm::CanStop,
                format!(
                    "`{}` puts {} on the track; decoders need {}",
                    supply.name.value,
                    shown(source.volts),
                    shown(least)
                ),
            )
            .at(voltage.span.clone(), "this voltage")
            .fact(format!("{} gives the limits", TRACK_VOLTS.source))
            .help("set it to the voltage of your scale, 12 V for N, 14 to 16 V for the larger ones"),
        );
    }
    let Some(figures) = facts.figures() else { return };
    let low = figures.tracks.iter().filter(|t| {
        t.noticed.square_wave && t.volts.typical < least && t.supply_volts >= least && !weak.contains(&t.supply_volts)
    });
    let Some(worst) = low.min_by(|a, b| a.volts.typical.total_cmp(&b.volts.typical)) else { return };
    let name = &facts.plan.track[worst.track].name;
    found.push(
        Finding::warning(
            "track-voltage-too-low",
            Harm::CanStop,
            format!(
                "a train on `{}` at {} has {}; decoders need {}",
                worst.name,
                facts.plan.units().metres(worst.volts_at),
                shown(worst.volts.typical),
                shown(least)
            ),
        )
        .at(name.span.clone(), "the worst place is on this track")
        .fact(format!("{} gives the limits; the supply has {}", TRACK_VOLTS.source, shown(worst.supply_volts)))
        .help("thicker bus wire or more feeders"),
    );
}
