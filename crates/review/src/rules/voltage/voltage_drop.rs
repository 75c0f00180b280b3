//! Somewhere a train gets less voltage than the builder accepts.

use crate::context::Context;
use crate::feeder_count;
use crate::rules::{FindingPage, Rule};
use crate::what_if;
use analysis::words;
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Fraction, Volts, show_amps, show_percent, show_volts};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "voltage-drop",
        title: "a train gets less voltage than you accept",
        text: "At the worst place of these tracks the voltage under a train falls below the supply's by more than the \
               plan's limit (5 % where it does not say; common practice, no source). Engines slow down there, sound \
               decoders restart, and a short may not trip the breaker.\n\nThe numbers take every way at its worst, \
               with nothing closed that the way does not need. The finding says what the loop is made of: improve the largest part first. That is usually rail, and another feeder shortens it; or a long thin bus. For a track \
               without gaps that one bus feeds it also says how many feeders are enough at the least, and where: worked out \
               for that track by itself, with feeders like those it has, for volts and for the current of a short that a \
               direct voltage drives.",
        drawing: r#"   15 V ╲
         ╲______
                ‾‾‾‾‾‾╲______      the further from a feeder,
   feeder                    ‾‾‾   the less is left for the train"#,
        example: include_str!("examples/voltage-drop.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Some(figures) = facts.figures() else { return };
    let share = |t: &analysis::figures::TrackLine| 1.0 - t.volts.typical / t.supply_volts;
    let mut low: Vec<_> = figures.tracks.iter().filter(|t| share(t) > figures.load_case.drop).collect();
    low.sort_by(|a, b| share(b).total_cmp(&share(a)));
    let Some(worst) = low.first() else { return };
    let name = &facts.plan.track[worst.track].name;
    let mut finding = Finding::warning(
        "voltage-drop",
        Harm::CanStop,
        format!(
            "`{}` gets {} at {}, {} below the supply's {}",
            worst.name,
            show_volts(Volts(worst.volts.typical)),
            facts.plan.units().metres(worst.volts_at),
            show_percent(Fraction(share(worst))),
            show_volts(Volts(worst.supply_volts))
        ),
    )
    .at(name.span.clone(), "the worst place is on this track")
    .fact(format!(
        "with {} ({}); up to {} is accepted",
        show_amps(Amps(figures.load_case.train_amps)),
        figures.load_case.train_from,
        show_percent(Fraction(figures.load_case.drop))
    ));
    if worst.standing_volts >= 0.005 {
        let stand = figures.load_case.standing.iter().map(|(train, standing)| {
            format!(
                "`{train}` on `{}` {}",
                facts.plan.track[standing.segment].name.value,
                show_amps(Amps(standing.amps))
            )
        });
        finding = finding.fact(format!(
            "{} of it goes to trains that stand: {}",
            show_volts(Volts(worst.standing_volts)),
            words::few(stand)
        ));
    }
    let in_detector = worst.told_detector_volts();
    if let Some(kept) = in_detector {
        let kept = show_volts(Volts(kept));
        finding = finding.fact(format!("{kept} of it stays in the diodes of the detector, whatever the wiring"));
    }
    if low.len() > 1 {
        let others = low[1..].iter().map(|t| format!("`{}` {}", t.name, show_volts(Volts(t.volts.typical))));
        finding = finding.fact(format!("also low: {}", words::few(others)));
    }
    if let Some(part) = figures.contributions.first() {
        let of = if in_detector.is_some() { "of the rest the largest part" } else { "the largest part" };
        finding = finding.fact(format!("{of}, {:.0} %, is {}: {}", part.share * 100.0, part.name, part.value));
    }
    // Where the wiring by itself loses no more than may be, more of it is no help.
    if share(worst) - worst.detector_volts / worst.supply_volts <= figures.load_case.drop {
        let accepted = (share(worst) * 100.0).ceil();
        found.push(finding.help(format!(
            "the wiring is good enough: accept it with `drop = \"{accepted:.0} %\"` under `[limits]`, set the supply a little \
             higher, or take a detector that a wire only passes through (`resistance = \"0 Ω\"`)"
        )));
        return;
    }
    if let Some(enough) = feeder_count::words_of(facts, worst) {
        finding = finding.fact(enough);
    }
    let bought = what_if::what_if(facts, worst, worst.volts_at, |t| -share(t), -figures.load_case.drop);
    for change in &bought {
        finding = finding.fact(format!("{}: {} there", change.says, show_volts(Volts(change.after.volts.typical))));
    }
    let weakest = |after: &analysis::figures::Figures| {
        let lowest = after.tracks.iter().max_by(|a, b| share(a).total_cmp(&share(b)));
        lowest.filter(|t| share(t) > figures.load_case.drop).map(|t| (t.track, t.volts_at))
    };
    found.push(match what_if::for_all(facts, &bought, weakest) {
        Some((says, edits)) => finding.proposal(says, edits),
        None => finding.help("more feeders, thicker bus wire, or a supply nearer to this place"),
    });
}
