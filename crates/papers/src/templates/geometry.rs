//! Where everything of a turnout lies: its points at the origin, its legs to the right, millimetres, y upwards.

use super::{BESIDE_RAIL, frog_to_parting, headings};
use circuit::{EdgeId, EdgeKind, NodeId, RailOwner, SegmentId, WorkLengths};
use handbook::quantity::Quantity;
use handbook::scales;
use plan::tables::{Hand, RailSide};
use plan::{Kind, Plan, TrackEnd};
use schedule::Job;
use std::collections::BTreeMap;

/// Of the tracks next to a turnout so much is shown, metres.
const BEYOND: f64 = 0.06;

/// A turnout's lines.
#[derive(Clone, Debug, PartialEq)]
pub struct TurnoutGeometry {
    /// Centre lines of the two legs, from the points on.
    pub legs: [Vec<[f64; 2]>; 2],
    /// Their ends, and the headings there in radians.
    pub ends: [([f64; 2], f64); 2],
    /// The frog's point.
    pub frog: [f64; 2],
    /// The gauge.
    pub gauge: f64,
    /// Its frog's number.
    pub number: f64,
    /// To which side it diverges.
    pub hand: Hand,
    /// From its points to its frog, and from there to its ends.
    pub lengths: [f64; 2],
    /// Whether lead or tail is an estimate.
    pub guessed: bool,
}

/// What is drilled or cut near a turnout.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SpotKind {
    /// A hole for a feeder.
    Feeder,
    /// An insulated gap.
    Gap,
}

/// One of them.
#[derive(Clone, Debug, PartialEq)]
pub struct TemplateSpot {
    /// What it is.
    pub kind: SpotKind,
    /// Where: of a gap on the rail, of a feeder beside it.
    pub at: [f64; 2],
    /// Where its track leaves the turnout.
    pub from: [f64; 2],
    /// How far along the track from there.
    pub along: f64,
    /// The direction of the track, away from the turnout, radians.
    pub heading: f64,
    /// What stands at it: `F-12`.
    pub words: String,
}

impl TemplateSpot {
    /// Whether another is the same hole or cut of a turnout of the same kind.
    pub fn is_same(&self, other: &TemplateSpot) -> bool {
        // Nobody drills to a twentieth of a millimetre.
        let off = (self.at[0] - other.at[0]).hypot(self.at[1] - other.at[1]);
        self.kind == other.kind && off < 0.05
    }
}

impl TurnoutGeometry {
    /// The lines of a turnout; none where the plan's scale is not known.
    pub fn from_plan(plan: &Plan, index: usize) -> Option<TurnoutGeometry> {
        let turnout = &plan.turnout[index];
        let lengths = WorkLengths::from_plan(plan, Kind::Turnout, index);
        let angle = scales::frog_angle(lengths.number).si();
        let (gauge, back) = frog_to_parting(plan, lengths.number)?;
        let (lead, tail) = (lengths.lead * 1e3, lengths.tail * 1e3);
        let (gauge, back) = (gauge * 1e3, back * 1e3);
        // From the points to where the centre lines part; a lead too short for that begins there.
        let before = (lead - back).max(0.0);
        let headings = headings(turnout.hand.value, angle);
        let leg = |heading: f64| leg(before, back + tail, heading);
        let legs = headings.map(leg);
        let ends = [0, 1].map(|leg| (legs[leg].last().copied().unwrap_or_default(), headings[leg]));
        let middle = (headings[0] + headings[1]) / 2.0;
        // The rails that meet in the frog are half a gauge from both centre lines.
        let reach = gauge / 2.0 / (angle / 2.0).sin();
        let frog = [before + reach * middle.cos(), reach * middle.sin()];
        let guessed = turnout.lead.is_none() || turnout.tail.is_none();
        let hand = turnout.hand.value;
        Some(TurnoutGeometry { legs, ends, frog, gauge, number: lengths.number, hand, lengths: [lead, tail], guessed })
    }
}

/// A centre line: straight, an arc that touches both straights, straight.
fn leg(before: f64, behind: f64, heading: f64) -> Vec<[f64; 2]> {
    let end = [before + behind * heading.cos(), behind * heading.sin()];
    if heading.abs() < 1e-9 {
        return vec![[0.0, 0.0], end];
    }
    // The arc begins and ends as far from the parting point as the shorter of the two straights is long.
    let tangent = before.min(behind * 0.5);
    let mut points = vec![[0.0, 0.0]];
    let start = before - tangent;
    if tangent > 0.0 {
        let radius = tangent / (heading.abs() / 2.0).tan();
        for step in 0..=24 {
            let turned = heading.abs() * f64::from(step) / 24.0;
            let across = radius * (1.0 - turned.cos()) * heading.signum();
            points.push([start + radius * turned.sin(), across]);
        }
    } else {
        points.push([before, 0.0]);
    }
    points.push(end);
    points
}

/// What is around turnouts, found once for all of them.
pub struct TurnoutSurroundings {
    /// The routes of each turnout.
    routes: Vec<Vec<SegmentId>>,
    /// The feeder of each node that has one.
    feeders: BTreeMap<NodeId, EdgeId>,
}

