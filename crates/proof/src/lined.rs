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
//!
//! # Near first
//! The exact condition under which a train is lined over a place names every turnout it trails on its way to the
//! edge of the plan: on a long plan it is long, for thousands of places. But a question is hardly ever about
//! them. A frog gap is unsafe at most while *its own* turnout stands one way, and it is enough to know that no
//! train comes then. So [`Lined::under_train_where`] takes the condition under which a place is bad and first
//! follows the train only as far as trackwork which that condition names, taking for granted that it can go on
//! from there. That is never less than the truth: where nothing is left of the question, it is settled.
//! Only where something is left is the exact condition worked out, for the states that can be reached.

use crate::TooComplex;
use crate::logic::Logic;
use crate::loops::{Loops, loops};
use biodivine_lib_bdd::{Bdd, BddVariable};
use circuit::{Circuit, Gap, SegmentId};
use plan::TrackEnd;
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// A segment about to be left by an end: `2 * segment`, plus one for its `to` end.
pub(crate) type State = usize;

fn state(segment: SegmentId, end: TrackEnd) -> State {
    2 * segment + usize::from(end == TrackEnd::To)
}

/// A question that names more controls than this is asked of the exact conditions at once.
const MOST_NAMED: usize = 24;
/// Ends of segments of a plan that counts as long; and as many are looked at for one way.
const MANY: usize = 2000;
/// States that are looked at for a near answer.
const NEAR: usize = 256;

/// Which of the two conditions out of a state.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Out {
    /// Set for going on.
    Strict,
    /// Set for going on, or to be waited for.
    Waiting,
}

/// States and what follows them: the segments that go on, each about to be left by its far end.
pub(crate) struct States {
    start: Vec<usize>,
    next: Vec<State>,
    /// In the order of a depth-first walk's return: what a state leads to comes before it.
    pub(crate) order: Vec<State>,
    /// Whether it does for all of them; not where a train can go round a circle.
    pub(crate) in_order: bool,
}

impl States {
    fn of(circuit: &Circuit) -> States {
        let mut states = States { start: vec![0], next: Vec::new(), order: Vec::new(), in_order: true };
        for segment in &circuit.segments {
            for end in &segment.ends {
                states.next.extend(end.next.iter().map(|&(s, entered)| state(s, entered.other())));
                states.start.push(states.next.len());
            }
        }
        let mut seen = vec![false; states.count()];
        let mut order = Vec::with_capacity(states.count());
        for start in 0..states.count() {
            states.walk(start, |s| !std::mem::replace(&mut seen[s], true), &mut order);
        }
        let mut place = vec![0; order.len()];
        order.iter().enumerate().for_each(|(i, &s)| place[s] = i);
        states.in_order = order.iter().all(|&s| states.onward(s).iter().all(|&n| place[n] < place[s]));
        states.order = order;
        states
    }

    pub(crate) fn count(&self) -> usize {
        self.start.len() - 1
    }

    pub(crate) fn onward(&self, from: State) -> &[State] {
        &self.next[self.start[from]..self.start[from + 1]]
    }

    /// Adds everything that can be reached over fresh states, outermost first; `fresh` is true once for each.
    fn walk(&self, start: State, mut fresh: impl FnMut(State) -> bool, order: &mut Vec<State>) {
        if !fresh(start) {
            return;
        }
        let mut stack = vec![(start, self.onward(start))];
        while let Some((at, ahead)) = stack.last_mut() {
            match ahead.split_last() {
                Some((&next, rest)) => {
                    *ahead = rest;
                    if fresh(next) {
                        stack.push((next, self.onward(next)));
                    }
                }
                None => {
                    order.push(*at);
                    stack.pop();
                }
            }
        }
    }
}

