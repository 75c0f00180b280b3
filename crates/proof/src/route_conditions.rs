//! Where a train can be.
//!
//! A *run* is plain track from one piece of trackwork to the next. Where it has room a train can stand and wait, so a train
//! can be there in every setting; over trackwork and over shorter runs it comes only where it is *clear ahead* on both
//! sides, up to the next run with room (docs/definitions.md). The rule is local on purpose: no verdict about a place depends
//! on a turnout elsewhere, and conditions stay short on long plans.
//!
//! A train moves only where it gets power: on its own run, or on those next to it. Track that a turnout or a switch has
//! taken all power from is switched off, and nothing is asked of it.
//!
//! # Near first
//! On a ladder whose pieces are shorter than a train, what is clear ahead names every turnout of it. But a question is hardly
//! ever about all of them: a frog gap is unsafe at most while *its own* turnout stands one way. So
//! [`QueryContext::under_train_where`] takes the condition under which a place is bad and first asks only for what that
//! condition names of what is ahead. That is never less than the truth: where nothing is left of the question, it is settled.

use crate::logic::Logic;
use crate::runs::PlainRuns;
use crate::spot::GapOrStretch;
use crate::state::{State, slot, state};
use crate::stretches::stretches;
use crate::{QueryContext, TooComplex};
use circuit::{Circuit, SegmentId};
use network::{Condition, Variable};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};

/// A question that names more controls than this is asked of the exact conditions at once.
const MOST_NAMED: usize = 24;

/// What a train meets that leaves a segment by an end.
enum Ahead {
    /// The line ends, or a run with room follows.
    Clear,
    /// A run without room; by what its last track is left at the far end.
    Run(State),
    /// Trackwork: its routes from there, each about to be left.
    Work(Vec<State>),
}

/// Where trains can be.
pub struct RouteConditions {
    ahead: Vec<Ahead>,
    pub(crate) runs: PlainRuns,
    /// For each segment, the condition of its positions, and the variables in it.
    guards: Vec<Condition>,
    named: Vec<BTreeSet<Variable>>,
    /// For each state when it is clear ahead, as far as it has been asked for.
    clear: RefCell<Vec<Option<Condition>>>,
    steps: Cell<usize>,
}

impl RouteConditions {
    pub(crate) fn new(circuit: &Circuit, logic: &Logic) -> Result<RouteConditions, TooComplex> {
        let guards: Vec<Condition> =
            circuit.segments.iter().map(|s| logic.guard(&s.guard)).collect::<Result<_, _>>()?;
        let named = guards.iter().map(|&g| logic.diagrams.support(g).into_iter().collect()).collect();
        let runs = PlainRuns::from_circuit(circuit);
        let mut ahead = Vec::with_capacity(2 * circuit.segments.len());
        for (segment, s) in circuit.segments.iter().enumerate() {
            for end in 0..2 {
                ahead.push(match s.ends[end].next.as_slice() {
                    [] => Ahead::Clear,
                    [(track, joined)] if *track < circuit.tracks => {
                        // From a track to the next the run is the same one.
                        if runs.has_room(*track) && segment >= circuit.tracks {
                            Ahead::Clear
                        } else {
                            Ahead::Run(state(*track, 1 - slot(*joined)))
                        }
                    }
                    routes => Ahead::Work(routes.iter().map(|&(r, entered)| state(r, 1 - slot(entered))).collect()),
                });
            }
        }
        let clear = RefCell::new(vec![None; ahead.len()]);
        Ok(RouteConditions { ahead, runs, guards, named, clear, steps: Cell::new(0) })
    }

    /// Decision nodes of the exact conditions that had to be worked out.
    pub(crate) fn decision_nodes(&self, logic: &Logic) -> usize {
        self.clear.borrow().iter().flatten().map(|&clear| logic.diagrams.size(clear)).sum()
    }

    /// How often what is ahead of a state was looked at.
    pub(crate) fn steps(&self) -> usize {
        self.steps.get()
    }

    /// When it is clear ahead of a segment that is left by an end, as far as a condition names what is ahead; never less.
    pub(crate) fn nearly_clear_ahead(
        &self,
        logic: &Logic,
        (segment, end): (SegmentId, usize),
        of: Condition,
    ) -> Result<Condition, TooComplex> {
        let named = logic.diagrams.support(of).into_iter().collect();
        self.clear_nearly(logic, state(segment, end), &named, &mut BTreeSet::new())
    }