impl TurnoutSurroundings {
    /// Of all turnouts of a plan.
    pub fn from_job(job: &Job<'_>) -> TurnoutSurroundings {
        let circuit = &job.facts.circuit;
        let mut routes = vec![Vec::new(); job.facts.plan.turnout.len()];
        for (id, segment) in circuit.segments.iter().enumerate() {
            if let RailOwner::Work { kind: Kind::Turnout, index, .. } = segment.owner {
                routes[index].push(id);
            }
        }
        let mut feeders = BTreeMap::new();
        for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, edge)| edge.kind == EdgeKind::Feeder) {
            for node in [edge.a, edge.b] {
                feeders.entry(node).or_insert(id);
            }
        }
        TurnoutSurroundings { routes, feeders }
    }

    /// The feeders and gaps of the tracks next to a turnout, where they run straight on.
    pub fn spots(&self, job: &Job<'_>, turnout: usize, shape: &TurnoutGeometry) -> Vec<TemplateSpot> {
        let circuit = &job.facts.circuit;
        let mut spots = Vec::new();
        for (leg, &route) in self.routes[turnout].iter().take(2).enumerate() {
            let [before, behind] = &circuit.segments[route].ends;
            if leg == 0 {
                let start = ([0.0, 0.0], std::f64::consts::PI);
                before.next.iter().for_each(|&to| self.of_track(job, to, start, shape.gauge, &mut spots));
            }
            behind.next.iter().for_each(|&to| self.of_track(job, to, shape.ends[leg], shape.gauge, &mut spots));
        }
        spots
    }

    /// Those of one track, from the end that joins the turnout, in the direction away from it.
    fn of_track(
        &self,
        job: &Job<'_>,
        (track, end): (SegmentId, TrackEnd),
        (start, heading): ([f64; 2], f64),
        gauge: f64,
        spots: &mut Vec<TemplateSpot>,
    ) {
        let circuit = &job.facts.circuit;
        if track >= circuit.tracks {
            return;
        }
        let length = circuit.segments[track].length;
        let from_end = |x: f64| if end == TrackEnd::From { x } else { length - x };
        let table = &job.facts.plan.track[track];
        let curves = table.curves.iter().flat_map(|c| [c.value.from.value.si(), c.value.to.value.si()]);
        let straight = curves.map(from_end).fold(f64::INFINITY, f64::min);
        let shown = |distance: f64| distance <= BEYOND.min(straight) + 1e-9;
        // Left and right are reported along the track; seen away from the turnout they change places where it ends here.
        let out = |side: RailSide| if (side == RailSide::Left) == (end == TrackEnd::From) { 1.0 } else { -1.0 };
        let place = |distance: f64, off: f64| {
            let (sin, cos) = heading.sin_cos();
            let along = distance * 1e3;
            [start[0] + along * cos - off * sin, start[1] + along * sin + off * cos]
        };
        for gap in circuit.gaps_of(track) {
            let distance = from_end(gap.x);
            if shown(distance) {
                let number = job.numbers.of_gap(gap.before, gap.after);
                let words = number.map_or_else(|| "gap".to_owned(), |n| n.to_string());
                let at = place(distance, out(gap.side) * gauge / 2.0);
                spots.push(TemplateSpot {
                    kind: SpotKind::Gap,
                    at,
                    from: start,
                    along: distance * 1e3,
                    heading,
                    words,
                });
            }
        }
        for feeder in &table.feeders.items {
            let x = feeder.value.at.value.si();
            let distance = from_end(x);
            if !shown(distance) {
                continue;
            }
            for side in RailSide::ALL {
                if feeder.value.rail.as_ref().is_none_or(|rail| rail.value == side) {
                    let words = self.feeder_number(job, (track, side), x);
                    let off = out(side) * (gauge / 2.0 + BESIDE_RAIL * 1e3);
                    let (at, along) = (place(distance, off), distance * 1e3);
                    spots.push(TemplateSpot { kind: SpotKind::Feeder, at, from: start, along, heading, words });
                }
            }
        }
    }

    fn feeder_number(&self, job: &Job<'_>, (track, side): (usize, RailSide), x: f64) -> String {
        let feeder = job.facts.circuit.at(track, side, x).and_then(|node| self.feeders.get(&node));
        let number = feeder.and_then(|&edge| job.numbers.of_edge(edge));
        number.map_or_else(|| "feeder".to_owned(), |number| number.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_leg_ends_where_its_straights_would() {
        for heading in [0.166f64, -0.166, 0.08] {
            let points = leg(40.0, 180.0, heading);
            let end = points[points.len() - 1];
            assert!((end[0] - 40.0 - 180.0 * heading.cos()).abs() < 1e-9);
            assert!((end[1] - 180.0 * heading.sin()).abs() < 1e-9);
            // The arc touches the second straight: its last point is on it.
            let last = points[points.len() - 2];
            let off = (last[0] - 40.0) * heading.sin() - last[1] * heading.cos();
            assert!(off.abs() < 1e-9, "the arc misses the straight by {off} mm");
        }
    }
}
