//! A section that changes its phase and lacks a gap: in which rail, at which end.

use crate::context::Context;
use crate::fixes::{Change, plan_metres};
use crate::gap_place::{gap_item, place};
use analysis::words;
use circuit::{Circuit, EdgeId, EdgeKind, Neighbours, NodeId, PoleId, RailOwner, SegmentId};
use finding::Edit;
use plan::tables::RailSide;
use plan::{TrackEnd, edit};
use std::collections::{BTreeMap, BTreeSet};

/// A rail that runs from a section to trackwork uncut.
pub(crate) struct Lacking {
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
                if cuts[side].is_none() && runs_to_work(circuit, track, end, side) {
                    found.push(Lacking { track, end, side, other: cuts[side.other()] });
                }
            }
        }
    }
    found
}

/// What is lacking, in words.
pub(crate) fn words_of(facts: &Context<'_>, lacking: &Lacking) -> String {
    let name = &facts.circuit.segments[lacking.track].name;
    let beside = match lacking.other {
        Some(at) => format!(", where the other rail has one at {}", words::metres(at)),
        None => String::new(),
    };
    format!(
        "a section that changes its phase needs a gap in both rails at both ends: the {} rail of `{name}` has none at the \
         `{}` end{beside}",
        lacking.side.word(),
        lacking.end.word()
    )
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
    let says = format!("cut a gap in the {} rail of `{name}` at {}", one.side.word(), plan_metres(at(facts, one)));
    (says, add(facts, one.track, &[item(facts, one)]))
}

fn at(facts: &Context<'_>, one: &Lacking) -> f64 {
    one.other.unwrap_or_else(|| place(facts, one.track, one.end, one.side))
}

fn item(facts: &Context<'_>, one: &Lacking) -> String {
    gap_item(at(facts, one), one.side)
}

fn add(facts: &Context<'_>, track: SegmentId, items: &[String]) -> Vec<Edit> {
    let table = &facts.plan.track[track];
    edit::add_to_list(facts.text, &table.gaps, &table.place, "gaps", &items.join(", "))
}

/// Where wires land on a track that can bring either pole of a supply, metres from its `from` end.
fn changing_feeds(circuit: &Circuit, neighbours: &Neighbours, poles: &Poles, track: SegmentId) -> Vec<f64> {
    let stops = circuit.segments[track].rails.iter().flat_map(|rail| &rail.stops);
    let lands = |node: NodeId| {
        let mut wires =
            neighbours[node].iter().filter(|n| matches!(circuit.edges[n.1].kind, EdgeKind::Feeder | EdgeKind::Wire));
        wires.any(|&(far, _)| brings_either(circuit, neighbours, poles, [node, far]))
    };
    stops.filter(|stop| lands(stop.before) || lands(stop.after)).map(|stop| stop.x).collect()
}

/// See [`Circuit::on_bus`].
type Poles = BTreeMap<NodeId, PoleId>;

/// Whether both poles of a supply can be behind a wire, over contacts in whatever positions, over no rail and no bus.
fn brings_either(circuit: &Circuit, neighbours: &Neighbours, poles: &Poles, [rail, far]: [NodeId; 2]) -> bool {
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
    met.iter().any(|pole: &PoleId| met.contains(&pole.other()))
}

/// The gap next to a place in one rail, towards one end of the track.
fn nearest_gap(circuit: &Circuit, track: SegmentId, side: RailSide, end: TrackEnd, at: f64) -> Option<f64> {
    let gaps = circuit.gaps.iter().filter(|g| (g.segment, g.side) == (track, side)).map(|g| g.x);
    match end {
        TrackEnd::From => gaps.filter(|x| *x <= at).reduce(f64::max),
        TrackEnd::To => gaps.filter(|x| *x >= at).reduce(f64::min),
    }
}

/// Whether a rail runs on from an end of its track to trackwork without a gap.
fn runs_to_work(circuit: &Circuit, track: SegmentId, end: TrackEnd, side: RailSide) -> bool {
    let (mut at, mut leaves, mut side) = (track, usize::from(end == TrackEnd::To), side);
    for _ in 0..circuit.segments.len() {
        let next = &circuit.segments[at].ends[leaves].next;
        let Some(&(other, entered)) = next.first() else { return false };
        if matches!(circuit.segments[other].owner, RailOwner::Work { .. }) {
            return true;
        }
        let enters = usize::from(entered == TrackEnd::To);
        side = if enters == leaves { side.other() } else { side };
        if circuit.gaps.iter().any(|g| (g.segment, g.side) == (other, side)) {
            return false;
        }
        (at, leaves) = (other, 1 - enters);
    }
    false
}
