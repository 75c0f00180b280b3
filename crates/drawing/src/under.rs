//! What lies under the table: buses, motors, drivers and supplies with their strips, and the ways of the wires between them; and the
//! squares by which lists say where something is.
//!
//! A plan has no coordinates. What it says lies beside a track is drawn beside that track: a bus along the tracks that run along it, by
//! the shortest line through places beside them (dynamic programming over the places, Viterbi 1967); a motor beside the points it throws.

use crate::Subject;
use crate::frame::{DrawnDevice, DrawnRun, Frame, RunKind, SquareGrid};
use crate::line::{Point, along, distance, plus};
use crate::sheets::bounds;
use circuit::{EdgeId, EdgeKind, NodeId, Spot};
use handbook::quantity::Quantity;
use plan::tables::RailSide;
use plan::{Kind, driven};
use schedule::Number;
use std::collections::{BTreeMap, BTreeSet};

/// The edge of a square, in millimetres of the sheet.
const SQUARE: f64 = 40.0;
/// How far aside of the middle of its track a bus is drawn.
const BUS_ASIDE: f64 = 3.6;
/// Around a drawing.
const AROUND: f64 = 9.0;

impl SquareGrid {
    /// Squares over a whole drawing that is shown at a scale.
    pub(crate) fn over(frame: &Frame, scale: f64) -> SquareGrid {
        let [left, top, ..] = bounds(frame);
        SquareGrid { origin: [left - AROUND, top - AROUND], step: SQUARE / scale, turned: false }
    }
}

/// Where things are on a drawing.
pub(crate) struct Locations<'s> {
    subject: &'s Subject<'s>,
    /// Of each track places along it, and where they are drawn.
    tracks: Vec<Vec<(f64, Point)>>,
    works: BTreeMap<(Kind, usize), Point>,
    /// Of each bus the places that its line leads through.
    buses: Vec<Vec<(f64, Point)>>,
    /// Of each node of a rail or frog where its mark is.
    marks: BTreeMap<NodeId, Point>,
}

