//! Conditions over the controls: decision diagrams with a limit, in the order of the track.

mod search;

use crate::ProofWitness;
use circuit::{Circuit, ControlId, Literal};
use network::{Condition, Diagrams, Overgrown, Variable};
use search::{ImplicantSearch, SearchResult};
use std::cell::Cell;
use std::collections::BTreeMap;

/// A condition outgrew its limit: the layout is too tangled to be proved as a whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TooComplex {
    /// The limit that was outgrown, in decision nodes.
    pub limit: usize,
}

/// The controls as variables: one for two positions, two for up to four, and so on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Digits {
    /// For each control its variables, those of the higher digits first.
    pub(crate) of_control: Vec<Vec<Variable>>,
    /// For each variable its control, and what it counts in the number of the position.
    pub(crate) control_of: Vec<ControlId>,
    pub(crate) worth: Vec<u8>,
    /// How many positions each control has.
    pub(crate) positions: Vec<u8>,
}

impl Digits {
    /// The value that a variable has in a full setting, a position for each control.
    pub(crate) fn digit(&self, variable: Variable, setting: &[u8]) -> bool {
        setting[self.control_of[variable.index()]] & self.worth[variable.index()] != 0
    }
}

/// Conditions over the controls.
pub(crate) struct Logic {
    pub(crate) diagrams: Diagrams,
    pub(crate) digits: Digits,
    /// Settings that there are: every control in a position it has, and nothing that never happens.
    legal: Condition,
    /// All others.
    illegal: Condition,
    /// Variables of controls that settle by themselves.
    settling: Vec<Variable>,
    settles: Vec<bool>,
    pub(crate) limit: usize,
    /// Decision nodes that all searches together have looked at.
    searched: Cell<usize>,
}

/// Of more positions than this not all pairs are tried.
const MOST_PAIRED: usize = 40;

/// A condition of more decision nodes is not searched for its smallest witness; a small one will do.
const SEARCH: usize = 4000;
/// Decision nodes that such a search may look at before a small one will do.
const SEARCHED: usize = 100 * SEARCH;
/// Decision nodes that all searches of a proof may look at together: a plan with many faults has as many witnesses.
const SEARCHED_IN_ALL: usize = 10 * SEARCHED;

impl Logic {
    pub(crate) fn new(circuit: &Circuit, limit: usize) -> Result<Logic, TooComplex> {
        let order = crate::order::along_the_track(circuit);
        let positions: Vec<u8> =
            circuit.controls.iter().map(|c| u8::try_from(c.positions.len()).unwrap_or(u8::MAX)).collect();
        let (mut control_of, mut worth) = (Vec::new(), Vec::new());
        for &control in &order {
            for digit in (0..digits(positions[control])).rev() {
                control_of.push(control);
                worth.push(1 << digit);
            }
        }
        let Ok(number) = u16::try_from(control_of.len()) else {
            return Err(TooComplex { limit: usize::from(u16::MAX) });
        };
        let diagrams = Diagrams::new(usize::from(number), limit);
        let mut of_control = vec![Vec::new(); positions.len()];
        for (variable, &control) in control_of.iter().enumerate() {
            of_control[control].push(Variable::new(variable));
        }
        let settles: Vec<bool> = circuit.controls.iter().map(|c| c.settles).collect();
        let settling = (0..settles.len()).filter(|&c| settles[c]).flat_map(|c| of_control[c].clone()).collect();
        let (legal, illegal) = (Condition::ALWAYS, Condition::NEVER);
        let searched = Cell::new(0);
        let digits = Digits { of_control, control_of, worth, positions };
        let mut logic = Logic { diagrams, digits, legal, illegal, settling, settles, limit, searched };
        logic.legal = logic.legal_settings(circuit)?;
        logic.illegal = logic.not(logic.legal)?;
        Ok(logic)
    }

    /// Positions that controls have, less the combinations that never happen.
    fn legal_settings(&self, circuit: &Circuit) -> Result<Condition, TooComplex> {
        let mut legal = self.always();
        for (control, &count) in ControlId::each(&self.digits.positions) {
            if usize::from(count) < 1 << self.digits.of_control[control].len() {
                let mut some = self.never();
                for position in 0..count {
                    some = self.or(some, self.guard(&[Literal { control, position }])?)?;
                }
                legal = self.and(legal, some)?;
            }
        }
        for guard in &circuit.illegal {
            legal = self.and_not(legal, self.guard(guard)?)?;
        }
        Ok(legal)
    }

    pub(crate) fn always(&self) -> Condition {
        Condition::ALWAYS
    }

    pub(crate) fn never(&self) -> Condition {
        Condition::NEVER
    }

    /// A condition less the settings that there are not.
    pub(crate) fn restrict_to_legal(&self, condition: Condition) -> Result<Condition, TooComplex> {
        self.and(condition, self.legal)
    }

