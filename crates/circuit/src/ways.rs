//! Routes a train can take through the plan, for people to read.
//!
//! A route is a walk over track that one setting lets a train go, as long as it can be: at either end the line ends, or the
//! train comes to trackwork that it has itself set otherwise and waits there, or the walk closes a circle. Routes multiply
//! exponentially on a plan with loops, so they are listed up to a limit and never used to prove anything; the proof asks
//! per rail and per gap instead.
//!
//! Routes with an end of the line are found from there. What is left has none: circles, and walks that wait at both
//! ends (a dog-bone, a ring with a passing track). Each of those is found from the first of its tracks, and only
//! over tracks behind that one in the plan, so that it is found once.

mod every_setting;

use crate::{Circuit, ControlId, Guard, SegmentId};
use plan::TrackEnd;
use std::collections::{BTreeMap, BTreeSet};

/// How a route ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RouteEnd {
    /// The line ends: a stop, the edge of the plan, a loose end.
    Line,
    /// The train comes to trackwork that it has itself set otherwise, and waits.
    Waits,
    /// It comes back to where it started, in the same direction.
    Circle,
}

/// A route: where it leads and what must be set for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// `approach to dock 1`.
    pub name: String,
    /// The segments in order, with the end by which each is entered.
    pub steps: Vec<(SegmentId, TrackEnd)>,
    /// Positions it needs, by control.
    pub setting: BTreeMap<ControlId, u8>,
    /// How it starts and how it ends; a circle does both as one.
    pub ends: [RouteEnd; 2],
    /// What its name has besides its tracks, where several routes join the same two: `T1 diverging`.
    pub told_apart_by: Option<String>,
}

impl Way {
    /// Whether it ends where the train waits for trackwork it came over to be thrown, as in a balloon loop, or goes round
    /// a circle for ever.
    pub fn ends_in_loop(&self) -> bool {
        self.ends[1] != RouteEnd::Line
    }

    /// The same route gone the other way round.
    pub fn turned_round(&self, circuit: &Circuit) -> Way {
        let steps: Vec<_> = self.steps.iter().rev().map(|&(s, entered)| (s, entered.other())).collect();
        let ends = [self.ends[1], self.ends[0]];
        let told_apart_by = self.told_apart_by.clone();
        let name = [Some(name(circuit, &steps, ends)), told_apart_by.clone()].into_iter().flatten();
        let name = name.collect::<Vec<_>>().join(", ");
        Way { name, steps, setting: self.setting.clone(), ends, told_apart_by }
    }
}

/// The routes of a plan, up to a limit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ways {
    /// The routes, by where they start.
    pub list: Vec<Way>,
    /// Whether these are all there are.
    pub complete: bool,
    /// How many tracks none of these runs over: none, unless the plan is so long that listing a route over each
    /// would itself be too much.
    pub tracks_left_out: usize,
    /// Routes of trackwork that a train can use and none of these runs over, as above.
    pub works_left_out: Vec<SegmentId>,
}

/// Segments in all routes together, for each route that is asked for at most: what a listing may hold.
const STEPS_PER_WAY: usize = 1000;
/// Steps of a search without an end of the line, for each of those.
const SEARCHED_PER_STEP: usize = 20;

