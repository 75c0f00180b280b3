//! A crossing whose frogs are set for the one track whenever the turnouts lead over the other.

use crate::context::Context;
use crate::fixes::proving::ends;
use crate::fixes::routes_exchanged;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{Circuit, Guard, RailOwner, SegmentId};
use finding::{Finding, Harm};
use plan::{Kind, TrackEnd};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "crossing-set-against",
        title: "a crossing is set for its other track whenever a turnout leads over it",
        text: "A crossing with live frogs is set together with what it follows: in its first position for track 1, in its second for track \
               2. Here the same motor also throws the turnout through which trains come to the crossing, and it does so the other way \
               round: whenever the turnout leads to this track of the crossing, the frogs are set for the other one. No train can \
               ever run over this track.\n\nThe usual cause: both lie the way they do by chance, and the plan leaves `routes` out. At a scissors the \
               crossing is set for a diagonal while its turnouts are `diverging`.\n\nFix: say at the crossing which track each position sets, \
               such as `routes = { through = 2, diverging = 1 }`, and feed its frogs accordingly.",
        drawing: r#"   T1 diverging ──────┐   ┌─────
                       ╲ ╱
                        ╳      set for the other track
                       ╱ ╲     when T1 is diverging
   ───────────────────┘   └─────"#,
        example: include_str!("examples/crossing-set-against.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let circuit = &facts.circuit;
    let mut told = BTreeSet::new();
    for (segment, s) in circuit.segments.iter().enumerate() {
        let RailOwner::Work { kind: Kind::Crossing, index, .. } = s.owner else { continue };
        let barred = [TrackEnd::From, TrackEnd::To].into_iter().find_map(|end| barred_by(circuit, segment, end));
        let Some(turnout) = barred.filter(|_| told.insert(index)) else { continue };
        let (crossing, turnout) = (&facts.plan.crossing[index], &facts.plan.turnout[turnout].name);
        let when = words::when(circuit, &s.guard);
        let finding = Finding::error(
            "crossing-set-against",
            Harm::CanStop,
            format!(
                "no train can run over `{}`: it is set {when}, and `{}` leads elsewhere then",
                s.name, turnout.value
            ),
        )
        .at(crossing.follows.as_ref().unwrap_or(&crossing.name).span.clone(), "what the crossing follows")
        .also(turnout.span.clone(), "trains come from here");
        let Some((line, edit)) = routes_exchanged(facts, index) else { continue };
        found.push(match ends(facts, std::slice::from_ref(&edit), "crossing-set-against") {
            true => finding.proposal(format!("say `{line}` at the crossing `{}`", crossing.name.value), vec![edit]),
            false => finding.help(format!(
                "say `{line}` at the crossing `{}`, and exchange the outer wires of the contacts that feed its frogs",
                crossing.name.value
            )),
        });
    }
}

/// The turnout behind an end of a route of trackwork, over plain track, that is set otherwise in all positions of that route.
fn barred_by(circuit: &Circuit, route: SegmentId, end: TrackEnd) -> Option<usize> {
    let own = &circuit.segments[route].guard;
    let (mut at, mut leaves) = (route, end);
    for _ in 0..circuit.segments.len() {
        let next = &circuit.segments[at].ends[usize::from(leaves == TrackEnd::To)].next;
        let &(first, entered) = next.first()?;
        if let RailOwner::Track(_) = circuit.segments[first].owner {
            (at, leaves) = (first, entered.other());
            continue;
        }
        let RailOwner::Work { kind: Kind::Turnout, index, .. } = circuit.segments[first].owner else { return None };
        let barred = next.iter().all(|&(leg, _)| contradict(own, &circuit.segments[leg].guard));
        return barred.then_some(index);
    }
    None
}

/// Whether two lists of positions ask one control for different ones.
fn contradict(one: &Guard, other: &Guard) -> bool {
    one.iter().any(|a| other.iter().any(|b| a.control == b.control && a.position != b.position))
}
