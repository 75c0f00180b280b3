//! How far apart things lie that a wire joins, and where a bus passes nearest.
//!
//! A plan has no coordinates. What it has is the length of everything that lies on the table, so distance is measured along the
//! track (a shortest path; Dijkstra's algorithm over ends of tracks and pieces of trackwork): a wire that follows the track is
//! never too short, and one that takes a short cut has some left over. Where a bus runs is known where a track says `along`.

use crate::work_lengths::WorkLengths;
use handbook::quantity::Quantity;
use plan::names::{each_name, ports};
use plan::{EndOf, Kind, Moved, Names, Plan, TrackEnd};
use std::cell::OnceCell;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

/// Somewhere on the table: on the way between two points of the track's graph, or at some distance from one.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Location {
    /// Points of the graph, and how far each is away, in metres.
    near: Vec<(usize, f64)>,
    /// The tracks it is on or beside, and where, metres from their `from` ends.
    on: Vec<(usize, f64)>,
}

/// Where a bus passes nearest to something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Nearest {
    /// Metres from the start of the bus.
    pub(crate) place: f64,
    /// How far away that is, in metres.
    pub(crate) distance: f64,
}

/// Two distances are one within a hundredth of a millimetre, so that rounding does not choose between places.
const STEP: f64 = 1e-5;

/// The graph of what lies on the table.
pub(crate) struct Reach<'p> {
    plan: &'p Plan,
    neighbours: Vec<Vec<(usize, f64)>>,
    works: BTreeMap<(Kind, usize), Work>,
    /// For each bus the tracks that run along it.
    along: Vec<Along>,
    /// For each track the bus it runs along, and the places on it of its two ends.
    runs_along: Vec<Option<(usize, [f64; 2])>>,
    /// For each bus, from where on the table it is how far to it, and to which place of it; worked out when first asked for.
    to_bus: Vec<OnceCell<Vec<Option<Nearest>>>>,
}

/// A track, and the places on a bus of its two ends.
type Run = (usize, [f64; 2]);

/// The tracks that run along a bus, from the place on it that comes first.
#[derive(Default)]
struct Along {
    tracks: Vec<Run>,
    /// The farthest place that a track and those before it reach.
    farthest: Vec<f64>,
}

impl Along {
    fn new(mut tracks: Vec<Run>) -> Along {
        let first = |ends: &[f64; 2]| ends[0].min(ends[1]);
        tracks.sort_by(|a, b| first(&a.1).total_cmp(&first(&b.1)).then(a.0.cmp(&b.0)));
        let farthest = tracks.iter().scan(f64::NEG_INFINITY, |most, (_, ends)| {
            *most = most.max(ends[0]).max(ends[1]);
            Some(*most)
        });
        Along { farthest: farthest.collect(), tracks }
    }

    /// How far a place of the bus lies beyond the ends of the nearest of the tracks, and the tracks that are as near, in the order of the
    /// plan. None where no track runs along the bus.
    fn nearest(&self, place: f64) -> Option<(f64, Vec<Run>)> {
        let off = |ends: &[f64; 2]| {
            let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
            (low - place).max(place - high).max(0.0)
        };
        let behind = self.tracks.partition_point(|(_, ends)| ends[0].min(ends[1]) <= place);
        // Of those that begin behind the place the first to begin are the nearest, of those before it the ones that reach farthest.
        let after = self.tracks.get(behind).map(|(_, ends)| off(ends));
        let before = behind.checked_sub(1).map(|last| (place - self.farthest[last]).max(0.0));
        let beyond = after.into_iter().chain(before).min_by(f64::total_cmp)?;
        let near = |at: &usize| off(&self.tracks[*at].1) < beyond + STEP;
        let mut found: Vec<usize> = (behind..self.tracks.len()).take_while(near).collect();
        let reach = |at: &usize| place - self.farthest[*at] < beyond + STEP;
        found.extend((0..behind).rev().take_while(reach).filter(near));
        let mut found: Vec<_> = found.into_iter().map(|at| self.tracks[at]).collect();
        found.sort_by_key(|track| track.0);
        Some((beyond, found))
    }
}

/// The points of a piece of trackwork, and how far from them its parts lie.
struct Work {
    points: usize,
    frog: usize,
    /// From the middle to where the blades of either end are moved.
    blades: f64,
    /// From `frog` to the frogs.
    frogs: f64,
}

