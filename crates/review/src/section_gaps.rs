//! A section that changes its phase or its supply and lacks a gap: in which rail, at which end.

use crate::context::Context;
use crate::fixes::Change;
use crate::gap_place::{gap_item, place};
use circuit::{Circuit, EdgeId, EdgeKind, Neighbours, NodeId, PoleId, RailOwner, SegmentId};
use finding::Edit;
use plan::tables::RailSide;
use plan::{Kind, TrackEnd, edit};
use std::collections::{BTreeMap, BTreeSet};

/// What changes on a section.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Changes {
    /// Which pole of a supply each rail is on: both rails change together.
    Phase,
    /// Which supply a rail hangs on; the other rail may hang on one for good.
    Supply,
    /// Nothing: two districts meet there.
    Nothing,
}

impl Changes {
    /// Whether it changes where wires bring these poles.
    fn between(self, poles: &BTreeSet<PoleId>) -> bool {
        poles.iter().any(|pole| match self {
            Changes::Phase => poles.contains(&pole.other()),
            Changes::Supply => poles.iter().any(|other| other.source != pole.source),
            Changes::Nothing => false,
        })
    }

    /// What a section of that kind needs.
    fn needs(self) -> &'static str {
        match self {
            Changes::Phase => "a section that changes its phase needs a gap in both rails at both ends",
            Changes::Supply => "a rail that changes its supply needs a gap at both ends",
            Changes::Nothing => "where two districts meet both rails need a gap",
        }
    }
}

/// A rail that runs from a section to trackwork, or to what is fed otherwise, uncut.
pub(crate) struct Lacking {
    changes: Changes,
    track: SegmentId,
    end: TrackEnd,
    side: RailSide,
    /// Where the other rail is cut at that end, metres from the track's `from` end.
    other: Option<f64>,
}

/// The gaps that the sections on some segments lack. A section is where a rail is fed by what can bring either pole.
pub(crate) fn lacking(facts: &Context<'_>, segments: &[SegmentId]) -> Vec<Lacking> {
    let circuit = &facts.circuit;
    let tracks: BTreeSet<SegmentId> = segments.iter().copied().filter(|&s| s < circuit.tracks).collect();
    let neighbours = circuit.neighbours();
    let poles = circuit.on_bus();
    let mut found = Vec::new();
    for track in tracks {
        let fed = changing_feeds(circuit, &neighbours, &poles, track);
        for (end, at) in [
            (TrackEnd::From, fed.iter().copied().reduce(f64::min)),
            (TrackEnd::To, fed.iter().copied().reduce(f64::max)),
        ] {
            let Some(at) = at else { continue };
            let cuts = RailSide::ALL.map(|side| nearest_gap(circuit, track, side, end, at));
            for side in RailSide::ALL {
                let work = runs_to_work(circuit, track, end, side).filter(|_| cuts[side].is_none());
                if work.is_some_and(|work| leads_to_steady_feed(circuit, &neighbours, &poles, (track, work))) {
                    found.push(Lacking { changes: Changes::Phase, track, end, side, other: cuts[side.other()] });
                }
            }
        }
    }
    found
}

