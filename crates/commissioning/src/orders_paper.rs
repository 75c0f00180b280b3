//! Work orders as a paper: a table for each stage, cautions where they belong.

use crate::sentences;
use crate::task::{Site, Stage, Task};
use crate::test::{Element, Test};
use circuit::Part;
use plan::{Plan, Pole};
use schedule::paper::{Block, Cell, Paper, Table, TableColumn};
use schedule::{Job, Number, counts_in_runs};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// The paper.
pub fn orders_paper(job: &Job<'_>, tasks: &[Task], tests: &[Test]) -> Paper {
    let mut blocks = vec![Block::Text(IN_ORDER.to_owned())];
    let mut printed = Vec::new();
    if crate::enabling::is_long(&job.facts.circuit, tasks) {
        blocks.push(Block::Text(crate::sentences::LONG_ORDERS.to_owned()));
    }
    let numbers = numbers_of_tests(tests);
    let stages = by_stage(tasks);
    printed.extend(blocks.iter().cloned());
    let mut said: BTreeSet<Stage> = BTreeSet::new();
    let mut further: Option<FurtherSite> = None;
    // What is to be done in words, where it has been said.
    let mut known_acts: BTreeSet<(Stage, String)> = BTreeSet::new();
    for (&(site, stage), places_of) in &stages {
        let heading = heading(job.facts.plan, site, stage);
        blocks.push(Block::Heading(heading.clone()));
        let to_hand = Block::Text(format!("To hand: {}. Done when: {}.", stage.tools(), stage.check()));
        blocks.push(to_hand.clone());
        blocks.extend(stage.cautions().iter().map(|c| Block::Caution((*c).to_owned())));
        let mut table = orders_table(format!("orders-{}{}", site.prefix(), stage.name()));
        for row in alike(tasks, places_of.clone()) {
            let task = &tasks[row.start];
            table.push(
                // What is done is said once for all that it is done to.
                Some(format!("{}: {}", task.reach.word(), task.does)),
                vec![
                    Cell::words(numbers_of(&row)),
                    Cell::words(name_of(&tasks[row.clone()])),
                    Cell::words(touched(job, &tasks[row.clone()])),
                    Cell::words(waits(tasks, row.clone(), &stages)),
                    Cell::words(enabled_tests(task, &numbers)),
                    Cell::Box,
                ],
            );
        }
        // On paper what is the same at each site is said at the first; a further board is one table.
        if said.insert(stage) {
            further.take().into_iter().for_each(|site| printed.extend(site.blocks(job.facts.plan)));
            printed.push(Block::Heading(sentences::capital(&heading)));
            let cautions = stage.cautions();
            if !cautions.is_empty() {
                printed.push(Block::Caution(cautions.join(" ")));
            }
            printed.push(to_hand);
            known_acts.extend(table.rows.iter().filter_map(|row| Some((stage, row.group.clone()?))));
            printed.push(Block::Table(table.clone()));
        } else {
            let same = further.take_if(|known| known.site == site);
            further.take().into_iter().for_each(|site| printed.extend(site.blocks(job.facts.plan)));
            let mut at = same.unwrap_or_else(|| FurtherSite::new(site));
            at.cautions.extend(stage.cautions());
            for row in &table.rows {
                let group = row.group.as_deref().unwrap_or_default();
                let known = known_acts.contains(&(stage, group.to_owned()));
                // The name of a job says its kind.
                let group = if known {
                    "What to do, to hand and done when: as above".to_owned()
                } else {
                    format!("{}, {group}; to hand and done when: as above", sentences::capital(stage.words()))
                };
                at.table.push(Some(group), row.cells.clone());
            }
            further = Some(at);
        }
        blocks.push(Block::Table(table));
    }
    further.into_iter().for_each(|site| printed.extend(site.blocks(job.facts.plan)));
    Paper::new("work-orders", "Work orders", blocks).with_print(printed)
}

/// The jobs of a board whose kinds have all been there before, for print.
struct FurtherSite {
    site: Site,
    cautions: BTreeSet<&'static str>,
    table: Table,
}

impl FurtherSite {
    fn new(site: Site) -> FurtherSite {
        FurtherSite { site, cautions: BTreeSet::new(), table: orders_table(format!("orders-{}all", site.prefix())) }
    }

    fn blocks(self, plan: &Plan) -> Vec<Block> {
        let cautions: Vec<&str> = self.cautions.into_iter().collect();
        let caution = (!cautions.is_empty()).then(|| Block::Caution(cautions.join(" ")));
        let heading = Block::Heading(sentences::capital(&self.site.words(plan).unwrap_or_default()));
        [heading].into_iter().chain(caution).chain([Block::Table(self.table)]).collect()
    }
}

fn orders_table(name: String) -> Table {
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("task"),
        TableColumn::words("numbers"),
        TableColumn::words("after"),
        TableColumn::words("cold tests"),
        TableColumn::boxes("done"),
    ];
    Table::new(name, columns)
}

/// What stands above the tasks of a stage at a site.
pub fn heading(plan: &Plan, site: Site, stage: Stage) -> String {
    match site.words(plan) {
        Some(site) if stage != Stage::Joining => format!("{site}: {}", stage.words()),
        _ => stage.words().to_owned(),
    }
}