impl<'s> Locations<'s> {
    pub(crate) fn new(subject: &'s Subject<'s>, frame: &Frame) -> Locations<'s> {
        let mut found = Locations {
            subject,
            tracks: tracks(subject, frame),
            works: frame.works.iter().map(|work| ((work.kind, work.index), work.at)).collect(),
            buses: Vec::new(),
            marks: BTreeMap::new(),
        };
        for mark in &frame.marks {
            for node in mark.nodes {
                found.marks.entry(node).or_insert(mark.at);
            }
        }
        found.buses = (0..subject.plan.bus.len()).map(|bus| found.bus_line(bus)).collect();
        found
    }

    fn on_track(&self, track: usize, x: f64) -> Option<Point> {
        between(self.tracks.get(track)?, x)
    }

    fn on_bus(&self, bus: usize, x: f64) -> Option<Point> {
        between(self.buses.get(bus)?, x)
    }

    /// Places along a bus with where they are drawn.
    fn bus_line(&self, bus: usize) -> Vec<(f64, Point)> {
        let plan = self.subject.plan;
        let name = &plan.bus[bus].name.value;
        let beside: Vec<(usize, f64, f64)> = plan
            .track
            .iter()
            .enumerate()
            .filter_map(|(track, table)| {
                let along = &table.along.as_ref()?.value;
                (along.bus.value == *name).then(|| (track, along.from.value.si(), along.to.value.si()))
            })
            .collect();
        let mut places: Vec<f64> = beside.iter().flat_map(|b| [b.1, b.2]).collect();
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() < 1e-5);
        let at = |place: f64| -> Vec<Point> {
            let of = |&(track, from, to): &(usize, f64, f64)| {
                let (low, high) = (from.min(to), from.max(to));
                if place < low - 1e-5 || place > high + 1e-5 {
                    return None;
                }
                let share = if (to - from).abs() < 1e-9 { 0.0 } else { (place - from) / (to - from) };
                self.on_track(track, share * plan.track[track].length.value.si())
            };
            beside.iter().filter_map(of).map(|[x, y]| [x, y + BUS_ASIDE]).collect()
        };
        // The shortest way through one place of each.
        let steps: Vec<(f64, Vec<Point>)> = places.into_iter().map(|place| (place, at(place))).collect();
        let mut costs: Vec<Vec<(f64, usize)>> = Vec::new();
        for (count, (_, points)) in steps.iter().enumerate() {
            let cost = |point: &Point| match count.checked_sub(1) {
                None => (0.0, 0),
                Some(before) => {
                    let ways = steps[before].1.iter().zip(&costs[before]).enumerate();
                    let ways = ways.map(|(from, (there, cost))| (cost.0 + distance(*there, *point), from));
                    ways.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0))
                }
            };
            costs.push(points.iter().map(cost).collect());
        }
        let mut line = Vec::new();
        let last = costs.last().and_then(|last| (0..last.len()).min_by(|&a, &b| last[a].0.total_cmp(&last[b].0)));
        let Some(mut at) = last else { return line };
        for (count, (place, points)) in steps.iter().enumerate().rev() {
            let Some(&point) = points.get(at) else { break };
            line.push((*place, point));
            at = costs[count][at].1;
        }
        line.reverse();
        line
    }

    /// Where a thing of the plan is; none of what may be anywhere.
    pub(crate) fn device(&self, kind: Kind, index: usize) -> Option<Point> {
        let Subject { plan, names, .. } = *self.subject;
        let on_bus = |text: &str| {
            let (bus, at) = names.bus_place(text).ok()?;
            self.on_bus(bus, at.map_or(plan.bus[bus].length.value.si(), Quantity::si))
        };
        match kind {
            Kind::Motor => {
                let moved = plan.motor[index].moves.0.first()?;
                let moved = names.moved(&moved.value).ok()?;
                self.works.get(&(moved.kind, moved.index)).copied()
            }
            Kind::Relay => match driven::leader(plan, names, (Kind::Relay, index))? {
                (Kind::Motor, motor) => self.device(Kind::Motor, motor),
                _ => None,
            },
            Kind::Driver => {
                let table = &plan.driver[index];
                if let Some(text) = &table.beside {
                    let place = names.rail_place(&text.value).ok()?;
                    return self.on_track(place.track, place.at.si());
                }
                on_bus(&table.from.value)
            }
            Kind::Supply => {
                let own = |bus: &plan::tables::Bus| {
                    bus.supply.as_ref().is_some_and(|text| text.value == plan.supply[index].name.value)
                };
                let bus = plan.bus.iter().position(own)?;
                self.buses[bus].first().map(|place| place.1)
            }
            Kind::Reverser => on_bus(&plan.reverser[index].from.value),
            Kind::Detector => on_bus(&plan.detector[index].from.value),
            _ => None,
        }
    }

    /// Where a node is.
    pub(crate) fn node(&self, node: NodeId) -> Option<Point> {
        if let Some(&at) = self.marks.get(&node) {
            return Some(at);
        }
        match &self.subject.circuit.nodes[node].spot {
            Spot::Rail { track, x, .. } => self.on_track(*track, *x),
            Spot::Work { kind, index, .. } => self.works.get(&(*kind, *index)).copied(),
            Spot::Terminal { kind, index, .. } => self.device(*kind, *index),
            Spot::Bus { bus, x, .. } | Spot::Tap { bus, x, .. } => self.on_bus(*bus, *x),
            Spot::Supply { supply, .. } | Spot::Middle { supply } => self.device(Kind::Supply, *supply),
            Spot::Reverser { reverser, .. } => self.device(Kind::Reverser, *reverser),
            Spot::Detector { detector, .. } => self.device(Kind::Detector, *detector),
            Spot::Driver { driver, .. } => self.device(Kind::Driver, *driver),
            Spot::Motor { motor, .. } => self.device(Kind::Motor, *motor),
            Spot::Coil { relay, .. } => self.device(Kind::Relay, *relay),
            Spot::Inside { .. } | Spot::Loose => None,
        }
    }

    /// The buses of which it is known where they run.
    pub(crate) fn bus_lines(&self) -> impl Iterator<Item = (usize, &[(f64, Point)])> {
        self.buses.iter().enumerate().filter(|(_, line)| line.len() > 1).map(|(bus, line)| (bus, line.as_slice()))
    }
}

/// The places along each track that are drawn.
fn tracks(subject: &Subject<'_>, frame: &Frame) -> Vec<Vec<(f64, Point)>> {
    let circuit = subject.circuit;
    let mut found: Vec<Vec<(f64, Point)>> = vec![Vec::new(); circuit.tracks];
    for rail in frame.rails.iter().filter(|rail| rail.segment < circuit.tracks && rail.side == RailSide::Left) {
        let line = &circuit.segments[rail.segment].rails[RailSide::Left];
        let Some(piece) = line.pieces.iter().position(|piece| *piece == rail.edge) else { continue };
        let (from, to) = (line.stops[piece].x, line.stops[piece + 1].x);
        let long = crate::line::length(&rail.points);
        for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
            found[rail.segment].push((from + share * (to - from), along(&rail.points, share * long).0));
        }
    }
    found.iter_mut().for_each(|places| places.sort_by(|a, b| a.0.total_cmp(&b.0)));
    found
}

/// The point at a place between points at places; before the first and behind the last, those.
fn between(line: &[(f64, Point)], x: f64) -> Option<Point> {
    let (first, last) = (line.first()?, line.last()?);
    if x <= first.0 {
        return Some(first.1);
    }
    let pair = line.windows(2).find(|pair| pair[0].0 <= x && x <= pair[1].0);
    let Some([from, to]) = pair else { return Some(last.1) };
    let long = to.0 - from.0;
    let share = if long > 1e-9 { (x - from.0) / long } else { 0.0 };
    Some(plus(from.1, [to.1[0] - from.1[0], to.1[1] - from.1[1]], share))
}

