//! Where the track comes back to itself with left and right exchanged: which section takes up the change, and is
//! there one at all?

use crate::cycles::{self, OddCycle};
use crate::spot::GapOrStretch;
use crate::stretch::StretchGraph;
use crate::{Bridge, QueryContext, TooComplex};
use circuit::{ControlId, NodeId, PoleId, SegmentId};
use network::Condition;
use plan::Pole;
use plan::tables::RailSide;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// A reversing section (reversing loop, balloon, wye): a part of the track whose two rails change poles together, so that a train can come back turned.
#[derive(Clone, Debug, PartialEq)]
pub struct ReversingSection {
    /// What it consists of: segments, and from where to where of each, in metres.
    pub parts: Vec<(SegmentId, [f64; 2])>,
    /// Gaps that part it from the rest of the track, by their index in the circuit.
    pub gaps: Vec<usize>,
    /// At how many places it is parted from the rest.
    pub ends: usize,
    /// How long a train can be that is wholly inside, in metres: from the gaps at one end to those at the
    /// nearest other one or, where it has only one, as far as the track goes on. None where that is off the plan.
    pub length: Option<f64>,
    /// Whether a train can run through it, from one end to another; else it comes back out of the end it went in by.
    pub runs_through: bool,
    /// What its phase depends on.
    pub controls: Vec<ControlId>,
    /// Whether both sides of all its gaps agree under a train in every setting.
    pub agrees: bool,
    /// A closed way through it that comes back with left and right exchanged: segments in order. Empty
    /// where there is none, so that nothing would have to change.
    pub cycle: Vec<SegmentId>,
    /// Other sections it shares gaps with although their phases are not always the same: their index and the gap.
    pub touches: Vec<(usize, usize)>,
}

/// What was found out about the track's turning back on itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Reversing {
    pub(crate) sections: Vec<ReversingSection>,
    pub(crate) cycles: Vec<OddCycle>,
}

/// When a stretch has left on A and right on B, and when the other way round.
struct Phase {
    straight: Condition,
    crossed: Condition,
}

pub(crate) fn reversing(q: &QueryContext<'_>, bridges: &[Bridge]) -> Result<Reversing, TooComplex> {
    let track = StretchGraph::from_context(q);
    // Most plans have no such place, and then there is nothing to ask.
    if cycles::odd_links(&track, &BTreeSet::new()).is_empty() {
        return Ok(Reversing::default());
    }
    let phases: Vec<Phase> = track.stretches.iter().map(|s| phase(q, s.nodes)).collect::<Result<_, _>>()?;
    let mut changing: Vec<usize> = Vec::new();
    let mut staggered = staggered(q, &track)?;
    for (index, phase) in phases.iter().enumerate().filter(|(index, _)| !staggered.contains(index)) {
        let stretch = &track.stretches[index];
        let middle = (stretch.from + stretch.to) / 2.0;
        let spot = GapOrStretch::stretch(q.circuit, &q.lined.runs, stretch.segment, middle);
        let met = |phase: Condition| -> Result<bool, TooComplex> {
            Ok(!q.without_shorts(q.under_train_where(&spot, phase)?)?.is_false())
        };
        if met(phase.straight)? && met(phase.crossed)? {
            changing.push(index);
        }
    }
    let mut region_of = regions(q, &track, &phases, &changing, &staggered)?;
    trim(&track, &mut region_of, &mut staggered);
    let inside: BTreeSet<usize> = region_of.keys().copied().collect();
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (&stretch, &region) in &region_of {
        members.entry(region).or_default().push(stretch);
    }
    let names: Vec<usize> = members.keys().copied().collect();
    let mut sections = Vec::new();
    for (region, stretches) in &members {
        let mut section = section(q, &track, stretches, bridges);
        section.controls = controls_in_support(q, &phases, stretches, &changing)?;
        for &stretch in stretches {
            for (gap, other) in neighbours(&track, &region_of, &staggered, stretch) {
                let at = names.iter().position(|&n| n == other).unwrap_or(0);
                if other != *region && !section.touches.iter().any(|t| t.0 == at) {
                    section.touches.push((at, gap));
                }
            }
        }
        sections.push(section);
    }
    Ok(Reversing { sections, cycles: cycles::odd_cycles(q.circuit, &track, &inside) })
}

fn phase(q: &QueryContext<'_>, [left, right]: [NodeId; 2]) -> Result<Phase, TooComplex> {
    let on = |pole: Pole| -> Result<Condition, TooComplex> {
        let mut any = q.logic.never();
        for source in 0..q.circuit.sources.len() {
            let pole = PoleId { source, pole };
            let both = q.logic.and(q.live(left, pole), q.live(right, pole.other()))?;
            any = q.logic.or(any, both)?;
        }
        Ok(any)
    };
    Ok(Phase { straight: on(Pole::A)?, crossed: on(Pole::B)? })
}

