//! Layers from what the engines found: phases in a setting, volts, fault current, movement, single failures.

use crate::layer::{Layer, RailClass, Stroke};
use analysis::Analysis;
use circuit::{Circuit, EdgeId, EdgeKind};
use electrics::{Failed, Grid, Level};
use handbook::quantity::Units;
use std::collections::BTreeMap;

// Hues for all eyes: Okabe and Ito, "Color universal design" (2008). Dashes and widths tell the same without any hue.
const BLUE: &str = "#0072b2";
const VERMILION: &str = "#d55e00";
const GREEN: &str = "#009e73";
const PURPLE: &str = "#cc79a7";
const GREY: &str = "#999";
const BLACK: &str = "#000";

fn class(says: impl Into<String>, colour: &'static str, width: f64, dash: &'static str) -> RailClass {
    RailClass { says: says.into(), stroke: Stroke { colour, width, dash } }
}

fn dead(says: &str) -> RailClass {
    class(says, GREY, 0.25, "")
}

/// Pieces of rail.
fn rails(circuit: &Circuit) -> impl Iterator<Item = (EdgeId, &circuit::Edge)> {
    EdgeId::each(&circuit.edges).filter(|(_, e)| e.kind == EdgeKind::Rail)
}

/// The words for a setting: what is not in its first position.
fn setting_words(circuit: &Circuit, positions: &[Option<u8>]) -> String {
    let set: Vec<String> = circuit
        .controls
        .iter()
        .zip(positions)
        .filter_map(|(control, at)| {
            let at = at.filter(|&at| at > 0)?;
            Some(format!("{} = {}", control.name, control.positions.get(usize::from(at))?))
        })
        .collect();
    match set.len() {
        0 => "all in their first position".to_owned(),
        1..=4 => format!("{}, all else in its first position", set.join(", ")),
        more => format!("{} and {} more, all else in its first position", set[..3].join(", "), more - 3),
    }
}

/// Which pole each piece of rail is on, in a setting.
pub fn phase(facts: &Analysis<'_>, positions: &[Option<u8>]) -> Layer {
    let circuit = &facts.circuit;
    let joined = analysis::joined_poles(circuit, positions);
    let mut layer =
        Layer { name: "phase", title: format!("phases, {}", setting_words(circuit, positions)), ..Layer::default() };
    layer.classes = vec![
        class("A", BLUE, 0.6, ""),
        class("B", VERMILION, 0.6, "1.8 0.9"),
        class("SHORT: A and B meet", BLACK, 1.3, "0.5 0.5"),
        dead("dead"),
    ];
    for (id, edge) in rails(circuit) {
        let on = |pole: usize| joined.iter().any(|source| source[pole][edge.a]);
        let at = match (on(0), on(1)) {
            (true, false) => 0,
            (false, true) => 1,
            (true, true) => 2,
            (false, false) => 3,
        };
        layer.of.insert(id, at);
    }
    layer
}

/// For each piece of rail its source's voltage, and the greatest loop resistance over it, in ohms with all aged.
fn loops(circuit: &Circuit, positions: &[Option<u8>]) -> Result<BTreeMap<EdgeId, (f64, f64)>, Failed> {
    let grid = Grid::new(circuit, positions, Level::High)?;
    let resistances = grid.resistances();
    let mut worst: BTreeMap<EdgeId, (f64, f64)> = BTreeMap::new();
    for (segment, s) in circuit.segments.iter().enumerate() {
        // Over a route that is not set no train runs.
        if !Circuit::holds(&s.guard, positions) {
            continue;
        }
        for piece in resistances.profile(segment).pieces {
            let Some(found) = piece.worst() else { continue };
            for edge in piece.rail {
                let entry = worst.entry(edge).or_insert((circuit.sources[found.source].volts, 0.0));
                entry.1 = entry.1.max(found.loop_ohms);
            }
        }
    }
    Ok(worst)
}

/// The least voltage under a train over each piece of rail in a setting, everything aged.
///
/// # Errors
/// [`Failed`], where a resistance is no number to calculate with.
pub fn volts(facts: &Analysis<'_>, positions: &[Option<u8>]) -> Result<Layer, Failed> {
    let circuit = &facts.circuit;
    let asked = analysis::LoadCase::from_plan(facts.plan);
    let limit = asked.drop * 100.0;
    let mut layer = Layer {
        name: "volts",
        title: format!(
            "volts under a train of {} A, everything aged, {}",
            asked.train_amps,
            setting_words(circuit, positions)
        ),
        ..Layer::default()
    };
    layer.classes = vec![
        class(format!("drop up to {:.1} %", limit / 2.0), BLUE, 0.6, ""),
        class(format!("up to {limit:.1} %, the limit"), GREEN, 0.6, "2.4 0.7"),
        class("beyond the limit", VERMILION, 1.1, "0.8 0.5"),
        dead("no train runs, or not fed"),
    ];
    let worst = loops(circuit, positions)?;
    for (id, _) in rails(circuit) {
        let Some(&(supply, ohms)) = worst.get(&id) else {
            layer.of.insert(id, 3);
            continue;
        };
        let drop = asked.train_amps * ohms;
        let share = if supply > 0.0 { drop / supply } else { 1.0 };
        layer.of.insert(id, if share <= asked.drop / 2.0 { 0 } else { usize::from(share > asked.drop) + 1 });
        layer.titles.insert(id, format!("{:.1} V, {:.1} % below the supply", supply - drop, share * 100.0));
    }
    Ok(layer)
}