/// What stands above the tasks.
pub const IN_ORDER: &str = "Do the jobs in this order. Each is done when what stands behind `done when` is so and its cold tests \
                            read well.";

/// Tasks that follow each other and are alike in all but what they are done to, as one row each; what a cold test closes is a
/// row of its own.
pub fn alike(tasks: &[Task], of: Range<usize>) -> Vec<Range<usize>> {
    let mut rows: Vec<Range<usize>> = Vec::new();
    for index in of {
        let task = &tasks[index];
        let same = |row: &Range<usize>| {
            let first = &tasks[row.start];
            first.kind == task.kind
                && (first.reach, &first.does) == (task.reach, &task.does)
                && first.closed_by.is_empty()
                && task.closed_by.is_empty()
        };
        match rows.last_mut().filter(|row| same(row)) {
            Some(row) => row.end = index + 1,
            None => rows.push(index..index + 1),
        }
    }
    rows
}

/// The numbers of tasks that are one row: `2 to 14`.
pub fn numbers_of(row: &Range<usize>) -> String {
    if row.len() == 1 { (row.start + 1).to_string() } else { format!("{} to {}", row.start + 1, row.end) }
}

/// What tasks that are one row are called: `holes: yard lead, ladder 1`.
pub fn name_of(tasks: &[Task]) -> String {
    match tasks {
        [one] => one.name.clone(),
        several => {
            let places: Vec<&str> = several.iter().map(|task| task.place.as_str()).collect();
            format!("{}: {}", several[0].kind, places.join(", "))
        }
    }
}

/// The numbers of what tasks make, those in a row drawn together: `F-1 to F-4, J-2`.
pub fn touched(job: &Job<'_>, tasks: &[Task]) -> String {
    let of = |element: &Element| match *element {
        Element::Edge(edge) => match job.facts.circuit.edges[edge].part {
            // Where a branch starts its conductor is plugged in.
            Part::BranchJoint { bus, pole, .. } => job.numbers.of_bus(bus, u8::from(pole == Pole::B)),
            _ => job.numbers.of_edge(edge),
        },
        Element::Gap(a, b) => job.numbers.of_gap(a, b),
    };
    let made = tasks.iter().flat_map(|task| task.makes.iter().filter_map(of));
    let leads = tasks.iter().flat_map(|task| task.leads.iter().filter_map(|&edge| job.numbers.of_edge(edge)));
    let halves = tasks.iter().flat_map(|task| task.halves.iter().filter_map(|&edge| job.numbers.of_edge(edge)));
    let mut numbers: Vec<Number> = made.chain(leads).chain(halves).collect();
    numbers.sort();
    numbers.dedup();
    schedule::in_runs(numbers)
}

/// Where the tasks of each stage at each site are: they stand together.
pub fn by_stage(tasks: &[Task]) -> StagePlaces {
    let mut places = StagePlaces::new();
    for (index, task) in tasks.iter().enumerate() {
        places.entry((task.site, task.stage)).or_insert(index..index).end = index + 1;
    }
    places
}

/// The tasks that a row of them waits for by their numbers; whole stages of more than a few by their words. `stages`: see
/// [`by_stage`].
pub fn waits(tasks: &[Task], row: Range<usize>, stages: &StagePlaces) -> String {
    let mut single: BTreeMap<(Site, Stage), BTreeSet<usize>> = BTreeMap::new();
    for &before in tasks[row.clone()].iter().flat_map(|task| &task.after) {
        single.entry((tasks[before].site, tasks[before].stage)).or_default().insert(before);
    }
    let here = tasks[row.start].site;
    let many_sites = stages.keys().any(|(site, _)| *site != Site::SetUp);
    if many_sites && matches!(tasks[row.start].stage, Stage::Joining | Stage::Power) {
        return "all before".to_owned();
    }
    let whole_stages: BTreeSet<Stage> =
        tasks[row.clone()].iter().flat_map(|task| task.after_stages.iter().copied()).collect();
    let (mut whole, mut others) = (Vec::new(), Vec::new());
    for ((site, stage), places) in stages.iter().filter(|((site, _), _)| here.can_wait_for(*site)) {
        let some = single.get(&(*site, *stage));
        let all = whole_stages.contains(stage) || some.is_some_and(|some| some.len() == places.len());
        if all && places.len() > 3 && *site == here {
            whole.push(stage.name());
        } else if all {
            others.push(counts_in_runs(places.clone().map(|task| task + 1)));
        } else if let Some(some) = some {
            others.push(counts_in_runs(some.iter().map(|task| task + 1)));
        }
    }
    if !whole.is_empty() {
        others.insert(0, format!("all of {}", whole.join(", ")));
    }
    others.join("; ")
}

/// Where the tasks of each stage at each site are.
pub type StagePlaces = BTreeMap<(Site, Stage), Range<usize>>;

/// The number of each test, by its name.
pub fn numbers_of_tests(tests: &[Test]) -> BTreeMap<&str, usize> {
    tests.iter().map(|test| (test.name.as_str(), test.number)).collect()
}

/// The numbers of the tests that close a task.
pub fn enabled_tests(task: &Task, numbers: &BTreeMap<&str, usize>) -> String {
    let closing: BTreeSet<usize> =
        task.closed_by.iter().filter_map(|name| numbers.get(name.as_str()).copied()).collect();
    counts_in_runs(closing)
}
