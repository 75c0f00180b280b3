//! Words and places of hot tests.

use crate::test::{Element, How, ProbePoint, Test, TestKind, Topic};
use crate::words::{JobWords, once};
use circuit::{Circuit, EdgeId, EdgeKind};
use electrics::{Grid, TrainPlace};
use handbook::Sourced;
use handbook::quantity::{Amps, Quantity, show_amps, show_seconds};
use plan::Kind;
use plan::tables::RailSide;
use schedule::Job;
use schedule::items::ItemEnd;

/// What a supply may be off from the volts the plan gives it, as a part of them.
pub(crate) const SUPPLY_SHARE: Sourced<f64> = Sourced::new(0.05, "our own default");

/// A job with its words.
pub struct Hot<'j, 'p> {
    pub(crate) job: &'j Job<'p>,
    pub(crate) circuit: &'j Circuit,
    pub(crate) words: JobWords<'j, 'p>,
}

/// A test in which something is watched.
pub fn watch(topic: Topic, name: String, about: String, due: String) -> Test {
    Test {
        name,
        number: 0,
        kind: TestKind::Hot,
        topic,
        about,
        between: None,
        on: Vec::new(),
        setting: Vec::new(),
        set: Vec::new(),
        how: How::Watch,
        range: due,
        expected: None,
        passes: [0.0, 0.0],
        chain: Vec::new(),
        proves: Vec::new(),
        mistakes: Vec::new(),
    }
}

/// What is watched, and which part or position of it.
pub(crate) fn thing(thing: (Kind, usize), part: &str) -> ItemEnd {
    ItemEnd { thing: Some(thing), part: part.to_owned(), place: None }
}

impl<'j, 'p> Hot<'j, 'p> {
    pub(crate) fn new(job: &'j Job<'p>) -> Hot<'j, 'p> {
        Hot { job, circuit: &job.facts.circuit, words: JobWords::new(job) }
    }

    /// A place: `dock 1 at 2.4 m`.
    pub(crate) fn at(&self, track: usize, x: f64) -> String {
        let shown = self.job.choices.units.metres(x);
        format!("{} at {shown}", self.circuit.segments[track].name)
    }

    /// Its two rails.
    pub(crate) fn points(&self, track: usize, place: &TrainPlace, x: f64) -> [ProbePoint; 2] {
        let base = self.at(track, x);
        RailSide::ALL.map(|side| {
            let edge = &self.circuit.edges[place.rail[side]];
            let node = if place.fraction[side] > 0.5 { edge.b } else { edge.a };
            ProbePoint { words: format!("{base}, {} rail", side.word()), node }
        })
    }

    /// The made pieces over which all of the current to a place goes: one of them open leaves it dead, an ohm in one of them
    /// adds to its loop. Empty where there is none.
    pub(crate) fn all_current(&self, grid: &Grid<'_>, place: &TrainPlace) -> (String, Vec<EdgeId>) {
        let made = |edge: &EdgeId| !matches!(self.circuit.edges[*edge].kind, EdgeKind::Rail | EdgeKind::Source);
        let pieces: Vec<EdgeId> = grid.carry_all(place).unwrap_or_default().into_iter().filter(made).collect();
        let report = once(pieces.iter().map(|&edge| self.words.short(edge)));
        let words = match report.as_slice() {
            [] => String::new(),
            [rest @ .., last] if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
            [last, ..] => last.clone(),
        };
        (words, pieces)
    }

    /// A breaker with what trips it and when.
    pub(crate) fn breaker_words(&self, breaker: usize) -> String {
        let supply = &self.job.facts.plan.supply[self.circuit.breakers[breaker].supply];
        let name = &supply.name.value;
        match &supply.trips {
            None => format!("{name} must open; the plan does not say at what current"),
            Some(trips) => {
                let at = show_amps(Amps(trips.value.at.value.si()));
                let after = trips.value.after.as_ref().map(|a| format!(" after {}", show_seconds(a.value)));
                format!("{name} must open: {at}{}", after.unwrap_or_default())
            }
        }
    }

    /// What is inside these breakers.
    pub(crate) fn inside(&self, breakers: &[usize]) -> Vec<Element> {
        if breakers.is_empty() {
            return Vec::new();
        }
        let nodes: Vec<_> = breakers.iter().flat_map(|&b| self.circuit.breakers[b].node).collect();
        let edges = EdgeId::each(&self.circuit.edges).filter(|(_, e)| e.kind == EdgeKind::Source);
        edges.filter(|(_, e)| nodes.contains(&e.b)).map(|(id, _)| Element::Edge(id)).collect()
    }
}
