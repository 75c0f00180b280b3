//! A gap behind a frog so far out that a vehicle standing clear of the other track reaches it.

use crate::context::Context;
use crate::fixes::Change;
use crate::fixes::proving::ends;
use crate::rules::{FindingPage, Rule};
use circuit::{Circuit, NodeId, RailOwner, WorkLengths};
use finding::{Finding, Harm};
use handbook::quantity::Quantity;
use movement::clearance::{centres, of_route};
use plan::tables::RailSide;
use plan::{Kind, TrackEnd, edit};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "gap-beyond-fouling",
        title: "a gap behind a frog stands beyond the fouling point",
        text: "Up to its gap, the rail behind a live frog takes the phase of the frog, which is the wrong one while the \
               turnout is set for the other track. Between frog and fouling point no vehicle stands then: it would be \
               hit. Beyond, one may stand; and if it stands over the gap, its wheels join opposite poles.\n\nThe \
               fouling point is where the centre lines of the two legs are as far apart as parallel tracks (49 CFR 218.93 \
               calls it clearance point): of straight legs by formula, of legs that bend (`curves`) place by place along \
               both, with what the trains' longest vehicles swing out added.\n\nFix: cut the rail nearer to the frog.",
        drawing: r#"                      ┌─ fouling point
   ════════ frog ═════╪═══════┤├══════   set for the other track: up to the gap
   ══════════════════ ╪ ══════════════   both rails are on one pole
              here one vehicle may stand over the gap"#,
        example: include_str!("examples/gap-beyond-fouling.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (circuit, plan) = (&facts.circuit, facts.plan);
    let Some((centres, _)) = centres(plan) else { return };
    if circuit.frogs.is_empty() {
        return;
    }
    let conductor = proof::Conductors::from_circuit(circuit, &[]).of;
    let turnouts = circuit.frogs.iter().filter(|f| f.0 == Kind::Turnout);
    let frogs: BTreeMap<usize, u32> = turnouts.map(|f| (f.1, conductor[f.2])).collect();
    for (segment, s) in circuit.segments.iter().enumerate() {
        let RailOwner::Work { kind: Kind::Turnout, index, .. } = s.owner else { continue };
        let Some(&frog) = frogs.get(&index) else { continue };
        // A frog that is fed for good never changes, and neither does the rail behind it.
        if circuit.sources.iter().flat_map(|s| s.node).any(|pole| conductor[pole] == frog) {
            continue;
        }
        let Some((clearance, leg)) = of_route(facts.clearances(), index, segment) else { continue };
        // Legs that are never clear of each other are a finding of their own.
        let Some(clear) = leg.clear_from_frog else { continue };
        for (gap, out) in gaps_of_frog(circuit, &conductor, frog, segment) {
            let distance = clearance.tail + out;
            // Where both sides of the gap always agree, nothing is bridged by who stands over it.
            let apart = facts.proof().ok().and_then(|p| p.apart.get(gap)).is_none_or(|&apart| apart);
            if distance <= clear || !apart {
                continue;
            }
            let gap = &circuit.gaps[gap];
            let name = &plan.turnout[index].name.value;
            let mut finding = Finding::warning(
                "gap-beyond-fouling",
                Harm::CanBurn,
                format!(
                    "a vehicle beside `{}` can reach its rail before the gap behind the frog of `{name}`",
                    circuit.segments[gap.segment].name,
                ),
            )
            .at(gap.span.clone(), "beyond the fouling point")
            .fact(format!(
                "the gap in the {} rail stands {} behind the frog; a vehicle is clear there from {} on",
                gap.side.word(),
                facts.plan.units().metres(distance),
                facts.plan.units().metres(clear)
            ));
            let turnout = &plan.turnout[index];
            finding = finding.also(turnout.name.span.clone(), "up to the gap, the rail has the phase of this frog");
            if turnout.number.is_none() && turnout.angle.is_none() && turnout.one_in.is_none() {
                let number = WorkLengths::from_plan(plan, Kind::Turnout, index).number;
                finding = finding.fact(format!("the plan does not give the frog's number; {number} was assumed"));
            }
            finding = finding.fact(format!("track centres taken: {}", facts.plan.units().length(centres)));
            let most = clear - clearance.tail;
            let moved = nearer(facts, gap, most / 2.0).filter(|(_, edits)| ends(facts, edits, "gap-beyond-fouling"));
            found.push(match moved {
                Some((says, edits)) => finding.proposal(says, edits),
                None if most > 0.0 => finding.help(format!(
                    "cut the rail nearer, at most {} from the end of `{name}`",
                    facts.plan.units().metres(most)
                )),
                None => finding.help(format!("cut the rail within `{name}`, right behind its frog")),
            });
        }
    }
}

/// Least from trackwork to a gap that is moved there, metres.
const LEAST: f64 = 0.005;

/// A gap moved along its track to so far from the end that it is near.
fn nearer(facts: &Context<'_>, gap: &circuit::Gap, out: f64) -> Option<Change> {
    let table = facts.plan.track.get(gap.segment).filter(|_| out >= LEAST)?;
    let item = table.gaps.iter().find(|item| item.span == gap.span)?;
    let (units, length) = (facts.plan.units(), table.length.value.si());
    let to = if gap.x < length / 2.0 { out } else { length - out };
    let to = units.ruled(to);
    let says =
        format!("cut the gap of `{}` at {} instead of {}", table.name.value, units.metres(to), units.metres(gap.x));
    Some((says, vec![edit::set(&item.value.at, &edit::quoted(&units.written(to)))]))
}

/// Gaps that end the frog's own conductor in the tracks behind a route, with how far from its end they are.
fn gaps_of_frog(circuit: &Circuit, conductor: &[u32], frog: u32, route: usize) -> Vec<(usize, f64)> {
    let mut found = Vec::new();
    for end in &circuit.segments[route].ends {
        for side in RailSide::ALL {
            // On over plain tracks, as long as the rail is the frog's.
            let (mut at, mut side, mut before, mut left_by) = (end.next.first().copied(), side, 0.0, None);
            for _ in 0..circuit.tracks {
                let Some((track, joined)) = at.filter(|next| next.0 < circuit.tracks) else { break };
                let s = &circuit.segments[track];
                // Tracks that face each other have their sides exchanged.
                if left_by == Some(joined) {
                    side = side.other();
                }
                left_by = Some(joined.other());
                let of_frog = |node: NodeId| conductor[node] == frog;
                let mut gaps: Vec<(usize, f64)> = (circuit.gap_numbers_of(track))
                    .map(|i| (i, &circuit.gaps[i]))
                    .filter(|(_, g)| g.side == side)
                    .map(|(i, g)| (i, if joined == TrackEnd::From { g.x } else { s.length - g.x }))
                    .collect();
                gaps.sort_by(|a, b| a.1.total_cmp(&b.1));
                let start = match joined {
                    TrackEnd::From => s.rails[side].stops.first().map(|stop| stop.after),
                    TrackEnd::To => s.rails[side].stops.last().map(|stop| stop.before),
                };
                if !start.is_some_and(of_frog) {
                    break;
                }
                if let Some(&(gap, out)) = gaps.first() {
                    found.push((gap, before + out));
                    break;
                }
                before += s.length;
                let far = &s.ends[usize::from(joined == TrackEnd::From)];
                at = far.next.first().copied().filter(|_| far.next.len() == 1);
            }
        }
    }
    found
}
