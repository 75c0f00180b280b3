//! Where each member lies on the drawing, and the centre line of each track: lengths in millimetres, y upwards.

use crate::graph::{Graph, StrandPart};
use crate::levels::{Levels, is_link};
use crate::line::{Point, plus};
use crate::order::Order;
use crate::shapes::{BEND, LEVEL, RUN, Shape};
use plan::TrackEnd;
use std::collections::BTreeMap;

/// From one thing on a track to the next, at least.
pub(crate) const PITCH: f64 = 5.2;
/// Between two things on one level.
const BETWEEN: f64 = 7.0;

/// What of a track asks for room.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct RoomDemand {
    /// Places on it where something is, its ends not counted.
    pub places: usize,
    /// The width of its name.
    pub name: f64,
    /// Its length in metres.
    pub metres: f64,
}

/// A member where it lies.
#[derive(Clone, Debug)]
pub(crate) struct Lying {
    pub at: Point,
    pub turn: i8,
    pub shape: Shape,
}

impl Lying {
    /// A place or direction of its shape as it lies.
    fn turned(&self, p: Point) -> Point {
        [f64::from(self.turn) * p[0], f64::from(self.turn) * p[1]]
    }

    /// A place of its shape on the drawing.
    pub(crate) fn on_drawing(&self, p: Point) -> Point {
        plus(self.at, self.turned(p), 1.0)
    }

    pub(crate) fn port(&self, port: usize) -> (Point, Point) {
        let (at, out) = self.shape.ports[port];
        (self.on_drawing(at), self.turned(out))
    }
}

/// All of a layout, placed.
#[derive(Clone, Debug, Default)]
pub(crate) struct PlacedLayout {
    pub members: Vec<Lying>,
    /// For each track its centre line from its `from` end.
    pub tracks: Vec<Vec<Point>>,
}

/// A difference of two members' places: `to − from ≥ apart`.
#[derive(Clone, Copy)]
struct Apart {
    from: usize,
    to: usize,
    apart: f64,
}

pub(crate) struct Placing<'g> {
    pub graph: &'g Graph,
    pub order: &'g Order,
    pub levels: &'g Levels,
    pub lying: Vec<Lying>,
    /// The height of each item.
    high: Vec<f64>,
    /// The length each strand needs along the drawing, between its ports.
    pub needs: Vec<f64>,
}

pub(crate) fn place(graph: &Graph, rooms: &[RoomDemand]) -> PlacedLayout {
    let order = Order::from_graph(graph);
    let levels = Levels::from_order(graph, &order);
    let high: Vec<f64> = levels.of.iter().map(|&l| l as f64 * LEVEL).collect();
    let lying = (0..graph.members.len()).map(|m| lie(graph, &levels, m)).collect();
    let mut placing = Placing { graph, order: &order, levels: &levels, lying, high, needs: Vec::new() };
    placing.needs = (0..graph.strands.len()).map(|s| placing.need(s, rooms)).collect();
    placing.spread();
    placing.draw(rooms.len())
}

/// The level that the far side of a port leads to.
fn beyond(graph: &Graph, levels: &Levels, member: usize, strand: usize) -> i64 {
    let members = graph.members.len();
    let s = &graph.strands[strand];
    let far = [s.west, s.east].into_iter().flatten().find(|end| end.0 != member);
    let near = [s.west, s.east].into_iter().flatten().find(|end| end.0 == member);
    let own = levels.of[members + strand];
    let (Some((far, port)), Some((_, near_port))) = (far, near) else { return own };
    // A lead from turnout to turnout, or a mere link, goes straight to where it ends.
    let is_lead = |m: usize, p: usize| ["points", "through"].contains(&graph.members[m].ports[p].word.as_str());
    let short = s.metres <= 6.0 * graph.members[member].metres;
    let steps = (levels.of[far] - levels.of[member]).abs() <= 2;
    if is_link(graph, strand) || (short && steps && is_lead(far, port) && is_lead(member, near_port)) {
        levels.of[far]
    } else {
        own
    }
}

