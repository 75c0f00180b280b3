//! The interlocking table: which routes exclude each other, by the proof, and by what their supplies can feed.

use analysis::Analysis;
use analysis::LoadCase;
use circuit::Way;
use handbook::quantity::Quantity;
use plan::{Kind, Names, Plan, Terminal, driven};
use proof::{Exclusion, Interlocking, TooComplex, interlocking};
use std::collections::BTreeSet;

/// The most routes that a table is made of: it has as many pairs as their square halved.
pub const MOST_ROUTES: usize = 80;

/// Which of some routes exclude each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RouteTable {
    /// The routes, by their place among all.
    pub routes: Vec<usize>,
    /// What was proved of them, by their place in that list.
    pub proved: Interlocking,
    /// Pairs that one supply cannot feed at once, with the supply's index.
    pub one_train: Vec<([usize; 2], usize)>,
    /// What a train draws, amperes.
    pub train_amps: f64,
}

impl RouteTable {
    /// Whether two routes go together, by their place in the table; none where one cannot be used at all.
    pub fn go_together(&self, one: usize, other: usize) -> Option<bool> {
        let key = [one.min(other), one.max(other)];
        let by_supply = self.one_train.iter().any(|(pair, _)| *pair == key);
        self.proved.between(one, other).map(|why| why.is_empty() && !by_supply)
    }

    /// Every reason why two routes exclude each other: what was proved, and the supply that feeds only one of them.
    pub fn why(&self, one: usize, other: usize) -> (&[Exclusion], Option<usize>) {
        let key = [one.min(other), one.max(other)];
        let supply = self.one_train.iter().find(|(pair, _)| *pair == key).map(|p| p.1);
        (self.proved.between(one, other).unwrap_or_default(), supply)
    }
}

/// The table of some routes, by their place among all; the first of them where there are too many.
///
/// # Errors
/// When a condition outgrows its limit: then nothing is known, and no two routes may be set together.
pub fn route_table(facts: &Analysis<'_>, routes: &[usize]) -> Result<RouteTable, TooComplex> {
    let routes: Vec<usize> = routes.iter().copied().take(MOST_ROUTES).collect();
    let list = &facts.ways().list;
    let ways: Vec<&Way> = routes.iter().map(|&r| &list[r]).collect();
    let proved = interlocking(&facts.circuit, &ways)?;
    let train_amps = LoadCase::from_plan(facts.plan).train_amps;
    let fed: Vec<BTreeSet<usize>> =
        ways.iter().map(|way| supplies(facts.plan, facts.names, facts.circuit.tracks, way)).collect();
    let mut one_train = Vec::new();
    for (i, one) in fed.iter().enumerate() {
        for (j, other) in fed.iter().enumerate().skip(i + 1) {
            if let Some(&supply) = one.intersection(other).find(|&&s| gives(facts.plan, s) < 2.0 * train_amps - 1e-9) {
                one_train.push(([i, j], supply));
            }
        }
    }
    Ok(RouteTable { routes, proved, one_train, train_amps })
}

/// What a supply gives, amperes: as much as its breaker and its rating let pass.
fn gives(plan: &Plan, supply: usize) -> f64 {
    let table = &plan.supply[supply];
    let rating = table.rating.as_ref().map_or(f64::INFINITY, |r| r.value.si());
    let trip = table.trips.as_ref().map_or(f64::INFINITY, |t| t.value.at.value.si());
    rating.min(trip)
}

/// The supplies that the tracks of a route hang on, and those behind them.
fn supplies(plan: &Plan, names: &Names, tracks: usize, way: &Way) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    for &(track, _) in way.steps.iter().filter(|s| s.0 < tracks) {
        for text in [&plan.track[track].left, &plan.track[track].right].into_iter().flatten() {
            let bus = |bus: usize| driven::supply_of_bus(plan, names, bus);
            let supply = match names.terminal(plan, &text.value) {
                Ok(Terminal::Bus(b, ..)) => bus(b),
                Ok(Terminal::Supply(supply, _)) => Some(supply),
                Ok(Terminal::Detector(d)) => circuit::detectors::fed_from(plan, names, d).and_then(|f| bus(f.0)),
                Ok(Terminal::Reverser(r, _)) => {
                    names.bus_place(&plan.reverser[r].from.value).ok().and_then(|b| bus(b.0))
                }
                _ => None,
            };
            let mut at = supply;
            while let Some(supply) = at.filter(|s| found.insert(*s)) {
                let behind = plan.supply[supply].behind.as_ref();
                at = behind.and_then(|b| names.of_kind(&b.value, &[Kind::Supply]).ok()).map(|s| s.1);
            }
        }
    }
    found
}
