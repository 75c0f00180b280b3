//! The rails of a circuit along the lines where its segments were placed, and what stands on them.

use crate::frame::{Bed, DrawnWork, Ending, EndingKind, Frame, Mark, MarkKind, Point, RailPiece};
use crate::graph::{Form, Graph};
use crate::line::{along, length, minus, nearest, part, plus, unit};
use crate::place::{PITCH, PlacedLayout};
use crate::shapes::{TOE, rail};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, RailLine, RailOwner, WorkLengths};
use plan::tables::RailSide;
use plan::{Kind, Plan};
use schedule::Numbers;
use std::collections::{BTreeMap, BTreeSet};

/// How much of a rail is left out at a gap.
const BREAK: f64 = 1.1;

/// A place on a rail, and the direction away from the track there.
#[derive(Clone, Copy)]
struct RailPoint {
    at: Point,
    out: Point,
    inside: bool,
}

struct Laying<'c> {
    circuit: &'c Circuit,
    gaps: BTreeSet<(NodeId, NodeId)>,
    spots: BTreeMap<NodeId, RailPoint>,
    gap_spots: BTreeMap<(NodeId, NodeId), RailPoint>,
    drawn: BTreeSet<EdgeId>,
    frame: Frame,
}

fn ordered(a: NodeId, b: NodeId) -> (NodeId, NodeId) {
    (a.min(b), a.max(b))
}

/// Everything but words and sheets; y upwards.
pub(crate) fn lay(plan: &Plan, circuit: &Circuit, numbers: &Numbers, graph: &Graph, placed: &PlacedLayout) -> Frame {
    let gaps = circuit.gaps.iter().map(|g| ordered(g.before, g.after)).collect();
    let mut laying = Laying {
        circuit,
        gaps,
        spots: BTreeMap::new(),
        gap_spots: BTreeMap::new(),
        drawn: BTreeSet::new(),
        frame: Frame { scale: 1.0, letters: crate::svg::SCREEN_LETTERS, ..Frame::default() },
    };
    let member_of: BTreeMap<(Kind, usize), usize> =
        graph.members.iter().enumerate().filter(|(_, m)| m.form != Form::Join).map(|(i, m)| (m.of, i)).collect();
    // Where all rails hang behind one breaker there are no districts to tell apart, however many feed motors.
    let feeding: BTreeSet<usize> = circuit.intended_pole.iter().flatten().flatten().map(|pole| pole.breaker).collect();
    if feeding.len() > 1 {
        laying.frame.districts = circuit.breakers.iter().map(|b| breaker_name(plan, b.supply)).collect();
    }
    for (index, segment) in circuit.segments.iter().enumerate() {
        match &segment.owner {
            RailOwner::Track(track) => laying.track(index, &placed.tracks[*track]),
            RailOwner::Work { kind, index: work, ends } => {
                let Some(&member) = member_of.get(&(*kind, *work)) else { continue };
                laying.route(index, plan, (graph, placed, member), ends);
            }
        }
    }
    laying.endings(plan, placed);
    laying.marks(numbers);
    for (member, m) in graph.members.iter().enumerate().filter(|(_, m)| m.form != Form::Join) {
        let lying = &placed.members[member];
        let name = work_name(plan, m.of);
        let work = DrawnWork { kind: m.of.0, index: m.of.1, name, at: lying.at, pit: lying.shape.pit() };
        laying.frame.works.push(work);
    }
    laying.frame
}

fn breaker_name(plan: &Plan, supply: usize) -> String {
    plan.supply.get(supply).map_or_else(String::new, |s| s.name.value.clone())
}

fn work_name(plan: &Plan, (kind, index): (Kind, usize)) -> String {
    let names = plan::names::each_name(plan);
    names.into_iter().find(|n| (n.0, n.1) == (kind, index)).map_or_else(String::new, |n| n.2.value.clone())
}

