//! What is missing is proposed: whole yards from a few questions.
//!
//! [`QUESTIONS`] are declared once, for the terminal and for pages; [`Answers`] takes what a builder says. [`propose`]
//! writes a complete, commented plan: where rails are cut, what feeds what, which contact throws which pole. What the
//! answers leave open — wires, feeders, joints that slide — is not guessed but tried against the review, cheapest
//! first, until it has nothing to say.

mod answers;
mod drivers;
mod lengths;
mod questions;
mod relays;
pub mod sheet;
mod taking;
pub mod wiring;
mod write;
mod yard;

pub use answers::{Answers, RoomClimate, Turning, YardKind};
pub use questions::{Choice, QUESTIONS, Question, Takes};

use circuit::Circuit;
use finding::{Finding, Severity};
use yard::Measures;

/// The shortest track between two turnouts that has room for a gap and a feeder, metres.
const SHORTEST_BETWEEN: f64 = 0.03;

/// Why there is no plan for some answers.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoPlan {
    /// The roads are too near to each other for turnouts of that number.
    #[error(
        "roads {wanted} apart leave no room for the turnouts between them; the least is {least}, or flatter roads: a smaller frog number"
    )]
    TooNear {
        /// What was asked for.
        wanted: String,
        /// The least there is room for.
        least: String,
    },
    /// The roads are too short for anything to stand on them clear of its neighbours.
    #[error("roads of {wanted} are too short: nothing can stand on them clear of the next road")]
    TooShort {
        /// What was asked for.
        wanted: String,
    },
    /// Whatever wire is taken, the review finds fault.
    #[error("no wire makes it good: {why}")]
    Faults {
        /// What the review says of the best one, in one line.
        why: String,
    },
}

/// A complete plan for the answers, which passes its own review without errors and warnings.
///
/// # Errors
/// With a sentence that says what to answer otherwise.
pub fn propose(answers: &Answers) -> Result<String, NoPlan> {
    let answers = &answers.as_written();
    let mut m = measures(answers)?;
    let usual = if answers.imperial { &IMPERIAL } else { &METRIC };
    // Where a size is asked for there is no other.
    let bus: Vec<&'static str> = answers.bus_wire.map_or_else(|| usual.bus.to_vec(), |size| vec![size]);
    let feeder: Vec<&'static str> = answers.feeder_wire.map_or_else(|| usual.feeder.to_vec(), |size| vec![size]);
    // With the best wires first: what is at fault then no wire can fix.
    let last = |sizes: &[&'static str]| sizes[sizes.len() - 1];
    (m.bus_wire, m.contact_wire, m.feeder_wire) = (last(&bus), last(usual.contact), last(&feeder));
    for (slides, gap_width) in movements() {
        (m.slides, m.gap_width) = (slides, gap_width);
        if !faults(answers, &m).iter().any(is_of_movement) {
            break;
        }
    }
    let mut left = None;
    let trip = f64::from(answers.trip);
    let tries = [(1.5, None, None), (1.0, None, None), (0.6, None, None), (0.6, Some(8), None)];
    // Behind many contacts in a row a short draws too little for the booster, whatever the wire.
    let with_breaker = [(0.5, 8), (0.3, 8), (0.3, 12)]
        .map(|(part, drop)| (0.6, Some(drop), Some((trip * part * 10.0).round() / 10.0)));
    for (spacing, drop, breaker) in tries.into_iter().chain(with_breaker) {
        let spacing = answers.feeders.map_or(spacing, |most| most.0.min(spacing));
        (m.feeders, m.drop, m.breaker) = (spacing, drop, breaker);
        left = faults(answers, &m).into_iter().next();
        if left.is_none() {
            break;
        }
    }
    if let Some(fault) = left {
        return Err(NoPlan::Faults { why: format!("{} [{}]", fault.message, fault.name) });
    }
    thin_down(answers, &mut m, &bus, |m| &mut m.bus_wire);
    thin_down(answers, &mut m, usual.contact, |m| &mut m.contact_wire);
    thin_down(answers, &mut m, &feeder, |m| &mut m.feeder_wire);
    Ok(plan_text(answers, &m))
}

/// Takes the thinnest of some sizes that will do. Thicker is never worse, so that the first that passes is the thinnest; the
/// thickest is what is there, and passes.
fn thin_down(
    answers: &Answers,
    m: &mut Measures,
    sizes: &[&'static str],
    wire: impl Fn(&mut Measures) -> &mut &'static str,
) {
    let thickest = *wire(m);
    for size in sizes.iter().filter(|size| **size != thickest) {
        *wire(m) = size;
        if faults(answers, m).is_empty() {
            return;
        }
    }
    *wire(m) = thickest;
}

/// Joints that slide and widths of gaps to try, the least work first: joints every so far, and at turnouts too, metres.
fn movements() -> impl Iterator<Item = (Option<f64>, f64)> {
    const WIDTHS: [f64; 6] = [0.5e-3, 0.8e-3, 1.0e-3, 1.3e-3, 1.6e-3, 0.3e-3];
    [None, Some(1.0), Some(0.6), Some(0.4), Some(0.3)]
        .into_iter()
        .flat_map(|slides| WIDTHS.map(|width| (slides, width)))
}

/// Wires to choose from, thinnest first.
pub(crate) struct Sizes {
    pub(crate) bus: &'static [&'static str],
    contact: &'static [&'static str],
    pub(crate) feeder: &'static [&'static str],
}

