//! Settings that the plan promises never to make, and settings filled up to what there can be.

use crate::builder::Builder;
use crate::trackwork::turntable;
use crate::{Circuit, ControlId, Guard, Literal};
use plan::names::Position;
use plan::{At, Kind};
use std::ops::Range;

/// Positions that the plan promises never to set together.
#[derive(Clone, Debug, PartialEq)]
pub struct Promised {
    /// Index of the promise in the plan.
    pub never: usize,
    /// The positions. Where one is a stall of a turntable that turns, there is a promise for each way round.
    pub guard: Guard,
    /// The words of the plan.
    pub span: Range<usize>,
}

/// Steps that a search for a setting that there is may take.
const MOST_STEPS: usize = 100_000;

impl Builder<'_> {
    /// Takes over what the plan promises never to set. What can never be set anyway, such as two positions of one turnout,
    /// promises nothing.
    pub(crate) fn promises(&mut self) {
        for (never, promise) in self.plan.never.iter().enumerate() {
            let Some(each) =
                promise.together.iter().map(|text| self.literals(text)).collect::<Option<Vec<Vec<Literal>>>>()
            else {
                continue;
            };
            let mut guards = vec![Guard::new()];
            for literals in each {
                let with = |guard: &Guard, literal: &Literal| {
                    let other = guard.iter().find(|l| l.control == literal.control);
                    match other {
                        Some(same) => (same == literal).then(|| guard.clone()),
                        None => Some([guard.as_slice(), &[*literal]].concat()),
                    }
                };
                guards = guards.iter().flat_map(|g| literals.iter().filter_map(move |l| with(g, l))).collect();
            }
            let span = promise.together.span.clone().unwrap_or_else(|| promise.place.header.clone());
            for guard in guards {
                self.circuit.illegal.push(guard.clone());
                self.circuit.promised.push(Promised { never, guard, span: span.clone() });
            }
        }
    }

    /// The positions of a control that words such as `T1 diverging` mean: of a turntable that turns, a stall either way round.
    fn literals(&self, text: &At<String>) -> Option<Vec<Literal>> {
        let position: Position = self.names.position(self.plan, &text.value).ok()?;
        let control = match position.of {
            (kind @ (Kind::Motor | Kind::Toggle | Kind::Reverser), index, _) => *self.control_of.get(&(kind, index))?,
            (kind, index, part) => *self.moved_by.get(&plan::Moved { kind, index, part })?,
        };
        let turned = format!("{}{}", position.word, turntable::TURNED);
        let positions = &self.circuit.controls[control].positions;
        let meant = positions.iter().enumerate().filter(|(_, word)| **word == position.word || **word == turned);
        let literals: Vec<Literal> =
            meant.filter_map(|(place, _)| Some(Literal { control, position: u8::try_from(place).ok()? })).collect();
        (!literals.is_empty()).then_some(literals)
    }
}

impl Circuit {
    /// The circuit as it would be without what the plan promises.
    pub fn without_promises(&self) -> Circuit {
        let mut open = self.clone();
        open.illegal.truncate(self.illegal.len() - self.promised.len());
        open.promised.clear();
        open
    }

    /// A full setting in which all that is given holds: everything else in its usual position, or, where that would be a
    /// setting that there never is, as near to it as a search finds.
    pub fn complete(&self, given: &[Option<u8>]) -> Vec<Option<u8>> {
        let usual = |control: ControlId| self.controls[control].usual;
        let mut setting: Vec<Option<u8>> = ControlId::all(self.controls.len())
            .map(|control| given.get(control.index()).copied().flatten().or(Some(usual(control))))
            .collect();
        if self.is_legal(&setting) {
            return setting;
        }
        // Only what some combination names and nobody has given can help.
        let mut free: Vec<ControlId> = self.illegal.iter().flatten().map(|literal| literal.control).collect();
        free.sort_unstable();
        free.dedup();
        free.retain(|control| given.get(control.index()).copied().flatten().is_none());
        let mut trial = setting.clone();
        free.iter().for_each(|&control| trial[control] = None);
        let mut steps = MOST_STEPS;
        if self.fill(&free, &mut trial, &mut steps) {
            setting = trial;
        }
        setting
    }

    /// Sets what is free, the usual position of each first, so that nothing that never happens holds (depth-first search).
    fn fill(&self, free: &[ControlId], setting: &mut [Option<u8>], steps: &mut usize) -> bool {
        if *steps == 0 || !self.is_legal(setting) {
            return false;
        }
        *steps -= 1;
        let Some((&control, rest)) = free.split_first() else { return true };
        let usual = self.controls[control].usual;
        let count = u8::try_from(self.controls[control].positions.len()).unwrap_or(u8::MAX);
        for position in std::iter::once(usual).chain((0..count).filter(|p| *p != usual)) {
            setting[control.index()] = Some(position);
            if self.fill(rest, setting, steps) {
                return true;
            }
        }
        setting[control.index()] = None;
        false
    }
}
