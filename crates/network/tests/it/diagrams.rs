//! Diagrams that share their nodes beside a library whose diagrams are values of their own.

use biodivine_lib_bdd::{Bdd, BddVariable, BddVariableSet};
use network::{Condition, Diagrams, Overgrown, Variable};
use proptest::prelude::*;

const VARIABLES: usize = 9;

/// What a condition is made by, of those that are there already.
#[derive(Debug, Clone)]
enum Step {
    Clause(Vec<(usize, bool)>),
    And(usize, usize),
    Or(usize, usize),
    AndNot(usize, usize),
    Not(usize),
    Fix(usize, usize, bool),
}

fn any_step() -> impl Strategy<Value = Step> {
    let (index, variable) = (|| 0usize..64, || 0..VARIABLES);
    prop_oneof![
        2 => prop::collection::vec((variable(), any::<bool>()), 0..4).prop_map(Step::Clause),
        2 => (index(), index()).prop_map(|(a, b)| Step::And(a, b)),
        3 => (index(), index()).prop_map(|(a, b)| Step::Or(a, b)),
        2 => (index(), index()).prop_map(|(a, b)| Step::AndNot(a, b)),
        1 => index().prop_map(Step::Not),
        1 => (index(), variable(), any::<bool>()).prop_map(|(a, v, value)| Step::Fix(a, v, value)),
    ]
}

fn variable(index: usize) -> BddVariable {
    BddVariable::from_index(index)
}

fn step(step: &Step, all: &[(Condition, Bdd)], diagrams: &Diagrams, library: &BddVariableSet) -> (Condition, Bdd) {
    let at = |index: usize| &all[index % all.len()];
    let small = |condition: Result<Condition, Overgrown>| condition.expect("small");
    match step {
        Step::Clause(literals) => {
            let mut own: Vec<_> = literals.iter().map(|&(v, value)| (Variable::new(v), value)).collect();
            let theirs = literals.iter().map(|&(v, value)| library.mk_literal(variable(v), value));
            (diagrams.all_of(&mut own), theirs.fold(library.mk_true(), |all, one| all.and(&one)))
        }
        Step::And(a, b) => (small(diagrams.and(at(*a).0, at(*b).0)), at(*a).1.and(&at(*b).1)),
        Step::Or(a, b) => (small(diagrams.or(at(*a).0, at(*b).0)), at(*a).1.or(&at(*b).1)),
        Step::AndNot(a, b) => (small(diagrams.and_not(at(*a).0, at(*b).0)), at(*a).1.and_not(&at(*b).1)),
        Step::Not(a) => (small(diagrams.not(at(*a).0)), at(*a).1.not()),
        Step::Fix(a, v, value) => {
            (diagrams.restrict(at(*a).0, &[(Variable::new(*v), *value)]), at(*a).1.var_restrict(variable(*v), *value))
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn shared_diagrams_are_those_of_a_library(steps in prop::collection::vec(any_step(), 1..40)) {
        let (diagrams, library) = (Diagrams::new(VARIABLES, 1 << 16), BddVariableSet::new_anonymous(VARIABLES as u16));
        let mut all = vec![(Condition::ALWAYS, library.mk_true()), (Condition::NEVER, library.mk_false())];
        for s in &steps {
            let made = step(s, &all, &diagrams, &library);
            all.push(made);
        }
        let conditions: Vec<Condition> = all.iter().map(|a| a.0).collect();
        let (nodes, written) = diagrams.written_out(&conditions);
        for ((condition, theirs), mut at) in all.iter().zip(written) {
            prop_assert_eq!(diagrams.size(*condition), theirs.size());
            prop_assert_eq!(diagrams.settings(*condition), theirs.cardinality());
            let support = diagrams.support(*condition).into_iter().map(|v| variable(v.index()));
            prop_assert_eq!(support.collect::<std::collections::HashSet<_>>(), theirs.support_set());
            let clause = diagrams.most_free_clause(*condition);
            let clause = clause.map(|c| c.into_iter().map(|(v, value)| (variable(v.index()), value)).collect::<Vec<_>>());
            prop_assert_eq!(clause, theirs.most_free_clause().map(|c| c.to_values()));
            // Of the same settings there is one diagram. The library numbers the nodes of what it restricts otherwise, so
            // its own equality would tell two diagrams of one function apart.
            for (other, others) in &all {
                prop_assert_eq!(condition == other, theirs.iff(others).is_true());
            }
            // What is written out says the same.
            let setting = |v: Variable| v.index() % 3 == 1;
            while let Some(asked) = at.asks(&nodes) {
                at = if setting(asked.variable) { asked.high } else { asked.low };
            }
            prop_assert_eq!(at.is_true(), diagrams.value(*condition, setting));
            prop_assert_eq!(diagrams.holds(*condition, |v| Some(setting(v))), at.is_true());
        }
    }
}

/// What was worked out of two conditions is not worked out again, and a part that two have in common is there once.
#[test]
fn what_is_known_costs_nothing() {
    const LONG: usize = 60_000;
    let diagrams = Diagrams::new(LONG, 1 << 20);
    let chain = |from: usize| diagrams.all_of(&mut (from..LONG).map(|v| (Variable::new(v), true)).collect::<Vec<_>>());
    let (long, shorter) = (chain(0), chain(LONG / 2));
    assert_eq!(diagrams.node_count(), LONG + 2);
    assert_eq!(diagrams.size(long), LONG + 2);
    assert_eq!(diagrams.and(long, shorter), Ok(long));
    let steps = diagrams.steps();
    assert!(steps <= LONG / 2, "{steps}");
    assert_eq!(diagrams.and(shorter, long), Ok(long));
    assert_eq!(diagrams.steps(), steps);
    let shut = diagrams.not(long).expect("no larger than what it is made of");
    assert!(diagrams.or(long, shut).expect("it shrinks").is_true());
}