/// Lists routes, at most `limit` of them, then one more for each track and each route of trackwork that none of them runs
/// over; fewer where they are so long that together they go over more than `1000 * limit` segments.
pub fn ways(circuit: &Circuit, limit: usize) -> Ways {
    let steps_left = STEPS_PER_WAY.saturating_mul(limit);
    let mut search = WaySearch {
        circuit,
        limit,
        found: Vec::new(),
        steps_left,
        searches_left: steps_left.saturating_mul(SEARCHED_PER_STEP),
        seen: vec![false; circuit.segments.len()],
        complete: true,
    };
    for track in 0..circuit.tracks {
        for end in [TrackEnd::From, TrackEnd::To] {
            if circuit.segments[track].ends[slot(end)].next.is_empty() {
                search.at_end_of_line(track, end);
            }
        }
    }
    if search.complete && !search.in_every_setting() {
        for track in 0..circuit.tracks {
            if search.complete {
                search.without_end(track);
            }
        }
    }
    // Whatever the limit left out, once each.
    for segment in 0..circuit.segments.len() {
        if !search.seen[segment] && search.steps_left > 0 && search.can_be_used(segment) {
            search.through(segment);
        }
    }
    let left_out: Vec<SegmentId> =
        (0..circuit.segments.len()).filter(|&s| !search.seen[s] && search.can_be_used(s)).collect();
    let complete = search.complete && left_out.is_empty();
    let mut list = search.found;
    number_same_names(circuit, &mut list);
    let tracks_left_out = left_out.iter().filter(|&&s| s < circuit.tracks).count();
    let works_left_out = left_out.into_iter().filter(|&s| s >= circuit.tracks).collect();
    Ways { list, complete, tracks_left_out, works_left_out }
}

fn slot(end: TrackEnd) -> usize {
    usize::from(end == TrackEnd::To)
}

struct WaySearch<'c> {
    circuit: &'c Circuit,
    limit: usize,
    found: Vec<Way>,
    steps_left: usize,
    searches_left: usize,
    /// Segments that some route runs over.
    seen: Vec<bool>,
    complete: bool,
}

/// A route as far as it has been walked.
struct PartialWay<'c> {
    circuit: &'c Circuit,
    steps: Vec<(SegmentId, TrackEnd)>,
    /// For each segment, whether the route runs over it.
    on: Vec<bool>,
    setting: BTreeMap<ControlId, u8>,
    /// For each step, the controls it was the first to set.
    set: Vec<Vec<ControlId>>,
}

/// How a walk can go on from where it stands.
enum Onward {
    /// Over these segments, entered by these ends.
    Over(Vec<(SegmentId, TrackEnd)>),
    /// Not at all.
    Ends(RouteEnd),
}

impl<'c> PartialWay<'c> {
    fn from(circuit: &'c Circuit, segment: SegmentId, entered: TrackEnd) -> PartialWay<'c> {
        let on = vec![false; circuit.segments.len()];
        let mut walk = PartialWay { circuit, steps: Vec::new(), on, setting: BTreeMap::new(), set: Vec::new() };
        walk.step(segment, entered);
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

    /// The same walk the other way round, to go on from its start. Which step set what is known no longer: it is not
    /// stepped back from.
    fn turned_round(&self) -> PartialWay<'c> {
        let steps: Vec<_> = self.steps.iter().rev().map(|&(s, entered)| (s, entered.other())).collect();
        let set = vec![Vec::new(); steps.len()];
        PartialWay { circuit: self.circuit, steps, on: self.on.clone(), setting: self.setting.clone(), set }
    }

    /// Whether a guard can hold with what is set already, and makes nothing that never happens.
    fn fits(&self, guard: &Guard) -> bool {
        let said = |control: &ControlId| {
            let own = guard.iter().find(|l| l.control == *control).map(|l| l.position);
            own.or(self.setting.get(control).copied())
        };
        guard.iter().all(|l| self.setting.get(&l.control).is_none_or(|&p| p == l.position))
            && !self.circuit.illegal.iter().any(|never| never.iter().all(|l| said(&l.control) == Some(l.position)))
    }

    fn onward(&self) -> Onward {
        let (Some(&(at, entered)), Some(first)) = (self.steps.last(), self.steps.first()) else {
            return Onward::Ends(RouteEnd::Line);
        };
        let next = &self.circuit.segments[at].ends[slot(entered.other())].next;
        if next.is_empty() {
            return Onward::Ends(RouteEnd::Line);
        }
        let fits: Vec<_> = next.iter().copied().filter(|n| self.fits(&self.circuit.segments[n.0].guard)).collect();
        if fits.contains(first) {
            return Onward::Ends(RouteEnd::Circle);
        }
        let fresh: Vec<_> = fits.into_iter().filter(|n| !self.on[n.0]).collect();
        if fresh.is_empty() { Onward::Ends(RouteEnd::Waits) } else { Onward::Over(fresh) }
    }

    /// Goes on by what comes first, as far as it goes.
    fn first_fit(&mut self) -> RouteEnd {
        loop {
            match self.onward() {
                Onward::Over(next) => {
                    let Some(&(segment, entered)) = next.first() else { return RouteEnd::Line };
                    self.step(segment, entered);
                }
                Onward::Ends(end) => return end,
            }
        }
    }
}

/// All ways to go on from where a walk stands, one after another.
struct Explorer<'c> {
    walk: PartialWay<'c>,
    /// For each step from there, what is still to be tried, the last first.
    ahead: Vec<Vec<(SegmentId, TrackEnd)>>,
    /// Whether the walk has not been looked at since its last step.
    fresh: bool,
    /// Steps taken in all.
    steps: usize,
}

