//! Where a train meets trackwork that it has itself set otherwise.
//!
//! A train that came over a route with `T = diverging` and comes, further on, to trackwork all of whose routes
//! onward need `T = through` must wait there and have `T` thrown. Which routes lead to such places is a
//! question of reachability, asked for every position of every control; the questions are asked side by
//! side, one bit each, so that one walk over the plan answers 256 of them.

use crate::lined::{State, States};
use circuit::{Circuit, Guard};
use std::collections::BTreeMap;

/// Words of bits that are carried along at once.
const WORDS: usize = 4;

/// One bit for each question of a round.
type Bits = [u64; WORDS];

/// See the module.
pub(crate) struct Loops {
    /// Routes about to be left towards a place where the train would find their control set against it.
    pub(crate) entering: Vec<bool>,
    /// States out of which every route needs a position that contradicts one the train came over.
    pub(crate) closing: Vec<bool>,
}

/// Finds, for each route, where a train that came over it meets trackwork that it has itself set otherwise:
/// the other leg of a balloon loop, the same turnout after a round of an oval, the far end of a crossover.
pub(crate) fn loops(circuit: &Circuit, states: &States) -> Loops {
    let mut found = Loops { entering: vec![false; states.count()], closing: vec![false; states.count()] };
    // Routes that need the same positions ask the same question.
    let mut routes_of: BTreeMap<&Guard, Vec<usize>> = BTreeMap::new();
    let mut needing: Vec<Vec<(u8, usize)>> = vec![Vec::new(); circuit.controls.len()];
    for (route, segment) in circuit.segments.iter().enumerate().filter(|(_, s)| !s.guard.is_empty()) {
        routes_of.entry(&segment.guard).or_default().push(route);
        segment.guard.iter().for_each(|l| needing[l.control].push((l.position, route)));
    }
    let questions: Vec<(&Guard, Vec<usize>)> = routes_of.into_iter().collect();
    let mut round = Round::new(circuit.segments.len());
    for asked in questions.chunks(64 * WORDS) {
        round.ask(states, asked, &needing, &mut found);
    }
    found
}

/// Memory for a round of questions.
struct Round {
    /// For each segment, the questions whose positions contradict its own.
    against: Vec<Bits>,
    /// For each state, the questions whose train can come there.
    forward: Vec<Bits>,
    /// For each state, the questions for which a train can come from there to where it must wait.
    backward: Vec<Bits>,
}

impl Round {
    fn new(segments: usize) -> Round {
        let none = [0; WORDS];
        Round { against: vec![none; segments], forward: vec![none; 2 * segments], backward: vec![none; 2 * segments] }
    }

    fn ask(
        &mut self,
        states: &States,
        asked: &[(&Guard, Vec<usize>)],
        needing: &[Vec<(u8, usize)>],
        found: &mut Loops,
    ) {
        let none = [0; WORDS];
        for all in [&mut self.against, &mut self.forward, &mut self.backward] {
            all.fill(none);
        }
        for (bit, (guard, routes)) in asked.iter().enumerate() {
            let (word, bit) = (bit / 64, 1u64 << (bit % 64));
            for literal in *guard {
                for &(_, route) in needing[literal.control].iter().filter(|n| n.0 != literal.position) {
                    self.against[route][word] |= bit;
                }
            }
            for &route in routes {
                self.forward[2 * route][word] |= bit;
                self.forward[2 * route + 1][word] |= bit;
            }
        }
        // What a state leads to comes before it in the order.
        repeat(states, || {
            let mut changed = false;
            for &s in states.order.iter().rev() {
                let here = self.forward[s];
                if here == none {
                    continue;
                }
                for &n in states.onward(s) {
                    changed |= put(&mut self.forward[n], &and_not(&here, &self.against[n / 2]));
                }
            }
            changed
        });
        repeat(states, || {
            let mut changed = false;
            for &s in &states.order {
                let mut here = self.must_wait(states, s);
                for &n in states.onward(s) {
                    put(&mut here, &and_not(&self.backward[n], &self.against[n / 2]));
                }
                changed |= put(&mut self.backward[s], &here);
            }
            changed
        });
        for &s in &states.order {
            let wait = self.must_wait(states, s);
            found.closing[s] |= (0..WORDS).any(|w| wait[w] & self.forward[s][w] != 0);
        }
        for (bit, (_, routes)) in asked.iter().enumerate() {
            for s in routes.iter().flat_map(|&route| [2 * route, 2 * route + 1]) {
                found.entering[s] |= self.backward[s][bit / 64] >> (bit % 64) & 1 == 1;
            }
        }
    }

    /// The questions whose train finds every way on from a state set against it.
    fn must_wait(&self, states: &States, s: State) -> Bits {
        let onward = states.onward(s);
        let Some(first) = onward.first() else { return [0; WORDS] };
        let mut all = self.against[first / 2];
        for n in &onward[1..] {
            for (word, against) in all.iter_mut().zip(&self.against[n / 2]) {
                *word &= against;
            }
        }
        all
    }
}

/// One sweep where the states lie in order, else as many as it takes.
fn repeat(states: &States, mut sweep: impl FnMut() -> bool) {
    while sweep() && !states.in_order {}
}

fn and_not(a: &Bits, b: &Bits) -> Bits {
    std::array::from_fn(|w| a[w] & !b[w])
}

/// Adds bits; whether any is new.
fn put(into: &mut Bits, more: &Bits) -> bool {
    let mut new = 0;
    for (word, more) in into.iter_mut().zip(more) {
        new |= more & !*word;
        *word |= more;
    }
    new != 0
}
