//! Conditions as decision diagrams that share their nodes.
//!
//! A condition is a number: the node of one store ([`Diagrams`]) at which its diagram begins. Every node is there once, so that two
//! conditions are the same exactly when their numbers are, and whatever one has of another costs nothing to write down again. What was
//! worked out of two conditions is remembered and not walked twice (Bryant, "Graph-based algorithms for Boolean function
//! manipulation", IEEE Transactions on Computers C-35, 1986; Brace, Rudell and Bryant, "Efficient implementation of a BDD package",
//! DAC 1990). Nothing recurses: a condition may name as many switches as it likes.

use crate::diagram_store::{Cofactors, Junction, Store};
use std::cell::RefCell;
use std::rc::Rc;

/// A two-valued variable, by its place in the order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Variable(pub(crate) u32);

impl Variable {
    /// That at a place in the order.
    pub const fn new(index: usize) -> Variable {
        Variable(index as u32)
    }

    /// Its place in the order.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// A condition over the variables of some [`Diagrams`]; of no use with others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Condition(pub(crate) u32);

impl Condition {
    /// What never holds.
    pub const NEVER: Condition = Condition(0);
    /// What always holds.
    pub const ALWAYS: Condition = Condition(1);

    /// Whether it never holds.
    pub const fn is_false(self) -> bool {
        self.0 == 0
    }

    /// Whether it always holds.
    pub const fn is_true(self) -> bool {
        self.0 == 1
    }

    /// What it asks first, of nodes that were [`Diagrams::written_out`]; nothing, where it always or never holds.
    ///
    /// # Panics
    /// When it is not one of them.
    pub fn asks(self, nodes: &[Decision]) -> Option<Decision> {
        (self.0 > 1).then(|| nodes[self.0 as usize])
    }
}

/// What a diagram asks first, and what it becomes by the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decision {
    /// The variable.
    pub variable: Variable,
    /// What is left to hold if it is 0.
    pub low: Condition,
    /// And if it is 1.
    pub high: Condition,
}

/// A condition would need more decision nodes than one may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a condition needs more decision nodes than one may have")]
pub struct Overgrown;

/// The nodes of all conditions over some variables. A clone is the same store.
#[derive(Clone, Debug)]
pub struct Diagrams {
    variables: usize,
    limit: usize,
    store: Rc<RefCell<Store>>,
}

impl Diagrams {
    /// No conditions yet, over so many variables, none of which may need more than `limit` decision nodes by itself (the two end
    /// nodes counted).
    pub fn new(variables: usize, limit: usize) -> Diagrams {
        Diagrams { variables, limit, store: Rc::new(RefCell::new(Store::new(variables))) }
    }

    /// The same conditions; of those that come, none may need more decision nodes than this.
    pub fn with_limit(&self, limit: usize) -> Diagrams {
        Diagrams { limit, ..self.clone() }
    }

    /// Decision nodes that one condition may need.
    pub fn limit(&self) -> usize {
        self.limit
    }

    /// How many variables there are.
    pub fn variables(&self) -> usize {
        self.variables
    }

    /// When a variable has a value.
    ///
    /// # Panics
    /// When there is no such variable.
    pub fn literal(&self, variable: Variable, value: bool) -> Condition {
        self.all_of(&mut [(variable, value)])
    }

    /// When all of some variables have their values; never, where one is to have both. Puts the list in order.
    ///
    /// # Panics
    /// When there is no such variable.
    pub fn all_of(&self, literals: &mut [(Variable, bool)]) -> Condition {
        literals.sort_unstable();
        assert!(literals.last().is_none_or(|l| l.0.index() < self.variables), "there is such a variable");
        if literals.windows(2).any(|w| w[0].0 == w[1].0 && w[0].1 != w[1].1) {
            return Condition::NEVER;
        }
        let mut store = self.store.borrow_mut();
        let mut all = 1;
        let mut last = None;
        for &(variable, value) in literals.iter().rev().filter(|l| last.replace(l.0) != Some(l.0)) {
            all = if value { store.node(variable.0, 0, all) } else { store.node(variable.0, all, 0) };
        }
        Condition(all)
    }

    /// When both hold.
    ///
    /// # Errors
    /// [`Overgrown`].
    pub fn and(&self, one: Condition, other: Condition) -> Result<Condition, Overgrown> {
        self.joined(Junction::And, one, other)
    }

    /// When either holds.
    ///
    /// # Errors
    /// [`Overgrown`].
    pub fn or(&self, one: Condition, other: Condition) -> Result<Condition, Overgrown> {
        self.joined(Junction::Or, one, other)
    }