    /// The greatest fixpoint: a walk that goes round for ever is clear, as one that ends.
    fn clear_exactly(&self, logic: &Logic, from: State) -> Result<Condition, TooComplex> {
        if let Some(known) = self.clear.borrow()[from] {
            return Ok(known);
        }
        // What a state leads to stands before it, but where it is led back to; without a call for each: a ladder may be long.
        let (mut order, mut open, mut is_ring) = (Vec::new(), BTreeSet::new(), false);
        let mut stack = vec![(from, false)];
        while let Some((at, expanded)) = stack.pop() {
            if expanded {
                order.push(at);
                continue;
            }
            if self.clear.borrow()[at].is_some() || !open.insert(at) {
                continue;
            }
            stack.push((at, true));
            stack.extend(self.leads_to(at).iter().filter(|n| !open.contains(n)).map(|&n| (n, false)));
        }
        // From what is always clear down to what is: once, where nothing leads back.
        let mut found: BTreeMap<State, Condition> = BTreeMap::new();
        loop {
            let mut changed = false;
            for &at in &order {
                self.steps.set(self.steps.get() + 1);
                let known = self.clear.borrow();
                let mut then = |next: State| {
                    known[next].or_else(|| found.get(&next).copied()).unwrap_or_else(|| {
                        is_ring = true;
                        logic.always()
                    })
                };
                let clear = match &self.ahead[at] {
                    Ahead::Clear => logic.always(),
                    Ahead::Run(next) => then(*next),
                    Ahead::Work(routes) => {
                        let mut any = logic.never();
                        for &route in routes {
                            any = logic.or(any, logic.and(self.guards[route / 2], then(route))?)?;
                        }
                        any
                    }
                };
                changed |= found.insert(at, clear) != Some(clear);
            }
            if !is_ring || !changed {
                break;
            }
        }
        let mut known = self.clear.borrow_mut();
        found.into_iter().for_each(|(at, clear)| known[at] = Some(clear));
        Ok(known[from].unwrap_or_else(|| logic.always()))
    }

    fn leads_to(&self, at: State) -> &[State] {
        match &self.ahead[at] {
            Ahead::Clear => &[],
            Ahead::Run(next) => std::slice::from_ref(next),
            Ahead::Work(routes) => routes,
        }
    }

    fn clear_nearly(
        &self,
        logic: &Logic,
        at: State,
        named: &BTreeSet<Variable>,
        seen: &mut BTreeSet<State>,
    ) -> Result<Condition, TooComplex> {
        if !seen.insert(at) {
            return Ok(logic.always());
        }
        self.steps.set(self.steps.get() + 1);
        match &self.ahead[at] {
            Ahead::Clear => Ok(logic.always()),
            Ahead::Run(next) => self.clear_nearly(logic, *next, named, seen),
            Ahead::Work(routes) => {
                let mut any = logic.never();
                for &route in routes {
                    if !self.named[route / 2].is_subset(named) {
                        return Ok(logic.always());
                    }
                    let then = self.clear_nearly(logic, route, named, seen)?;
                    any = logic.or(any, logic.and(self.guards[route / 2], then)?)?;
                }
                Ok(any)
            }
        }
    }

    /// When a train can be on a segment, wherever on it.
    pub(crate) fn over(&self, logic: &Logic, segment: SegmentId) -> Result<Condition, TooComplex> {
        self.can_be(logic, &GapOrStretch::anywhere(segment), |at| self.clear_exactly(logic, at))
    }

    /// When a train can be at a place; `clear` says when it is clear ahead of a state, or what is never less than that.
    fn can_be(
        &self,
        logic: &Logic,
        place: &GapOrStretch,
        clear: impl Fn(State) -> Result<Condition, TooComplex>,
    ) -> Result<Condition, TooComplex> {
        let segment = place.segment;
        let has_room = self.runs.run_of(segment).is_some_and(|_| self.runs.has_room(segment));
        let mut all = self.guards[segment];
        for end in (0..2).filter(|&end| !has_room || place.beyond_stop[end]) {
            all = logic.and(all, clear(self.runs.far_end(segment, end))?)?;
        }
        Ok(all)
    }
}

