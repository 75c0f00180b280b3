//! The smallest witness of a condition.

use super::{Logic, SEARCH};
use circuit::Literal;
use network::Condition;
use std::collections::BTreeMap;

/// What a search came to.
#[derive(Clone)]
pub(super) enum SearchResult {
    /// The fewest positions.
    Cube(Vec<Literal>),
    /// There are none: all settings in which the condition would hold are ones that there are not.
    None,
    /// It took too long.
    TooLong,
}

/// Exact search for a smallest implicant: of the first control either nothing is said (the condition must hold in
/// all its positions), or one position of it.
pub(super) struct ImplicantSearch<'l> {
    pub(super) logic: &'l Logic,
    /// By the condition and what is legal still.
    pub(super) known: BTreeMap<(Condition, Condition), SearchResult>,
    pub(super) looked_at: usize,
    pub(super) may: usize,
}

impl ImplicantSearch<'_> {
    /// `wanted` holds wherever it should and wherever there is no such setting; `legal` is what there is.
    pub(super) fn shortest_implicant(&mut self, wanted: Condition, legal: Condition) -> SearchResult {
        if wanted.is_false() || legal.is_false() {
            return SearchResult::None;
        }
        if wanted.is_true() {
            return SearchResult::Cube(Vec::new());
        }
        let size = self.logic.diagrams.size(wanted);
        self.looked_at += size;
        if self.looked_at > self.may || size > SEARCH {
            return SearchResult::TooLong;
        }
        let key = (wanted, legal);
        if let Some(known) = self.known.get(&key) {
            return known.clone();
        }
        let found = self.step(wanted, legal);
        self.known.insert(key, found.clone());
        found
    }

    fn step(&mut self, wanted: Condition, legal: Condition) -> SearchResult {
        let logic = self.logic;
        let Some(asked) = logic.diagrams.decision(wanted) else { return SearchResult::None };
        let control = logic.digits.control_of[asked.variable.index()];
        let literals = (0..logic.digits.positions[control]).map(|position| Literal { control, position });
        let (mut everywhere, mut anywhere) = (logic.always(), logic.never());
        let mut set = Vec::new();
        for literal in literals {
            let (w, l) = (logic.set(wanted, literal), logic.set(legal, literal));
            let (Ok(all), Ok(any)) = (logic.and(everywhere, w), logic.or(anywhere, l)) else {
                return SearchResult::TooLong;
            };
            (everywhere, anywhere) = (all, any);
            set.push((literal, w, l));
        }
        let mut best = match self.shortest_implicant(everywhere, anywhere) {
            SearchResult::Cube(cube) => Some(cube),
            SearchResult::None => None,
            SearchResult::TooLong => return SearchResult::TooLong,
        };
        for (literal, w, l) in set {
            // One position cannot be bettered: the condition does not hold everywhere.
            if best.as_ref().is_some_and(|b| b.len() <= 1) {
                break;
            }
            match self.shortest_implicant(w, l) {
                SearchResult::Cube(mut cube) => {
                    cube.push(literal);
                    if best.as_ref().is_none_or(|b| cube.len() < b.len()) {
                        best = Some(cube);
                    }
                }
                SearchResult::None => {}
                SearchResult::TooLong => return SearchResult::TooLong,
            }
        }
        best.map_or(SearchResult::None, SearchResult::Cube)
    }
}