/// The least current of a short over each piece of rail in a setting, everything aged, beside what trips its breaker.
///
/// # Errors
/// As [`volts`].
pub fn fault(facts: &Analysis<'_>, positions: &[Option<u8>]) -> Result<Layer, Failed> {
    let circuit = &facts.circuit;
    let asked = analysis::LoadCase::from_plan(facts.plan);
    let wanted = asked.fault_margin;
    let mut layer = Layer {
        name: "fault",
        title: format!("current of a short, everything aged, {}", setting_words(circuit, positions)),
        ..Layer::default()
    };
    layer.classes = vec![
        class(format!("{} × the trip current and more", 2.0 * wanted), BLUE, 0.6, ""),
        class(format!("{wanted} × and more, as wanted"), GREEN, 0.6, "2.4 0.7"),
        class("less than wanted", VERMILION, 1.1, "0.8 0.5"),
        class("no trip current known", PURPLE, 0.6, "0.6 0.6"),
        dead("not fed"),
    ];
    let worst = loops(circuit, positions)?;
    let trips = trips(circuit);
    for (id, _) in rails(circuit) {
        let Some(&(supply, ohms)) = worst.get(&id) else {
            layer.of.insert(id, 4);
            continue;
        };
        let amps = supply / (ohms + asked.bridge_ohms.high);
        let trip = trips.get(&id).copied();
        let at =
            trip.map_or(3, |trip| if amps >= 2.0 * wanted * trip { 0 } else { usize::from(amps < wanted * trip) + 1 });
        layer.of.insert(id, at);
        let margin = trip.map_or_else(String::new, |trip| format!(", {:.1} times what trips the breaker", amps / trip));
        layer.titles.insert(id, format!("{amps:.1} A{margin}"));
    }
    Ok(layer)
}

/// The trip current of the breaker that each piece of rail is meant to hang behind; of trackwork that of a track it joins.
fn trips(circuit: &Circuit) -> BTreeMap<EdgeId, f64> {
    let of_track = |track: usize| {
        let breaker = circuit.intended_pole.get(track)?.iter().flatten().next()?.breaker;
        circuit.breakers.get(breaker)?.trip_amps
    };
    let mut trips = BTreeMap::new();
    for (index, segment) in circuit.segments.iter().enumerate() {
        let near = segment.ends.iter().flat_map(|e| &e.next).find_map(|&(next, _)| of_track(next));
        let Some(trip) = of_track(index).or(near) else { continue };
        for &edge in segment.rails.iter().flat_map(|r| &r.pieces) {
            trips.entry(edge).or_insert(trip);
        }
    }
    trips
}

/// How far each piece of rail moves over the year; none where the plan does not tell of room and base.
pub fn movement(facts: &Analysis<'_>) -> Option<Layer> {
    let movement = facts.movement().ok()?;
    let mut layer =
        Layer { name: "movement", title: "movement of rails over the year, at most".to_owned(), ..Layer::default() };
    let units = facts.plan.units();
    let bounds = match units {
        Units::Metric => [0.2e-3, 0.5e-3, 1e-3],
        Units::Imperial => [0.01, 0.02, 0.04].map(|inches| units.from_short(inches)),
    };
    let up_to = |bound: usize| format!("up to {}", units.fine(bounds[bound]));
    layer.classes = vec![
        class(up_to(0), BLUE, 0.45, ""),
        class(up_to(1), GREEN, 0.6, "2.4 0.7"),
        class(up_to(2), PURPLE, 0.8, "1.4 0.7"),
        class("more", VERMILION, 1.1, "0.8 0.5"),
    ];
    for (id, edge) in rails(&facts.circuit) {
        let swing = [edge.a, edge.b].into_iter().filter_map(|node| {
            let (run, distance) = movement.runs.from_anchor(node)?;
            // From the coldest air to the hottest, the day between them.
            let [cold, hot] = [0, 1].map(|air| movement.moved(run, air, distance).typical);
            Some(cold.max(hot).max(0.0) - cold.min(hot).min(0.0))
        });
        let Some(swing) = swing.reduce(f64::max) else { continue };
        layer.of.insert(id, bounds.iter().filter(|&&most| swing > most).count());
        layer.titles.insert(id, format!("moves {}", units.fine(swing)));
    }
    Some(layer)
}

/// What goes dead when one joint, contact, tap or feeder opens.
pub fn failures(facts: &Analysis<'_>) -> Layer {
    let circuit = &facts.circuit;
    let mut layer = Layer {
        name: "failures",
        title: "what depends on single joints, contacts and wires".to_owned(),
        ..Layer::default()
    };
    layer.classes = vec![
        class("on none", BLUE, 0.6, ""),
        class("on one", GREEN, 0.7, "2.4 0.7"),
        class("on two to four", PURPLE, 0.9, "1.4 0.7"),
        class("on more", VERMILION, 1.1, "0.8 0.5"),
    ];
    let mut by_segment: Vec<Vec<EdgeId>> = vec![Vec::new(); circuit.segments.len()];
    for failure in facts.failures() {
        for &(segment, _) in &failure.segments {
            by_segment[segment].push(failure.edge);
        }
    }
    for (segment, edges) in circuit.segments.iter().zip(&by_segment) {
        let at = match edges.len() {
            0 => 0,
            1 => 1,
            2..=4 => 2,
            _ => 3,
        };
        for &piece in segment.rails.iter().flat_map(|r| &r.pieces) {
            let entry = layer.of.entry(piece).or_insert(at);
            *entry = (*entry).max(at);
            if let Some(first) = edges.first() {
                let name = &circuit.edges[*first].name;
                let more = if edges.len() > 1 { format!(" and {} more", edges.len() - 1) } else { String::new() };
                layer
                    .titles
                    .entry(piece)
                    .or_insert_with(|| format!("parts of {} depend on {name}{more}", segment.name));
            }
        }
    }
    layer
}
