//! When a train is lined over a place.
//!
//! A train standing on a segment leaves it by one end or the other. By each end it goes on as long as
//! trackwork is set for it, to a stop, to the edge of the plan, or round a circle for ever; the condition for
//! that is worked out for all ends at once, as the greatest solution of "out of here is fine if some
//! segment goes on from here, is set, and out of its far end is fine".
//!
//! Loops need a word of their own: a train that came in through turnout `T` and comes back to it, round a
//! balloon or an oval, finds it set against itself, waits and has `T` thrown. So a way may end before
//! trackwork that the train itself set otherwise. Out of such an end there are two conditions: *strict* (it is
//! set for going on) and *waiting* (no matter); a train there must have its other end strict, the one it came by.

use crate::TooComplex;
use crate::logic::Logic;
use biodivine_lib_bdd::Bdd;
use circuit::{Circuit, Gap, SegmentId};
use plan::TrackEnd;
use std::collections::BTreeSet;

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
    /// States out of which a train would find what it came over set against it.
    closing: BTreeSet<State>,
}

/// A gap or a stretch of a segment, and how it lies among the segment's gaps.
pub(crate) struct Spot {
    segment: SegmentId,
    is_gap: bool,
    /// The end (0 `from`, 1 `to`) in whose half of the segment it lies, if in one.
    near: Option<usize>,
    /// Whether gaps lie between it and either end.
    gaps: [bool; 2],
}

impl Spot {
    /// A gap, among the gaps of its own rail.
    pub(crate) fn gap(circuit: &Circuit, gap: &Gap) -> Spot {
        let others = circuit.gaps.iter().filter(|g| (g.segment, g.side) == (gap.segment, gap.side));
        Spot { is_gap: true, ..Spot::at(circuit, gap.segment, gap.x, others) }
    }

    /// A stretch with this middle, among the gaps of both rails.
    pub(crate) fn stretch(circuit: &Circuit, segment: SegmentId, middle: f64) -> Spot {
        Spot::at(circuit, segment, middle, circuit.gaps.iter().filter(|g| g.segment == segment))
    }

    /// Whether no gap lies between it and an end (0 `from`, 1 `to`), in whose half of the segment it is.
    pub(crate) fn last_before(&self, end: usize) -> bool {
        self.near == Some(end) && !self.gaps[end]
    }

    fn at<'g>(circuit: &Circuit, segment: SegmentId, x: f64, others: impl Iterator<Item = &'g Gap>) -> Spot {
        let length = circuit.segments[segment].length;
        let near = if 2.0 * x < length { Some(0) } else { (2.0 * x > length).then_some(1) };
        let gaps = others.fold([false; 2], |[from, to], g| [from | (g.x < x), to | (g.x > x)]);
        Spot { segment, is_gap: false, near, gaps }
    }
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

    /// When a train on a lined way crosses a gap, or stands on a stretch between gaps.
    ///
    /// A train that waits for trackwork stops short of the last gap before it, where that gap lies in the half of
    /// the segment next to the trackwork; what lies beyond is not under it.
    pub(crate) fn under_train(&self, logic: &Logic, place: &Spot) -> Result<Bdd, TooComplex> {
        let mut any = logic.never();
        for came_by in 0..2 {
            let goes_to = 1 - came_by;
            let (back, out) = (2 * place.segment + came_by, 2 * place.segment + goes_to);
            let last = place.near == Some(goes_to) && !place.gaps[goes_to] && (place.is_gap || place.gaps[came_by]);
            let stops_short = last && self.closing.contains(&out);
            let onward = if stops_short { &self.strict[out] } else { &self.waiting[out] };
            any = logic.or(&any, &logic.and(&self.strict[back], onward)?)?;
        }
        logic.and(&any, &self.over[place.segment])
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
    /// Routes about to be left towards a place where the train would find their control set against it.
    entering: BTreeSet<State>,
    /// States out of which every route needs a position that contradicts one the train came over.
    closing: BTreeSet<State>,
}

/// Finds, for each route, where a train that came over it meets trackwork that it has itself set otherwise:
/// the other leg of a balloon loop, the same turnout after a round of an oval, the far end of a crossover.
fn loops(circuit: &Circuit) -> Loops {
    let mut found = Loops { entering: BTreeSet::new(), closing: BTreeSet::new() };
    let guard = |s: State| &circuit.segments[s / 2].guard;
    for (route, segment) in circuit.segments.iter().enumerate().filter(|(_, s)| !s.guard.is_empty()) {
        let against = |s: State| {
            guard(s).iter().any(|l| segment.guard.iter().any(|g| g.control == l.control && g.position != l.position))
        };
        for start in [2 * route, 2 * route + 1] {
            let mut seen = BTreeSet::from([start]);
            let mut stack = vec![start];
            while let Some(at) = stack.pop() {
                let next: Vec<State> = onward(circuit, at).collect();
                if !next.is_empty() && next.iter().all(|&n| against(n)) {
                    found.entering.insert(start);
                    found.closing.insert(at);
                }
                stack.extend(next.into_iter().filter(|&n| !against(n) && seen.insert(n)));
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