impl<'c> Explorer<'c> {
    fn new(walk: PartialWay<'c>) -> Explorer<'c> {
        Explorer { walk, ahead: Vec::new(), fresh: true, steps: 0 }
    }

    /// Goes on to the next whole walk over what may be entered, and says how it ends; none where all are done, or where
    /// `most` steps have been taken.
    fn next_end(&mut self, most: usize, may_enter: impl Fn(SegmentId) -> bool) -> Option<RouteEnd> {
        while self.steps <= most {
            if std::mem::take(&mut self.fresh) {
                match self.walk.onward() {
                    Onward::Over(mut next) => {
                        next.retain(|n| may_enter(n.0));
                        next.reverse();
                        self.ahead.push(next);
                    }
                    Onward::Ends(end) => {
                        self.ahead.push(Vec::new());
                        return Some(end);
                    }
                }
            }
            while self.ahead.last().is_some_and(Vec::is_empty) {
                self.ahead.pop();
                // What the walk started with stays.
                if !self.ahead.is_empty() {
                    self.walk.step_back();
                }
            }
            let (segment, entered) = self.ahead.last_mut().and_then(Vec::pop)?;
            self.walk.step(segment, entered);
            self.fresh = true;
            self.steps += 1;
        }
        None
    }
}

impl<'c> WaySearch<'c> {
    /// Every route that starts at this end of the line.
    fn at_end_of_line(&mut self, track: SegmentId, end: TrackEnd) {
        let start = (track, end);
        let mut explorer = Explorer::new(PartialWay::from(self.circuit, track, end));
        while self.may_go_on(&explorer)
            && let Some(ends) = explorer.next_end(self.searches_left, |_| true)
        {
            // The same route is found from its other end too; keep it once.
            let last = explorer.walk.steps.last().map(|&(s, entered)| (s, entered.other()));
            if ends != RouteEnd::Line || last.is_none_or(|last| start <= last) {
                self.keep(&explorer.walk, [RouteEnd::Line, ends]);
            }
        }
        self.searched(&explorer);
    }

    /// Every route without an end of the line of which this is the first track in the plan. What lies before the track and
    /// what lies behind it may want one control differently; so either side goes first once.
    fn without_end(&mut self, track: SegmentId) {
        let tracks = self.circuit.tracks;
        let may_enter = |segment: SegmentId| segment >= tracks || segment > track;
        let mut kept: BTreeSet<Vec<(SegmentId, TrackEnd)>> = BTreeSet::new();
        for entered in [TrackEnd::From, TrackEnd::To] {
            let mut forward = Explorer::new(PartialWay::from(self.circuit, track, entered));
            while self.may_go_on(&forward)
                && let Some(end) = forward.next_end(self.searches_left, may_enter)
            {
                match end {
                    RouteEnd::Line => {}
                    RouteEnd::Circle if entered == TrackEnd::From => self.keep(&forward.walk, [RouteEnd::Circle; 2]),
                    RouteEnd::Circle => {}
                    RouteEnd::Waits => {
                        let mut back = Explorer::new(forward.walk.turned_round());
                        while self.may_go_on(&back)
                            && let Some(end) = back.next_end(self.searches_left, may_enter)
                        {
                            let key = back.walk.steps.clone().min(back.walk.turned_round().steps);
                            if end != RouteEnd::Line && kept.insert(key) {
                                self.keep(&back.walk, [RouteEnd::Waits; 2]);
                            }
                        }
                        self.searched(&back);
                    }
                }
            }
            self.searched(&forward);
        }
    }