/// Grows the stretches that change into sections, up to where a rail is gapped; gives the section of each stretch
/// in one. Sections whose phases never differ are one section, whatever gaps lie between them.
fn regions(
    q: &QueryContext<'_>,
    track: &StretchGraph,
    phases: &[Phase],
    changing: &[usize],
    staggered: &BTreeSet<usize>,
) -> Result<BTreeMap<usize, usize>, TooComplex> {
    let mut region: BTreeMap<usize, usize> = BTreeMap::new();
    for &seed in changing {
        if region.contains_key(&seed) {
            continue;
        }
        region.insert(seed, seed);
        let mut stack = vec![seed];
        while let Some(at) = stack.pop() {
            for (link, _, other, _) in track.beyond(at) {
                if region.contains_key(&other) || staggered.contains(&other) {
                    continue;
                }
                let link = &track.links[link];
                let joined = link.gap_count() == 0
                    || (changing.contains(&other) && same_phase(q, &phases[at], &phases[other], link.odd())?);
                if joined {
                    region.insert(other, seed);
                    stack.push(other);
                }
            }
        }
    }
    Ok(region)
}

/// Whether one rail alone is gapped at an end of a stretch, whatever it runs on into there.
fn gapped_alone(track: &StretchGraph, stretch: usize, side: RailSide, end: usize) -> bool {
    let mut links = track.onward(stretch).filter(|b| b.1 == end).peekable();
    links.peek().is_some()
        && links.all(|(link, ..)| {
            let gaps = track.gaps_seen(link, (stretch, end));
            gaps[side].is_some() && gaps[side.other()].is_none()
        })
}

/// Stretches between two gaps that do not stand opposite each other, whose rails can be on one pole: one rail is one
/// neighbour's and the other rail the other's, whatever phases these have. They belong to no section.
fn staggered(q: &QueryContext<'_>, track: &StretchGraph) -> Result<BTreeSet<usize>, TooComplex> {
    let mut found = BTreeSet::new();
    for stretch in 0..track.stretches.len() {
        let gapped = |side, end| gapped_alone(track, stretch, side, end);
        if !RailSide::ALL.into_iter().any(|side| gapped(side, 0) && gapped(side.other(), 1)) {
            continue;
        }
        let [left, right] = track.stretches[stretch].nodes;
        let mut on_one = q.logic.never();
        for pole in q.poles_of(left) {
            let both = q.logic.and(q.live(left, pole), q.live(right, pole))?;
            on_one = q.logic.or(on_one, both)?;
        }
        if !q.without_shorts(on_one)?.is_false() {
            found.insert(stretch);
        }
    }
    Ok(found)
}

/// Takes off the ends of sections where only one rail is the section's own, and adds them to the staggered ones: one
/// rail is gapped towards the section, the other towards what is outside.
fn trim(track: &StretchGraph, region_of: &mut BTreeMap<usize, usize>, staggered: &mut BTreeSet<usize>) {
    loop {
        let at_the_end = |&stretch: &usize| {
            let gapped = |side: RailSide, end: usize, inside: bool| {
                let mut links = track.onward(stretch).filter(|b| b.1 == end);
                gapped_alone(track, stretch, side, end) && links.all(|b| region_of.contains_key(&b.2) == inside)
            };
            let ends = |side: RailSide, end: usize| gapped(side, end, false) && gapped(side.other(), 1 - end, true);
            (0..2).any(|end| RailSide::ALL.into_iter().any(|side| ends(side, end)))
        };
        let Some(stretch) = region_of.keys().copied().find(at_the_end) else { return };
        region_of.remove(&stretch);
        staggered.insert(stretch);
    }
}

/// The sections that begin right where a stretch ends, or behind no more than a staggered stretch, with a gap
/// between.
fn neighbours(
    track: &StretchGraph,
    region_of: &BTreeMap<usize, usize>,
    staggered: &BTreeSet<usize>,
    stretch: usize,
) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut seen = BTreeSet::from([stretch]);
    let mut stack = vec![(stretch, None)];
    while let Some((at, passed)) = stack.pop() {
        for (link, _, other, _) in track.beyond(at) {
            let gap = passed.or(track.links[link].gaps.iter().flatten().next().copied());
            match (region_of.get(&other), gap) {
                (Some(&region), Some(gap)) => found.push((gap, region)),
                _ if staggered.contains(&other) && seen.insert(other) => stack.push((other, gap)),
                _ => {}
            }
        }
    }
    found
}

