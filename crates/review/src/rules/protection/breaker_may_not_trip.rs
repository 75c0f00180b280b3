//! Somewhere a short draws too little current to trip the breaker.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use crate::what_if;
use analysis::figures::TrackLine;
use analysis::words;
use electrics::partial_short;
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Ohms, show_amps, show_ohms};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "breaker-may-not-trip",
        title: "a short may not trip the breaker",
        text: "A short draws what the loop resistance lets through. Where that is less than the breaker's trip current \
               the breaker stays closed and the whole power of the supply goes into rail joints, wheels and wires \
               until something melts. Where it is more, but not by the margin you ask for (1.5 where the plan does not \
               say; common practice, no source), a poor contact of the wheels that make the short is enough to hold \
               it closed.\n\nIt is an error where the breaker may stay closed with everything as it usually is, a \
               warning where only the margin is missing.\n\nMend: thicker bus wire, more feeders, shorter runs from \
               bus to rail, or a breaker that trips at less.",
        drawing: r#"   booster ──────────── 30 m of thin bus ────────────┬── rail
                                                     ⚡ short
   what flows is less than what trips the breaker: it stays closed"#,
        example: include_str!("examples/breaker-may-not-trip.toml"),
    },
    find,
};

/// The lowest of the margins a track has as usual.
pub(super) fn margin(line: &TrackLine) -> f64 {
    line.margin.map_or(f64::INFINITY, |m| m.typical)
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Some(figures) = facts.figures() else { return };
    let limit = figures.load_case.fault_margin;
    let mut low: Vec<_> = figures.tracks.iter().filter(|t| margin(t) < limit).collect();
    low.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
    let Some(worst) = low.first() else { return };
    let place = format!("`{}` at {}", worst.name, words::metres(worst.fault_at));
    let current = show_amps(Amps(worst.fault_amps.typical));
    let factor = margin(worst);
    let finding = if factor < 1.0 {
        // Nearly all the power of the source is in the loop then.
        let watts = worst.supply_volts * worst.fault_amps.typical;
        Finding::error(
            "breaker-may-not-trip",
            Harm::CanBurn,
            format!("a short on {place} draws {current}, {factor:.2} times what trips the breaker: it stays closed"),
        )
        .fact(format!("some {watts:.0} W go into rails, joints and wheels for as long as the short lasts"))
    } else {
        Finding::warning(
            "breaker-may-not-trip",
            Harm::CanBurn,
            format!("a short on {place} draws {current}, only {factor:.2} times what trips the breaker"),
        )
        .fact(format!("{limit} times is the margin asked for"))
    };
    let loop_ohms = worst.supply_volts / worst.fault_amps.typical - figures.load_case.bridge_ohms.typical;
    let hottest = partial_short::hottest(worst.supply_volts, loop_ohms, Some(worst.fault_amps.typical / factor));
    let finding = finding.fact(format!(
        "a partial short of {} there burns {:.0} W in one spot, and the breaker stays closed",
        show_ohms(Ohms(hottest.fault_ohms)),
        hottest.watts
    ));
    let name = &facts.plan.track[worst.track].name;
    let mut finding = finding.at(name.span.clone(), "the worst place is on this track");
    if low.len() > 1 {
        let others = low[1..].iter().map(|t| format!("`{}` {:.2} times", t.name, margin(t)));
        finding = finding.fact(format!("also below it: {}", words::few(others)));
    }
    let bought = what_if::what_if(facts, worst, worst.fault_at, margin, limit);
    for change in &bought {
        let (amps, times) = (show_amps(Amps(change.after.fault_amps.typical)), margin(&change.after));
        finding = finding.fact(format!("{}: {amps} there, {times:.2} times", change.says));
    }
    let weakest = |after: &analysis::figures::Figures| {
        let lowest = after.tracks.iter().min_by(|a, b| margin(a).total_cmp(&margin(b)));
        lowest.filter(|t| margin(t) < limit).map(|t| (t.track, t.fault_at))
    };
    found.push(match what_if::for_all(facts, &bought, weakest) {
        Some((says, edits)) => finding.proposal(says, edits),
        None => finding.help("use thicker bus wire or more feeders, or a breaker that trips at less"),
    });
}
