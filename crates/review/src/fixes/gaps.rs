//! Gaps that end a fault: where one goes, and which are missing behind the frogs of a short.

use crate::context::Context;
use crate::fixes::proving::fixes;
use crate::fixes::reversing::sections;
use crate::fixes::wires::wire_moves;
use crate::fixes::{Change, first_good};
use crate::gap_place::{from_end, gap_item, gapped_near, place};
use circuit::{EdgeId, EdgeKind, NodeId, Part, RailOwner};
use finding::{Edit, Proposal};
use plan::tables::RailSide;
use plan::{EndOf, TrackEnd, edit};
use proof::{Proof, Short};
use std::collections::{BTreeMap, BTreeSet};

/// Ends a short: by moving a wire or else by cutting a gap behind a frog where one was forgotten, or two at the ends of one
/// track.
pub(crate) fn short(facts: &Context<'_>, short: &Short) -> Option<Proposal> {
    // Fewer of all, and of those in this setting: an edit that ends another one is that one's fix.
    let such = |of: &Short| (&of.poles, &of.witness.setting) == (&short.poles, &short.witness.setting);
    let count = |proof: &Proof| (proof.shorts.len(), proof.shorts.iter().filter(|s| such(s)).count());
    let were = facts.proof().map_or((0, 0), count);
    let fewer = |proof: &Proof| {
        let are = count(proof);
        are.0 < were.0 && are.1 < were.1
    };
    let moved = first_good(facts, "short-circuit", wire_moves(facts, &short.witness.edges), fewer);
    let over = crate::section_gaps::rail_segments(facts, &short.witness.edges);
    let lacking = crate::loops::lacking(facts, &over, &short.witness.edges);
    moved
        .or_else(|| first_good(facts, "short-circuit", crate::section_gaps::changes(facts, &lacking), fewer))
        .or_else(|| first_good(facts, "short-circuit", gaps_for_short(facts, short), fewer))
        .or_else(|| behind_frogs(facts, &fewer))
        .or_else(|| first_good(facts, "short-circuit", sections(facts, &over), fewer))
}

/// Ends a short that hides other faults in its settings: a wire moved or one gap cut, after which the fewest are left; and how many.
pub(crate) fn short_that_hides(facts: &Context<'_>, short: &Short) -> Option<(Proposal, usize)> {
    let changes = wire_moves(facts, &short.witness.edges).into_iter().chain(gaps_for_short(facts, short));
    let ((says, edits), left) = crate::fixes::proving::fewest_left(facts, short, changes)?;
    Some((Proposal { says, edits }, left))
}

fn gaps_for_short(facts: &Context<'_>, short: &Short) -> Vec<Change> {
    let circuit = &facts.circuit;
    let (mut single, mut pairs) = (Vec::new(), Vec::new());
    for (index, track) in facts.plan.track.iter().enumerate() {
        let on_path = |side: RailSide| {
            circuit.segments[index].rails[side].pieces.iter().any(|piece| short.witness.edges.contains(piece))
        };
        let ends = ends_at_work(facts, index);
        if !RailSide::ALL.into_iter().any(on_path) {
            continue;
        }
        let cut = |end: TrackEnd, side: RailSide| {
            let at = place(facts, index, end, side);
            (at, gap_item(facts.plan.units(), at, side))
        };
        let says = |cuts: &[(TrackEnd, RailSide, f64)]| {
            let each: Vec<String> = cuts
                .iter()
                .map(|&(end, side, at)| {
                    let out = facts.plan.units().metres(from_end(track, end, at));
                    format!("in the {} rail {out} from the turnout at its `{}` end", side.word(), end.word())
                })
                .collect();
            format!(
                "cut {} in `{}`: {}",
                if each.len() == 1 { "a gap" } else { "gaps" },
                track.name.value,
                each.join(", and ")
            )
        };
        let add =
            |items: &[String]| edit::add_to_list(facts.text, &track.gaps, &track.place, "gaps", &items.join(", "));
        for &end in &ends {
            for side in RailSide::ALL.into_iter().filter(|&side| on_path(side) && !gapped_near(facts, index, end, side))
            {
                let (at, item) = cut(end, side);
                single.push((says(&[(end, side, at)]), add(&[item])));
            }
        }
        if let [one, other] = ends.as_slice() {
            for side in RailSide::ALL {
                let (near, far) = (cut(*one, side), cut(*other, side.other()));
                pairs.push((says(&[(*one, side, near.0), (*other, side.other(), far.0)]), add(&[near.1, far.1])));
            }
        }
    }
    single.into_iter().chain(pairs).collect()
}