    /// Whether a condition holds in every setting that there is.
    pub(crate) fn is_certain(&self, condition: Condition) -> Result<bool, TooComplex> {
        Ok(self.and_not(self.legal, condition)?.is_false())
    }

    /// When a condition holds whichever position the controls that settle by themselves take: universal quantification. What is a
    /// fault in one of them only is none: they take the other.
    pub(crate) fn forall_automatic(&self, condition: Condition) -> Result<Condition, TooComplex> {
        self.forall(condition, self.settling.iter().copied())
    }

    /// When a condition holds whichever position the controls take that set no way, such as toggles.
    pub(crate) fn forall_switched(&self, circuit: &Circuit, condition: Condition) -> Result<Condition, TooComplex> {
        let mut sets_way = vec![false; self.digits.of_control.len()];
        for literal in circuit.segments.iter().flat_map(|s| &s.guard) {
            sets_way[literal.control] = true;
        }
        let switched = self.support(condition).into_iter().filter(|&control| !sets_way[control]);
        self.forall(condition, switched.flat_map(|control| self.digits.of_control[control].iter().copied()))
    }

    /// When a condition holds whatever some variables are.
    fn forall(
        &self,
        mut condition: Condition,
        variables: impl Iterator<Item = Variable>,
    ) -> Result<Condition, TooComplex> {
        for variable in variables {
            let [low, high] = [false, true].map(|value| self.diagrams.restrict(condition, &[(variable, value)]));
            condition = self.and(low, high)?;
        }
        Ok(condition)
    }

    /// The settings that there are in which one or another of some conditions holds, whichever position the controls that
    /// settle by themselves take.
    pub(crate) fn unavoidable(&self, conditions: impl IntoIterator<Item = Condition>) -> Result<Condition, TooComplex> {
        let mut any = self.never();
        for condition in conditions {
            any = self.or(any, condition)?;
        }
        self.restrict_to_legal(self.forall_automatic(any)?)
    }

    /// A witness as it is reported: what settles by itself is needed to find the path, and not named.
    pub(crate) fn without_automatic_controls(&self, witness: ProofWitness) -> ProofWitness {
        ProofWitness { setting: self.without_settling(witness.setting), ..witness }
    }

    /// A setting without the positions of controls that settle by themselves: nobody sets those.
    pub(crate) fn without_settling(&self, mut setting: Vec<Literal>) -> Vec<Literal> {
        setting.retain(|l| !self.settles[l.control]);
        setting
    }

    /// All positions of a guard at once.
    pub(crate) fn guard(&self, guard: &[Literal]) -> Result<Condition, TooComplex> {
        let digits = guard.iter().flat_map(|literal| {
            let own = &self.digits.of_control[literal.control];
            own.iter().map(|&v| (v, literal.position & self.digits.worth[v.index()] != 0))
        });
        self.held(Ok(self.diagrams.all_of(&mut digits.collect::<Vec<_>>())))
    }

    pub(crate) fn and(&self, a: Condition, b: Condition) -> Result<Condition, TooComplex> {
        self.held(self.diagrams.and(a, b))
    }

    pub(crate) fn or(&self, a: Condition, b: Condition) -> Result<Condition, TooComplex> {
        self.held(self.diagrams.or(a, b))
    }

    pub(crate) fn and_not(&self, a: Condition, b: Condition) -> Result<Condition, TooComplex> {
        self.held(self.diagrams.and_not(a, b))
    }

    pub(crate) fn not(&self, a: Condition) -> Result<Condition, TooComplex> {
        self.held(self.diagrams.not(a))
    }

    fn held(&self, condition: Result<Condition, Overgrown>) -> Result<Condition, TooComplex> {
        condition.map_err(|Overgrown| TooComplex { limit: self.limit })
    }

    /// The controls that a condition depends on, in their order.
    pub(crate) fn support(&self, condition: Condition) -> Vec<ControlId> {
        let controls = self.diagrams.support(condition).into_iter().map(|v| self.digits.control_of[v.index()]);
        controls.collect::<std::collections::BTreeSet<_>>().into_iter().collect()
    }

    /// The value of a condition in a full setting, a position for each control.
    pub(crate) fn value(&self, condition: Condition, setting: &[u8]) -> bool {
        self.diagrams.value(condition, |variable| self.digits.digit(variable, setting))
    }

    /// A condition with one control set.
    fn set(&self, condition: Condition, literal: Literal) -> Condition {
        let digit = |v: Variable| (v, literal.position & self.digits.worth[v.index()] != 0);
        let values: Vec<_> = self.digits.of_control[literal.control].iter().map(|&v| digit(v)).collect();
        self.diagrams.restrict(condition, &values)
    }