/// The gap that is missing on a path that leads from where a section is fed to another feed: beside the first gap in the other
/// rail that the path passes; where it passes none, behind the first trackwork. A section may well have trackwork of its own.
pub(crate) fn lacking_on(facts: &Context<'_>, path: &[EdgeId], changes: Changes) -> Option<Lacking> {
    let circuit = &facts.circuit;
    let mut rails: BTreeMap<EdgeId, (SegmentId, RailSide, usize)> = BTreeMap::new();
    for (segment, s) in circuit.segments.iter().enumerate() {
        for side in RailSide::ALL {
            rails.extend(s.rails[side].pieces.iter().enumerate().map(|(k, &piece)| (piece, (segment, side, k))));
        }
    }
    let first = path.iter().position(|edge| rails.contains_key(edge))?;
    let last = path.iter().rposition(|edge| rails.contains_key(edge))?;
    let brings = |edges: &[EdgeId]| brings_what_changes(circuit, edges, changes);
    let along: Vec<EdgeId> = if brings(&path[..first]) {
        path[first..=last].to_vec()
    } else if brings(&path[last + 1..]) {
        path[first..=last].iter().rev().copied().collect()
    } else {
        return None;
    };
    let work_of = |segment: SegmentId| match circuit.segments[segment].owner {
        RailOwner::Work { kind, index, .. } => Some((kind, index)),
        RailOwner::Track(_) => None,
    };
    let (mut work, mut behind) = (None, None);
    let along: Vec<(SegmentId, RailSide, usize)> = along.iter().filter_map(|edge| rails.get(edge)).copied().collect();
    for (i, &(track, side, piece)) in along.iter().enumerate() {
        let segment = &circuit.segments[track];
        if let Some(passed) = work_of(track) {
            work = Some(passed);
            continue;
        }
        let stops = &segment.rails[side].stops;
        let joins = |end: usize| work.is_some() && segment.ends[end].next.iter().any(|n| work_of(n.0) == work);
        let on_same = |other: Option<usize>| other.and_then(|k| along.get(k)).filter(|o| o.0 == track).map(|o| o.2);
        // Which way the path leads over a piece shows in the one behind or before it; a piece alone is come to from trackwork.
        let upwards = match (on_same(i.checked_sub(1)), on_same(Some(i + 1))) {
            (Some(before), _) => before < piece,
            (None, Some(next)) => piece < next,
            (None, None) if work.is_none() => piece > 0,
            (None, None) => !joins(1),
        };
        let beside = stops[piece].x..=stops[piece + 1].x;
        let gaps = circuit.gaps_of(track).iter().filter(|g| g.side != side && beside.contains(&g.x)).map(|g| g.x);
        if let Some(x) = gaps.reduce(if upwards { f64::min } else { f64::max }) {
            let end = if x < segment.length / 2.0 { TrackEnd::From } else { TrackEnd::To };
            return Some(Lacking { changes, track, end, side, other: Some(x) });
        }
        if let (None, Some(end)) = (&behind, (0..2).find(|&end| joins(end))) {
            let end = if end == 0 { TrackEnd::From } else { TrackEnd::To };
            behind = Some(Lacking { changes, track, end, side, other: None });
        }
    }
    behind
}

/// The segments whose rails a path leads over.
pub(crate) fn rail_segments(facts: &Context<'_>, edges: &[EdgeId]) -> Vec<SegmentId> {
    let segments = facts.circuit.segments.iter().enumerate();
    let over = segments.filter(|(_, s)| s.rails.iter().any(|r| r.pieces.iter().any(|p| edges.contains(p))));
    over.map(|(i, _)| i).collect()
}

/// Gaps of one rail alone next to trackwork that a path leads over, each as the one that lacks in the other rail: of a triangle whose
/// tail is the section, the legs are cut, and the path of a fault need not lead over the leg that is not.
pub(crate) fn half_cut(facts: &Context<'_>, path: &[EdgeId]) -> Vec<Lacking> {
    let circuit = &facts.circuit;
    let work_of = |segment: SegmentId| match circuit.segments[segment].owner {
        RailOwner::Work { kind, index, .. } => Some((kind, index)),
        RailOwner::Track(_) => None,
    };
    let over: BTreeSet<(Kind, usize)> = rail_segments(facts, path).into_iter().filter_map(work_of).collect();
    let mut found = Vec::new();
    for track in 0..circuit.tracks {
        let segment = &circuit.segments[track];
        for (at, end) in [TrackEnd::From, TrackEnd::To].into_iter().enumerate() {
            let meets = segment.ends[at].next.iter().filter_map(|n| work_of(n.0)).any(|work| over.contains(&work));
            if !meets {
                continue;
            }
            let near = |side: RailSide| {
                let from_end = |x: f64| if at == 0 { x } else { segment.length - x };
                let of_side = circuit.gaps_of(track).iter().filter(|g| g.side == side).map(|g| g.x);
                of_side
                    .filter(|x| from_end(*x) < segment.length / 2.0)
                    .min_by(|a, b| from_end(*a).total_cmp(&from_end(*b)))
            };
            for side in RailSide::ALL {
                if let (None, Some(other)) = (near(side), near(side.other())) {
                    found.push(Lacking { changes: Changes::Phase, track, end, side, other: Some(other) });
                }
            }
        }
    }
    found
}

/// Gaps of one rail alone, each as the one that lacks in the other rail, over which a path leads from one district to another.
pub(crate) fn half_cut_on(facts: &Context<'_>, path: &[EdgeId]) -> Vec<Lacking> {
    let circuit = &facts.circuit;
    let mut found = Vec::new();
    for track in rail_segments(facts, path).into_iter().filter(|&track| track < circuit.tracks) {
        let segment = &circuit.segments[track];
        for side in RailSide::ALL {
            let line = &segment.rails[side];
            let leads_over = |x: f64| {
                let mut pieces = line.pieces.iter().zip(line.stops.windows(2));
                pieces.any(|(piece, ends)| path.contains(piece) && ends[0].x <= x && x <= ends[1].x)
            };
            let gaps = |of: RailSide| circuit.gaps_of(track).iter().filter(move |g| g.side == of).map(|g| g.x);
            for x in gaps(side.other()).filter(|&x| leads_over(x) && !gaps(side).any(|own| (own - x).abs() < BESIDE)) {
                let end = if x < segment.length / 2.0 { TrackEnd::From } else { TrackEnd::To };
                found.push(Lacking { changes: Changes::Nothing, track, end, side, other: Some(x) });
            }
        }
    }
    found
}