    fn may_go_on(&mut self, explorer: &Explorer<'c>) -> bool {
        let goes = self.found.len() < self.limit && self.steps_left > 0 && explorer.steps <= self.searches_left;
        // Where all are done, nothing is left out.
        let done = !explorer.fresh && explorer.ahead.iter().all(Vec::is_empty);
        self.complete &= goes || done;
        goes
    }

    fn searched(&mut self, explorer: &Explorer<'c>) {
        self.complete &= explorer.steps <= self.searches_left;
        self.searches_left = self.searches_left.saturating_sub(explorer.steps);
    }

    /// Whether a train can run over a segment at all: a track, or a route of trackwork that a track joins and that can be
    /// set.
    fn can_be_used(&self, segment: SegmentId) -> bool {
        let s = &self.circuit.segments[segment];
        let never = |never: &Guard| never.iter().all(|l| s.guard.contains(l));
        segment < self.circuit.tracks
            || (s.ends.iter().any(|e| !e.next.is_empty()) && !self.circuit.illegal.iter().any(never))
    }

    /// One route over a segment that no route runs over yet: onwards both ways, taking what comes first.
    fn through(&mut self, segment: SegmentId) {
        let mut walk = PartialWay::from(self.circuit, segment, TrackEnd::From);
        let end = walk.first_fit();
        let ends = match end {
            RouteEnd::Circle => [end; 2],
            _ => {
                walk = walk.turned_round();
                [end, walk.first_fit()]
            }
        };
        self.keep(&walk, ends);
    }

    fn keep(&mut self, walk: &PartialWay<'_>, ends: [RouteEnd; 2]) {
        let steps = walk.steps.clone();
        self.steps_left = self.steps_left.saturating_sub(steps.len());
        steps.iter().for_each(|s| self.seen[s.0] = true);
        let name = name(self.circuit, &steps, ends);
        self.found.push(Way { name, steps, setting: walk.setting.clone(), ends, told_apart_by: None });
    }
}

/// What a route is called, by its first and its last track.
fn name(circuit: &Circuit, steps: &[(SegmentId, TrackEnd)], ends: [RouteEnd; 2]) -> String {
    let track = |step: &&(SegmentId, TrackEnd)| step.0 < circuit.tracks;
    let word = |step: Option<&(SegmentId, TrackEnd)>| step.map_or("", |s| circuit.segments[s.0].name.as_str());
    let first = word(steps.iter().find(track));
    let last = word(steps.iter().rev().find(track));
    let one_track = steps.iter().filter(track).count() < 2;
    match ends {
        [RouteEnd::Circle, _] => format!("{first}, round and round"),
        [RouteEnd::Line, RouteEnd::Line] if one_track => first.to_owned(),
        [RouteEnd::Line, RouteEnd::Line] => format!("{first} to {last}"),
        [RouteEnd::Line, _] => format!("{first} into {last}"),
        [_, RouteEnd::Line] => format!("{first} out to {last}"),
        _ => format!("{first} round to {last}"),
    }
}

/// Routes of one name are distinguished by a position that only one of them has.
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
            let apart = match own {
                Some((&control, &position)) => {
                    let (control, position) = circuit.literal_words(crate::Literal { control, position });
                    format!("{control} {position}")
                }
                None => (number + 1).to_string(),
            };
            list[i].name = format!("{name}, {apart}");
            list[i].told_apart_by = Some(apart);
        }
    }
}
