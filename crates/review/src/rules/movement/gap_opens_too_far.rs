//! Gaps and sliding joints for which no width will do.

use crate::context::Context;
use crate::fixes::proving;
use crate::rules::{FindingPage, Rule};
use analysis::season_words::{air, beyond, growth_causes, lengths, opening, others, place, what, width_band};
use analysis::words;
use circuit::{Circuit, EdgeKind};
use finding::{Edit, Finding, Harm};
use handbook::quantity::Units;
use movement::Movement;
use movement::chains::Relief;
use movement::runs::{Joint, RigidRuns};
use movement::season::{CLIMATE_CASES, WidthFit};
use plan::edit;
use std::collections::{BTreeMap, BTreeSet};

/// Openings that are named.
const MOST_NAMED: usize = 4;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "gap-opens-too-far",
        title: "left wide enough not to close, a gap or sliding joint opens too far",
        text: "A long rail without a joint that slides brings all of its growth to its ends. Left wide enough not to close \
               in the hottest air, the gap there stands open so far in the coldest that wheels drop into it, and the joiner opens.\n\nHow far is too far says `largest_gap` under `[limits]`; where it is not said, 2 mm, into \
               which a wheel of 10 mm dips 0.1 mm. The finding names what no width can help with usual values; the rail \
               is taken to slide freely in its fastenings, see `gap-closes`.\n\nFix: let soldered joints slide. Along \
               plain rail the proposed set is the least there is: whether an opening has room depends on the openings \
               before and behind it alone, so the least set is a shortest path from opening to opening. Rail that \
               branches in trackwork is tried with one joint and with two. Where the plan names no joints, `stock` says \
               how long the rails are. Each piece of rail between joints that slide wants a feeder of its own: see \
               `single-sliding-joint`.",
        drawing: r#"   hottest   ═════════════════════════╡╞════  just open
   coldest   ═══════════════════════╡    ╞═══  a wheel drops in
             <------- one rail, soldered ---->"#,
        example: include_str!("examples/gap-opens-too-far.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(movement) = facts.movement() else { return };
    let places = &movement.places;
    let mut tight: Vec<usize> = (0..places.len()).filter(|&i| places[i].leave.fit == WidthFit::None).collect();
    let over = |i: usize| places[i].swing() - places[i].room();
    tight.sort_by(|&a, &b| over(b).total_cmp(&over(a)).then(a.cmp(&b)));
    let Some(&worst) = tight.first() else { return };
    let p = &places[worst];
    let [_, wide] = p.narrow_and_wide();
    let side = movement.runs.openings[worst].runs[0];
    let opened = p.leave.width - p.closes[wide].typical;
    let mut finding = Finding::warning(
        "gap-opens-too-far",
        Harm::WillAge,
        format!(
            "the {} in {} opens to {} in the {} air{}",
            what(p.is_gap),
            opening(facts, movement, worst),
            facts.plan.units().fine(opened),
            CLIMATE_CASES[wide],
            others(tight.len() - 1)
        ),
    )
    .at(
        movement.runs.openings[worst].joint.span.clone(),
        format!("no more than {} will do", facts.plan.units().fine(p.allowed_width[1])),
    )
    .fact(format!("that is left wide enough not to close in the {} air", CLIMATE_CASES[1 - wide]))
    .fact(format!(
        "from {} to {} it opens by {}",
        air(facts.plan.units(), movement, side, 1 - wide),
        air(facts.plan.units(), movement, side, wide),
        width_band(facts.plan.units(), range(p, wide))
    ))
    .fact(lengths(facts.plan.units(), movement, worst))
    .fact(growth_causes(facts.plan.units(), movement, movement.runs.openings[worst].runs[0], wide));
    for &other in tight.iter().skip(1).take(MOST_NAMED - 1) {
        let o = &places[other];
        finding = finding.fact(format!(
            "the {} in {} changes by {}, {} may be",
            what(o.is_gap),
            opening(facts, movement, other),
            facts.plan.units().fine(o.swing()),
            facts.plan.units().fine(o.room())
        ));
    }
    let reliefs = movement.reliefs(facts.plan, &facts.circuit);
    let run = &movement.runs.list[side];
    let longest = facts.plan.units().metres(p.allowed_width[1] / movement.swing_of(run));
    if let Some((says, edits, more)) = slides(facts, movement, &reliefs) {
        finding = finding.proposal(says, edits);
        for fact in more {
            finding = finding.fact(fact);
        }
    } else {
        for relief in &reliefs {
            finding = finding.fact(word(facts, relief));
        }
        finding.facts.dedup();
        finding.facts.truncate(10);
    }
    found.push(finding.help(format!(
        "joints left to slide, no more than {longest} apart, each piece with a feeder of its own; `stock` says where rails \
         are joined"
    )));
}

