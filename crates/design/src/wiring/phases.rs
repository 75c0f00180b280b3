//! Which rail is on which pole, and the sections that change their phase where the track comes back turned.
//!
//! Segments are the vertices of a signed graph: two that are joined end to start keep left with left, two that are joined end to
//! end exchange them. Where every closed walk is even, one phase will do for each segment; where one is odd, some run on it must
//! change. The fewest runs that leave no odd walk are found by branching over the runs of one odd walk after the other
//! (bounded search tree): every solution has one of them.

use super::sketch::{RunEnd, RunId, Sketch};
use circuit::{RailOwner, SegmentId};
use plan::tables::{FrogMaking, Phases};
use plan::{Kind, TrackEnd};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// A run that changes its phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct SectionChoice {
    pub(crate) run: RunId,
    /// The end of it at which trackwork changes with it, so that the section ends at the legs beyond.
    pub(crate) with_work: Option<RunEnd>,
}

/// Sections tried at most.
const MOST_SECTIONS: usize = 6;
/// Sets of sections that are compared at most.
const MOST_SETS: usize = 400;

/// A join of two segments in the signed graph.
#[derive(Clone, Copy, Debug)]
struct Join {
    to: SegmentId,
    odd: bool,
    /// The end of a track at which routes share their rails, where that joins them.
    shared: Option<RunEnd>,
}

/// The signed graph of a plan.
pub(crate) struct SignedGraph {
    joins: Vec<Vec<Join>>,
}

impl SignedGraph {
    pub(crate) fn new(sketch: &Sketch<'_>) -> SignedGraph {
        let circuit = &sketch.circuit;
        let mut joins: Vec<Vec<Join>> = vec![Vec::new(); circuit.segments.len()];
        for (at, segment) in circuit.segments.iter().enumerate() {
            for (end, joined) in [TrackEnd::From, TrackEnd::To].into_iter().zip(&segment.ends) {
                joins[at].extend(joined.next.iter().map(|&(to, other)| Join { to, odd: end == other, shared: None }));
            }
        }
        // Routes that leave by one end share their rails there.
        for track in 0..circuit.tracks {
            for end in [TrackEnd::From, TrackEnd::To] {
                let at = RunEnd { track, end };
                let routes = sketch.routes_at(at);
                for &(one, by) in &routes {
                    let turntable = sketch.work_of(one).is_some_and(|w| w.0 == Kind::Turntable);
                    let others = routes.iter().filter(|o| o.0 != one && !turntable);
                    joins[one].extend(others.map(|&(to, other)| Join { to, odd: by != other, shared: Some(at) }));
                }
            }
        }
        // The frogs of a live crossing ask for a relation of its two tracks.
        let mut crossings: BTreeMap<usize, Vec<(SegmentId, bool)>> = BTreeMap::new();
        for (at, segment) in circuit.segments.iter().enumerate() {
            if let RailOwner::Work { kind: Kind::Crossing, index, ends } = &segment.owner
                && sketch.plan.crossing[*index].frogs.value == FrogMaking::Live
            {
                crossings.entry(*index).or_default().push((at, ends[0].starts_with("east")));
            }
        }
        for (index, routes) in crossings {
            let opposite = sketch.plan.crossing[index].phases.as_ref().is_some_and(|p| p.value == Phases::Opposite);
            if let [(one, one_east), (other, other_east)] = routes[..] {
                let odd = opposite != (one_east != other_east);
                joins[one].push(Join { to: other, odd, shared: None });
                joins[other].push(Join { to: one, odd, shared: None });
            }
        }
        SignedGraph { joins }
    }