impl<'p> Reach<'p> {
    pub(crate) fn new(plan: &'p Plan, names: &Names) -> Reach<'p> {
        let mut graph = Reach {
            plan,
            neighbours: vec![Vec::new(); 2 * plan.track.len()],
            works: BTreeMap::new(),
            along: Vec::new(),
            runs_along: vec![None; plan.track.len()],
            to_bus: plan.bus.iter().map(|_| OnceCell::new()).collect(),
        };
        let mut port_of: BTreeMap<(Kind, usize, String), (usize, f64)> = BTreeMap::new();
        for (kind, index, _) in each_name(plan) {
            let lengths = WorkLengths::from_plan(plan, kind, index);
            let points = graph.neighbours.len();
            let (work, port) = match kind {
                Kind::Turnout | Kind::ThreeWay => {
                    graph.neighbours.extend([Vec::new(), Vec::new()]);
                    graph.join(points, points + 1, lengths.lead);
                    (Work { points, frog: points + 1, blades: 0.0, frogs: 0.0 }, lengths.tail)
                }
                Kind::Crossing | Kind::Slip => {
                    graph.neighbours.push(Vec::new());
                    let span = lengths.span;
                    (Work { points, frog: points, blades: span, frogs: span }, span + lengths.tail)
                }
                Kind::Turntable => {
                    graph.neighbours.push(Vec::new());
                    let half = plan.turntable[index].length.value.si() / 2.0;
                    (Work { points, frog: points, blades: 0.0, frogs: 0.0 }, half)
                }
                _ => continue,
            };
            for word in ports(plan, kind, index) {
                let at = if word == "points" { (work.points, 0.0) } else { (work.frog, port) };
                port_of.insert((kind, index, word), at);
            }
            graph.works.insert((kind, index), work);
        }
        let mut along = vec![Vec::new(); plan.bus.len()];
        for (track, table) in plan.track.iter().enumerate() {
            graph.join(2 * track, 2 * track + 1, table.length.value.si());
            for (end, text) in [(2 * track, &table.from), (2 * track + 1, &table.to)] {
                let (to, distance) = match names.end(plan, &text.value) {
                    Ok(EndOf::Track(other, side)) => (2 * other + usize::from(side == TrackEnd::To), 0.0),
                    Ok(EndOf::Work(kind, index, word)) => match port_of.get(&(kind, index, word)) {
                        Some(&port) => port,
                        None => continue,
                    },
                    _ => continue,
                };
                graph.join(end, to, distance);
            }
            if let Some(runs) = &table.along
                && let Ok((_, bus)) = names.of_kind(&runs.value.bus.value, &[Kind::Bus])
            {
                let ends = [runs.value.from.value.si(), runs.value.to.value.si()];
                along[bus].push((track, ends));
                graph.runs_along[track] = Some((bus, ends));
            }
        }
        graph.along = along.into_iter().map(Along::new).collect();
        graph
    }

    fn join(&mut self, a: usize, b: usize, distance: f64) {
        self.neighbours[a].push((b, distance));
        self.neighbours[b].push((a, distance));
    }

    /// A place on a track, metres from its `from` end.
    pub(crate) fn on_track(&self, track: usize, x: f64) -> Location {
        let rest = (self.plan.track[track].length.value.si() - x).max(0.0);
        Location { near: vec![(2 * track, x), (2 * track + 1, rest)], on: vec![(track, x)] }
    }

    /// The bus that a track runs along, and the place on it beside a place on the track.
    pub(crate) fn beside(&self, track: usize, x: f64) -> Option<(usize, f64)> {
        let (bus, ends) = self.runs_along[track]?;
        Some((bus, ends[0] + x / self.plan.track[track].length.value.si() * (ends[1] - ends[0])))
    }

    /// The place on a track beside a place on the bus whose places at its ends these are.
    fn beside_bus(&self, track: usize, ends: &[f64; 2], place: f64) -> f64 {
        let run = ends[1] - ends[0];
        let share = if run == 0.0 { 0.0 } else { ((place - ends[0]) / run).clamp(0.0, 1.0) };
        share * self.plan.track[track].length.value.si()
    }

    /// The frogs of a piece of trackwork.
    pub(crate) fn frog(&self, kind: Kind, index: usize) -> Option<Location> {
        let work = self.works.get(&(kind, index))?;
        Some(Location { near: vec![(work.frog, work.frogs)], on: Vec::new() })
    }

    /// What moves parts of trackwork sits beside the blades of one of them.
    pub(crate) fn motor(&self, moved: impl Iterator<Item = Moved>) -> Option<Location> {
        let works = moved.filter_map(|m| self.works.get(&(m.kind, m.index)));
        let near: Vec<_> = works.map(|work| (work.points, work.blades)).collect();
        (!near.is_empty()).then_some(Location { near, on: Vec::new() })
    }

    /// Where a place of a bus lies, as the tracks that run along it say; none where none does.
    pub(crate) fn on_bus(&self, bus: usize, place: f64) -> Option<Location> {
        let (beyond, tracks) = self.along[bus].nearest(place)?;
        let mut found = Location { near: Vec::new(), on: Vec::new() };
        // Roads side by side run along the same piece of bus.
        for (track, ends) in &tracks {
            let here = self.on_track(*track, self.beside_bus(*track, ends, place));
            found.near.extend(here.near.into_iter().map(|(point, distance)| (point, distance + beyond)));
            found.on.extend(here.on.into_iter().filter(|_| beyond < STEP));
        }
        Some(found)
    }

    /// Where a supply stands: at the start of a bus that it feeds.
    pub(crate) fn supply(&self, names: &Names, supply: usize) -> Option<Location> {
        let fed = |bus: &usize| {
            let text = self.plan.bus[*bus].supply.as_ref();
            text.is_some_and(|text| names.get(&text.value) == Some((Kind::Supply, supply)))
        };
        let starts = (0..self.plan.bus.len()).filter(fed).filter_map(|bus| self.on_bus(bus, 0.0));
        let near: Vec<_> = starts.flat_map(|location| location.near).collect();
        (!near.is_empty()).then_some(Location { near, on: Vec::new() })
    }

    /// How far it is from one place to another, in metres; none where no track leads there.
    pub(crate) fn distance(&self, from: &Location, to: &Location) -> Option<f64> {
        let pairs = from.on.iter().flat_map(|a| to.on.iter().map(move |b| (a, b))).filter(|(a, b)| a.0 == b.0);
        let mut least = pairs.map(|(a, b)| (a.1 - b.1).abs()).fold(f64::INFINITY, f64::min);
        let mut done = BTreeSet::new();
        let mut heap: BinaryHeap<Reverse<(Ordered, usize)>> =
            from.near.iter().map(|&(point, d)| Reverse((Ordered(d), point))).collect();
        while let Some(Reverse((Ordered(distance), point))) = heap.pop() {
            if distance >= least {
                break;
            }
            if !done.insert(point) {
                continue;
            }
            let there = to.near.iter().filter(|n| n.0 == point).map(|n| distance + n.1);
            least = there.fold(least, f64::min);
            let next = self.neighbours[point].iter().filter(|n| !done.contains(&n.0));
            heap.extend(next.map(|&(to, d)| Reverse((Ordered(distance + d), to))));
        }
        least.is_finite().then_some(least)
    }

    /// Where a bus passes nearest to a place; none where no track that leads there runs along it.
    pub(crate) fn nearest(&self, bus: usize, from: &Location) -> Option<Nearest> {
        if let [(track, x)] = from.on[..]
            && let Some((_, place)) = self.beside(track, x).filter(|(along, _)| *along == bus)
        {
            return Some(Nearest { place, distance: 0.0 });
        }
        let to_bus = self.to_bus[bus].get_or_init(|| self.all_nearest(bus));
        let by =
            |&(point, d): &(usize, f64)| to_bus[point].map(|n| Nearest { place: n.place, distance: n.distance + d });
        from.near.iter().filter_map(by).min_by_key(|n| key(n.distance, n.place))
    }

    /// For each point of the graph the nearest place of a bus.
    fn all_nearest(&self, bus: usize) -> Vec<Option<Nearest>> {
        let mut found = vec![None; self.neighbours.len()];
        let tracks = self.along[bus].tracks.iter();
        let starts = tracks.flat_map(|(track, ends)| [(2 * track, ends[0]), (2 * track + 1, ends[1])]);
        let mut heap: BinaryHeap<Reverse<Candidate>> =
            starts.map(|(point, place)| Reverse((key(0.0, place), Bits(0.0, place), point))).collect();
        while let Some(Reverse((_, Bits(distance, place), point))) = heap.pop() {
            if found[point].is_some() {
                continue;
            }
            found[point] = Some(Nearest { place, distance });
            for &(to, d) in self.neighbours[point].iter().filter(|n| found[n.0].is_none()) {
                heap.push(Reverse((key(distance + d, place), Bits(distance + d, place), to)));
            }
        }
        found
    }
}

/// A point of the graph that a place of a bus may be nearest to: in which order it is taken, how far it is and which place, the point.
type Candidate = ((i64, i64), Bits, usize);

/// By which of two nearest places the nearer one is taken, and of two that are equally near the first along the bus.
fn key(distance: f64, place: f64) -> (i64, i64) {
    ((distance / STEP).round() as i64, (place / STEP).round() as i64)
}

/// A distance that can be compared.
#[derive(Clone, Copy, PartialEq)]
struct Ordered(f64);
impl Eq for Ordered {}
impl PartialOrd for Ordered {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Ordered {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// A distance and a place, compared exactly where they are equal in steps.
#[derive(Clone, Copy, PartialEq)]
struct Bits(f64, f64);
impl Eq for Bits {}
impl PartialOrd for Bits {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Bits {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0).then(self.1.total_cmp(&other.1))
    }
}