/// How far an opening goes from one air to the other.
fn range(place: &movement::season::OpeningOverYear, wide: usize) -> handbook::Spread<f64> {
    place.closes[1 - wide].minus(place.closes[wide])
}

/// What is known of the joints that would have to slide.
fn word(facts: &Context<'_>, relief: &Relief) -> String {
    match (&relief.slides, relief.exact) {
        (Some(joints), _) => format!("{} sliding would do", names(facts, joints)),
        (None, true) => "no soldered joint that the plan names would help if it could slide".to_owned(),
        (None, false) => "which joints should slide was not found; few of its joints were tried".to_owned(),
    }
}

fn names(facts: &Context<'_>, joints: &[Joint]) -> String {
    let names = joints.iter().map(|j| format!("the joint in {}", place(facts.plan, &facts.circuit, j)));
    words::few(names.collect::<Vec<_>>().into_iter())
}

/// Slides for all that has a known set, as one edit for each track, and what that buys. None where the plan so edited does
/// not read, has new faults, or has as many openings without room as before.
fn slides(facts: &Context<'_>, movement: &Movement, reliefs: &[Relief]) -> Option<(String, Vec<Edit>, Vec<String>)> {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    let joints: Vec<&Joint> = reliefs.iter().filter_map(|r| r.slides.as_ref()).flatten().collect();
    if joints.is_empty() || joints.iter().any(|j| beyond(plan, circuit, j).is_some()) {
        return None;
    }
    // The same place of both rails is one item.
    let mut items: BTreeMap<usize, BTreeMap<i64, Vec<&Joint>>> = BTreeMap::new();
    for joint in &joints {
        let place = (joint.x * 1e5).round() as i64;
        items.entry(joint.track).or_default().entry(place).or_default().push(joint);
    }
    let edits: Vec<Edit> = items
        .iter()
        .flat_map(|(&track, places)| {
            let words: Vec<String> = places.values().map(|joints| item(plan.units(), joints)).collect();
            let track = &plan.track[track];
            edit::add_to_list(facts.text, &track.slides, &track.place, "slides", &words.join(", "))
        })
        .collect();
    let before = movement.places.iter().filter(|p| p.leave.fit == WidthFit::None).count();
    let reading = plan::read(&facts.text_after(&edits)?).in_units(Some(facts.plan.units()));
    if !reading.understood() {
        return None;
    }
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let after = left(&reading.plan, &circuit)?;
    if after >= before || proving::harmless(facts, &edits).is_none() {
        return None;
    }
    let count = joints.len();
    let says = format!("let {}slide", if count == 1 { "this joint " } else { "these joints " });
    let exact = reliefs.iter().all(|r| r.exact);
    let least = if exact { ", and no fewer would do" } else { "" };
    let mut facts_told = vec![format!("with {count} sliding, {} of {before} have room{least}", before - after)];
    let joints: Vec<Joint> = joints.into_iter().cloned().collect();
    facts_told.push(format!("to slide: {}", names(facts, &joints)));
    let unfed = unfed(&reading.plan, &circuit, &joints);
    if unfed > 0 {
        let (pieces, hang) = if unfed == 1 { ("piece", "hangs") } else { ("pieces", "hang") };
        facts_told.push(format!(
            "{unfed} {pieces} of rail between them then {hang} on sliding joints for current: give each a feeder"
        ));
    }
    Some((says, edits, facts_told))
}

/// How many pieces of rail beside these joints have no wire of their own once they slide.
fn unfed(plan: &plan::Plan, circuit: &Circuit, joints: &[Joint]) -> usize {
    let runs = RigidRuns::from_circuit(plan, circuit);
    let wires = circuit.edges.iter().filter(|e| matches!(e.kind, EdgeKind::Feeder | EdgeKind::Wire));
    let fed: BTreeSet<_> =
        wires.flat_map(|e| [e.a, e.b]).filter_map(|node| runs.from_anchor(node)).map(|(run, _)| run).collect();
    let same = |a: &Joint, b: &Joint| (a.track, a.side) == (b.track, b.side) && (a.x - b.x).abs() < 1e-4;
    let beside = runs.openings.iter().filter(|p| joints.iter().any(|j| same(j, &p.joint))).flat_map(|p| p.runs);
    beside.collect::<BTreeSet<_>>().difference(&fed).count()
}

fn item(units: Units, joints: &[&Joint]) -> String {
    let at = edit::quoted(&units.written(joints[0].x));
    if joints.len() > 1 { at } else { format!("{{ at = {at}, rail = \"{}\" }}", joints[0].side.word()) }
}

/// How many openings have no room.
fn left(plan: &plan::Plan, circuit: &Circuit) -> Option<usize> {
    let movement = movement::movement(plan, circuit).ok()?;
    Some(movement.places.iter().filter(|p| p.leave.fit == WidthFit::None).count())
}
