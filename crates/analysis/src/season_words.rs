//! Rails over the year in a builder's words.

use crate::Analysis;
use circuit::Circuit;
use handbook::Spread;
use handbook::limits::FEELERS;
use handbook::quantity::{Quantity, Units, show_percent};
use movement::growth::Air;
use movement::season::CLIMATE_CASES;
use movement::{Movement, runs::Joint};
use plan::Plan;

/// A width with its band: "0.85 mm (0.6 mm to 1.1 mm)".
pub fn width_band(units: Units, band: Spread<f64>) -> String {
    let [low, typical, high] = [band.low, band.typical, band.high].map(|width| units.fine(width));
    if low == high { typical } else { format!("{typical} ({low} to {high})") }
}

/// `coldest` or `hottest`, and what air that is where a run lies: "the hottest air (34 °C, 38 %)".
pub fn air(units: Units, movement: &Movement, run: usize, air: usize) -> String {
    format!(
        "the {} air ({})",
        CLIMATE_CASES[air],
        air_words(units, movement.climate_of(&movement.runs.list[run]).airs[1 + air])
    )
}

/// "34 °C, 38 %".
pub fn air_words(units: Units, air: Air) -> String {
    format!("{}, {}", units.temperature(air.temperature), show_percent(air.humidity))
}

/// Where a joint is: "`dock 1`'s right rail at 90 mm", "`dock 1`'s left rail at T1.diverging".
pub fn place(plan: &Plan, circuit: &Circuit, joint: &Joint) -> String {
    let side = joint.side.word();
    let at = beyond(plan, circuit, joint).map_or_else(|| plan.units().metres(joint.x), str::to_owned);
    format!("`{}`'s {side} rail at {at}", plan.track[joint.track].name.value)
}

/// What a joint at the end of a track joins it to; none where it is in the track.
pub fn beyond<'p>(plan: &'p Plan, circuit: &Circuit, joint: &Joint) -> Option<&'p str> {
    let segment = &circuit.segments[joint.track];
    let track = &plan.track[joint.track];
    let stops = &segment.rails[joint.side].stops;
    let inside = stops.iter().any(|s| [s.before, s.after] == joint.nodes);
    let gap_at_end = joint.edge.is_none() && (joint.x <= 0.0 || joint.x >= segment.length);
    let end = if joint.x <= 0.0 { &track.from } else { &track.to };
    (!inside || gap_at_end).then_some(end.value.as_str())
}

/// A width that a builder can make with what is at hand.
#[derive(Clone, Debug, PartialEq)]
pub struct PracticableWidth {
    /// The width, in metres.
    pub width: f64,
    /// What holds it open while the glue sets: `2 cards`, `1 card + 1 thin gauge`.
    pub with: String,
}

/// What holds a gap open between two widths: as few pieces as will do, and of these the nearest to a third width. None where
/// nothing at hand fits between.
pub fn practicable_width([least, most]: [f64; 2], wanted: f64) -> Option<PracticableWidth> {
    let [(card, thin), (gauge, thick)] = FEELERS.value;
    let sets = (0..=5u32).flat_map(|cards| (0..=5u32).map(move |gauges| [cards, gauges]));
    let width = |[cards, gauges]: [u32; 2]| f64::from(cards) * thin.si() + f64::from(gauges) * thick.si();
    let fits = sets.filter(|&set| (least - 1e-9..=most + 1e-9).contains(&width(set)));
    let off = |set| (width(set) - wanted).abs();
    let set = fits.min_by(|&a, &b| (a[0] + a[1]).cmp(&(b[0] + b[1])).then(off(a).total_cmp(&off(b))))?;
    if set == [0, 0] {
        return Some(PracticableWidth { width: 0.0, with: "nothing".to_owned() });
    }
    let count = |n: u32, name: &str| match n {
        0 => None,
        1 => Some(format!("1 {name}")),
        n => Some(format!("{n} {name}s")),
    };
    let parts: Vec<String> = [count(set[0], card), count(set[1], gauge)].into_iter().flatten().collect();
    Some(PracticableWidth { width: width(set), with: parts.join(" + ") })
}

/// What a movement depends on: what a metre of rail and a metre of base do, and how much of that is damp.
pub fn growth_causes(units: Units, movement: &Movement, run: usize, air: usize) -> String {
    let m = movement.mismatch(run, air);
    let grows = |strain: f64| {
        let verb = if strain < 0.0 { "shrinks" } else { "grows" };
        format!("{verb} by {}", units.growth(strain.abs()))
    };
    let damp = if m.damp.typical == 0.0 {
        String::new()
    } else {
        let does = if m.damp.typical < 0.0 { "drying" } else { "damp" };
        format!(", {does} alone {}", units.growth(m.damp.typical.abs()))
    };
    let metal = movement.runs.list[run].rail.metal;
    let stretch = units.growth_length();
    format!(
        "to {}, {stretch} of {metal} rail {}, {stretch} of {} {}{damp}",
        self::air(units, movement, run, air),
        grows(m.rail.typical),
        movement.climate_of(&movement.runs.list[run]).base.name,
        grows(m.base.typical)
    )
}

/// The lengths of rail on either side of an opening that move into it.
pub fn lengths(units: Units, movement: &Movement, opening: usize) -> String {
    let rail_opening = &movement.runs.openings[opening];
    let [one, other] = rail_opening.runs.map(|r| units.metres(movement.runs.list[r].length));
    format!("{one} of rail on one side and {other} on the other move into it")
}

/// "gap" or "sliding joint".
pub fn what(is_gap: bool) -> &'static str {
    if is_gap { "gap" } else { "sliding joint" }
}

/// ` (and 3 more like it)`.
pub fn others(number: usize) -> String {
    match number {
        0 => String::new(),
        n => format!(" (and {n} more like it)"),
    }
}

/// The place of an opening of the facts' movement.
pub fn opening(facts: &Analysis<'_>, movement: &Movement, index: usize) -> String {
    place(facts.plan, &facts.circuit, &movement.runs.openings[index].joint)
}