    /// For each segment whether its left rail is on B, where one phase will do for each outside the sections; else the choices
    /// of which one must be made to end an odd closed walk.
    pub(crate) fn phases(
        &self,
        sketch: &Sketch<'_>,
        sections: &[SectionChoice],
        wanted: &BTreeMap<SegmentId, bool>,
    ) -> Result<Vec<bool>, Vec<SectionChoice>> {
        let removed: BTreeSet<RunId> = sections.iter().map(|s| s.run).collect();
        let freed: BTreeSet<RunEnd> = sections.iter().filter_map(|s| s.with_work).collect();
        let count = self.joins.len();
        let is_removed = |s: SegmentId| s < sketch.circuit.tracks && removed.contains(&sketch.run_of[s]);
        let mut phase: Vec<Option<bool>> = vec![None; count];
        let mut parent: Vec<Option<(SegmentId, Option<RunEnd>)>> = vec![None; count];
        // What the builder says of a track comes first.
        let starts = wanted.iter().map(|(&s, &p)| (s, p)).chain((0..count).map(|s| (s, false)));
        for (start, straight) in starts {
            if phase[start].is_some() || is_removed(start) {
                continue;
            }
            phase[start] = Some(straight);
            let mut open = VecDeque::from([start]);
            while let Some(at) = open.pop_front() {
                for join in &self.joins[at] {
                    let dropped = join.shared.is_some_and(|end| freed.contains(&end));
                    if is_removed(join.to) || dropped {
                        continue;
                    }
                    let due = phase[at].is_some_and(|p| p != join.odd);
                    match phase[join.to] {
                        None => {
                            phase[join.to] = Some(due);
                            parent[join.to] = Some((at, join.shared));
                            open.push_back(join.to);
                        }
                        Some(is) if is != due => return Err(self.on_walk(sketch, &parent, at, join)),
                        Some(_) => {}
                    }
                }
            }
        }
        Ok(phase.into_iter().map(|p| p.unwrap_or(false)).collect())
    }

    /// The choices on the closed walk that a join ends.
    fn on_walk(
        &self,
        sketch: &Sketch<'_>,
        parent: &[Option<(SegmentId, Option<RunEnd>)>],
        at: SegmentId,
        join: &Join,
    ) -> Vec<SectionChoice> {
        let up = |from: SegmentId| {
            let mut path = vec![(from, None)];
            let mut here = from;
            while let Some((next, shared)) = parent[here] {
                if let Some(last) = path.last_mut() {
                    last.1 = shared;
                }
                path.push((next, None));
                here = next;
            }
            path
        };
        let (mut one, mut other) = (up(at), up(join.to));
        // What both share, up to where they meet, is not on the walk.
        while one.len() > 1
            && other.len() > 1
            && one[one.len() - 2].0 == other[other.len() - 2].0
            && one[one.len() - 1].0 == other[other.len() - 1].0
        {
            one.pop();
            other.pop();
        }
        let last = one.len() - 1;
        one[last].1 = None;
        let last = other.len() - 1;
        other[last].1 = None;
        let mut found = BTreeSet::new();
        for &(segment, shared) in one.iter().chain(&other).chain([&(at, join.shared)]) {
            if segment < sketch.circuit.tracks {
                found.insert(SectionChoice { run: sketch.run_of[segment], with_work: None });
            }
            if let Some(end) = shared {
                found.insert(SectionChoice { run: sketch.run_of[end.track], with_work: Some(end) });
            }
        }
        found.into_iter().collect()
    }

    /// Minimum hitting sets of the odd cycles: the smallest sets of sections that leave no odd closed walk, and those with one section more; one empty set where there is
    /// no such walk. Empty where no set of few does.
    pub(crate) fn section_sets(
        &self,
        sketch: &Sketch<'_>,
        wanted: &BTreeMap<SegmentId, bool>,
    ) -> Vec<Vec<SectionChoice>> {
        let mut sets: BTreeSet<Vec<SectionChoice>> = BTreeSet::from([Vec::new()]);
        let mut found: Vec<Vec<SectionChoice>> = Vec::new();
        for _ in 0..=MOST_SECTIONS {
            let mut next = BTreeSet::new();
            let before = found.len();
            for set in &sets {
                match self.phases(sketch, set, wanted) {
                    Ok(_) => found.push(set.clone()),
                    Err(choices) => {
                        for choice in choices {
                            let mut more = set.clone();
                            if !more.iter().any(|s| s.run == choice.run) {
                                more.push(choice);
                                more.sort_unstable();
                                next.insert(more);
                            }
                        }
                    }
                }
            }
            // What takes one more may still be the better one: its sections may need no reverser.
            if before > 0 || found.first().is_some_and(Vec::is_empty) {
                break;
            }
            sets = next.into_iter().take(MOST_SETS).collect();
        }
        found
    }
}