fn lie(graph: &Graph, levels: &Levels, member: usize) -> Lying {
    let m = &graph.members[member];
    let level = levels.of[member];
    let strands: Vec<Option<usize>> = (0..m.ports.len())
        .map(|port| {
            let (track, end) = m.ports[port].joins?;
            graph.strand_at(track, end)
        })
        .collect();
    let beyond: Vec<Option<i64>> = strands.iter().map(|s| Some(beyond(graph, levels, member, (*s)?) - level)).collect();
    let climbs = beyond.iter().map(|b| b.map(|b| b * i64::from(m.turn))).collect();
    let mut y = level as f64 * LEVEL;
    if m.form == crate::graph::Form::Diamond {
        let known: Vec<f64> = beyond.iter().flatten().map(|&b| (b as f64).clamp(-1.0, 1.0)).collect();
        let mean = known.iter().sum::<f64>() / known.len().max(1) as f64;
        y += ((2.0 * mean).round() / 2.0).clamp(-0.5, 0.5) * LEVEL;
    }
    Lying { at: [0.0, y], turn: m.turn, shape: Shape::from_member(m, &climbs) }
}

impl Graph {
    /// The strand at an end of a track.
    pub(crate) fn strand_at(&self, track: usize, end: TrackEnd) -> Option<usize> {
        let start = self.strands.partition_point(|s| s.track < track);
        (start..self.strands.len())
            .take_while(|&s| self.strands[s].track == track)
            .find(|&s| self.strands[s].part == StrandPart::Whole || self.strands[s].part == StrandPart::Stub(end))
    }
}

/// How far a line runs from a port until it lies on its level.
fn run(port: (Point, Point), high: f64) -> f64 {
    let ([_, y], [dx, dy]) = port;
    let climb = high - y;
    if dx.abs() < 1e-9 {
        return BEND + 1.0;
    }
    if climb.abs() < 1e-6 && dy.abs() < 1e-9 {
        0.0
    } else if climb * dy > 0.0 {
        climb / dy * dx.abs()
    } else {
        2.0 + climb.abs().max(1.0) * RUN
    }
}