impl Laying<'_> {
    fn track(&mut self, segment: usize, centre: &[Point]) {
        let s = &self.circuit.segments[segment];
        let meant = self.circuit.intended_pole.get(segment).copied().unwrap_or_default();
        let district = meant.iter().flatten().map(|m| m.breaker).next();
        self.frame.beds.push(Bed { segment, district, points: centre.to_vec() });
        // Places along the centre line, the same for both rails.
        let mut places: Vec<f64> = s.rails.iter().flat_map(|r| r.stops.iter().map(|stop| stop.x)).collect();
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() < 1e-5);
        let drawn = spaced(&places, s.length, length(centre));
        for side in RailSide::ALL {
            let line = rail(centre, side.index());
            let (whole, all) = (length(&line), s.length);
            let at = |x: f64| {
                if x <= 1e-5 {
                    return 0.0;
                }
                if x >= all - 1e-5 {
                    return whole;
                }
                let place = places.partition_point(|p| *p < x - 1e-5).min(places.len() - 1);
                let (foot, direction) = along(centre, drawn[place]);
                let normal = [-direction[1], direction[0]];
                nearest_about(&line, plus(foot, normal, if side == RailSide::Left { 1.3 } else { -1.3 }), drawn[place])
            };
            self.rail(segment, side, &line, &at, 0.0, false);
        }
    }

    fn route(
        &mut self,
        segment: usize,
        plan: &Plan,
        (graph, placed, member): (&Graph, &PlacedLayout, usize),
        ends: &[String; 2],
    ) {
        let m = &graph.members[member];
        let lying = &placed.members[member];
        let port = |word: &String| m.ports.iter().position(|p| p.word == *word);
        let Some(from) = port(&ends[0]) else { return };
        let to = port(&ends[1]);
        let (kind, index) = m.of;
        let lengths = WorkLengths::from_plan(plan, kind, index);
        let local = lying.shape.centre_line(from, to);
        let centre: Vec<Point> = local.iter().map(|&p| lying.on_drawing(p)).collect();
        self.frame.beds.push(Bed { segment, district: None, points: centre.clone() });
        let toe = match m.form {
            Form::Turnout { apex: true, .. } => 6.5,
            Form::Turnout { .. } | Form::ThreeWay => TOE,
            _ => 0.0,
        };
        for side in RailSide::ALL {
            let line = rail(&centre, side.index());
            let (whole, all) = (length(&line), self.circuit.segments[segment].length);
            let mut known = vec![(0.0, 0.0)];
            for (metres, point) in lying.shape.anchors(from, to, side.index(), &lengths) {
                known.push((metres, nearest(&line, lying.on_drawing(point))));
            }
            known.push((all, whole));
            let at = |x: f64| {
                let next = known.partition_point(|k| k.0 < x - 1e-9).clamp(1, known.len() - 1);
                let ((x0, d0), (x1, d1)) = (known[next - 1], known[next]);
                if x1 - x0 < 1e-12 { d1 } else { d0 + (x - x0) / (x1 - x0) * (d1 - d0) }
            };
            self.rail(segment, side, &line, &at, toe, true);
        }
    }

    /// Draws the pieces of a rail that are not drawn yet. `toe`: where a rail begins that starts at a blade.
    fn rail(
        &mut self,
        segment: usize,
        side: RailSide,
        line: &[Point],
        at: &dyn Fn(f64) -> f64,
        toe: f64,
        inside: bool,
    ) {
        let circuit = self.circuit;
        let RailLine { stops, pieces } = &circuit.segments[segment].rails[side];
        let whole = length(line);
        let spot = |along_line: f64| {
            let (at, direction) = along(line, along_line);
            let left = [-direction[1], direction[0]];
            RailPoint { at, out: if side == RailSide::Left { left } else { minus([0.0, 0.0], left) }, inside }
        };
        let blade = |k: usize| k == 0 && toe > 0.0 && stops[0].before != stops[0].after;
        for (k, stop) in stops.iter().enumerate() {
            let place = at(stop.x);
            self.spots.entry(stop.before).or_insert_with(|| spot(place));
            let after = if blade(k) { toe } else { place };
            self.spots.entry(stop.after).or_insert_with(|| spot(after));
            let key = ordered(stop.before, stop.after);
            if self.gaps.contains(&key) {
                self.gap_spots.entry(key).or_insert_with(|| spot(place));
            }
        }
        for (k, &edge) in pieces.iter().enumerate() {
            if !self.drawn.insert(edge) {
                continue;
            }
            let is_gap = |k: usize| self.gaps.contains(&ordered(stops[k].before, stops[k].after));
            let mut from = if blade(k) { toe } else { at(stops[k].x) };
            let mut to = at(stops[k + 1].x);
            if is_gap(k) {
                from += BREAK / 2.0;
            }
            if is_gap(k + 1) {
                to -= BREAK / 2.0;
            }
            let points = part(line, from.min(whole), to.max(from.min(whole) + 1e-3));
            self.frame.rails.push(RailPiece {
                edge,
                segment,
                side,
                nodes: [stops[k].after, stops[k + 1].before],
                points,
            });
        }
    }

    fn endings(&mut self, plan: &Plan, placed: &PlacedLayout) {
        for (track, t) in plan.track.iter().enumerate() {
            let line = &placed.tracks[track];
            let [.., _, _] = line[..] else { continue };
            for (text, from) in [(&t.from.value, true), (&t.to.value, false)] {
                let kind = match text.trim() {
                    "buffer" => EndingKind::Buffer,
                    "beyond" => EndingKind::Beyond,
                    _ => continue,
                };
                let (at, next) = if from { (line[0], line[1]) } else { (line[line.len() - 1], line[line.len() - 2]) };
                self.frame.endings.push(Ending { kind, track, at, out: unit(minus(at, next)) });
            }
        }
    }

    fn marks(&mut self, numbers: &Numbers) {
        let circuit = self.circuit;
        for gap in &circuit.gaps {
            let key = ordered(gap.before, gap.after);
            let Some(spot) = self.gap_spots.remove(&key) else { continue };
            let number = numbers.of_gap(gap.before, gap.after);
            self.mark(MarkKind::Gap, spot, number, None, [gap.before, gap.after]);
        }
        for (id, edge) in EdgeId::each(&circuit.edges) {
            let spots = [edge.a, edge.b].map(|n| self.spots.get(&n).copied());
            let number = numbers.of_edge(id);
            match (edge.kind, spots) {
                (EdgeKind::SolderedJoint | EdgeKind::SlidingJoint, [Some(a), Some(b)]) => {
                    let kind = if edge.kind == EdgeKind::SlidingJoint { MarkKind::Sliding } else { MarkKind::Soldered };
                    // Between a track and trackwork it stands as the track's.
                    self.mark(kind, if a.inside { b } else { a }, number, Some(id), [edge.a, edge.b]);
                }
                (EdgeKind::Feeder, [Some(spot), None] | [None, Some(spot)]) => {
                    let node = if spots[0].is_some() { edge.a } else { edge.b };
                    self.mark(MarkKind::Feeder, spot, number, Some(id), [node, node]);
                }
                (EdgeKind::Wire, [Some(spot), None] | [None, Some(spot)]) => {
                    let node = if spots[0].is_some() { edge.a } else { edge.b };
                    self.mark(MarkKind::Wire, spot, number, Some(id), [node, node]);
                }
                _ => {}
            }
        }
        for &(_, _, node, _) in &circuit.frogs {
            if let Some(&spot) = self.spots.get(&node) {
                self.mark(MarkKind::Frog, spot, None, None, [node, node]);
            }
        }
    }

    fn mark(
        &mut self,
        kind: MarkKind,
        spot: RailPoint,
        number: Option<schedule::Number>,
        edge: Option<EdgeId>,
        nodes: [NodeId; 2],
    ) {
        self.frame.marks.push(Mark { kind, at: spot.at, out: spot.out, number, edge, nodes, inside: spot.inside });
    }
}

/// The place on a rail nearest to a point, looked for where the centre line says it must be about.
fn nearest_about(line: &[Point], to: Point, about: f64) -> f64 {
    const AROUND: f64 = 12.0;
    let from = (about - AROUND).max(0.0);
    from + nearest(&part(line, from, (about + AROUND).min(length(line))), to)
}

/// Where along a line of `whole` millimetres places of a track are drawn, so that they keep apart.
fn spaced(places: &[f64], metres: f64, whole: f64) -> Vec<f64> {
    let count = places.len();
    let pitch = PITCH.min(whole / (count.max(2) - 1) as f64);
    let mut drawn: Vec<f64> = places.iter().map(|x| if metres > 0.0 { x / metres * whole } else { 0.0 }).collect();
    for k in 1..count {
        drawn[k] = drawn[k].max(drawn[k - 1] + pitch);
    }
    let mut most = whole;
    for k in (0..count).rev() {
        drawn[k] = drawn[k].min(most);
        most = drawn[k] - pitch;
    }
    drawn
}
