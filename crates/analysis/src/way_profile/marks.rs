//! What stands along a way: feeders, joints, gaps, frogs.

use super::WayStep;
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Segment, Spot, Stop, Way, WorkPiece};
use plan::tables::RailSide;
use plan::{Plan, TrackEnd};
use std::collections::BTreeMap;

/// What stands at a place, in the order in which a reader wants to know it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WayMarkKind {
    /// A feeder from the bus.
    Feeder,
    /// A wire from a contact.
    ContactFeed,
    /// A gap.
    Gap,
    /// A frog.
    Frog,
    /// A joiner left unsoldered.
    SlidingJoint,
    /// A soldered joint.
    SolderedJoint,
    /// A joint between two lengths of rail as they are sold, of which a track has many.
    StockJoint,
}

/// Something that stands along a way.
#[derive(Clone, Debug, PartialEq)]
pub struct WayMark {
    /// Where, metres along the way.
    pub along: f64,
    /// Index of the step it stands on.
    pub step: usize,
    /// What it is.
    pub kind: WayMarkKind,
    /// Whether on the left and on the right rail, as the plan has them (seen from the segment's start).
    pub rails: [bool; 2],
    /// What more there is to say: `from M1.2.diverging`; nothing mostly.
    pub detail: String,
}

impl WayMark {
    /// It in words: `gap, left rail`.
    pub fn words(&self) -> String {
        let both = self.rails == [true, true];
        let what = match (self.kind, both) {
            (WayMarkKind::Feeder, true) => "feeders",
            (WayMarkKind::Feeder, false) => "feeder",
            (WayMarkKind::ContactFeed, _) => "wire",
            (WayMarkKind::Gap, true) => "gaps",
            (WayMarkKind::Gap, false) => "gap",
            (WayMarkKind::Frog, _) => "frog",
            (WayMarkKind::SlidingJoint, true) => "sliding joints",
            (WayMarkKind::SlidingJoint, false) => "sliding joint",
            (WayMarkKind::SolderedJoint, true) => "soldered joints",
            (WayMarkKind::SolderedJoint, false) => "soldered joint",
            (WayMarkKind::StockJoint, true) => "stock joints",
            (WayMarkKind::StockJoint, false) => "stock joint",
        };
        let detail = if self.detail.is_empty() { String::new() } else { format!(" {}", self.detail) };
        match (self.kind, self.rails) {
            (WayMarkKind::Frog, _) | (_, [true, true]) => format!("{what}{detail}"),
            (_, [left, _]) => format!("{what}{detail}, {} rail", if left { "left" } else { "right" }),
        }
    }
}

