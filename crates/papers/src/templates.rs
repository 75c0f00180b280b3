//! Drilling templates at true size: what a builder lays on the base before the track.
//!
//! A template has what the plan knows of a turnout and nothing else: its centre lines and rails by frog number, lead and tail;
//! the hole for the throw wire by [`movement::linkage`]; the gaps and feeders of the tracks next to it. What depends on the
//! motor's maker is not known here, and the template says so.

mod geometry;
mod ink;

use geometry::{TurnoutGeometry, TurnoutSurroundings};
use handbook::quantity::{Metres, Quantity};
use handbook::scales;
use movement::linkage::{FREE_IN_HOLE, Linkage, linkages};
use plan::tables::Hand;
use plan::{Kind, Plan};
use schedule::paper::{Block, Drawing, Paper};
use schedule::{Job, Units};
use std::collections::BTreeMap;

/// The hole for a wire beside a rail, metres. Our own default: it takes the insulated wire of usual feeders.
pub const WIRE_HOLE: f64 = 0.003;
/// How far outside the rail's middle that hole is, metres. Our own default.
pub const BESIDE_RAIL: f64 = 0.003;

/// The hole that a throw wire needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slot {
    /// Along the throwbar's way, metres.
    pub long: f64,
    /// Across it, metres.
    pub wide: f64,
}

/// The paper of templates: one for each kind of turnout, for all turnouts that are drilled alike. None without turnouts.
pub fn paper(job: &Job<'_>) -> Option<Paper> {
    let plan = job.facts.plan;
    let slots = slots(job);
    let around = TurnoutSurroundings::from_job(job);
    let mut alike: Vec<(Drawing, Vec<String>)> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for index in 0..plan.turnout.len() {
        let Some(shape) = TurnoutGeometry::from_plan(plan, index) else { continue };
        let spots = around.spots(job, index, &shape);
        let drawing = ink::drawing(&shape, slots.get(&index), &spots, job.choices.units);
        let name = plan.turnout[index].name.value.clone();
        match known.get(&drawing.svg) {
            Some(&at) => alike[at].1.push(name),
            None => {
                known.insert(drawing.svg.clone(), alike.len());
                alike.push((drawing, vec![name]));
            }
        }
    }
    if alike.is_empty() {
        return None;
    }
    let mut blocks = introduction(plan, job.choices.units, &slots);
    for (at, (mut drawing, names)) in alike.into_iter().enumerate() {
        let copies = if names.len() > 1 { format!(" (print {} times)", names.len()) } else { String::new() };
        drawing.caption = format!("{}{copies}: {}", names.join(", "), drawing.caption);
        drawing.name = format!("drilling-template-{}", at + 1);
        blocks.push(Block::Template(drawing));
    }
    Some(Paper::new("drilling-templates", "Drilling templates", blocks))
}

fn introduction(plan: &Plan, units: Units, slots: &BTreeMap<usize, Slot>) -> Vec<Block> {
    let mut blocks = vec![
        Block::Text(
            "Each template is seen from above, at true size. Print it at 100 %, measure its ruler, and throw it away if the \
             ruler is wrong. Lay the turnout on it: where the two differ, the turnout is right. Move the sheet until the cross \
             in the slot lies under the middle of the hole of the throwbar while the points stand half-way, and only then \
             prick the holes through."
                .to_owned(),
        ),
        Block::Caution(
            "Look below the base before you drill: beams, wires and your other hand. Wear eye protection.".to_owned(),
        ),
        Block::Text(format!(
            "Not known here, measure from your motor: the holes of its screws, and which side of the fulcrum they are. Holes for \
             wires are drawn {} wide, {} outside the middle of the rail (our own defaults): drill what your wire needs, where it \
             hides best. The plan does not say where the throwbar lies along the turnout: it is drawn at the tips of the points.",
            length(WIRE_HOLE, units),
            length(BESIDE_RAIL, units)
        )),
    ];
    let missing: Vec<&str> = (0..plan.turnout.len())
        .filter(|index| !slots.contains_key(index))
        .map(|index| plan.turnout[index].name.value.as_str())
        .collect();
    if !missing.is_empty() {
        blocks.push(Block::Text(format!(
            "How wide the hole for the throw wire must be is not known for {}: the plan says no `throw_wire` for its motor, or too \
             little of it. Measure from your motor, or say it in the plan.",
            missing.join(", ")
        ).replace('`', "")));
    }
    blocks
}

/// The hole for the throw wire of each turnout that has one the plan tells enough of.
fn slots(job: &Job<'_>) -> BTreeMap<usize, Slot> {
    let (plan, names) = (job.facts.plan, job.facts.names);
    let mut slots = BTreeMap::new();
    for linkage in linkages(plan, names).into_iter().flatten() {
        for text in &plan.motor[linkage.motor].moves.0 {
            if let Ok(moved) = names.moved(&text.value)
                && moved.kind == Kind::Turnout
            {
                slots.insert(moved.index, slot(&linkage));
            }
        }
    }
    slots
}

fn slot(linkage: &Linkage) -> Slot {
    let wide = linkage.fit.diameter + FREE_IN_HOLE;
    Slot { long: linkage.fit.hole.max(linkage.hole.unwrap_or(0.0)).max(wide), wide }
}

/// A length as it is drilled: to a tenth of a millimetre, or a hundredth of an inch.
fn length(metres: f64, units: Units) -> String {
    let decimals = if units == Units::Metric { 1 } else { 2 };
    let text = format!("{:.decimals$}", units.in_short(metres));
    format!("{} {}", text.strip_suffix(".0").unwrap_or(&text), units.short())
}

/// Headings of the two legs, to the left counted positive, radians.
fn headings(hand: Hand, angle: f64) -> [f64; 2] {
    match hand {
        Hand::Left => [0.0, angle],
        Hand::Right => [0.0, -angle],
        Hand::Wye => [angle / 2.0, -angle / 2.0],
    }
}

/// From the frog back to where the centre lines part, metres.
fn frog_to_parting(plan: &Plan, number: f64) -> Option<(f64, f64)> {
    let scale = scales::scale(&plan.layout.as_ref()?.value.scale.value)?;
    let gauge: Metres = scale.gauge.value;
    Some((gauge.si(), scales::frog_to_centre_lines(scale, number).si()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn legs_part_as_wide_as_the_frog_says() {
        // NMRA RP-12: a frog of number N spreads by one in N, measured across the bisector: N = ½·cot(θ/2).
        for hand in [Hand::Left, Hand::Right, Hand::Wye] {
            let angle = scales::frog_angle(6.0).si();
            let [one, other] = headings(hand, angle);
            assert!((0.5 / ((one - other).abs() / 2.0).tan() - 6.0).abs() < 1e-9);
        }
    }
}