/// Gaps where two tracks, or a track and trackwork, meet, along some path: first where the rails on either side are meant for
/// different conductors. In both rails where `both` and the other rail has none there either, then in the one alone.
pub(crate) fn at_end_joints(facts: &Context<'_>, path: &[EdgeId], both: bool) -> Vec<Change> {
    let circuit = &facts.circuit;
    let mut found = Vec::new();
    for &edge in path {
        let Part::EndJoint { track, end, side } = circuit.edges[edge].part else { continue };
        let (table, segment) = (&facts.plan.track[track], &circuit.segments[track]);
        let x = if end == TrackEnd::From { 0.0 } else { segment.length };
        let Some(&(next, joined)) = segment.ends[usize::from(end == TrackEnd::To)].next.first() else { continue };
        let there = if end == joined { side.other() } else { side };
        let intended =
            |segment: usize, side: RailSide| circuit.intended_pole.get(segment).and_then(|poles| poles[side.index()]);
        let differ = match (intended(track, side), intended(next, there)) {
            (Some(one), Some(other)) => one != other,
            _ => false,
        };
        let cut_beside = |segment: usize, side: RailSide, at: f64| {
            circuit.gaps.iter().any(|g| (g.segment, g.side) == (segment, side) && (g.x - at).abs() < NEAR_END)
        };
        let next_at = if joined == TrackEnd::From { 0.0 } else { circuit.segments[next].length };
        let other_cut = cut_beside(track, side.other(), x) || cut_beside(next, there.other(), next_at);
        let place = edit::quoted(&facts.plan.units().written(x));
        let meets = format!("where `{}` meets `{}`", segment.name, circuit.segments[next].name);
        let add = |item: &str| edit::add_to_list(facts.text, &table.gaps, &table.place, "gaps", item);
        if both && !other_cut {
            found.push((!differ, (format!("cut a gap in both rails {meets}"), add(&place))));
        }
        let one = format!("{{ at = {place}, rail = \"{}\" }}", side.word());
        found.push((!differ, (format!("cut a gap in the {} rail {meets}", side.word()), add(&one))));
    }
    found.sort_by_key(|(last, _)| *last);
    found.into_iter().map(|(_, change)| change).take(MOST_JOINTS).collect()
}

/// A gap nearer than this to where two tracks meet is the gap of that place, metres.
const NEAR_END: f64 = 0.15;
/// Changes at joints that are tried.
const MOST_JOINTS: usize = 12;

/// A rail next to trackwork: its track, which end of it, and which rail.
type Behind = (usize, TrackEnd, RailSide);