/// Gaps of both rails that are no further apart are at one place, metres.
const BESIDE: f64 = 0.15;

/// Whether one of some wires lands on a track and brings what changes.
fn brings_what_changes(circuit: &Circuit, edges: &[EdgeId], changes: Changes) -> bool {
    let (neighbours, poles) = (circuit.neighbours(), circuit.on_bus());
    let tracks = circuit.segments.iter().filter(|s| matches!(s.owner, RailOwner::Track(_)));
    let stops = tracks.flat_map(|s| &s.rails).flat_map(|rail| &rail.stops);
    let on_track: BTreeSet<NodeId> = stops.flat_map(|stop| [stop.before, stop.after]).collect();
    let wires = edges.iter().map(|&edge| &circuit.edges[edge]);
    let mut ends = wires
        .filter(|edge| matches!(edge.kind, EdgeKind::Feeder | EdgeKind::Wire))
        .flat_map(|edge| [[edge.a, edge.b], [edge.b, edge.a]]);
    ends.any(|ends| on_track.contains(&ends[0]) && changes.between(&brought(circuit, &neighbours, &poles, ends)))
}

/// What is lacking, in words.
pub(crate) fn words_of(facts: &Context<'_>, lacking: &Lacking) -> String {
    let name = &facts.circuit.segments[lacking.track].name;
    let beside = match lacking.other {
        Some(at) => format!(", where the other rail has one at {}", facts.plan.units().metres(at)),
        None => String::new(),
    };
    let (needs, side, end) = (lacking.changes.needs(), lacking.side.word(), lacking.end.word());
    format!("{needs}: the {side} rail of `{name}` has none at the `{end}` end{beside}")
}

/// The gaps cut: each by itself, then all together.
pub(crate) fn changes(facts: &Context<'_>, lacking: &[Lacking]) -> Vec<Change> {
    let mut changes: Vec<Change> = lacking.iter().map(|one| cut(facts, one)).collect();
    if changes.len() > 1 {
        let says = changes.iter().map(|c| c.0.as_str()).collect::<Vec<_>>().join("; ");
        let mut of_track: Vec<(SegmentId, Vec<String>)> = Vec::new();
        for one in lacking {
            match of_track.iter_mut().find(|t| t.0 == one.track) {
                Some(items) => items.1.push(item(facts, one)),
                None => of_track.push((one.track, vec![item(facts, one)])),
            }
        }
        changes.push((says, of_track.iter().flat_map(|(track, items)| add(facts, *track, items)).collect()));
    }
    changes
}

fn cut(facts: &Context<'_>, one: &Lacking) -> Change {
    let name = &facts.circuit.segments[one.track].name;
    let says = format!(
        "cut a gap in the {} rail of `{name}` at {}",
        one.side.word(),
        facts.plan.units().written(at(facts, one))
    );
    (says, add(facts, one.track, &[item(facts, one)]))
}

fn at(facts: &Context<'_>, one: &Lacking) -> f64 {
    one.other.unwrap_or_else(|| place(facts, one.track, one.end, one.side))
}

fn item(facts: &Context<'_>, one: &Lacking) -> String {
    gap_item(facts.plan.units(), at(facts, one), one.side)
}

fn add(facts: &Context<'_>, track: SegmentId, items: &[String]) -> Vec<Edit> {
    let table = &facts.plan.track[track];
    edit::add_to_list(facts.text, &table.gaps, &table.place, "gaps", &items.join(", "))
}

/// Where wires land on a track that can bring either pole of a supply, metres from its `from` end.
fn changing_feeds(circuit: &Circuit, neighbours: &Neighbours, poles: &Poles, track: SegmentId) -> Vec<f64> {
    feeds(circuit, neighbours, poles, track).into_iter().filter(|feed| feed.1).map(|feed| feed.0).collect()
}

/// Where wires land on a track, metres from its `from` end, and whether what they bring can be either pole of a supply.
fn feeds(circuit: &Circuit, neighbours: &Neighbours, poles: &Poles, track: SegmentId) -> Vec<(f64, bool)> {
    let mut found = Vec::new();
    for stop in circuit.segments[track].rails.iter().flat_map(|rail| &rail.stops) {
        for node in [stop.before, stop.after] {
            let wires = neighbours[node].iter();
            let wires = wires.filter(|n| matches!(circuit.edges[n.1].kind, EdgeKind::Feeder | EdgeKind::Wire));
            let each = wires.map(|&(far, _)| brought(circuit, neighbours, poles, [node, far]));
            found.extend(each.filter(|p| !p.is_empty()).map(|p| (stop.x, Changes::Phase.between(&p))));
        }
    }
    found
}

