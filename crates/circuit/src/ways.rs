//! Ways a train can be lined through the plan, for people to read.
//!
//! Ways multiply exponentially on a plan with loops, so they are listed up to a limit and never used
//! to prove anything; the proof asks per rail and per gap instead.

use crate::{Circuit, ControlId, SegmentId};
use plan::TrackEnd;
use std::collections::BTreeMap;

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
    /// Whether these are all there are.
    pub complete: bool,
    /// How many tracks none of these runs over: none, unless the plan is so long that listing a way over each
    /// would itself be too much.
    pub tracks_left_out: usize,
}

/// Segments in all ways together, for each way that is asked for at most: what a listing may hold.
const STEPS_PER_WAY: usize = 1000;

/// Lists ways, at most `limit` of them, then one more for each track none of them runs over; fewer where they
/// are so long that together they go over more than `1000 * limit` segments.
pub fn ways(circuit: &Circuit, limit: usize) -> Ways {
    let mut search = Search {
        circuit,
        limit,
        found: Vec::new(),
        steps_left: STEPS_PER_WAY.saturating_mul(limit),
        seen: vec![false; circuit.segments.len()],
        complete: true,
    };
    for track in 0..circuit.tracks {
        for end in [TrackEnd::From, TrackEnd::To] {
            if circuit.segments[track].ends[slot(end)].next.is_empty() {
                search.from(track, end);
            }
        }
    }
    // Circles without an end, each from one of its tracks, and whatever the limit left out.
    for track in 0..circuit.tracks {
        if !search.seen[track] && search.complete {
            search.from(track, TrackEnd::From);
        }
        if !search.seen[track] && search.steps_left > 0 {
            search.through(track);
        }
    }
    let tracks_left_out = search.seen[..circuit.tracks].iter().filter(|seen| !**seen).count();
    let complete = search.complete && tracks_left_out == 0;
    let mut list = search.found;
    number_same_names(circuit, &mut list);
    Ways { list, complete, tracks_left_out }
}

fn slot(end: TrackEnd) -> usize {
    usize::from(end == TrackEnd::To)
}

struct Search<'c> {
    circuit: &'c Circuit,
    limit: usize,
    found: Vec<Way>,
    steps_left: usize,
    /// Segments that some way runs over.
    seen: Vec<bool>,
    complete: bool,
}

/// A way as far as it has been walked.
struct Walk<'c> {
    circuit: &'c Circuit,
    steps: Vec<(SegmentId, TrackEnd)>,
    /// For each segment, whether the way runs over it.
    on: Vec<bool>,
    setting: BTreeMap<ControlId, u8>,
    /// For each step, the controls it was the first to set.
    set: Vec<Vec<ControlId>>,
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

impl<'c> Walk<'c> {
    fn from(circuit: &'c Circuit, track: SegmentId, entered: TrackEnd) -> Walk<'c> {
        let on = vec![false; circuit.segments.len()];
        let mut walk = Walk { circuit, steps: Vec::new(), on, setting: BTreeMap::new(), set: Vec::new() };
        walk.step(track, entered);
        walk
    }

    fn step(&mut self, segment: SegmentId, entered: TrackEnd) {
        self.steps.push((segment, entered));
        self.on[segment] = true;
        let mut set = Vec::new();
        for literal in &self.circuit.segments[segment].guard {
            if self.setting.insert(literal.control, literal.position).is_none() {
                set.push(literal.control);
            }
        }
        self.set.push(set);
    }

    fn step_back(&mut self) {
        if let Some((segment, _)) = self.steps.pop() {
            self.on[segment] = false;
        }
        for control in self.set.pop().into_iter().flatten() {
            self.setting.remove(&control);
        }
    }

    fn turn_round(&mut self) {
        self.steps = self.steps.drain(..).rev().map(|(s, entered)| (s, entered.other())).collect();
    }

    fn onward(&self) -> Onward {
        let Some(&(at, entered)) = self.steps.last() else { return Onward::End };
        let next = &self.circuit.segments[at].ends[slot(entered.other())].next;
        if next.is_empty() {
            return Onward::End;
        }
        let fits: Vec<_> = next
            .iter()
            .copied()
            .filter(|&(s, _)| {
                let guard = &self.circuit.segments[s].guard;
                guard.iter().all(|l| self.setting.get(&l.control).is_none_or(|&p| p == l.position))
            })
            .collect();
        if fits.is_empty() || fits.iter().any(|&(s, _)| self.on[s]) { Onward::Loop } else { Onward::Over(fits) }
    }

    /// Goes on by what comes first, as far as it goes; whether it ends in a loop.
    fn first_fit(&mut self) -> bool {
        loop {
            match self.onward() {
                Onward::Over(next) => {
                    let Some(&(segment, entered)) = next.first() else { return false };
                    self.step(segment, entered);
                }
                Onward::Loop => return true,
                Onward::End => return false,
            }
        }
    }
}

impl Search<'_> {
    /// Every way that starts at this end of the line.
    fn from(&mut self, track: SegmentId, end: TrackEnd) {
        let start = (track, end);
        let mut walk = Walk::from(self.circuit, track, end);
        // For each step of the walk, what is still to be tried from there, the last first.
        let mut ahead: Vec<Vec<(SegmentId, TrackEnd)>> = Vec::new();
        loop {
            if self.found.len() >= self.limit || self.steps_left == 0 {
                self.complete = false;
                return;
            }
            match walk.onward() {
                Onward::Over(mut next) => {
                    next.reverse();
                    ahead.push(next);
                }
                Onward::End => {
                    // The same way is found from its other end too; keep it once.
                    let last = walk.steps.last().map(|&(s, entered)| (s, entered.other()));
                    if last.is_none_or(|last| start <= last) {
                        self.keep(&walk, false);
                    }
                    ahead.push(Vec::new());
                }
                Onward::Loop => {
                    self.keep(&walk, true);
                    ahead.push(Vec::new());
                }
            }
            while ahead.last().is_some_and(Vec::is_empty) {
                ahead.pop();
                walk.step_back();
            }
            let Some((segment, entered)) = ahead.last_mut().and_then(Vec::pop) else { return };
            walk.step(segment, entered);
        }
    }

    /// One way over a track that no way runs over yet: onwards both ways, taking what comes first.
    fn through(&mut self, track: SegmentId) {
        let mut walk = Walk::from(self.circuit, track, TrackEnd::From);
        let mut looped = walk.first_fit();
        if !looped {
            walk.turn_round();
            looped = walk.first_fit();
        }
        self.keep(&walk, looped);
    }

    fn keep(&mut self, walk: &Walk<'_>, ends_in_loop: bool) {
        let steps = walk.steps.clone();
        self.steps_left = self.steps_left.saturating_sub(steps.len());
        steps.iter().for_each(|s| self.seen[s.0] = true);
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
        self.found.push(Way { name, steps, setting: walk.setting.clone(), ends_in_loop });
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