/// All gaps that are missing behind the frogs that a short runs over, else behind all frogs: cut together, and left off again
/// one by one where the rest will do.
fn behind_frogs(facts: &Context<'_>, fewer: &impl Fn(&Proof) -> bool) -> Option<Proposal> {
    let Ok(proof) = facts.proof() else { return None };
    let met: BTreeSet<NodeId> = proof.shorts.iter().flat_map(|s| s.witness.nodes.iter().copied()).collect();
    let missing = |only_met: bool| {
        let frogs = facts.circuit.frogs.iter().filter(|f| !only_met || met.contains(&f.2));
        let mut rails: Vec<Behind> = frogs.flat_map(|f| rails_of_frog(facts, f.2)).collect();
        rails.retain(|&(track, end, side)| !gapped_near(facts, track, end, side));
        rails.sort_unstable();
        rails.dedup();
        rails
    };
    let good = |cuts: &[Behind]| fixes(facts, &edits_of(facts, cuts), "short-circuit", fewer);
    let mut missing = [missing(true), missing(false)].into_iter().find(|cuts| cuts.len() > 1 && good(cuts))?;
    for behind in missing.clone() {
        let rest: Vec<Behind> = missing.iter().copied().filter(|&b| b != behind).collect();
        if good(&rest) {
            missing = rest;
        }
    }
    let each: Vec<String> = missing
        .iter()
        .map(|&(track, end, side)| {
            let table = &facts.plan.track[track];
            let out = facts.plan.units().metres(from_end(table, end, place(facts, track, end, side)));
            format!("`{}`'s {} rail, {out} from its `{}` end", table.name.value, side.word(), end.word())
        })
        .collect();
    Some(Proposal {
        says: format!("cut a gap behind each frog: {}", each.join("; ")),
        edits: edits_of(facts, &missing),
    })
}

fn edits_of(facts: &Context<'_>, cuts: &[Behind]) -> Vec<Edit> {
    let mut of_track: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for &(track, end, side) in cuts {
        of_track.entry(track).or_default().push(gap_item(facts.plan.units(), place(facts, track, end, side), side));
    }
    let edits = of_track.into_iter().flat_map(|(track, items)| {
        let table = &facts.plan.track[track];
        edit::add_to_list(facts.text, &table.gaps, &table.place, "gaps", &items.join(", "))
    });
    edits.collect()
}

/// The rails of tracks that run on from a frog over nothing but the rail of its own trackwork.
fn rails_of_frog(facts: &Context<'_>, frog: NodeId) -> Vec<Behind> {
    let circuit = &facts.circuit;
    let mut of_track: BTreeMap<NodeId, Behind> = BTreeMap::new();
    for (track, segment) in circuit.segments.iter().enumerate() {
        if !matches!(segment.owner, RailOwner::Track(_)) {
            continue;
        }
        for (side, rail) in RailSide::ALL.into_iter().zip(&segment.rails) {
            let ends = [(TrackEnd::From, rail.stops.first()), (TrackEnd::To, rail.stops.last())];
            for (end, stop) in ends.into_iter().filter_map(|(end, stop)| stop.map(|s| (end, s))) {
                of_track.extend([stop.before, stop.after].map(|node| (node, (track, end, side))));
            }
        }
    }
    let neighbours = circuit.neighbours();
    let (mut found, mut seen, mut todo) = (Vec::new(), BTreeSet::new(), vec![frog]);
    while let Some(node) = todo.pop() {
        if !seen.insert(node) {
            continue;
        }
        if let Some(&behind) = of_track.get(&node) {
            found.push(behind);
            continue;
        }
        let rail = |edge: EdgeId| {
            let edge = &circuit.edges[edge];
            let kind = matches!(edge.kind, EdgeKind::Rail | EdgeKind::SolderedJoint | EdgeKind::SlidingJoint);
            kind && edge.is_always_closed()
        };
        todo.extend(neighbours[node].iter().filter(|(_, edge)| rail(*edge)).map(|(next, _)| *next));
    }
    found
}

/// Ends of a track that join special trackwork.
pub(crate) fn ends_at_work(facts: &Context<'_>, track: usize) -> Vec<TrackEnd> {
    let table = &facts.plan.track[track];
    [(TrackEnd::From, &table.from), (TrackEnd::To, &table.to)]
        .into_iter()
        .filter(|(_, text)| matches!(facts.names.end(facts.plan, &text.value), Ok(EndOf::Work(..))))
        .map(|(end, _)| end)
        .collect()
}