/// Whether trackwork at the end of a section leads on to track that is fed for good: there the section ends. Where it leads to track
/// of the same section only, as at a siding within a loop, no gap is due.
fn leads_to_steady_feed(
    circuit: &Circuit,
    neighbours: &Neighbours,
    poles: &Poles,
    (track, work): (SegmentId, (Kind, usize)),
) -> bool {
    let work_of = |segment: SegmentId| match circuit.segments[segment].owner {
        RailOwner::Work { kind, index, .. } => Some((kind, index)),
        RailOwner::Track(_) => None,
    };
    let (mut works, mut tracks, mut todo) = (BTreeSet::from([work]), BTreeSet::from([track]), vec![work]);
    while let Some(work) = todo.pop() {
        let routes = (circuit.tracks..circuit.segments.len()).filter(|&s| work_of(s) == Some(work));
        let mut next: Vec<(SegmentId, TrackEnd)> =
            routes.flat_map(|route| &circuit.segments[route].ends).flat_map(|end| end.next.iter().copied()).collect();
        while let Some((at, entered)) = next.pop() {
            if let Some(other) = work_of(at) {
                if works.insert(other) {
                    todo.push(other);
                }
                continue;
            }
            if !tracks.insert(at) {
                continue;
            }
            let fed = feeds(circuit, neighbours, poles, at);
            if fed.iter().any(|feed| feed.1) {
                continue;
            }
            if !fed.is_empty() {
                return true;
            }
            next.extend(circuit.segments[at].ends[usize::from(entered == TrackEnd::From)].next.iter().copied());
        }
    }
    false
}

/// See [`Circuit::on_bus`].
type Poles = BTreeMap<NodeId, PoleId>;

/// The poles that can be behind a wire, over contacts in whatever positions, over no rail and no bus.
fn brought(circuit: &Circuit, neighbours: &Neighbours, poles: &Poles, [rail, far]: [NodeId; 2]) -> BTreeSet<PoleId> {
    let (mut seen, mut todo) = (BTreeSet::from([rail]), vec![far]);
    let mut met = BTreeSet::new();
    while let Some(node) = todo.pop() {
        if let Some(pole) = poles.get(&node) {
            met.insert(*pole);
            continue;
        }
        if !seen.insert(node) {
            continue;
        }
        let wire = |edge: EdgeId| {
            use EdgeKind::{Contact, Feeder, Tap, Wire};
            matches!(circuit.edges[edge].kind, Feeder | Wire | Contact | Tap)
        };
        // A wire that ends on rail leads no further.
        let on_rail = |node: NodeId| neighbours[node].iter().any(|n| circuit.edges[n.1].kind == EdgeKind::Rail);
        todo.extend(neighbours[node].iter().filter(|n| wire(n.1) && !on_rail(n.0)).map(|n| n.0));
    }
    met
}

/// The gap next to a place in one rail, towards one end of the track.
fn nearest_gap(circuit: &Circuit, track: SegmentId, side: RailSide, end: TrackEnd, at: f64) -> Option<f64> {
    let gaps = circuit.gaps.iter().filter(|g| (g.segment, g.side) == (track, side)).map(|g| g.x);
    match end {
        TrackEnd::From => gaps.filter(|x| *x <= at).reduce(f64::max),
        TrackEnd::To => gaps.filter(|x| *x >= at).reduce(f64::min),
    }
}

/// The trackwork that a rail runs on to from an end of its track without a gap.
fn runs_to_work(circuit: &Circuit, track: SegmentId, end: TrackEnd, side: RailSide) -> Option<(Kind, usize)> {
    let (mut at, mut leaves, mut side) = (track, usize::from(end == TrackEnd::To), side);
    for _ in 0..circuit.segments.len() {
        let &(other, entered) = circuit.segments[at].ends[leaves].next.first()?;
        if let RailOwner::Work { kind, index, .. } = circuit.segments[other].owner {
            return Some((kind, index));
        }
        let enters = usize::from(entered == TrackEnd::To);
        side = if enters == leaves { side.other() } else { side };
        if circuit.gaps.iter().any(|g| (g.segment, g.side) == (other, side)) {
            return None;
        }
        (at, leaves) = (other, 1 - enters);
    }
    None
}