/// When trains are lined over segments.
pub struct Lined {
    states: States,
    loops: Loops,
    /// For each segment, the condition of its positions, and the variables that are in it.
    guards: Vec<Bdd>,
    named: Vec<BTreeSet<BddVariable>>,
    /// Exact conditions, as far as they have been asked for.
    strict: RefCell<Vec<Option<Bdd>>>,
    waiting: RefCell<Vec<Option<Bdd>>>,
    steps: Cell<usize>,
    /// On a long plan, the settings that there are and that short nothing: see [`Lined::ask_by_one_way`].
    clean: Option<Bdd>,
    /// Whether to leave a question open for which no such way is found, and whether one was.
    may_leave: bool,
    left: Cell<bool>,
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
        let others = circuit.gaps_of(gap.segment).iter().filter(|g| g.side == gap.side);
        Spot { is_gap: true, ..Spot::at(circuit, gap.segment, gap.x, others) }
    }

    /// A stretch with this middle, among the gaps of both rails.
    pub(crate) fn stretch(circuit: &Circuit, segment: SegmentId, middle: f64) -> Spot {
        Spot::at(circuit, segment, middle, circuit.gaps_of(segment).iter())
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

impl Lined {
    pub(crate) fn of(circuit: &Circuit, logic: &Logic) -> Result<Lined, TooComplex> {
        let states = States::of(circuit);
        let loops = loops(circuit, &states);
        let guards: Vec<Bdd> = circuit.segments.iter().map(|s| logic.guard(&s.guard)).collect::<Result<_, _>>()?;
        let named = guards.iter().map(|g| g.support_set().into_iter().collect()).collect();
        let unknown = vec![None; states.count()];
        let (strict, waiting) = (RefCell::new(unknown.clone()), RefCell::new(unknown));
        Ok(Lined {
            states,
            loops,
            guards,
            named,
            strict,
            waiting,
            steps: Cell::new(0),
            clean: None,
            may_leave: false,
            left: Cell::new(false),
        })
    }

    /// On a long plan, lets [`Lined::under_train_where`] answer with the settings of one way alone where it finds one
    /// that is set while the place is bad and nothing is shorted. That is all a fault needs to be told, and the exact
    /// condition may name every turnout there is. Not where controls settle by themselves: then it takes more than one
    /// setting to make a fault. Where there are lasting shorts, which must go first, it leaves open what no single way
    /// shows, and [`Lined::left_open`] says so.
    pub(crate) fn ask_by_one_way(&mut self, logic: &Logic, shorted: &Bdd, shorts: bool) -> Result<(), TooComplex> {
        self.may_leave = shorts;
        if self.states.count() > MANY && !logic.any_settles() {
            self.clean = Some(logic.and_not(&logic.possible(&logic.always())?, shorted)?);
        }
        Ok(())
    }

    /// Decision nodes of the exact conditions that had to be worked out.
    pub(crate) fn decision_nodes(&self) -> usize {
        let size = |known: &RefCell<Vec<Option<Bdd>>>| known.borrow().iter().flatten().map(Bdd::size).sum::<usize>();
        size(&self.strict) + size(&self.waiting)
    }

    /// How often the condition out of a state was worked out, nearly or exactly.
    pub(crate) fn steps(&self) -> usize {
        self.steps.get()
    }

    /// When a train on a lined way can be on a segment.
    pub(crate) fn over(&self, logic: &Logic, segment: SegmentId) -> Result<Bdd, TooComplex> {
        let (from, to) = (2 * segment, 2 * segment + 1);
        let one = logic.and(&self.exact(logic, from, Out::Strict)?, &self.exact(logic, to, Out::Waiting)?)?;
        let other = logic.and(&self.exact(logic, from, Out::Waiting)?, &self.exact(logic, to, Out::Strict)?)?;
        logic.and(&self.guards[segment], &logic.or(&one, &other)?)
    }

    /// When a train on a lined way crosses a gap, or stands on a stretch between gaps.
    ///
    /// A train that waits for trackwork stops short of the last gap before it, where that gap lies in the half of
    /// the segment next to the trackwork; what lies beyond is not under it.
    pub(crate) fn under_train(&self, logic: &Logic, place: &Spot) -> Result<Bdd, TooComplex> {
        self.under(logic, place, |s, out| self.exact(logic, s, out))
    }

    /// When a train is there, as in [`Lined::under_train`], and something else holds too.
    pub(crate) fn under_train_where(&self, logic: &Logic, place: &Spot, bad: &Bdd) -> Result<Bdd, TooComplex> {
        let bad = logic.and(bad, &self.guards[place.segment])?;
        if bad.is_false() {
            return Ok(bad);
        }
        let named: BTreeSet<BddVariable> = bad.support_set().into_iter().collect();
        if named.len() <= MOST_NAMED {
            let mut near = Near { lined: self, logic, named, known: BTreeMap::new() };
            if logic.and(&bad, &self.under(logic, place, |s, out| near.out(s, out))?)?.is_false() {
                return Ok(logic.never());
            }
        }
        if let Some(clean) = &self.clean {
            let bad = logic.and(&bad, clean)?;
            for (back, out) in [(0, 1), (1, 0)].map(|(b, o)| (2 * place.segment + b, 2 * place.segment + o)) {
                if let Some(half) = self.one_way(logic, back, &bad)?
                    && let Some(whole) = self.one_way(logic, out, &half)?
                {
                    return Ok(whole);
                }
            }
            if bad.is_false() || self.may_leave {
                self.left.set(self.left.get() || !bad.is_false());
                return Ok(logic.never());
            }
        }
        logic.and(&bad, &self.under_train(logic, place)?)
    }

    /// Whether questions about a plan are left open because it is long and has lasting shorts.
    pub(crate) fn may_leave(&self) -> bool {
        self.clean.is_some() && self.may_leave
    }

    /// Whether a question was left open.
    pub(crate) fn left_open(&self) -> bool {
        self.left.get()
    }

    /// A condition together with the positions of a short way from a state to where the line ends; none where none was
    /// found that can be set with it.
    fn one_way(&self, logic: &Logic, from: State, with: &Bdd) -> Result<Option<Bdd>, TooComplex> {
        let mut seen = BTreeSet::from([from]);
        let mut queue = VecDeque::from([(from, with.clone())]);
        while let Some((at, condition)) = queue.pop_front() {
            let onward = self.states.onward(at);
            if condition.is_false() || seen.len() > MANY {
                continue;
            }
            if onward.is_empty() {
                return Ok(Some(condition));
            }
            for &next in onward {
                let set = logic.and(&condition, &self.guards[next / 2])?;
                if !set.is_false() && seen.insert(next) {
                    queue.push_back((next, set));
                }
            }
        }
        Ok(None)
    }

    fn under(
        &self,
        logic: &Logic,
        place: &Spot,
        mut out_of: impl FnMut(State, Out) -> Result<Bdd, TooComplex>,
    ) -> Result<Bdd, TooComplex> {
        let mut any = logic.never();
        for came_by in 0..2 {
            let goes_to = 1 - came_by;
            let (back, out) = (2 * place.segment + came_by, 2 * place.segment + goes_to);
            let last = place.near == Some(goes_to) && !place.gaps[goes_to] && (place.is_gap || place.gaps[came_by]);
            let stops_short = last && self.loops.closing[out];
            let onward = out_of(out, if stops_short { Out::Strict } else { Out::Waiting })?;
            any = logic.or(&any, &logic.and(&out_of(back, Out::Strict)?, &onward)?)?;
        }
        logic.and(&any, &self.guards[place.segment])
    }

    /// When a way is lined out of one end of a segment.
    pub(crate) fn out_of(&self, logic: &Logic, segment: SegmentId, end: TrackEnd) -> Result<Bdd, TooComplex> {
        self.exact(logic, state(segment, end), Out::Strict)
    }

    /// When a way is lined out of one end of a segment as far as trackwork that a condition names; from there on it is
    /// taken for granted. Never less than [`Lined::out_of`].
    pub(crate) fn nearly_out_of(
        &self,
        logic: &Logic,
        segment: SegmentId,
        end: TrackEnd,
        of: &Bdd,
    ) -> Result<Bdd, TooComplex> {
        let named = of.support_set().into_iter().collect();
        Near { lined: self, logic, named, known: BTreeMap::new() }.out(state(segment, end), Out::Strict)
    }

    /// The exact condition out of a state; worked out when first asked for, with all it depends on.
    fn exact(&self, logic: &Logic, s: State, out: Out) -> Result<Bdd, TooComplex> {
        let known = if out == Out::Strict { &self.strict } else { &self.waiting };
        if let Some(known) = &known.borrow()[s] {
            return Ok(known.clone());
        }
        let mut seen = BTreeSet::new();
        let mut order = Vec::new();
        self.states.walk(s, |at| known.borrow()[at].is_none() && seen.insert(at), &mut order);
        if out == Out::Strict {
            for &at in order.iter().filter(|&&at| self.loops.entering[at]) {
                self.exact(logic, at, Out::Waiting)?;
            }
        }
        let waiting = if out == Out::Strict { Some(self.waiting.borrow()) } else { None };
        let mut known = known.borrow_mut();
        order.iter().for_each(|&at| known[at] = Some(logic.always()));
        loop {
            let mut changed = false;
            self.steps.set(self.steps.get() + order.len());
            for &at in &order {
                // Going into a loop, a train may wait at its far end.
                let entered = waiting.as_ref().filter(|_| self.loops.entering[at]).and_then(|w| w[at].clone());
                let new = match entered {
                    Some(entered) => entered,
                    None if out == Out::Waiting && self.loops.closing[at] => logic.always(),
                    None => self.goes_on(logic, at, &known)?,
                };
                if known[at].as_ref() != Some(&new) {
                    known[at] = Some(new);
                    changed = true;
                }
            }
            if !changed || self.states.in_order {
                return Ok(known[s].clone().unwrap_or_else(|| logic.always()));
            }
        }
    }

    fn goes_on(&self, logic: &Logic, from: State, known: &[Option<Bdd>]) -> Result<Bdd, TooComplex> {
        let onward = self.states.onward(from);
        // Where nothing goes on there is a stop, or the edge of the plan: the way ends well.
        let mut any = if onward.is_empty() { logic.always() } else { logic.never() };
        for &next in onward {
            if let Some(there) = &known[next] {
                any = logic.or(&any, &logic.and(&self.guards[next / 2], there)?)?;
            }
        }
        Ok(any)
    }
}

/// Conditions that follow a train only over trackwork that is named; never less than the exact ones.
struct Near<'l> {
    lined: &'l Lined,
    logic: &'l Logic,
    named: BTreeSet<BddVariable>,
    /// `None` while a state is being worked out: who comes back to it by a circle takes it for granted.
    known: BTreeMap<(State, Out), Option<Bdd>>,
}

impl Near<'_> {
    fn out(&mut self, s: State, out: Out) -> Result<Bdd, TooComplex> {
        let lined = self.lined;
        let out = if out == Out::Strict && lined.loops.entering[s] { Out::Waiting } else { out };
        let onward = lined.states.onward(s);
        if onward.is_empty() || (out == Out::Waiting && lined.loops.closing[s]) {
            return Ok(self.logic.always());
        }
        if let Some(known) = self.known.get(&(s, out)) {
            return Ok(known.clone().unwrap_or_else(|| self.logic.always()));
        }
        if self.known.len() >= NEAR || onward.iter().any(|&n| !lined.named[n / 2].is_subset(&self.named)) {
            return Ok(self.logic.always());
        }
        self.known.insert((s, out), None);
        lined.steps.set(lined.steps.get() + 1);
        let mut any = self.logic.never();
        for &next in onward {
            let there = self.out(next, out)?;
            any = self.logic.or(&any, &self.logic.and(&lined.guards[next / 2], &there)?)?;
        }
        self.known.insert((s, out), Some(any.clone()));
        Ok(any)
    }
}
