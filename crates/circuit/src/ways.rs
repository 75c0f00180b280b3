//! Ways a train can be lined through the plan, for people to read.
//!
//! Ways multiply exponentially on a plan with loops, so they are listed up to a limit and never used
//! to prove anything; the proof asks per rail and per gap instead.

use crate::{Circuit, ControlId, SegmentId};
use plan::TrackEnd;
use std::collections::{BTreeMap, BTreeSet};

/// A lined way: where it leads and what must be set for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// `approach to dock 1`.
    pub name: String,
    /// The segments in order, with the end by which each is entered.
    pub steps: Vec<(SegmentId, TrackEnd)>,
    /// Positions it needs, by control.
    pub setting: BTreeMap<ControlId, u8>,
    /// Whether it ends where the train waits for trackwork it came over to be thrown, as in a balloon loop,
    /// or goes round a circle for ever.
    pub ends_in_loop: bool,
}

/// The ways of a plan, up to a limit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ways {
    /// The ways, by where they start.
    pub list: Vec<Way>,
    /// Whether these are all there are. If not, every track is on at least one of them all the same.
    pub complete: bool,
}

/// Lists ways, at most `limit` of them, then one more for each track none of them runs over.
pub fn ways(circuit: &Circuit, limit: usize) -> Ways {
    let mut search = Search { circuit, limit, found: Vec::new(), seen: BTreeSet::new(), complete: true };
    for track in 0..circuit.tracks {
        for end in [TrackEnd::From, TrackEnd::To] {
            if circuit.segments[track].ends[slot(end)].next.is_empty() {
                search.from(track, end);
            }
        }
    }
    // Circles without an end, and whatever the limit left out.
    for track in 0..circuit.tracks {
        if !search.seen.contains(&track) {
            search.through(track);
        }
    }
    let complete = search.complete;
    let mut list = search.found;
    number_same_names(circuit, &mut list);
    Ways { list, complete }
}

fn slot(end: TrackEnd) -> usize {
    usize::from(end == TrackEnd::To)
}

struct Search<'c> {
    circuit: &'c Circuit,
    limit: usize,
    found: Vec<Way>,
    seen: BTreeSet<SegmentId>,
    complete: bool,
}

/// How a walk can go on from where it stands.
enum Onward {
    /// Over these segments, entered by these ends.
    Over(Vec<(SegmentId, TrackEnd)>),
    /// Not at all: here the line ends.
    End,
    /// Not at all: it would come back over itself, or to trackwork that it needs set otherwise.
    Loop,
}

impl Search<'_> {
    /// Every way that starts at this end of the line.
    fn from(&mut self, track: SegmentId, end: TrackEnd) {
        let mut stack = vec![(vec![(track, end)], BTreeMap::new())];
        let start = (track, end);
        while let Some((steps, setting)) = stack.pop() {
            if self.found.len() >= self.limit {
                self.complete = false;
                return;
            }
            match self.onward(&steps, &setting) {
                Onward::Over(next) => {
                    // Popped last first, so that ways come out in the order of the plan.
                    for &(segment, entered) in next.iter().rev() {
                        let mut steps = steps.clone();
                        steps.push((segment, entered));
                        let mut setting = setting.clone();
                        let guard = &self.circuit.segments[segment].guard;
                        setting.extend(guard.iter().map(|l| (l.control, l.position)));
                        stack.push((steps, setting));
                    }
                }
                Onward::End => {
                    // The same way is found from its other end too; keep it once.
                    let last = steps.last().map(|&(s, entered)| (s, entered.other()));
                    if last.is_none_or(|last| start <= last) {
                        self.keep(steps, setting, false);
                    }
                }
                Onward::Loop => self.keep(steps, setting, true),
            }
        }
    }

    /// One way over a track that no way runs over yet: onwards both ways, taking what comes first.
    fn through(&mut self, track: SegmentId) {
        let mut setting = BTreeMap::new();
        let mut steps = vec![(track, TrackEnd::From)];
        let looped = self.first_fit(&mut steps, &mut setting);
        if !looped {
            steps = steps.into_iter().rev().map(|(s, e)| (s, e.other())).collect();
            self.first_fit(&mut steps, &mut setting);
        }
        self.keep(steps, setting, looped);
    }

    fn first_fit(&self, steps: &mut Vec<(SegmentId, TrackEnd)>, setting: &mut BTreeMap<ControlId, u8>) -> bool {
        loop {
            match self.onward(steps, setting) {
                Onward::Over(next) => {
                    let Some(&(segment, entered)) = next.first() else { return false };
                    let guard = &self.circuit.segments[segment].guard;
                    setting.extend(guard.iter().map(|l| (l.control, l.position)));
                    steps.push((segment, entered));
                }
                Onward::Loop => return true,
                Onward::End => return false,
            }
        }
    }

    fn onward(&self, steps: &[(SegmentId, TrackEnd)], setting: &BTreeMap<ControlId, u8>) -> Onward {
        let Some(&(at, entered)) = steps.last() else { return Onward::End };
        let next = &self.circuit.segments[at].ends[slot(entered.other())].next;
        if next.is_empty() {
            return Onward::End;
        }
        let over = |s: SegmentId| steps.iter().any(|step| step.0 == s);
        let fits: Vec<_> = next
            .iter()
            .copied()
            .filter(|&(s, _)| {
                let guard = &self.circuit.segments[s].guard;
                guard.iter().all(|l| setting.get(&l.control).is_none_or(|&p| p == l.position))
            })
            .collect();
        if fits.is_empty() || fits.iter().any(|&(s, _)| over(s)) { Onward::Loop } else { Onward::Over(fits) }
    }

    fn keep(&mut self, steps: Vec<(SegmentId, TrackEnd)>, setting: BTreeMap<ControlId, u8>, ends_in_loop: bool) {
        self.seen.extend(steps.iter().map(|s| s.0));
        let track = |step: &&(SegmentId, TrackEnd)| step.0 < self.circuit.tracks;
        let word = |step: Option<&(SegmentId, TrackEnd)>| {
            step.map_or("", |s| self.circuit.segments[s.0].name.as_str()).to_owned()
        };
        let first = word(steps.iter().find(track));
        let last = word(steps.iter().rev().find(track));
        let name = match (first == last, ends_in_loop) {
            (true, true) => format!("{first}, round and round"),
            (true, false) => first,
            (false, true) => format!("{first} into {last}"),
            (false, false) => format!("{first} to {last}"),
        };
        self.found.push(Way { name, steps, setting, ends_in_loop });
    }
}

/// Ways between the same two tracks are told apart by a position that only one of them has.
fn number_same_names(circuit: &Circuit, list: &mut [Way]) {
    let mut by_name: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (i, way) in list.iter().enumerate() {
        by_name.entry(way.name.clone()).or_default().push(i);
    }
    for (name, same) in by_name.into_iter().filter(|(_, same)| same.len() > 1) {
        for (number, &i) in same.iter().enumerate() {
            let own = list[i].setting.iter().find(|&(&control, &position)| {
                same.iter().all(|&j| j == i || list[j].setting.get(&control) != Some(&position))
            });
            list[i].name = match own {
                Some((&control, &position)) => {
                    let (control, position) = circuit.literal_words(crate::Literal { control, position });
                    format!("{name}, {control} {position}")
                }
                None => format!("{name}, {}", number + 1),
            };
        }
    }
}
