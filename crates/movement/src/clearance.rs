//! Where the tracks behind a turnout are clear of each other, and how far apart they run.
//!
//! Behind its frog the centre lines of a turnout's two legs part at the frog's angle from a point that lies gauge × number
//! before the frog (NMRA RP-12). Where both legs are straight they are clear where their centre lines, equally far gone,
//! are the tracks' distance apart: `s / (2·sin(θ/2))` from that point. Where one of them bends, both are laid out and
//! each place of the one is held against the nearest of the other, with what vehicles swing out in the curves added.

use crate::centre_line::{Arc, CentreLine, Vehicle};
use circuit::{Circuit, RailOwner, SegmentId, WorkLengths};
use handbook::quantity::{Metres, Quantity};
use handbook::scales::{self, Scale};
use plan::tables::{Hand, RailSide};
use plan::{Kind, Plan, TrackEnd};
use std::collections::BTreeSet;

/// How far the legs of a turnout are laid out, in track centres: a curve of any use has parted long before.
const LAID_OUT: f64 = 60.0;
/// How truly curves are measured and track is laid, metres: half a millimetre, our own default. Parallel tracks whose plan leaves them
/// nearer to each other by less are taken to be as far apart as they should be, and that is said.
pub const LAID_TO: f64 = 5e-4;
/// Headings that differ by less are parallel, radians.
const PARALLEL: f64 = 2e-3;

/// One of the two legs of a turnout.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// The route over it.
    pub route: SegmentId,
    /// Its end, by its word.
    pub end: String,
    /// From the frog point to where a vehicle is clear of the other leg, metres; none where the legs are nowhere clear.
    pub clear_from_frog: Option<f64>,
    /// Whether the legs run side by side beyond there by up to [`LAID_TO`] nearer than the tracks' distance, which is within what track
    /// is measured and laid to, and is taken for clear.
    pub within_ruler: bool,
}

/// The clearances of a turnout.
#[derive(Debug, Clone, PartialEq)]
pub struct Clearance {
    /// Index of the turnout.
    pub turnout: usize,
    /// Angle of its frog, radians.
    pub angle: f64,
    /// From the frog to the ends of its rails, metres.
    pub tail: f64,
    /// Its legs, the through or left one first.
    pub legs: [Leg; 2],
    /// Whether both legs are straight as far as the place where they are clear, and no nearer to each other beyond.
    pub straight: bool,
}

/// Two turnouts in a row, and the tracks that leave them side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Spacing {
    /// Indices of the turnouts, in the order in which a train from the points of the first comes to them.
    pub turnouts: [usize; 2],
    /// Routes of the two turnouts that lead to the tracks.
    pub routes: [SegmentId; 2],
    /// How much track lies between the turnouts, metres.
    pub between: f64,
    /// Metres between the centre lines of the two tracks.
    pub apart: f64,
    /// From where the centre lines of the first turnout part to where those of the second do, along the track, metres.
    pub pitch: f64,
    /// By how much the tracks move apart for each metre more between the turnouts.
    pub per_metre: f64,
}

impl Spacing {
    /// How much track must lie between the turnouts for this distance of the tracks, metres; negative where the turnouts
    /// themselves are too long.
    pub fn between_for(&self, apart: f64) -> f64 {
        self.between + (apart - self.apart) / self.per_metre
    }
}

/// The layout's distance between tracks, and who says so.
pub fn centres(plan: &Plan) -> Option<(Metres, &'static str)> {
    let layout = &plan.layout.as_ref()?.value;
    if let Some(said) = &layout.centres {
        return Some((said.value, "your plan"));
    }
    let scale = scales::scale(&layout.scale.value)?;
    Some((scale.track_centres.value, scale.track_centres.source))
}