impl Placing<'_> {
    pub(crate) fn strand_high(&self, strand: usize) -> f64 {
        self.high[self.graph.members.len() + strand]
    }

    /// The length a strand needs, between its ports or from its port to its end.
    fn need(&self, strand: usize, rooms: &[RoomDemand]) -> f64 {
        let s = &self.graph.strands[strand];
        let room = rooms[s.track];
        let high = self.strand_high(strand);
        let ends = [s.west, s.east].map(|end| end.map(|(m, p)| self.lying[m].port(p)));
        let stub = matches!(s.part, StrandPart::Stub(_));
        let places = (room.places as f64 + 1.0) * PITCH;
        if let [Some(a), Some(b)] = ends
            && slope(a.1).abs() > 1e-9
            && (slope(a.1) - slope(b.1)).abs() < 1e-9
            && (b.0[1] - a.0[1]) * slope(a.1) > 0.0
        {
            let straight = (b.0[1] - a.0[1]) / slope(a.1);
            return if straight > 0.75 * places { straight } else { places };
        }
        let slopes: f64 = ends.iter().flatten().map(|&port| run(port, high)).sum();
        let share = if stub { 0.5 } else { 1.0 };
        // Long tracks are drawn longer, but not by as much as they are; a name stands between the numbers of the level part.
        let long = 7.0 * (room.metres / 0.4).ln_1p();
        let name = if is_link(self.graph, strand) { 0.0 } else { room.name + 4.0 };
        slopes + (share * long.max(name)).max(share * (places + 0.6 * name) - slopes).max(2.0)
    }

    /// How far an item reaches to one side, as a member and a distance from it; none where nothing fixes it.
    pub(crate) fn edge(&self, item: usize, east: bool) -> Option<(usize, f64)> {
        let members = self.graph.members.len();
        let Some(strand) = item.checked_sub(members) else {
            let lying = &self.lying[item];
            let [west, right] = lying.shape.reach();
            let far = if (lying.turn == 1) == east { right } else { west };
            return Some((item, if east { far } else { -far }));
        };
        let s = &self.graph.strands[strand];
        let (near, far) = if east { (s.east, s.west) } else { (s.west, s.east) };
        let place = |(m, p): (usize, usize)| (m, self.lying[m].port(p).0[0] - self.lying[m].at[0]);
        let sign = if east { 1.0 } else { -1.0 };
        near.map(place).or_else(|| far.map(place).map(|(m, x)| (m, x + sign * self.needs[strand])))
    }

    /// Sets how far east each member lies.
    fn spread(&mut self) {
        let graph = self.graph;
        let count = graph.members.len();
        let mut sequence: Vec<usize> = (0..count).collect();
        let rank: BTreeMap<usize, usize> = self.order.eastward.iter().enumerate().map(|(i, &m)| (m, i)).collect();
        sequence.sort_by(|&a, &b| {
            let middle = |m: usize| self.order.extents[m].from + self.order.extents[m].to;
            middle(a).total_cmp(&middle(b)).then(rank[&a].cmp(&rank[&b]))
        });
        let mut turn = vec![0; count];
        sequence.iter().enumerate().for_each(|(i, &m)| turn[m] = i);
        let mut apart: Vec<Apart> = Vec::new();
        for (index, strand) in graph.strands.iter().enumerate() {
            if let (Some((west, p)), Some((east, q))) = (strand.west, strand.east) {
                let ports = self.lying[west].port(p).0[0] - self.lying[east].port(q).0[0];
                apart.push(Apart { from: west, to: east, apart: ports + self.needs[index] });
            }
        }
        let tied = apart.len();
        self.in_line(&mut apart, &turn);
        let mut lists = [vec![Vec::new(); count], vec![Vec::new(); count]];
        for (index, a) in apart.iter().enumerate() {
            lists[0][a.to].push(index);
            lists[1][a.from].push(index);
        }
        let mut x = vec![0.0_f64; count];
        for &member in &sequence {
            // Nothing is left of 0 but what the sheet's margin is for.
            let ends = self.edge(member, false).map_or(0.0, |e| -e.1);
            let free = graph.members[member].ports.iter().filter_map(|p| p.joins);
            let free = free.filter_map(|(t, end)| graph.strand_at(t, end)).filter_map(|strand| {
                let edge = self.edge(count + strand, false)?;
                (edge.0 == member).then_some(-edge.1)
            });
            let least = free.fold(ends, f64::max);
            x[member] = lists[0][member]
                .iter()
                .fold(least, |x_so_far, &a| f64::max(x_so_far, x[apart[a].from] + apart[a].apart));
        }
        for &member in sequence.iter().rev().filter(|&&m| self.order.floats[m]) {
            if lists[1][member].iter().any(|&a| a < tied) {
                let most = lists[1][member].iter().map(|&a| x[apart[a].to] - apart[a].apart);
                x[member] = most.fold(f64::INFINITY, f64::min).max(x[member]);
            }
        }
        for (member, x) in x.into_iter().enumerate() {
            self.lying[member].at[0] = x;
        }
    }

    /// Keeps apart what lies one behind the other on a level, or where one climbs past it.
    fn in_line(&self, apart: &mut Vec<Apart>, turn: &[usize]) {
        let members = self.graph.members.len();
        let mut items: Vec<usize> = self.order.list.clone();
        items.sort_by(|&a, &b| {
            let (a, b) = (self.order.extents[a], self.order.extents[b]);
            a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to))
        });
        let ends = |item: usize| -> Vec<usize> {
            match item.checked_sub(members) {
                None => vec![item],
                Some(s) => {
                    let s = &self.graph.strands[s];
                    [s.west, s.east].into_iter().flatten().map(|e| e.0).collect()
                }
            }
        };
        let mut last: BTreeMap<(usize, i64), Vec<usize>> = BTreeMap::new();
        for item in items {
            let mine = ends(item);
            let level = self.levels.of[item];
            let reach = mine.iter().map(|&m| self.levels.of[m]);
            let (low, high) = reach.fold((level, level), |(l, h), r| (l.min(r), h.max(r)));
            for level in low..=high {
                let list = last.entry((self.order.piece[item], level)).or_default();
                list.retain(|&earlier| {
                    if self.order.extents[earlier].to > self.order.extents[item].from + 1e-6 {
                        return true;
                    }
                    let ends = ends(earlier);
                    if !ends.iter().any(|m| mine.contains(m))
                        && let (Some((from, right)), Some((to, left))) =
                            (self.edge(earlier, true), self.edge(item, false))
                        && turn[from] < turn[to]
                    {
                        apart.push(Apart { from, to, apart: right - left + BETWEEN });
                    }
                    false
                });
                list.push(item);
            }
        }
    }
}

pub(crate) fn slope(direction: Point) -> f64 {
    if direction[0].abs() < 1e-9 { 0.0 } else { direction[1] / direction[0] }
}