    /// A smallest prime implicant: the smallest set of positions under which a condition holds whatever else is set, as far as there are such
    /// settings; nothing if it never holds, or always does. Positions come in the order of the controls.
    pub(crate) fn shortest_cube(&self, condition: Condition) -> Vec<Literal> {
        let Ok(possible) = self.restrict_to_legal(condition) else { return Vec::new() };
        // Where there is no such setting the condition may hold or not: whichever asks for fewer positions.
        let Ok(wanted) = self.or(condition, self.illegal) else { return self.small(possible, condition) };
        if possible.is_false() {
            return Vec::new();
        }
        let may = SEARCHED.min(SEARCHED_IN_ALL.saturating_sub(self.searched.get()));
        let mut search = ImplicantSearch { logic: self, known: BTreeMap::new(), looked_at: 0, may };
        let found = search.shortest_implicant(wanted, self.legal);
        self.searched.set(self.searched.get() + search.looked_at);
        let mut literals = match found {
            SearchResult::Cube(cube) => cube,
            SearchResult::None | SearchResult::TooLong => self.small(possible, wanted),
        };
        literals.sort_unstable();
        literals
    }

    /// A set of positions from which none can be left out: a clause of what is possible, thinned.
    fn small(&self, possible: Condition, wanted: Condition) -> Vec<Literal> {
        let Some(clause) = self.diagrams.most_free_clause(possible) else { return Vec::new() };
        // Digits that the clause leaves open may be 0: every way to fill them in is possible.
        let mut cube: Vec<Literal> = Vec::new();
        for (variable, digit) in clause {
            let (control, worth) = (self.digits.control_of[variable.index()], self.digits.worth[variable.index()]);
            let part = if digit { worth } else { 0 };
            match cube.iter_mut().find(|l| l.control == control) {
                Some(literal) => literal.position |= part,
                None => cube.push(Literal { control, position: part }),
            }
        }
        self.thinned(&cube, wanted)
    }

    /// Positions under which a condition holds, less those that may be left out: as if one after another were left out if
    /// it may; whole runs that may all go are tried at once.
    fn thinned(&self, cube: &[Literal], wanted: Condition) -> Vec<Literal> {
        let mut fixed = vec![None; self.digits.control_of.len()];
        cube.iter().for_each(|&l| self.fix(&mut fixed, l, true));
        let mut kept = Vec::new();
        let mut rest = cube;
        let mut run = rest.len();
        while !rest.is_empty() {
            run = run.clamp(1, rest.len());
            rest[..run].iter().for_each(|&l| self.fix(&mut fixed, l, false));
            if !self.holds(wanted, &fixed) {
                rest[..run].iter().for_each(|&l| self.fix(&mut fixed, l, true));
                if run > 1 {
                    run /= 2;
                    continue;
                }
                kept.push(rest[0]);
            }
            rest = &rest[run..];
            run *= 2;
        }
        kept
    }

    /// A smallest set of positions under which a condition holds whatever else is set, in settings that some other
    /// condition, which is never more, picks out: with those of the first positions of all controls, if that is one.
    pub(crate) fn smallest_within(&self, condition: Condition, picked: Condition) -> Result<Vec<Literal>, TooComplex> {
        let wanted = self.or(condition, self.illegal)?;
        let first = vec![0; self.digits.positions.len()];
        let mut cube = if self.value(picked, &first) {
            self.support(condition).into_iter().map(|control| Literal { control, position: 0 }).collect()
        } else {
            self.shortest_cube(picked)
        };
        // Of many positions one or two may do; in thinning, which of them go depends on their order.
        let mut fixed = vec![None; self.digits.control_of.len()];
        if cube.len() <= MOST_PAIRED {
            for (i, &one) in cube.iter().enumerate() {
                for &other in std::iter::once(&one).chain(&cube[i + 1..]) {
                    self.fix(&mut fixed, one, true);
                    self.fix(&mut fixed, other, true);
                    if self.holds(wanted, &fixed) {
                        let both = if one == other { vec![one] } else { vec![one, other] };
                        return Ok(self.thinned(&both, wanted));
                    }
                    self.fix(&mut fixed, other, false);
                    self.fix(&mut fixed, one, false);
                }
            }
        }
        cube = self.thinned(&cube, wanted);
        cube.sort_unstable();
        Ok(cube)
    }

    /// Whether a condition holds with some variables fixed, whatever the others are.
    fn holds(&self, condition: Condition, fixed: &[Option<bool>]) -> bool {
        self.diagrams.holds(condition, |variable| fixed[variable.index()])
    }

    /// Says what the variables of a control are in a position, or that they may be anything.
    fn fix(&self, fixed: &mut [Option<bool>], literal: Literal, set: bool) {
        for variable in &self.digits.of_control[literal.control] {
            let variable = variable.index();
            fixed[variable] = set.then_some(literal.position & self.digits.worth[variable] != 0);
        }
    }
}

/// How many two-valued variables it takes to tell so many positions apart.
fn digits(positions: u8) -> u32 {
    u8::BITS - positions.saturating_sub(1).leading_zeros()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;