/// The vehicle that swings out most in a curve, where the plan's trains have one.
pub fn longest_vehicle(plan: &Plan) -> Option<Vehicle> {
    let vehicle = |v: &plan::tables::Vehicle| Vehicle { length: v.length.value.si(), bogies: v.bogies.value.si() };
    let all = plan.train.iter().filter_map(|t| Some(vehicle(&t.vehicle.as_ref()?.value)));
    all.max_by(|a, b| a.throw(1.0).total_cmp(&b.throw(1.0)))
}

/// The clearances of every turnout, in the order of the plan. Empty where the plan's scale is not known.
pub fn clearances(plan: &Plan, circuit: &Circuit) -> Vec<Clearance> {
    let Some(ground) = ClearanceContext::new(plan, circuit) else { return Vec::new() };
    (0..plan.turnout.len()).filter_map(|turnout| ground.clearance(turnout)).collect()
}

/// The clearance of a turnout and its leg over a route, among those of a plan; none where nothing is known of it.
pub fn of_route(clearances: &[Clearance], turnout: usize, route: SegmentId) -> Option<(&Clearance, &Leg)> {
    let found = &clearances[clearances.binary_search_by_key(&turnout, |c| c.turnout).ok()?];
    Some((found, found.legs.iter().find(|leg| leg.route == route)?))
}

/// Tracks that leave two turnouts in a row side by side.
pub fn spacings(plan: &Plan, circuit: &Circuit) -> Vec<Spacing> {
    let Some(ground) = ClearanceContext::new(plan, circuit) else { return Vec::new() };
    let both = |turnout: usize| [0, 1].map(|leg| (turnout, leg));
    (0..plan.turnout.len()).flat_map(both).flat_map(|(turnout, leg)| ground.spacings(turnout, leg)).collect()
}

/// What is needed to lay tracks out.
struct ClearanceContext<'p> {
    plan: &'p Plan,
    circuit: &'p Circuit,
    scale: &'static Scale,
    centres: f64,
    /// For each turnout its two routes.
    routes: Vec<Vec<SegmentId>>,
}

/// A turnout with the point where its centre lines part as the origin, its points to the left.
struct TurnoutShape {
    /// From the points to the origin.
    before: f64,
    /// From the origin to the ends of its rails.
    behind: f64,
    /// Headings of its two legs.
    headings: [f64; 2],
    angle: f64,
    /// From the origin to the frog.
    frog: f64,
}

