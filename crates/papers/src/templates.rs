//! Drilling templates at true size: what a builder lays on the base before the track.
//!
//! A template has what the plan knows of a turnout and nothing else: its centre lines and rails by frog number, lead and tail;
//! the hole for the throw wire by [`movement::linkage`]; the gaps and feeders of the tracks next to it. What depends on the
//! motor's maker is not known here, and the template says so.

mod geometry;
mod ink;

use geometry::{SpotKind, TemplateSpot, TurnoutGeometry, TurnoutSurroundings};
use handbook::quantity::{Metres, Quantity};
use handbook::scales;
use movement::linkage::{FREE_IN_HOLE, Linkage, linkages};
use plan::tables::Hand;
use plan::{Kind, Plan};
use schedule::paper::{Block, Cell, Paper, Table, TableColumn};
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

/// What of a sheet that lies the length of a template may take: margins and what is free at its ends are off.
const BESIDE: f64 = 21.0;
/// Holes of one sort that are nearer to each other than this are not drawn both, millimetres: nobody could tell which is whose.
const APART: f64 = 4.0;

/// The turnouts of one kind.
struct TemplateKind {
    shape: TurnoutGeometry,
    slot: Option<Slot>,
    /// Each with what is drilled and cut around it.
    turnouts: Vec<(String, Vec<TemplateSpot>)>,
}

/// The paper of templates: one for each kind of turnout, with the list of the turnouts it serves and which of its holes and cuts
/// are theirs. None without turnouts.
pub fn paper(job: &Job<'_>) -> Option<Paper> {
    let plan = job.facts.plan;
    let slots = slots(job);
    let around = TurnoutSurroundings::from_job(job);
    let mut kinds: Vec<TemplateKind> = Vec::new();
    for index in 0..plan.turnout.len() {
        let Some(shape) = TurnoutGeometry::from_plan(plan, index) else { continue };
        let slot = slots.get(&index).copied();
        let turnout = (plan.turnout[index].name.value.clone(), around.spots(job, index, &shape));
        match kinds.iter_mut().find(|kind| kind.shape == shape && kind.slot == slot) {
            Some(kind) => kind.turnouts.push(turnout),
            None => kinds.push(TemplateKind { shape, slot, turnouts: vec![turnout] }),
        }
    }
    if kinds.is_empty() {
        return None;
    }
    let choices = job.choices;
    let mut blocks = introduction(plan, choices.units, &slots);
    let columns = vec![
        TableColumn::words("turnout"),
        TableColumn::short("template"),
        TableColumn::words("holes, cuts"),
        TableColumn::words("see the lists"),
        TableColumn::boxes("drilled"),
    ];
    let mut table = Table::new("templates", columns);
    let mut drawn = Vec::new();
    for (at, kind) in kinds.iter().enumerate() {
        let shown = shown_spots(kind, choices.page.millimetres()[1] - BESIDE);
        let letters = if choices.large_print { ink::LARGE_LETTERS } else { ink::LETTERS };
        let mut drawing = ink::drawing(&kind.shape, kind.slot.as_ref(), &shown, (choices.units, letters));
        for (name, spots) in &kind.turnouts {
            table.push(None, served(at, name, spots, &shown));
        }
        let names: Vec<&str> = kind.turnouts.iter().map(|turnout| turnout.0.as_str()).collect();
        let copies = if names.len() > 1 { format!(" (print {} times)", names.len()) } else { String::new() };
        drawing.caption = format!("Template {}{copies} for {}: {}", at + 1, names.join(", "), drawing.caption);
        drawing.name = format!("drilling-template-{}", at + 1);
        drawn.push(Block::Template(drawing));
    }
    blocks.push(Block::Table(table));
    blocks.extend(drawn);
    Some(Paper::new("drilling-templates", "Drilling templates", blocks))
}

/// The row of a turnout: which of the lettered holes and cuts of its template are its own, and what is too far off for the sheet.
fn served(at: usize, name: &str, spots: &[TemplateSpot], shown: &[TemplateSpot]) -> Vec<Cell> {
    let (mut own, mut far) = (Vec::new(), Vec::new());
    for spot in spots {
        let cut = if spot.kind == SpotKind::Gap { "cut " } else { "" };
        match shown.iter().find(|known| known.is_same(spot)) {
            Some(known) => own.push(format!("{}: {cut}{}", known.words, spot.words)),
            None => far.push(format!("{cut}{}", spot.words)),
        }
    }
    own.sort();
    vec![
        Cell::words(name),
        Cell::words((at + 1).to_string()),
        Cell::words(own.join(", ")),
        Cell::words(far.join(", ")),
        Cell::Box,
    ]
}

/// What is drilled and cut around turnouts of a kind, each place once and with a letter: as much as there is room for.
fn shown_spots(kind: &TemplateKind, room: f64) -> Vec<TemplateSpot> {
    let mut all: Vec<TemplateSpot> = kind.turnouts.iter().flat_map(|turnout| turnout.1.iter().cloned()).collect();
    // What is nearest to the turnout first, and at one distance in a settled order.
    all.sort_by(|one, other| {
        let key = |spot: &TemplateSpot| (spot.kind, (spot.at[0] * 100.0) as i64, (spot.at[1] * 100.0) as i64);
        one.along.total_cmp(&other.along).then(key(one).cmp(&key(other)))
    });
    let mut shown: Vec<TemplateSpot> = Vec::new();
    let far = kind.shape.ends.iter().map(|end| end.0[0]).fold(0.0, f64::max);
    let (mut left, mut right) = (-ink::BEFORE, far);
    for spot in all {
        let near = |known: &TemplateSpot| {
            known.kind == spot.kind && (known.at[0] - spot.at[0]).hypot(known.at[1] - spot.at[1]) < APART
        };
        let (l, r) = (left.min(spot.at[0] - 2.0), right.max(spot.at[0] + 2.0));
        if shown.iter().any(near) || r - l > room.max(far + ink::BEFORE) {
            continue;
        }
        (left, right) = (l, r);
        shown.push(spot);
    }
    // From the left, as one reads.
    shown.sort_by(|one, other| one.at[0].total_cmp(&other.at[0]).then(other.at[1].total_cmp(&one.at[1])));
    for (at, spot) in shown.iter_mut().enumerate() {
        spot.words = letter(at);
    }
    shown
}

/// a to z, then aa and so on.
fn letter(mut at: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'a' + (at % 26) as u8));
        at /= 26;
        if at == 0 {
            return letters.into_iter().rev().collect();
        }
        at -= 1;
    }
}

fn introduction(plan: &Plan, units: Units, slots: &BTreeMap<usize, Slot>) -> Vec<Block> {
    let mut blocks = vec![
        Block::Text(
            "Each template is seen from above, at true size. Print it at 100 %, measure its ruler, and throw it away if the \
             ruler is wrong. Lay the turnout on it: where the two differ, the turnout is right. Move the sheet until the cross \
             in the slot lies under the middle of the hole of the throwbar while the points stand half-way, and only then \
             prick the holes through. One serves all turnouts of its kind; what is too far off for it is in the lists."
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
