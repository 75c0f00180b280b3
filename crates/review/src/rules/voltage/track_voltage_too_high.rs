//! A track signal of more volts than decoders withstand, or than the standard lets a command station give.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::filters;
use finding::{Finding, Harm};
use handbook::limits::TRACK_VOLTS;
use handbook::quantity::{Quantity, Volts, show_volts};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "track-voltage-too-high",
        title: "the track has more volts than decoders withstand",
        text: "Decoders must withstand 24 V in N scale and 27 V in others (NMRA S-9.1); more may destroy them at once. A command \
               station may give 8.5 to 22 V, peak (NMRA S-9.1): what lies between is borne, but leaves nothing for the spikes that \
               each reversal and each short throws up, and lamps and motors of plain engines grow hot.\n\nHeld against it is the \
               voltage of every supply that feeds a bus with a track signal. It is an error where decoders need not withstand it, a \
               warning where it is beyond the standard's range.\n\nFix: set the booster to the voltage of your scale, or use one that \
               can be set.",
        drawing: r#"   30 V  ────────────  this booster
   27 V  ─ ─ ─ ─ ─ ─   what decoders must withstand
   22 V  ─ ─ ─ ─ ─ ─   the most that a command station may give"#,
        example: include_str!("examples/track-voltage-too-high.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let bears = filters::borne(facts);
    let most = TRACK_VOLTS.value[1].si();
    let shown = |volts: f64| show_volts(Volts(volts));
    for source in facts.circuit.sources.iter().filter(|s| s.square_wave && s.volts > most.min(bears)) {
        let supply = &facts.plan.supply[source.supply];
        let Some(voltage) = &supply.voltage else { continue };
        let name = &supply.name.value;
        let finding = if source.volts > bears {
            let message = format!(
                "`{name}` puts {} on the track; decoders must withstand {} and no more",
                shown(source.volts),
                shown(bears)
            );
            Finding::error("track-voltage-too-high", Harm::CanBurn, message)
        } else {
            let message = format!(
                "`{name}` puts {} on the track; a command station may give {} at most",
                shown(source.volts),
                shown(most)
            );
            Finding::warning("track-voltage-too-high", Harm::WillAge, message)
        };
        found.push(
            finding
                .at(voltage.span.clone(), "this voltage")
                .fact(format!("{} gives the limits", TRACK_VOLTS.source))
                .help("set it to the voltage of your scale, 12 V for N, 14 to 16 V for the larger ones"),
        );
    }
}