/// The wires there are in the units of some answers.
pub(crate) fn wire_sizes(imperial: bool) -> &'static Sizes {
    if imperial { &IMPERIAL } else { &METRIC }
}

const METRIC: Sizes = Sizes {
    bus: &["1.5 mm²", "2.5 mm²", "4 mm²", "6 mm²"],
    contact: &["0.5 mm²", "0.75 mm²", "1.5 mm²", "2.5 mm²"],
    feeder: &["0.5 mm²", "0.75 mm²", "1 mm²"],
};

const IMPERIAL: Sizes = Sizes {
    bus: &["16 AWG", "14 AWG", "12 AWG", "10 AWG"],
    contact: &["20 AWG", "18 AWG", "16 AWG", "14 AWG"],
    feeder: &["20 AWG", "18 AWG", "16 AWG"],
};

fn plan_text(answers: &Answers, m: &Measures) -> String {
    write::text(answers, m, &yard::yard(answers, m))
}

/// Errors and warnings of the plan as measured.
fn faults(answers: &Answers, m: &Measures) -> Vec<Finding> {
    let review = review::review(&plan_text(answers, m));
    review.findings.into_iter().filter(|f| matches!(f.severity, Severity::Error | Severity::Warning)).collect()
}

fn is_of_movement(fault: &Finding) -> bool {
    ["gap-closes", "gap-opens-too-far", "rail-may-buckle", "feeder-may-tear"].contains(&fault.name)
}

/// The lengths that follow from the turnouts, found on a draft of the plan.
fn measures(answers: &Answers) -> Result<Measures, NoPlan> {
    let mut m = Measures {
        between: 0.06,
        gap: 0.01,
        feeders: 1.5,
        bus_wire: "2.5 mm²",
        feeder_wire: "0.5 mm²",
        contact_wire: "0.5 mm²",
        turnout: 0.2,
        train: 0.1,
        slides: None,
        drop: None,
        breaker: None,
        gap_width: 0.5e-3,
    };
    let wide = handbook::scales::scale(answers.scale).map_or(0.0, |s| s.clear_width.value.0);
    if answers.centres.0 < wide {
        let show = |x: f64| lengths::length(answers, x);
        return Err(NoPlan::TooNear { wanted: show(answers.centres.0), least: show(wide) });
    }
    let read = plan::read(&plan_text(answers, &m));
    let circuit = Circuit::from_plan(&read.plan, &read.names);
    let lengths = circuit::WorkLengths::from_plan(&read.plan, plan::Kind::Turnout, 0);
    m.turnout = lengths.lead + lengths.tail;
    if let Some(spacing) = movement::clearance::spacings(&read.plan, &circuit).first() {
        m.between = spacing.between_for(answers.centres.0);
        if m.between < SHORTEST_BETWEEN {
            let least = spacing.apart + (SHORTEST_BETWEEN - spacing.between) * spacing.per_metre;
            let show = |x: f64| lengths::length(answers, x);
            return Err(NoPlan::TooNear { wanted: show(answers.centres.0), least: show((least * 1e3).ceil() / 1e3) });
        }
    }
    let clear = movement::clearance::clearances(&read.plan, &circuit);
    let behind =
        clear.iter().flat_map(|c| c.legs.iter().map(|leg| leg.clear_from_frog.unwrap_or(f64::INFINITY) - c.tail));
    let (least, most) = behind.fold((f64::INFINITY, 0.0_f64), |(least, most), x| (least.min(x), most.max(x)));
    // Half way to where a vehicle stands clear, so that a saw that slips does no harm.
    m.gap = (least / 2.0).clamp(0.01, 0.09);
    let ends = if answers.kind == YardKind::Stub { 1.0 } else { 2.0 };
    let clear = answers.length.0 - ends * most.max(m.gap);
    let slack = 1.0 + handbook::limits::SLACK.value.0;
    m.train = (clear / slack * 0.95 * 20.0).floor() / 20.0;
    if m.train < 0.1 {
        return Err(NoPlan::TooShort { wanted: lengths::length(answers, answers.length.0) });
    }
    // Lengths as the builder's rule shows them, so that the plan's words and its numbers agree.
    let units = answers.units();
    let to = units.rule_mark();
    m.between = (m.between / to - 1e-6).ceil() * to;
    m.gap = units.ruled(m.gap);
    m.train = (m.train / to).floor() * to;
    Ok(m)
}
