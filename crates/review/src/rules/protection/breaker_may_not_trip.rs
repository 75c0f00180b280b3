//! Somewhere a short draws too little current to trip the breaker.

use crate::context::Context;
use crate::feeder_count;
use crate::rules::{FindingPage, Rule};
use crate::what_if;
use analysis::figures::TrackLine;
use analysis::noticed::Noticed;
use analysis::words;
use circuit::Senses;
use electrics::square_short::{self, SquareShort};
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Ohms, show_amps, show_ohms};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "breaker-may-not-trip",
        title: "a short may not trip the breaker",
        text: "A short draws what the wiring lets through. Where the breaker notices less than its trip current it stays closed, \
               and the whole power of the supply goes into rail joints, wheels and wires until something melts. Where it is \
               more, but not by the margin you ask for (1.5 where the plan does not say; common practice, no source), a poor \
               contact of the wheels that make the short is enough to hold it closed.\n\nThe track signal reverses every 58 \
               µs. In a short the current has only that long to rise, and wires that run apart hold it back: with resistance R, \
               inductance L and `x = T·R/L` it comes to `(V/R)·tanh(x/2)` at most, `(V/R)·√(1 − (2/x)·tanh(x/2))` root mean \
               square, `(V/R)·(1 − (2/x)·ln(1 + tanh(x/2)))` on average. Which of them a breaker measures is rarely \
               written on it: the least counts unless the plan says `senses`. `V/R`, what a direct voltage would drive, is \
               only the upper bound. Where currents can take several ways they are shared as a direct current is.\n\nIt is an error \
               where the breaker may stay closed with everything as it usually is, a warning where only the margin is missing.\
               \n\nFix: twist the two wires of the bus or bring them closer, where inductance leads; there thicker wire does \
               little. Otherwise thicker bus wire, more feeders, shorter runs from bus to rail, or a breaker that trips at less.",
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
    let noticed = &worst.noticed;
    let place = format!("`{}` at {}", worst.name, facts.plan.units().metres(noticed.at));
    let amps = noticed.amps().typical;
    let current = show_amps(Amps(amps));
    let factor = margin(worst);
    let of_it = if noticed.square_wave {
        "a short circuit on {} draws only {} as the breaker measures it"
    } else {
        "a short circuit on {} draws only {}"
    };
    let draws = of_it.replacen("{}", &place, 1).replacen("{}", &current, 1);
    let finding = if factor < 1.0 {
        // Nearly all the power of the source is in the loop then.
        let watts = noticed.sensed.typical.rms.powi(2) * noticed.ohms;
        let message =
            format!("a short on `{}` draws {factor:.2} times the trip current: it is not cut off", worst.name);
        Finding::error("breaker-may-not-trip", Harm::CanBurn, message)
            .fact(draws)
            .fact(format!("some {watts:.0} W go into rails, joints and wheels for as long as the short lasts"))
    } else {
        let message = format!("a short on `{}` draws only {factor:.2} times the trip current", worst.name);
        Finding::warning("breaker-may-not-trip", Harm::CanBurn, message)
            .fact(draws)
            .fact(format!("it should be {limit} times (`fault_margin`)"))
    };
    let mut finding =
        square_wave(noticed, worst.upper_margin.map(|m| m.typical)).into_iter().fold(finding, Finding::fact);
    let square = SquareShort {
        volts: noticed.upper_bound * noticed.ohms,
        ohms: noticed.ohms - figures.load_case.bridge_ohms.typical,
        henries: noticed.henries.typical,
        half_bit: if noticed.square_wave { figures.load_case.half_bit.typical } else { f64::INFINITY },
    };
    let (ohms, watts) = square_short::hottest(&square, noticed.senses, amps / factor);
    finding = finding.fact(format!(
        "a partial short of {} there burns {watts:.0} W in one spot, and the breaker stays closed",
        show_ohms(Ohms(ohms)),
    ));
    let name = &facts.plan.track[worst.track].name;
    let mut finding = finding.at(name.span.clone(), "the worst place is on this track");
    if low.len() > 1 {
        let others = low[1..].iter().map(|t| format!("`{}` {:.2} times", t.name, margin(t)));
        finding = finding.fact(format!("also below it: {}", words::few(others)));
    }
    if let Some(enough) = feeder_count::words_of(facts, worst) {
        finding = finding.fact(enough);
    }
    let bought = what_if::what_if(facts, worst, noticed.at, margin, limit);
    for change in &bought {
        let (amps, times) = (show_amps(Amps(change.after.noticed.amps().typical)), margin(&change.after));
        finding = finding.fact(format!("{}: {amps} there, {times:.2} times", change.says));
    }
    let weakest = |after: &analysis::figures::Figures| {
        let lowest = after.tracks.iter().min_by(|a, b| margin(a).total_cmp(&margin(b)));
        lowest.filter(|t| margin(t) < limit).map(|t| (t.track, t.noticed.at))
    };
    found.push(match what_if::for_all(facts, &bought, weakest) {
        Some((says, edits)) => finding.proposal(says, edits),
        None if noticed.inductance_leads() => finding.help(CLOSER),
        None => finding.help("use thicker bus wire or more feeders, or a breaker that trips at less"),
    });
}

/// What helps where inductance leads.
pub(super) const CLOSER: &str =
    "twist the two wires of the bus (`pair = \"twisted\"`) or bring them closer; thicker wire does little here";

/// What a signal that reverses makes of the short's current.
pub(super) fn square_wave(noticed: &Noticed, upper: Option<f64>) -> Vec<String> {
    if !noticed.square_wave {
        return Vec::new();
    }
    let amps = |a: f64| show_amps(Amps(a));
    let (ones, idle) = (&noticed.sensed.typical, &noticed.idle);
    let henries = noticed.henries;
    let times = upper.map_or(String::new(), |times| format!(", {times:.2} times the trip current"));
    let says = match noticed.senses {
        Some(senses) => format!("your plan says that the breaker measures the {}", says(senses)),
        None => "you did not say how the breaker measures current, so the lowest of these counts; write it as `senses = \"rms\"`, `\"mean\"` or `\"peak\"`".to_owned(),
    };
    vec![
        format!(
            "the wiring slows the current ({:.1} µH, {:.1} to {:.1}): each pulse of the track signal ends before it can grow. On plain \
             DC {} would flow{times}",
            henries.typical * 1e6,
            henries.low * 1e6,
            henries.high * 1e6,
            amps(noticed.upper_bound)
        ),
        format!(
            "what it may measure while ones are sent: mean {}, rms {}, peak {}; with idle packets mean {}, rms {}, peak {}",
            amps(ones.mean),
            amps(ones.rms),
            amps(ones.peak),
            amps(idle.mean),
            amps(idle.rms),
            amps(idle.peak)
        ),
        says,
    ]
}

fn says(senses: Senses) -> &'static str {
    match senses {
        Senses::Mean => "mean",
        Senses::Rms => "root mean square (rms)",
        Senses::Peak => "peak",
    }
}
