//! Composite tables written out as ordinary ones, before anything else of the plan is read.
//!
//! ```text
//! ladder, yard, … ──▶ ordinary tables in words, each value with the words it comes from ──▶ `Expansion`
//! ```
//!
//! What is written is read like anything a builder writes, so that every check, default and message holds for it too.

mod crossover;
mod inherit;
mod ladder;
mod ladder_parts;
mod loops;
pub(crate) mod ordinary;
mod parts;
mod rows;
mod runs;
mod scene;
mod yard;

use crate::reader::TableReader;
use crate::tables::{BusRun, Crossover, Ladder, Plan, TurningLoop, TurnoutRow, Yard};
use crate::value::{Field, TablePlace};
use finding::{Finding, Harm};
use ordinary::OrdinaryTable;
use std::collections::{BTreeMap, BTreeSet};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The tables that stand for others.
pub(crate) const COMPOSITES: [&str; 6] = ["ladder", "yard", "turning_loop", "crossover", "turnout_row", "bus_run"];

/// Most tables that all composites of a plan may stand for.
const MOST_TABLES: usize = 20_000;

/// Every composite of a plan.
#[derive(Default)]
pub(crate) struct Composites {
    ladder: Vec<Ladder>,
    yard: Vec<Yard>,
    turning_loop: Vec<TurningLoop>,
    crossover: Vec<Crossover>,
    turnout_row: Vec<TurnoutRow>,
    bus_run: Vec<BusRun>,
}

/// What composites stand for.
pub(crate) struct WrittenOut {
    /// Where each composite stands, in the order of the text.
    pub(crate) places: Vec<TablePlace>,
    /// The tables, each with the number of its composite.
    pub(crate) tables: Vec<(usize, OrdinaryTable)>,
    pub(crate) findings: Vec<Finding>,
}

impl WrittenOut {
    /// Whether anything is to be read besides what the builder wrote.
    pub(crate) fn is_something(&self) -> bool {
        !self.tables.is_empty() || !self.places.is_empty()
    }
}

/// Takes the composites out of a plan's tables.
pub(crate) fn take(root: &mut DeTable<'_>, reader: &mut TableReader<'_>) -> Composites {
    fn one<T: crate::value::Value>(root: &mut DeTable<'_>, key: &str, reader: &mut TableReader<'_>) -> Vec<T> {
        let found: Option<Spanned<DeValue<'_>>> = root.remove(key);
        <Vec<T> as Field>::read(found.as_ref(), reader).unwrap_or_default()
    }
    Composites {
        ladder: one(root, "ladder", reader),
        yard: one(root, "yard", reader),
        turning_loop: one(root, "turning_loop", reader),
        crossover: one(root, "crossover", reader),
        turnout_row: one(root, "turnout_row", reader),
        bus_run: one(root, "bus_run", reader),
    }
}

enum Composite<'c> {
    Ladder(&'c Ladder),
    Yard(&'c Yard),
    TurningLoop(&'c TurningLoop),
    Crossover(&'c Crossover),
    TurnoutRow(&'c TurnoutRow),
    BusRun(&'c BusRun),
}

impl Composite<'_> {
    fn place(&self) -> &TablePlace {
        match self {
            Composite::Ladder(c) => &c.place,
            Composite::Yard(c) => &c.place,
            Composite::TurningLoop(c) => &c.place,
            Composite::Crossover(c) => &c.place,
            Composite::TurnoutRow(c) => &c.place,
            Composite::BusRun(c) => &c.place,
        }
    }
}

impl Composites {
    /// Writes all of them out, in the order of the text: one may join what another above it stands for.
    pub(crate) fn write_out(&self, text: &str, root: &DeTable<'_>) -> WrittenOut {
        let mut all: Vec<Composite<'_>> = self.ladder.iter().map(Composite::Ladder).collect();
        all.extend(self.yard.iter().map(Composite::Yard));
        all.extend(self.turning_loop.iter().map(Composite::TurningLoop));
        all.extend(self.crossover.iter().map(Composite::Crossover));
        all.extend(self.turnout_row.iter().map(Composite::TurnoutRow));
        all.extend(self.bus_run.iter().map(Composite::BusRun));
        all.sort_by_key(|composite| composite.place().header.start);
        let mut scene = scene::Scene::new(text, root);
        let mut ends = Vec::new();
        for composite in &all {
            // What cannot be written out has told why.
            let _ = match composite {
                Composite::Ladder(c) => ladder::expand(c, &mut scene),
                Composite::Yard(c) => yard::expand(c, &mut scene),
                Composite::TurningLoop(c) => loops::expand(c, &mut scene),
                Composite::Crossover(c) => crossover::expand(c, &mut scene),
                Composite::TurnoutRow(c) => rows::expand(c, &mut scene),
                Composite::BusRun(c) => runs::expand(c, &mut scene),
            };
            ends.push(scene.tables.len());
            if scene.tables.len() > MOST_TABLES {
                let message = format!("the composites of this plan stand for more than {MOST_TABLES} tables");
                scene.tell(
                    Finding::error("plan-too-large", Harm::Unclear, message)
                        .at(composite.place().header.clone(), "with this one")
                        .help("check the counts; no real layout needs so many"),
                );
                break;
            }
        }
        inherit::inherit(root, &mut scene);
        let number = |index: usize| ends.partition_point(|end| *end <= index);
        let tables = scene.tables.into_iter().enumerate().map(|(index, table)| (number(index), table)).collect();
        let tables = folded(tables);
        WrittenOut { places: all.iter().map(|c| c.place().clone()).collect(), tables, findings: scene.findings }
    }

    /// Keeps them in the plan.
    pub(crate) fn keep(self, plan: &mut Plan) {
        plan.ladder = self.ladder;
        plan.yard = self.yard;
        plan.turning_loop = self.turning_loop;
        plan.crossover = self.crossover;
        plan.turnout_row = self.turnout_row;
        plan.bus_run = self.bus_run;
    }
}

/// What one composite adds to a table that another stands for is said in that table, where it says nothing of it itself.
fn folded(mut tables: Vec<(usize, OrdinaryTable)>) -> Vec<(usize, OrdinaryTable)> {
    let is_whole = |table: &OrdinaryTable| !table.adds && table.name.is_some();
    let whole: BTreeMap<(&'static str, String), usize> = tables
        .iter()
        .enumerate()
        .filter(|(_, (_, table))| is_whole(table))
        .filter_map(|(index, (_, table))| Some(((table.kind, table.name.clone()?), index)))
        .collect();
    let target = |table: &OrdinaryTable| whole.get(&(table.kind, table.name.clone()?)).copied();
    let added: Vec<(usize, usize)> = tables
        .iter()
        .enumerate()
        .filter(|(_, (_, table))| table.adds)
        .filter_map(|(index, (_, table))| Some((index, target(table)?)))
        .collect();
    for &(from, to) in &added {
        for (key, words) in tables[from].1.keys.clone() {
            if tables[to].1.get(&key).is_none() {
                tables[to].1.keys.push((key, words));
            }
        }
    }
    let gone: BTreeSet<usize> = added.into_iter().map(|(from, _)| from).collect();
    tables.into_iter().enumerate().filter(|(index, _)| !gone.contains(index)).map(|(_, table)| table).collect()
}
