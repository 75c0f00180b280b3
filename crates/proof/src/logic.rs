//! Conditions over the controls: decision diagrams with a limit, in the order of the track.

use biodivine_lib_bdd::{Bdd, BddVariable, BddVariableSet, op_function};
use circuit::{Circuit, Literal};
use std::collections::BTreeMap;

/// A condition outgrew its limit: the layout is too tangled to be proved as a whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TooComplex {
    /// The limit that was outgrown, in decision nodes.
    pub limit: usize,
}

/// The controls as variables.
pub(crate) struct Logic {
    pub(crate) variables: BddVariableSet,
    /// For each control its variable's index, and the other way round.
    of_control: Vec<usize>,
    control_of: Vec<usize>,
    list: Vec<BddVariable>,
    pub(crate) limit: usize,
}

/// A condition of more decision nodes is not searched for its smallest witness; a small one will do.
const SEARCH: usize = 4000;
/// Decision nodes that such a search may look at before a small one will do.
const SEARCHED: usize = 100 * SEARCH;

impl Logic {
    pub(crate) fn new(circuit: &Circuit, limit: usize) -> Result<Logic, TooComplex> {
        let count = circuit.controls.len();
        let Ok(number) = u16::try_from(count) else { return Err(TooComplex { limit: usize::from(u16::MAX) }) };
        let control_of = crate::lined::along_the_track(circuit);
        let mut of_control = vec![0; count];
        for (variable, &control) in control_of.iter().enumerate() {
            of_control[control] = variable;
        }
        let variables = BddVariableSet::new_anonymous(number);
        let list = variables.variables();
        Ok(Logic { variables, of_control, control_of, list, limit })
    }

    pub(crate) fn always(&self) -> Bdd {
        self.variables.mk_true()
    }

    pub(crate) fn never(&self) -> Bdd {
        self.variables.mk_false()
    }

    /// All positions of a guard at once. Controls have two positions each.
    pub(crate) fn guard(&self, guard: &[Literal]) -> Result<Bdd, TooComplex> {
        let mut all = self.always();
        for literal in guard {
            let variable = self.list[self.of_control[literal.control]];
            all = self.and(&all, &self.variables.mk_literal(variable, literal.position == 1))?;
        }
        Ok(all)
    }

    pub(crate) fn and(&self, a: &Bdd, b: &Bdd) -> Result<Bdd, TooComplex> {
        // Most conditions say nothing at all, and then there is nothing to work out.
        if a.is_false() || b.is_true() {
            return Ok(a.clone());
        }
        if b.is_false() || a.is_true() {
            return Ok(b.clone());
        }
        Bdd::binary_op_with_limit(self.limit, a, b, op_function::and).ok_or(TooComplex { limit: self.limit })
    }

    pub(crate) fn or(&self, a: &Bdd, b: &Bdd) -> Result<Bdd, TooComplex> {
        if a.is_true() || b.is_false() {
            return Ok(a.clone());
        }
        if b.is_true() || a.is_false() {
            return Ok(b.clone());
        }
        Bdd::binary_op_with_limit(self.limit, a, b, op_function::or).ok_or(TooComplex { limit: self.limit })
    }

    pub(crate) fn and_not(&self, a: &Bdd, b: &Bdd) -> Result<Bdd, TooComplex> {
        if a.is_false() || b.is_false() {
            return Ok(a.clone());
        }
        if b.is_true() {
            return Ok(self.never());
        }
        Bdd::binary_op_with_limit(self.limit, a, b, op_function::and_not).ok_or(TooComplex { limit: self.limit })
    }

    pub(crate) fn not(&self, a: &Bdd) -> Bdd {
        a.not()
    }

    /// The value of a condition in a full setting, a position for each control.
    pub(crate) fn value(&self, condition: &Bdd, setting: &[u8]) -> bool {
        let mut at = condition.root_pointer();
        while !at.is_terminal() {
            let control = self.control_of[condition.var_of(at).to_index()];
            at = if setting[control] == 1 { condition.high_link_of(at) } else { condition.low_link_of(at) };
        }
        at.is_one()
    }

    /// The smallest set of positions under which a condition holds whatever else is set; nothing if
    /// it never holds. Positions come in the order of the controls.
    pub(crate) fn smallest(&self, condition: &Bdd) -> Vec<Literal> {
        let mut search = Search { logic: self, known: BTreeMap::new(), looked_at: 0 };
        let cube = search.smallest(condition).unwrap_or_else(|| self.small(condition));
        let mut literals: Vec<Literal> = cube
            .into_iter()
            .map(|(variable, value)| Literal { control: self.control_of[variable], position: u8::from(value) })
            .collect();
        literals.sort_unstable();
        literals
    }

    /// A set of positions from which none can be left out: a clause of the diagram, thinned.
    fn small(&self, condition: &Bdd) -> Vec<(usize, bool)> {
        let Some(clause) = condition.most_free_clause() else { return Vec::new() };
        let mut cube: Vec<(BddVariable, bool)> = clause.to_values();
        let mut at = 0;
        while at < cube.len() {
            let mut fewer = cube.clone();
            fewer.remove(at);
            if condition.restrict(&fewer).is_true() {
                cube = fewer;
            } else {
                at += 1;
            }
        }
        cube.into_iter().map(|(v, value)| (v.to_index(), value)).collect()
    }
}

/// Exact search for a smallest implicant: of the topmost variable either nothing is said (both
/// halves must hold), or one value of it.
struct Search<'l> {
    logic: &'l Logic,
    known: BTreeMap<Vec<u8>, Vec<(usize, bool)>>,
    looked_at: usize,
}

impl Search<'_> {
    /// Nothing when the search took too long. `condition` may be anything but never.
    fn smallest(&mut self, condition: &Bdd) -> Option<Vec<(usize, bool)>> {
        if condition.is_true() || condition.is_false() {
            return Some(Vec::new());
        }
        self.looked_at += condition.size();
        if self.looked_at > SEARCHED || condition.size() > SEARCH {
            return None;
        }
        let key = condition.to_bytes();
        if let Some(known) = self.known.get(&key) {
            return Some(known.clone());
        }
        let variable = condition.var_of(condition.root_pointer());
        let index = variable.to_index();
        let low = condition.var_restrict(variable, false);
        let high = condition.var_restrict(variable, true);
        let mut best: Option<Vec<(usize, bool)>> = None;
        let both = self.logic.and(&low, &high).ok()?;
        if !both.is_false() {
            best = Some(self.smallest(&both)?);
        }
        for (half, value) in [(low, false), (high, true)] {
            if half.is_false() || best.as_ref().is_some_and(|b| b.len() <= 1) {
                continue;
            }
            let mut cube = self.smallest(&half)?;
            cube.push((index, value));
            if best.as_ref().is_none_or(|b| cube.len() < b.len()) {
                best = Some(cube);
            }
        }
        let best = best.unwrap_or_default();
        self.known.insert(key, best.clone());
        Some(best)
    }
}