/// Puts what lies under the table onto a drawing: runs of buses and wires, and devices where there is room beside what they belong to.
pub(crate) fn put(frame: &mut Frame, subject: &Subject<'_>, room: &mut dyn FnMut(Point, Point) -> Option<Point>) {
    let found = Locations::new(subject, frame);
    for (bus, line) in found.bus_lines() {
        let points: Vec<Point> = line.iter().map(|place| place.1).collect();
        frame.runs.push(DrawnRun { kind: RunKind::Bus(bus), pieces: vec![points] });
    }
    let plan = subject.plan;
    let counts = [
        (Kind::Motor, plan.motor.len()),
        (Kind::Driver, plan.driver.len()),
        (Kind::Supply, plan.supply.len()),
        (Kind::Reverser, plan.reverser.len()),
        (Kind::Detector, plan.detector.len()),
    ];
    let names: BTreeMap<(Kind, usize), String> =
        plan::names::each_name(plan).map(|(kind, index, name)| ((kind, index), name.value.clone())).collect();
    for (kind, count) in counts {
        for index in 0..count {
            let Some(of) = found.device(kind, index) else { continue };
            let size = [4.0, 2.6];
            let at = room(of, size).unwrap_or(of);
            let name = names.get(&(kind, index)).cloned().unwrap_or_default();
            frame.devices.push(DrawnDevice { kind, index, name, at, of, size });
        }
    }
    let device = |frame: &Frame, node: NodeId| {
        let of = match &subject.circuit.nodes[node].spot {
            Spot::Terminal { kind, index, .. } => (*kind, *index),
            Spot::Motor { motor, .. } => (Kind::Motor, *motor),
            Spot::Driver { driver, .. } => (Kind::Driver, *driver),
            Spot::Supply { supply, .. } => (Kind::Supply, *supply),
            Spot::Reverser { reverser, .. } => (Kind::Reverser, *reverser),
            Spot::Detector { detector, .. } => (Kind::Detector, *detector),
            _ => return None,
        };
        frame.devices.iter().find(|device| (device.kind, device.index) == of).map(|device| device.at)
    };
    // Wires that run the same way are one line.
    let mut ways: BTreeSet<[[i64; 2]; 2]> = BTreeSet::new();
    for edge in subject.circuit.edges.iter().filter(|e| matches!(e.kind, EdgeKind::Feeder | EdgeKind::Wire)) {
        let ends = [edge.a, edge.b].map(|node| device(frame, node).or_else(|| found.node(node)));
        let [Some(from), Some(to)] = ends else { continue };
        if distance(from, to) < 1.0 {
            continue;
        }
        let key = [from, to].map(|p| p.map(|v| (v * 100.0).round() as i64));
        if ways.insert([key[0].min(key[1]), key[0].max(key[1])]) {
            frame.runs.push(DrawnRun { kind: RunKind::Wires, pieces: vec![vec![from, to]] });
        }
    }
}

/// The squares where each numbered thing ends, and those of devices.
pub(crate) fn squares(
    frame: &Frame,
    subject: &Subject<'_>,
) -> (BTreeMap<Number, String>, BTreeMap<(Kind, usize), String>) {
    let Some(grid) = &frame.grid else { return (BTreeMap::new(), BTreeMap::new()) };
    let found = Locations::new(subject, frame);
    let mut numbers: BTreeMap<Number, Vec<String>> = BTreeMap::new();
    let mut put = |number: Option<Number>, at: Option<Point>| {
        if let (Some(number), Some(at)) = (number, at) {
            let squares = numbers.entry(number).or_default();
            let square = grid.name(at);
            if !squares.contains(&square) {
                squares.push(square);
            }
        }
    };
    for (id, edge) in EdgeId::each(&subject.circuit.edges) {
        if matches!(edge.kind, EdgeKind::Feeder | EdgeKind::Wire) {
            put(subject.numbers.of_edge(id), found.node(edge.a));
            put(subject.numbers.of_edge(id), found.node(edge.b));
        }
    }
    for (bus, line) in found.bus_lines() {
        for pole in 0..2 {
            for place in [line.first(), line.last()] {
                put(subject.numbers.of_bus(bus, pole), place.map(|place| place.1));
            }
        }
    }
    for gap in &subject.circuit.gaps {
        put(subject.numbers.of_gap(gap.before, gap.after), found.node(gap.before));
    }
    let kinds = [Kind::Motor, Kind::Driver, Kind::Supply, Kind::Reverser, Kind::Detector, Kind::Relay];
    let plan = subject.plan;
    let devices = plan::names::each_name(plan).filter(|(kind, ..)| kinds.contains(kind));
    let devices = devices.filter_map(|(kind, index, _)| Some(((kind, index), grid.name(found.device(kind, index)?))));
    let devices = devices.collect();
    (numbers.into_iter().map(|(number, squares)| (number, squares.join(" "))).collect(), devices)
}
