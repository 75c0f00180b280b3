//! When a train is lined over a place.
//!
//! A train standing on a segment leaves it by one end or the other. By each end it goes on as long as
//! trackwork is set for it, to a stop, to the edge of the plan, or round a circle for ever; the condition for
//! that is worked out for all ends at once, as the greatest solution of "out of here is fine if some
//! segment goes on from here, is set, and out of its far end is fine".
//!
//! Loops need a word of their own: a train that came in through turnout `T` and comes back to it finds
//! it set against itself, waits in the loop and has `T` thrown. So a way may end before the turnout it came
//! through. Out of such an end there are two conditions: *strict* (the turnout is set for leaving)
//! and *waiting* (no matter); a train in the loop must have at least one end strict, the one it came by.

use crate::TooComplex;
use crate::logic::Logic;
use biodivine_lib_bdd::Bdd;
use circuit::{Circuit, Owner, SegmentId};
use plan::TrackEnd;
use std::collections::{BTreeMap, BTreeSet};

/// A segment about to be left by an end: `2 * segment`, plus one for its `to` end.
type State = usize;

fn state(segment: SegmentId, end: TrackEnd) -> State {
    2 * segment + usize::from(end == TrackEnd::To)
}

/// When trains are lined over segments.
pub struct Lined {
    /// For each segment, when a train on a lined way can be on it.
    pub over: Vec<Bdd>,
    strict: Vec<Bdd>,
    waiting: Vec<Bdd>,
    /// States out of which a train would come back to the turnout it came through.
    closing: BTreeSet<State>,
}

/// States that follow one: the segments that go on, each about to be left by its far end.
fn onward(circuit: &Circuit, from: State) -> impl Iterator<Item = State> + '_ {
    circuit.segments[from / 2].ends[from % 2].next.iter().map(|&(s, entered)| state(s, entered.other()))
}

impl Lined {
    pub(crate) fn of(circuit: &Circuit, logic: &Logic) -> Result<Lined, TooComplex> {
        let states = 2 * circuit.segments.len();
        let loops = loops(circuit);
        let guards: Vec<Bdd> = circuit.segments.iter().map(|s| logic.guard(&s.guard)).collect::<Result<_, _>>()?;
        let order = outermost_first(circuit);
        let mut waiting = vec![logic.always(); states];
        settle(&order, &mut waiting, |s, known| {
            if loops.closing.contains(&s) {
                return Ok(logic.always());
            }
            goes_on(circuit, logic, &guards, s, known)
        })?;
        let mut strict = vec![logic.always(); states];
        settle(&order, &mut strict, |s, known| {
            // Going into a loop, a train may wait at its far end.
            if loops.entering.contains(&s) {
                Ok(waiting[s].clone())
            } else {
                goes_on(circuit, logic, &guards, s, known)
            }
        })?;
        let mut lined = Lined { over: Vec::new(), strict, waiting, closing: loops.closing };
        for (segment, guard) in guards.iter().enumerate() {
            let (from, to) = (2 * segment, 2 * segment + 1);
            let one = logic.and(&lined.strict[from], &lined.waiting[to])?;
            let other = logic.and(&lined.waiting[from], &lined.strict[to])?;
            let either = logic.or(&one, &other)?;
            lined.over.push(logic.and(guard, &either)?);
        }
        Ok(lined)
    }

    /// When a train on a lined way crosses a gap of a segment. `ahead` says, for the `from` and for
    /// the `to` end, whether further gaps lie between this one and that end.
    ///
    /// A train that waits in a loop stops short of the last gap before the turnout it came through.
    pub(crate) fn across(&self, logic: &Logic, segment: SegmentId, ahead: [bool; 2]) -> Result<Bdd, TooComplex> {
        let mut any = logic.never();
        for came_by in 0..2 {
            let goes_to = 1 - came_by;
            let (back, out) = (2 * segment + came_by, 2 * segment + goes_to);
            let stops_short = self.closing.contains(&out) && !ahead[goes_to] && ahead[came_by];
            let onward = if stops_short { &self.strict[out] } else { &self.waiting[out] };
            any = logic.or(&any, &logic.and(&self.strict[back], onward)?)?;
        }
        logic.and(&any, &self.over[segment])
    }

    /// When a way is lined out of one end of a segment.
    pub(crate) fn out_of(&self, segment: SegmentId, end: TrackEnd) -> &Bdd {
        &self.strict[state(segment, end)]
    }
}