/// Whether two stretches are never on opposite phases.
fn same_phase(q: &QueryContext<'_>, one: &Phase, other: &Phase, odd: bool) -> Result<bool, TooComplex> {
    let (with, against) = if odd { (other.crossed, other.straight) } else { (other.straight, other.crossed) };
    Ok(q.logic.and(one.straight, against)?.is_false() && q.logic.and(one.crossed, with)?.is_false())
}

fn controls_in_support(
    q: &QueryContext<'_>,
    phases: &[Phase],
    stretches: &[usize],
    changing: &[usize],
) -> Result<Vec<ControlId>, TooComplex> {
    let mut controls = BTreeSet::new();
    for &stretch in stretches.iter().filter(|s| changing.contains(s)) {
        controls.extend(q.logic.support(q.without_shorts(phases[stretch].straight)?));
    }
    Ok(controls.into_iter().collect())
}

/// A section from its stretches: where it ends, how long it is, and the closed way through it.
fn section(q: &QueryContext<'_>, track: &StretchGraph, stretches: &[usize], bridges: &[Bridge]) -> ReversingSection {
    let inside: BTreeSet<usize> = stretches.iter().copied().collect();
    let mut parts: BTreeMap<SegmentId, [f64; 2]> = BTreeMap::new();
    for &stretch in stretches {
        let s = &track.stretches[stretch];
        let part = parts.entry(s.segment).or_insert([s.from, s.to]);
        *part = [part[0].min(s.from), part[1].max(s.to)];
    }
    // Doors: a stretch, and the end of it at which the section ends.
    let mut doors: BTreeMap<(usize, usize), BTreeSet<usize>> = BTreeMap::new();
    for &stretch in stretches {
        for (link, end, other, _) in track.onward(stretch) {
            if !inside.contains(&other) {
                doors.entry((stretch, end)).or_default().extend(track.links[link].gaps.into_iter().flatten());
            }
        }
    }
    let gaps: BTreeSet<usize> = doors.values().flatten().copied().collect();
    let agrees = !bridges.iter().any(|b| gaps.contains(&b.gap));
    let places: Vec<(usize, usize)> = doors.keys().copied().collect();
    let runs = runs(q, track, &inside, &places);
    let cycle = stretches
        .iter()
        .filter_map(|&s| cycles::shortest_odd(track, s, &BTreeSet::new()))
        .min_by_key(Vec::len)
        .map(|cycle| cycles::segments(track, &cycle))
        .unwrap_or_default();
    ReversingSection {
        parts: parts.into_iter().collect(),
        gaps: gaps.into_iter().collect(),
        ends: places.len(),
        length: runs.length,
        runs_through: runs.through,
        controls: Vec::new(),
        agrees,
        cycle,
        touches: Vec::new(),
    }
}

struct SectionRuns {
    length: Option<f64>,
    through: bool,
}

/// How far a train that comes in by a door runs before it comes to another one, or to the end of the track.
fn runs(q: &QueryContext<'_>, track: &StretchGraph, inside: &BTreeSet<usize>, doors: &[(usize, usize)]) -> SectionRuns {
    let mut shortest: Option<f64> = None;
    let mut farthest = 0.0_f64;
    let mut off_the_plan = doors.is_empty();
    for &(stretch, end) in doors {
        // Distance at which each stretch, entered by an end, is left again.
        let mut best: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        let mut open = VecDeque::from([(stretch, end, track.stretches[stretch].length())]);
        while let Some((at, entered, left_at)) = open.pop_front() {
            if best.get(&(at, entered)).is_some_and(|&known| known <= left_at) {
                continue;
            }
            best.insert((at, entered), left_at);
            for (_, _, other, other_end) in track.onward(at).filter(|b| b.1 == 1 - entered) {
                if inside.contains(&other) {
                    open.push_back((other, other_end, left_at + track.stretches[other].length()));
                }
            }
        }
        for (&(at, entered), &left_at) in &best {
            let out = 1 - entered;
            let segment = &q.circuit.segments[track.stretches[at].segment];
            if doors.contains(&(at, out)) && (at, out) != (stretch, end) {
                shortest = Some(shortest.map_or(left_at, |s: f64| s.min(left_at)));
            } else if !track.onward(at).any(|b| b.1 == out) {
                farthest = farthest.max(left_at);
                off_the_plan |= segment.ends[out].beyond;
            }
        }
    }
    match shortest {
        Some(length) => SectionRuns { length: Some(length), through: true },
        None => SectionRuns { length: (!off_the_plan).then_some(farthest), through: false },
    }
}
