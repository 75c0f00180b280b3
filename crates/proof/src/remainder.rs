//! What is left of a condition while some variables are given: which ways through its diagram can still hold.

use network::{Condition, Decision, Variable};
use std::collections::BTreeMap;

/// A node from which a condition can hold still.
#[derive(Clone, Copy)]
struct OpenNode {
    node: Condition,
    decision: Decision,
    /// Whether it can where its variable is 0 and 1.
    can: [bool; 2],
}

/// A diagram with some variables given.
pub(crate) struct Remainder {
    /// What follows a node before it. The last is where the diagram begins; none, where nothing is asked any more.
    open: Vec<OpenNode>,
}

impl Remainder {
    /// That of a condition; none, where it never holds. What follows a node stands before it in `nodes`.
    pub(crate) fn of(
        nodes: &[Decision],
        condition: Condition,
        given: impl Fn(Variable) -> Option<bool>,
    ) -> Option<Remainder> {
        let ways = |decision: &Decision| {
            let value = given(decision.variable);
            [(decision.low, value != Some(true)), (decision.high, value != Some(false))]
        };
        let mut met: BTreeMap<Condition, Decision> = BTreeMap::new();
        let mut stack = vec![condition];
        while let Some(node) = stack.pop() {
            let Some(decision) = node.asks(nodes) else { continue };
            if met.insert(node, decision).is_none() {
                stack.extend(ways(&decision).into_iter().filter(|w| w.1).map(|w| w.0));
            }
        }
        let mut remainder = Remainder { open: Vec::new() };
        for (node, decision) in met {
            let can = ways(&decision).map(|(next, may)| may && remainder.can_hold(next));
            if can != [false, false] {
                remainder.open.push(OpenNode { node, decision, can });
            }
        }
        remainder.can_hold(condition).then_some(remainder)
    }

    fn can_hold(&self, node: Condition) -> bool {
        node.is_true() || self.place(node).is_some()
    }

    /// Where a node stands among the open ones.
    fn place(&self, node: Condition) -> Option<usize> {
        self.open.binary_search_by_key(&node, |o| o.node).ok()
    }

    /// One way to hold: the variables that are asked on it, each 0 if it may be.
    pub(crate) fn first_way(&self) -> Vec<(Variable, bool)> {
        let mut way = Vec::new();
        let mut at = self.open.last();
        while let Some(OpenNode { decision, can, .. }) = at {
            way.push((decision.variable, !can[0]));
            let next = if can[0] { decision.low } else { decision.high };
            at = self.place(next).map(|place| &self.open[place]);
        }
        way
    }

    /// The variables that have one value wherever it holds, in order.
    pub(crate) fn forced(&self) -> Vec<(Variable, bool)> {
        // A variable is forced if no way leaves it out and all that ask it go on by the same value. Every open node
        // is on a way.
        let mut asked: Vec<Variable> = self.open.iter().map(|o| o.decision.variable).collect();
        asked.sort_unstable();
        asked.dedup();
        let row = |variable: Variable| asked.partition_point(|&v| v < variable);
        let mut goes_on = vec![[false; 2]; asked.len()];
        // How many more ways leave out each variable than the one before it.
        let mut leave_out = vec![0_i64; asked.len() + 1];
        for OpenNode { decision, can, .. } in &self.open {
            let own = row(decision.variable);
            for (value, next) in [decision.low, decision.high].into_iter().enumerate().filter(|w| can[w.0]) {
                goes_on[own][value] = true;
                let next = self.place(next).map_or(asked.len(), |next| row(self.open[next].decision.variable));
                leave_out[own + 1] += 1;
                leave_out[next] -= 1;
            }
        }
        let mut left_out = 0;
        let mut forced = Vec::new();
        for ((&variable, goes_on), change) in asked.iter().zip(goes_on).zip(&leave_out) {
            left_out += change;
            if left_out == 0 && goes_on[0] != goes_on[1] {
                forced.push((variable, goes_on[1]));
            }
        }
        forced
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use network::Diagrams;

    /// On conditions drawn at random, against every setting of their variables.
    #[test]
    fn what_is_forced_is_what_all_settings_have_in_common() {
        const VARIABLES: usize = 6;
        let mut state = 1_u64;
        let mut random = |below: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % below
        };
        let mut held = 0;
        for _ in 0..600 {
            let diagrams = Diagrams::new(VARIABLES, 1 << 10);
            let mut condition = Condition::NEVER;
            for _ in 0..1 + random(5) {
                let mut clause: Vec<(Variable, bool)> =
                    (0..1 + random(5)).map(|_| (Variable::new(random(6) as usize), random(2) == 1)).collect();
                let clause = diagrams.all_of(&mut clause);
                condition = diagrams.or(condition, clause).expect("small");
            }
            let given: Vec<Option<bool>> =
                (0..VARIABLES).map(|_| [None, None, Some(false), Some(true)][random(4) as usize]).collect();
            let (nodes, roots) = diagrams.written_out(&[condition]);
            let fits = |setting: &u32| {
                let value = |v: usize| setting >> v & 1 == 1;
                given.iter().enumerate().all(|(v, g)| g.is_none_or(|g| g == value(v)))
                    && diagrams.value(condition, |v| value(v.index()))
            };
            let settings: Vec<u32> = (0..1 << VARIABLES).filter(fits).collect();
            let Some(remainder) = Remainder::of(&nodes, roots[0], |v| given[v.index()]) else {
                assert!(settings.is_empty());
                continue;
            };
            held += 1;
            let common = |v: usize, value: u32| settings.iter().all(|s| s >> v & 1 == value);
            // Of what is given nothing need be said.
            let free = |v: &usize| given[*v].is_none();
            let expected: Vec<_> = (0..VARIABLES)
                .filter(free)
                .filter(|&v| common(v, 0) || common(v, 1))
                .map(|v| (Variable::new(v), common(v, 1)))
                .collect();
            let forced: Vec<_> = remainder.forced().into_iter().filter(|f| free(&f.0.index())).collect();
            assert_eq!(forced, expected);
            // The first way has the lowest digits, first variable first.
            let way = remainder.first_way();
            let setting = way.iter().fold(0, |s, (v, value)| s | u32::from(*value) << v.index());
            let setting = (0..VARIABLES).fold(setting, |s, v| s | u32::from(given[v] == Some(true)) << v);
            assert!(settings.contains(&setting));
            assert_eq!(settings.iter().map(|s| s.reverse_bits()).min(), Some(setting.reverse_bits()));
        }
        assert!(held > 300, "{held}");
    }
}