fn goes_on(circuit: &Circuit, logic: &Logic, guards: &[Bdd], from: State, known: &[Bdd]) -> Result<Bdd, TooComplex> {
    let mut nowhere = true;
    let mut any = logic.never();
    for next in onward(circuit, from) {
        nowhere = false;
        any = logic.or(&any, &logic.and(&guards[next / 2], &known[next])?)?;
    }
    // Where nothing goes on there is a stop, or the edge of the plan: the way ends well.
    Ok(if nowhere { logic.always() } else { any })
}

/// Repeats a rule until nothing changes. In the given order a plan without circles needs one round.
fn settle(
    order: &[State],
    known: &mut [Bdd],
    rule: impl Fn(State, &[Bdd]) -> Result<Bdd, TooComplex>,
) -> Result<(), TooComplex> {
    loop {
        let mut changed = false;
        for &s in order {
            let new = rule(s, known)?;
            if new != known[s] {
                known[s] = new;
                changed = true;
            }
        }
        if !changed {
            return Ok(());
        }
    }
}

/// States in the order of a depth-first walk's return: what a state leads to comes before it.
fn outermost_first(circuit: &Circuit) -> Vec<State> {
    let states = 2 * circuit.segments.len();
    let mut seen = vec![false; states];
    let mut order = Vec::with_capacity(states);
    for start in 0..states {
        if seen[start] {
            continue;
        }
        seen[start] = true;
        let mut stack = vec![(start, onward(circuit, start).collect::<Vec<_>>())];
        while let Some((at, ahead)) = stack.last_mut() {
            match ahead.pop() {
                Some(next) if !seen[next] => {
                    seen[next] = true;
                    stack.push((next, onward(circuit, next).collect()));
                }
                Some(_) => {}
                None => {
                    order.push(*at);
                    stack.pop();
                }
            }
        }
    }
    order
}

struct Loops {
    /// Routes about to be left into a loop that comes back to the same trackwork.
    entering: BTreeSet<State>,
    /// States about to come back to it.
    closing: BTreeSet<State>,
}

/// Finds, for each piece of trackwork, whether a train that leaves it by one end can come back to it
/// by another to which no route leads from the first.
fn loops(circuit: &Circuit) -> Loops {
    let mut routes_of: BTreeMap<(plan::Kind, usize), Vec<SegmentId>> = BTreeMap::new();
    for (id, segment) in circuit.segments.iter().enumerate() {
        if let Owner::Work { kind, index, .. } = &segment.owner {
            routes_of.entry((*kind, *index)).or_default().push(id);
        }
    }
    let mut found = Loops { entering: BTreeSet::new(), closing: BTreeSet::new() };
    for routes in routes_of.values() {
        let words = |route: SegmentId| match &circuit.segments[route].owner {
            Owner::Work { ends, .. } => ends.clone(),
            Owner::Track(_) => Default::default(),
        };
        let linked = |one: &str, other: &str| {
            one == other
                || routes.iter().any(|&r| {
                    let [a, b] = words(r);
                    (a == one && b == other) || (a == other && b == one)
                })
        };
        for &route in routes {
            for left_by in [TrackEnd::From, TrackEnd::To] {
                let start = state(route, left_by);
                let out_word = words(route)[usize::from(left_by == TrackEnd::To)].clone();
                let mut seen = BTreeSet::from([start]);
                let mut stack = vec![start];
                while let Some(at) = stack.pop() {
                    for next in onward(circuit, at) {
                        if routes.contains(&(next / 2)) {
                            // Entered by the end it is not about to be left by.
                            let in_word = &words(next / 2)[1 - next % 2];
                            if !linked(&out_word, in_word) {
                                found.entering.insert(start);
                                found.closing.insert(at);
                            }
                        } else if seen.insert(next) {
                            stack.push(next);
                        }
                    }
                }
            }
        }
    }
    found
}

/// The controls in the order in which one meets them along the track: conditions stay small when
/// neighbours on the ground are neighbours in the order.
pub(crate) fn along_the_track(circuit: &Circuit) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    let mut met = vec![false; circuit.controls.len()];
    let mut seen = vec![false; circuit.segments.len()];
    let ends = (0..circuit.tracks)
        .filter(|&t| circuit.segments[t].ends.iter().any(|e| e.beyond))
        .chain(0..circuit.segments.len());
    for start in ends {
        let mut stack = vec![start];
        while let Some(segment) = stack.pop() {
            if std::mem::replace(&mut seen[segment], true) {
                continue;
            }
            let s = &circuit.segments[segment];
            for literal in &s.guard {
                if !std::mem::replace(&mut met[literal.control], true) {
                    order.push(literal.control);
                }
            }
            stack.extend(s.ends.iter().rev().flat_map(|e| e.next.iter().rev().map(|n| n.0)));
        }
    }
    order.extend((0..met.len()).filter(|&c| !met[c]));
    order
}