/// The marks of a way, in its order.
pub fn marks(plan: &Plan, circuit: &Circuit, way: &Way, steps: &[WayStep]) -> Vec<WayMark> {
    let mut found = MarkCollector { places: BTreeMap::new(), marks: Vec::new() };
    let neighbours = circuit.neighbours();
    for (number, (&(id, _), step)) in way.steps.iter().zip(steps).enumerate() {
        let segment = &circuit.segments[id];
        let put = |found: &mut MarkCollector, kind, side, x: f64, detail: &str| {
            found.put(WayMark {
                along: step.along(x),
                step: number,
                kind,
                rails: only(side),
                detail: detail.to_owned(),
            });
        };
        for gap in circuit.gaps_of(id) {
            put(&mut found, WayMarkKind::Gap, gap.side, gap.x, "");
        }
        let stock = plan.track.get(id).filter(|_| step.is_track).and_then(|t| t.stock.as_ref());
        for (side, line) in RailSide::ALL.into_iter().zip(&segment.rails) {
            for stop in &line.stops {
                if circuit.frogs.iter().any(|f| !step.is_track && [stop.before, stop.after].contains(&f.2)) {
                    put(&mut found, WayMarkKind::Frog, side, stop.x, "");
                }
                // A bond from a closure rail past a frog stands where the frog is.
                let within =
                    |edge: EdgeId| matches!(circuit.edges[edge].part, Part::Work { piece: WorkPiece::PastFrog, .. });
                for &(other, edge) in &neighbours[stop.before] {
                    if stop.before == stop.after || other != stop.after {
                        continue;
                    }
                    if within(edge) {
                        put(&mut found, WayMarkKind::Frog, side, stop.x, "without current");
                    } else if let Some(kind) = joint(circuit, edge) {
                        let is_stock = stock.is_some_and(|s| s.span == circuit.edges[edge].span);
                        put(&mut found, if is_stock { WayMarkKind::StockJoint } else { kind }, side, stop.x, "");
                    }
                }
                let own: &[NodeId] = &[stop.before, stop.after];
                for &node in if stop.before == stop.after { &own[..1] } else { own } {
                    for &(_, edge) in &neighbours[node] {
                        let edge = &circuit.edges[edge];
                        match edge.kind {
                            EdgeKind::Feeder => put(&mut found, WayMarkKind::Feeder, side, stop.x, ""),
                            EdgeKind::Wire if step.is_track => {
                                // The wire's other end is a contact's terminal.
                                let mut terminal = [edge.a, edge.b].map(|n| &circuit.nodes[n]).into_iter();
                                let from = terminal.rfind(|n| matches!(n.spot, Spot::Terminal { .. }));
                                let words = from.map_or_else(String::new, |n| format!("from {}", n.name));
                                put(&mut found, WayMarkKind::ContactFeed, side, stop.x, &words);
                            }
                            _ => {}
                        }
                    }
                }
            }
        }
        if let Some(&(next, entered)) = way.steps.get(number + 1) {
            let mine = end_stops(segment, if step.turned { TrackEnd::From } else { TrackEnd::To });
            let theirs = end_stops(&circuit.segments[next], entered);
            for (side, stop) in RailSide::ALL.into_iter().zip(mine) {
                let kind = stop.and_then(|stop| {
                    let reached = [stop.before, stop.after].map(|node| neighbours[node].iter());
                    let far = |node: NodeId| theirs.iter().flatten().any(|s| [s.before, s.after].contains(&node));
                    let joins = reached.into_iter().flatten().filter(|(node, _)| far(*node));
                    joins.filter_map(|&(_, edge)| joint(circuit, edge)).next()
                });
                if let Some(kind) = kind {
                    put(&mut found, kind, side, if step.turned { 0.0 } else { segment.length }, "");
                }
            }
        }
    }
    let mut marks = found.marks;
    marks.sort_by(|a, b| a.along.total_cmp(&b.along).then(a.step.cmp(&b.step)).then(a.kind.cmp(&b.kind)));
    marks
}

/// Marks by what they are and where, so that those of both rails become one.
struct MarkCollector {
    places: BTreeMap<(i64, usize, WayMarkKind, String), usize>,
    marks: Vec<WayMark>,
}

impl MarkCollector {
    fn put(&mut self, mark: WayMark) {
        // Hundredths of a millimetre, as the circuit has its places.
        let key = ((mark.along * 1e5).round() as i64, mark.step, mark.kind, mark.detail.clone());
        match self.places.get(&key).map(|&index| &mut self.marks[index]) {
            Some(same) => same.rails = [0, 1].map(|side| same.rails[side] || mark.rails[side]),
            None => {
                self.places.insert(key, self.marks.len());
                self.marks.push(mark);
            }
        }
    }
}

fn only(side: RailSide) -> [bool; 2] {
    RailSide::ALL.map(|rail| rail == side)
}

fn joint(circuit: &Circuit, edge: EdgeId) -> Option<WayMarkKind> {
    match circuit.edges[edge].kind {
        EdgeKind::SlidingJoint => Some(WayMarkKind::SlidingJoint),
        EdgeKind::SolderedJoint => Some(WayMarkKind::SolderedJoint),
        _ => None,
    }
}

/// The last stops of both rails at an end of a segment.
fn end_stops(segment: &Segment, end: TrackEnd) -> [Option<&Stop>; 2] {
    [0, 1].map(|side| {
        let stops = &segment.rails[side].stops;
        if end == TrackEnd::From { stops.first() } else { stops.last() }
    })
}