impl<'p> ClearanceContext<'p> {
    fn new(plan: &'p Plan, circuit: &'p Circuit) -> Option<ClearanceContext<'p>> {
        let scale = scales::scale(&plan.layout.as_ref()?.value.scale.value)?;
        let mut routes = vec![Vec::new(); plan.turnout.len()];
        for (segment, s) in circuit.segments.iter().enumerate() {
            if let RailOwner::Work { kind: Kind::Turnout, index, .. } = s.owner {
                routes[index].push(segment);
            }
        }
        Some(ClearanceContext { plan, circuit, scale, centres: centres(plan)?.0.si(), routes })
    }

    fn layout(&self, turnout: usize) -> TurnoutShape {
        let lengths = WorkLengths::from_plan(self.plan, Kind::Turnout, turnout);
        let angle = scales::frog_angle(lengths.number).si();
        let frog = scales::frog_to_centre_lines(self.scale, lengths.number).si();
        let headings = match self.plan.turnout[turnout].hand.value {
            Hand::Left => [0.0, angle],
            Hand::Right => [0.0, -angle],
            Hand::Wye => [angle / 2.0, -angle / 2.0],
        };
        TurnoutShape { before: lengths.lead - frog, behind: frog + lengths.tail, headings, angle, frog }
    }

    fn clearance(&self, turnout: usize) -> Option<Clearance> {
        let &[one, two] = self.routes[turnout].as_slice() else { return None };
        let laid = self.layout(turnout);
        let lines = [0, 1].map(|leg| {
            let mut arcs = vec![Arc { length: laid.behind, curvature: 0.0 }];
            arcs.extend(self.onward(self.routes[turnout][leg]));
            CentreLine::new([0.0, 0.0], laid.headings[leg], &arcs)
        });
        let by_formula = self.centres / (2.0 * (laid.angle / 2.0).sin());
        let vehicle = longest_vehicle(self.plan);
        let throw = |curvature: f64| vehicle.map_or(0.0, |v| v.throw(curvature));
        let bent = lines.iter().any(|line| line.straight_until().is_finite());
        let laid_out = |leg: usize, missing: f64| {
            let other = &lines[1 - leg];
            let beside = throw(other.sharpest());
            lines[leg].clear_from(other, |curvature| self.centres - missing + throw(curvature) + beside)
        };
        let [strict, nearly] = [0.0, LAID_TO]
            .map(|missing| if bent { [0, 1].map(|leg| laid_out(leg, missing)) } else { [Some(by_formula); 2] });
        // Legs that part come by the last half millimetre within a little way. Those that take much longer, or never do, run side by side.
        let side_by_side = [0, 1].map(|leg| match (strict[leg], nearly[leg]) {
            (Some(strict), Some(nearly)) => strict > nearly + self.centres,
            (None, Some(_)) => true,
            _ => false,
        });
        let clear = [0, 1].map(|leg| if side_by_side[leg] { nearly[leg] } else { strict[leg] });
        let straight_so_far = lines.iter().all(|line| line.straight_until() >= by_formula);
        let straight = straight_so_far && clear.iter().all(|c| c.is_some_and(|c| c <= by_formula));
        let leg = |leg: usize, route: SegmentId| {
            let from_origin = if straight { Some(by_formula) } else { clear[leg] };
            let end = match &self.circuit.segments[route].owner {
                RailOwner::Work { ends, .. } => ends[1].clone(),
                RailOwner::Track(_) => String::new(),
            };
            let within_ruler = side_by_side[leg] && !straight;
            Leg { route, end, clear_from_frog: from_origin.map(|s| s - laid.frog), within_ruler }
        };
        let legs = [leg(0, one), leg(1, two)];
        let tail = laid.behind - laid.frog;
        Some(Clearance { turnout, angle: laid.angle, tail, legs, straight })
    }

    /// What goes on behind a route, as arcs in the direction of travel: the tracks up to the next trackwork, and that. What lies
    /// beyond has mostly turned elsewhere, which a plan that does not say every curve does not tell.
    fn onward(&self, route: SegmentId) -> Vec<Arc> {
        let (mut arcs, mut length) = (Vec::new(), 0.0);
        let mut seen = BTreeSet::from([route]);
        let mut at = self.next(route, TrackEnd::From);
        while let Some((segment, entered)) = at.filter(|_| length < LAID_OUT * self.centres) {
            if !seen.insert(segment) {
                break;
            }
            let is_track = segment < self.circuit.tracks;
            let own = self.arcs(segment, entered);
            length += own.iter().map(|arc| arc.length).sum::<f64>();
            arcs.extend(own);
            at = self.next(segment, entered).filter(|_| is_track);
        }
        arcs
    }

    /// The segment behind one that was entered at an end; of several routes the straightest.
    fn next(&self, segment: SegmentId, entered: TrackEnd) -> Option<(SegmentId, TrackEnd)> {
        let end = &self.circuit.segments[segment].ends[usize::from(entered == TrackEnd::From)];
        let turn = |&(segment, entered): &(SegmentId, TrackEnd)| -> f64 {
            self.arcs(segment, entered).iter().map(|arc| arc.length * arc.curvature).sum::<f64>().abs()
        };
        end.next.iter().copied().min_by(|a, b| turn(a).total_cmp(&turn(b)))
    }

    /// A segment as arcs, in the direction of travel.
    fn arcs(&self, segment: SegmentId, entered: TrackEnd) -> Vec<Arc> {
        let s = &self.circuit.segments[segment];
        let mut arcs = match &s.owner {
            RailOwner::Track(track) => track_arcs(self.plan, *track),
            RailOwner::Work { kind: Kind::Turnout, index, .. } => {
                let leg = self.routes[*index].iter().position(|r| *r == segment).unwrap_or(0);
                let turn = self.layout(*index).headings[leg.min(1)];
                vec![Arc { length: s.length, curvature: if s.length > 0.0 { turn / s.length } else { 0.0 } }]
            }
            RailOwner::Work { .. } => vec![Arc { length: s.length, curvature: 0.0 }],
        };
        if entered == TrackEnd::To {
            arcs.reverse();
            arcs.iter_mut().for_each(|arc| arc.curvature = -arc.curvature);
        }
        arcs
    }

    /// Tracks beside those of the other leg that leave the next turnout behind one of the legs.
    fn spacings(&self, turnout: usize, leg: usize) -> Vec<Spacing> {
        let Some(&route) = self.routes[turnout].get(leg) else { return Vec::new() };
        let Some(&beside) = self.routes[turnout].get(1 - leg) else { return Vec::new() };
        let laid = self.layout(turnout);
        let mut arcs = vec![Arc { length: laid.behind, curvature: 0.0 }];
        let mut between = Vec::new();
        let (mut segment, mut entered) = (route, TrackEnd::From);
        let second = loop {
            let end = &self.circuit.segments[segment].ends[usize::from(entered == TrackEnd::From)];
            match end.next.as_slice() {
                &[(next, end)] if next < self.circuit.tracks && !between.contains(&next) => {
                    arcs.extend(self.arcs(next, end));
                    between.push(next);
                    (segment, entered) = (next, end);
                }
                several => {
                    let turnout_of = |&(next, end): &(SegmentId, TrackEnd)| match self.circuit.segments[next].owner {
                        RailOwner::Work { kind: Kind::Turnout, index, .. } if end == TrackEnd::From => Some(index),
                        _ => None,
                    };
                    break several.first().and_then(turnout_of);
                }
            }
        };
        let Some(second) = second.filter(|&second| second != turnout) else { return Vec::new() };
        let next = self.layout(second);
        arcs.push(Arc { length: next.before, curvature: 0.0 });
        let line = CentreLine::new([0.0, 0.0], laid.headings[leg], &arcs);
        let ([x, y], heading) = line.end();
        let road = laid.headings[1 - leg];
        // How far the second turnout lies to the side of the track that leaves the first.
        let apart = (y * road.cos() - x * road.sin()).abs();
        let per_metre = (heading - road).sin().abs();
        let parallel = (0..self.routes[second].len().min(2)).filter(|&l| {
            let turned = (heading + next.headings[l] - road).sin().abs();
            turned < PARALLEL && per_metre > PARALLEL
        });
        parallel
            .map(|l| Spacing {
                turnouts: [turnout, second],
                routes: [beside, self.routes[second][l]],
                between: between.iter().map(|&track| self.circuit.segments[track].length).sum(),
                apart,
                pitch: line.length(),
                per_metre,
            })
            .collect()
    }
}

/// A track as arcs, from its `from` end: its curves, straight between them.
fn track_arcs(plan: &Plan, track: usize) -> Vec<Arc> {
    let table = &plan.track[track];
    let mut curves: Vec<_> = table.curves.iter().map(|c| &c.value).collect();
    curves.sort_by(|a, b| a.from.value.si().total_cmp(&b.from.value.si()));
    let (mut arcs, mut at) = (Vec::new(), 0.0);
    for curve in curves {
        let [from, to] = [&curve.from, &curve.to].map(|x| x.value.si());
        let side = if curve.bends.value == RailSide::Left { 1.0 } else { -1.0 };
        arcs.push(Arc { length: from - at, curvature: 0.0 });
        arcs.push(Arc { length: to - from, curvature: side / curve.radius.value.si() });
        at = to;
    }
    arcs.push(Arc { length: table.length.value.si() - at, curvature: 0.0 });
    arcs
}
