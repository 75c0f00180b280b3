//! A short that no longer trips the breaker once a single joint, tap, feeder or contact has opened.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::figures::TrackLine;
use analysis::words;
use circuit::{EdgeId, Senses};
use electrics::LeastShort;
use electrics::square_short::Sensed;
use finding::{Finding, Harm};
use handbook::Spread;
use handbook::quantity::{Amps, show_amps};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "breaker-may-not-trip-after-failure",
        title: "one joint that opens hides a short from its breaker",
        text: "Everything conducts, and a short trips the breaker. Then one joiner, tap, feeder or contact opens, which \
               nobody notices: the rail is fed from its other end and trains run. But now a short here draws less than \
               what trips the breaker. It burns on, in the rails, in the wheels, in a decoder.\n\nEvery joint, blade, \
               contact, tap and feeder was opened, one at a time, and the worst place along each track calculated anew.\n\n\
               Fix: a second feeder beside the one that matters, or soldered joints.",
        drawing: r#"   breaker ══════════════════ bus ══════════════════
              │                            ╳  opens one day
   ───────────┴────────────────────────────┴──────── rail
                                      short here ↯  all of it over the rail"#,
        example: include_str!("examples/breaker-may-not-trip-after-failure.toml"),
    },
    find,
};

/// What of a short's current breakers measure, in the order of the numbers.
const KINDS: [Senses; 3] = [Senses::Mean, Senses::Rms, Senses::Peak];

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Some(figures) = facts.figures() else { return };
    let after = |line: &TrackLine| {
        line.margin.filter(|m| m.typical >= 1.0)?;
        let failure = facts.openings().iter().find(|f| f.track == line.track)?;
        let least = failure.sensed.iter().zip(KINDS).map(|(least, senses)| (least.typical, senses));
        let counts = |senses: Senses| line.noticed.senses.unwrap_or(Senses::Mean) == senses;
        let (edge, short) = least.filter(|l| counts(l.1)).map(|l| l.0).next()?;
        let sensed = |of: fn(&Spread<(EdgeId, LeastShort)>) -> f64| {
            let [mean, rms, peak] = failure.sensed.each_ref().map(of);
            line.noticed.counts(&Sensed { mean, rms, peak })
        };
        let amps = Spread::new(
            sensed(|s| s.low.1.found.amount),
            sensed(|s| s.typical.1.found.amount),
            sensed(|s| s.high.1.found.amount),
        );
        let margin = line.margin_of(&Sensed::steady(amps.typical))?;
        (margin < 1.0).then_some((edge, amps, margin, short.found.at.place.x))
    };
    let mut low: Vec<_> = figures.tracks.iter().filter_map(|t| Some((t, after(t)?))).collect();
    low.sort_by(|a, b| a.1.2.total_cmp(&b.1.2));
    let Some(&(line, (edge, amps, times, x))) = low.first() else { return };
    let edge = &facts.circuit.edges[edge];
    let sees = if line.noticed.square_wave { " as the breaker measures it" } else { "" };
    let track = &facts.plan.track[line.track];
    let mut finding = Finding::warning(
        "breaker-may-not-trip-after-failure",
        Harm::WillAge,
        format!("if the {} fails, a short on `{}` draws {times:.2} times the trip current", edge.name, line.name),
    )
    .at(track.name.span.clone(), "the worst place is on this track")
    .also(edge.span.clone(), "what opens")
    .fact(format!("a short at {} draws {}{sees} then", facts.plan.units().metres(x), show_amps(Amps(amps.typical))))
    .fact(format!(
        "from {} with all else aged to {} as new; as built it draws {}",
        show_amps(Amps(amps.low)),
        show_amps(Amps(amps.high)),
        show_amps(Amps(line.noticed.amps().typical))
    ));
    if low.len() > 1 {
        let others = low[1..].iter().map(|(t, after)| format!("`{}` {:.2} times", t.name, after.2));
        finding = finding.fact(format!("also once something opens: {}", words::few(others)));
    }
    found.push(finding.help("a second feeder beside it, or a breaker that trips at less"));
}
