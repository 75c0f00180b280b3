//! The record of a layout: each test with its last reading, repairs and what was seen, as a paper to print and keep.

use crate::logged::desk::Desk;
use crate::logged::subjects::Subject;
use commissioning::TestKind;
use logbook::progress::{Progress, TestState};
use logbook::{Entry, EntryKind};
use papers::Binder;
use schedule::counts_in_runs;
use schedule::paper::{Block, Cell, Paper, Table, TableColumn};
use text::escape_control_chars;

impl Desk<'_, '_> {
    /// The record as papers of its own: what stands in the logbook by now. `date` is for the foot of each page.
    pub fn record(&self, year: i32, date: &str) -> Binder {
        let progress = self.progress(year);
        let facts = &self.job.facts;
        let layout = facts.plan.layout.as_ref().map_or("layout", |layout| layout.value.name.value.as_str());
        Binder {
            layout: layout.to_owned(),
            revision: self.revision().to_owned(),
            extent: progress.sentence(),
            date: Some(escape_control_chars(date)),
            names: plan::names::each_name(facts.plan).map(|(_, _, name)| name.value.clone()).collect(),
            choices: self.job.choices,
            papers: vec![self.tests_record(&progress), self.events_record()],
            ..Binder::default()
        }
    }

    /// Each test with what it read last and what that says now; failing ones first, those that were not read as a line.
    fn tests_record(&self, progress: &Progress<'_>) -> Paper {
        let columns = vec![
            TableColumn::short("test"),
            TableColumn::words("what is tested"),
            TableColumn::words("well"),
            TableColumn::words("read"),
            TableColumn::short("says"),
            TableColumn::short("when"),
            TableColumn::words("with, by"),
        ];
        let mut table = Table::new("test-record", columns);
        for (state, kind, group) in [
            (TestState::Fails, None, "Fails"),
            (TestState::Unclear, None, "Was read, and does not tell"),
            (TestState::NotRead, None, "Repaired since it was read: read it again"),
            (TestState::Well, Some(TestKind::Cold), "Reads well: cold tests"),
            (TestState::Well, Some(TestKind::Hot), "Reads well: hot tests"),
        ] {
            for (index, test) in self.tests.iter().enumerate() {
                let Some(entry) = progress.last[index].filter(|_| progress.tests[index] == state) else { continue };
                if kind.is_some_and(|kind| kind != test.kind) {
                    continue;
                }
                table.push(
                    Some(group.to_owned()),
                    vec![
                        Cell::words(test.number.to_string()),
                        Cell::words(&test.name),
                        Cell::words(test.passes_words()),
                        Cell::words(self.read_words(entry)),
                        Cell::words(self.verdict(index, entry).word()),
                        Cell::words(entry.says.time.minute()),
                        Cell::words(joined([&entry.says.instrument, &entry.says.who])),
                    ],
                );
            }
        }
        let mut blocks = vec![Block::Text(
            "Each test with its last reading, judged by the limits of the plan as it is now. The logbook keeps earlier ones.".to_owned(),
        )];
        let never = (0..self.tests.len()).filter(|&index| progress.last[index].is_none());
        let never: Vec<usize> = never.map(|index| self.tests[index].number).collect();
        if !never.is_empty() {
            blocks.push(Block::Text(format!("Not read yet: test {}.", counts_in_runs(never))));
        }
        if !table.rows.is_empty() {
            blocks.push(Block::Table(table));
        }
        Paper::new("test-record", "Test record", blocks)
    }

    /// What was typed, with the air where it was noted.
    fn read_words(&self, entry: &Entry) -> String {
        let typed = escape_control_chars(&entry.says.typed);
        let air = entry.says.air.map(|air| self.job.choices.units.temperature(handbook::quantity::Celsius(air)));
        air.map_or_else(|| typed.clone(), |air| format!("{typed} ({air})"))
    }

    /// Symptoms, repairs, remarks and meters, in the order of time.
    fn events_record(&self) -> Paper {
        let columns = || {
            vec![
                TableColumn::short("when"),
                TableColumn::words("about"),
                TableColumn::words("what"),
                TableColumn::words("by"),
            ]
        };
        let mut blocks = Vec::new();
        for (kind, name, title) in [
            (EntryKind::Symptom, "symptoms-record", "Symptoms"),
            (EntryKind::Repair, "repairs-record", "Repairs"),
            (EntryKind::Remark, "remarks-record", "Remarks"),
            (EntryKind::Instrument, "meters-record", "Meters"),
        ] {
            let mut table = Table::new(name, columns());
            for (about, entry) in self.current().filter(|(_, entry)| entry.says.kind == kind) {
                let says = &entry.says;
                let about = about.map_or_else(|| says.instrument.clone(), |about| self.called_with_name(about));
                table.push(
                    None,
                    vec![
                        Cell::words(says.time.minute()),
                        Cell::words(escape_control_chars(&about)),
                        Cell::words(joined([&says.typed, &says.note])),
                        Cell::words(escape_control_chars(&says.who)),
                    ],
                );
            }
            if !table.rows.is_empty() {
                blocks.push(Block::Heading(title.to_owned()));
                blocks.push(Block::Table(table));
            }
        }
        if blocks.is_empty() {
            blocks.push(Block::Text("Nothing was seen, repaired or remarked on yet.".to_owned()));
        }
        Paper::new("events-record", "What was seen and repaired", blocks)
    }

    /// What papers call it; a test with its name.
    fn called_with_name(&self, about: Subject) -> String {
        match about {
            Subject::Test(index) => format!("{}, {}", self.called(about), self.tests[index].name),
            _ => self.called(about),
        }
    }
}

/// What is said of two, with a comma between them.
fn joined(words: [&String; 2]) -> String {
    let said: Vec<String> = words.into_iter().filter(|w| !w.is_empty()).map(|w| escape_control_chars(w)).collect();
    said.join(", ")
}