    /// When one holds and the other does not.
    ///
    /// # Errors
    /// [`Overgrown`].
    pub fn and_not(&self, one: Condition, other: Condition) -> Result<Condition, Overgrown> {
        self.joined(Junction::AndNot, one, other)
    }

    /// When it does not hold.
    ///
    /// # Errors
    /// [`Overgrown`].
    pub fn not(&self, condition: Condition) -> Result<Condition, Overgrown> {
        self.and_not(Condition::ALWAYS, condition)
    }

    fn joined(&self, junction: Junction, one: Condition, other: Condition) -> Result<Condition, Overgrown> {
        let joined = match Store::plain(junction, one.0, other.0) {
            Ok(plain) => Condition(plain),
            Err((one, other)) => {
                let joined = self.store.borrow_mut().joined(junction, (one, other), self.limit);
                Condition(joined.ok_or(Overgrown)?)
            }
        };
        if self.is_within(joined) { Ok(joined) } else { Err(Overgrown) }
    }

    /// A condition with some variables fixed.
    pub fn restrict(&self, condition: Condition, values: &[(Variable, bool)]) -> Condition {
        let Some(last) = values.iter().map(|v| v.0.0).max() else { return condition };
        let fixed = |variable| values.iter().find(|v| v.0.0 == variable).map(|v| v.1);
        Condition(self.store.borrow_mut().restricted(condition.0, last, fixed))
    }

    /// Whether a condition holds with some variables fixed, whatever the others are.
    pub fn holds(&self, condition: Condition, value: impl Fn(Variable) -> Option<bool>) -> bool {
        self.store.borrow_mut().holds(condition.0, |v| value(Variable(v)))
    }

    /// The value of a condition where every variable has one.
    pub fn value(&self, condition: Condition, value: impl Fn(Variable) -> bool) -> bool {
        let store = self.store.borrow();
        let mut at = condition.0;
        while at > 1 {
            let Cofactors { variable, low, high } = store.nodes[at as usize];
            at = if value(Variable(variable)) { high } else { low };
        }
        at == 1
    }

    /// What a diagram asks first; nothing, where it always or never holds.
    pub fn decision(&self, condition: Condition) -> Option<Decision> {
        let Cofactors { variable, low, high } = self.store.borrow().nodes[condition.0 as usize];
        let asked = Decision { variable: Variable(variable), low: Condition(low), high: Condition(high) };
        (condition.0 > 1).then_some(asked)
    }

    /// The variables that a condition depends on, in order.
    pub fn support(&self, condition: Condition) -> Vec<Variable> {
        self.store.borrow_mut().support(condition.0).into_iter().map(Variable).collect()
    }

    /// Decision nodes of a condition by itself, the two end nodes counted.
    pub fn size(&self, condition: Condition) -> usize {
        self.store.borrow_mut().size(condition.0)
    }

    /// Whether a condition by itself has no more decision nodes than one may.
    pub fn is_within(&self, condition: Condition) -> bool {
        let mut store = self.store.borrow_mut();
        store.at_most[condition.0 as usize] as usize <= self.limit || store.size(condition.0) <= self.limit
    }

    /// In how many settings of all variables a condition holds.
    pub fn settings(&self, condition: Condition) -> f64 {
        self.store.borrow_mut().settings(condition.0)
    }

    /// Values of the fewest variables under which a condition holds that one way through its diagram names; none, where it never
    /// does.
    pub fn most_free_clause(&self, condition: Condition) -> Option<Vec<(Variable, bool)>> {
        let clause = self.store.borrow_mut().most_free_clause(condition.0)?;
        Some(clause.into_iter().map(|(variable, value)| (Variable(variable), value)).collect())
    }

    /// All nodes that some conditions are made of, for whoever asks on when the store is gone; the conditions then begin where
    /// the second list says.
    pub fn written_out(&self, conditions: &[Condition]) -> (Vec<Decision>, Vec<Condition>) {
        let (nodes, roots) = self.store.borrow_mut().written_out(conditions.iter().map(|c| c.0));
        let decision =
            |c: Cofactors| Decision { variable: Variable(c.variable), low: Condition(c.low), high: Condition(c.high) };
        (nodes.into_iter().map(decision).collect(), roots.into_iter().map(Condition).collect())
    }

    /// Steps that all junctions together have taken: pairs of nodes that were looked at and not remembered.
    pub fn steps(&self) -> usize {
        self.store.borrow().steps
    }

    /// Nodes that there are.
    pub fn node_count(&self) -> usize {
        self.store.borrow().nodes.len()
    }
}