impl QueryContext<'_> {
    /// When a train can be at a place and moves, and something else holds too.
    pub(crate) fn under_train_where(&self, place: &GapOrStretch, bad: Condition) -> Result<Condition, TooComplex> {
        let here = self.train_where(place, bad)?;
        if here.is_false() {
            return Ok(here);
        }
        self.logic.and(here, self.gets_power(place.segment)?)
    }

    /// When a train can be at a place, moving or not, and something else holds too.
    pub(crate) fn train_where(&self, place: &GapOrStretch, bad: Condition) -> Result<Condition, TooComplex> {
        let (logic, lined) = (self.logic, self.lined);
        let bad = logic.and(bad, lined.guards[place.segment])?;
        if bad.is_false() {
            return Ok(bad);
        }
        let named: BTreeSet<Variable> = logic.diagrams.support(bad).into_iter().collect();
        if named.len() <= MOST_NAMED {
            let near = |at: State| lined.clear_nearly(logic, at, &named, &mut BTreeSet::new());
            if logic.and(bad, lined.can_be(logic, place, near)?)?.is_false() {
                return Ok(logic.never());
            }
        }
        logic.and(bad, lined.can_be(logic, place, |at| lined.clear_exactly(logic, at))?)
    }

    /// When a train on a segment gets power: on its own run, or on those it comes to over set trackwork, up to the first
    /// one with room on either side.
    pub(crate) fn gets_power(&self, segment: SegmentId) -> Result<Condition, TooComplex> {
        let mut any = match self.lined.runs.run_of(segment) {
            Some(run) => self.run_is_live(run)?,
            None => self.logic.never(),
        };
        for (run, set) in self.runs_next_to(segment)? {
            if any.is_true() {
                break;
            }
            any = self.logic.or(any, self.logic.and(set, self.run_is_live(run)?)?)?;
        }
        Ok(any)
    }

    /// The runs that a train on a segment comes to over set trackwork, up to the first one with room on either side, each
    /// with when it does.
    pub(crate) fn runs_next_to(&self, segment: SegmentId) -> Result<Vec<(usize, Condition)>, TooComplex> {
        let mut met = Vec::new();
        for end in 0..2 {
            // The far end of its own run, where it is plain track.
            self.runs_ahead(self.lined.runs.far_end(segment, end), &mut met)?;
        }
        Ok(met)
    }

    /// Adds the runs that a train comes to from a state, each with when it does.
    fn runs_ahead(&self, at: State, met: &mut Vec<(usize, Condition)>) -> Result<(), TooComplex> {
        let (logic, lined) = (self.logic, self.lined);
        let mut seen = BTreeSet::from([at]);
        // Where it comes to, and over which trackwork.
        let mut stack: Vec<(State, Condition)> = vec![(at, logic.always())];
        while let Some((at, set)) = stack.pop() {
            let joined = &self.circuit.segments[at / 2].ends[at % 2].next;
            for &(next, entered) in joined {
                let beyond = state(next, 1 - slot(entered));
                let set = logic.and(set, lined.guards[next])?;
                if set.is_false() || !seen.insert(beyond) {
                    continue;
                }
                let Some(run) = lined.runs.run_of(next) else {
                    stack.push((beyond, set));
                    continue;
                };
                met.push((run, set));
                if !lined.runs.has_room(next) {
                    stack.push((lined.runs.far_end(next, beyond % 2), set));
                }
            }
        }
        Ok(())
    }

    /// When a train can be on some stretch of a run that has its rails on opposite poles of one supply.
    pub(crate) fn run_is_live(&self, run: usize) -> Result<Condition, TooComplex> {
        if let Some(known) = self.live_runs.borrow()[run] {
            return Ok(known);
        }
        let mut any = self.logic.never();
        for &track in self.lined.runs.tracks(run) {
            for ([from, to], [left, right]) in stretches(self.circuit, track) {
                if !any.is_true() {
                    let spot = GapOrStretch::stretch(self.circuit, &self.lined.runs, track, (from + to) / 2.0);
                    any = self.logic.or(any, self.train_where(&spot, self.powered(left, right)?)?)?;
                }
            }
        }
        self.live_runs.borrow_mut()[run] = Some(any);
        Ok(any)
    }
}
