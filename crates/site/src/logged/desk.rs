//! A plan's tests and jobs with the entries of its logbook.

use crate::logged::subjects::{Subject, Subjects};
use commissioning::{Test, Work};
use logbook::{Draft, Entry, EntryId, EntryKind, Logbook, LogbookError, Moment, Place, current};
use schedule::{Job, Number};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Who writes, and on which machine.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hand {
    /// Who.
    pub who: String,
    /// The machine.
    pub device: String,
}

/// Why an entry was not taken.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// The logbook.
    #[error(transparent)]
    Logbook(#[from] LogbookError),
    /// What was typed.
    #[error(transparent)]
    Typed(#[from] logbook::typed::NotTyped),
}

/// A plan's tests and jobs with the entries of its logbook.
pub struct Desk<'j, 'p> {
    pub(crate) job: &'j Job<'p>,
    pub(crate) work: &'j Work,
    /// Cold tests, then hot ones.
    pub(crate) tests: Vec<&'j Test>,
    /// Tests that are read again every year, with the limits of aged wiring, by their number.
    pub(crate) aged: BTreeMap<usize, &'j Test>,
    pub(crate) subjects: Subjects,
    revision: String,
    path: PathBuf,
    logbook: Option<Logbook>,
    entries: Vec<Entry>,
    /// Up to where the logbook was read.
    read: Place,
    /// The entries that hold, in order of time, by their index; each with what it is about.
    held: Vec<(Option<Subject>, usize)>,
    /// The same by what they are about.
    of: BTreeMap<Subject, Vec<usize>>,
}

impl<'j, 'p> Desk<'j, 'p> {
    /// The desk of a plan file. A logbook that is not there is made with the first entry.
    ///
    /// # Errors
    /// Where the logbook beside it cannot be read.
    pub fn open(plan: &Path, job: &'j Job<'p>, work: &'j Work) -> Result<Desk<'j, 'p>, LogbookError> {
        let path = logbook::file_beside(plan);
        let logbook = if path.exists() { Some(Logbook::open(&path)?) } else { None };
        let tests: Vec<&Test> = work.cold.tests.iter().chain(&work.hot.tests).collect();
        let mut desk = Desk {
            aged: work.yearly.iter().map(|test| (test.number, test)).collect(),
            subjects: Subjects::new(job, work, &tests),
            revision: papers::revision::revision(job.facts.written_text()),
            job,
            work,
            tests,
            path,
            logbook,
            entries: Vec::new(),
            read: Place::default(),
            held: Vec::new(),
            of: BTreeMap::new(),
        };
        desk.refresh()?;
        Ok(desk)
    }

    /// Reads what others wrote meanwhile.
    ///
    /// # Errors
    /// Where the logbook cannot be read.
    pub fn refresh(&mut self) -> Result<(), LogbookError> {
        if self.logbook.is_none() && self.path.exists() {
            self.logbook = Some(Logbook::open(&self.path)?);
        }
        let new = self.logbook.as_ref().map_or_else(|| Ok(Vec::new()), |logbook| logbook.since(self.read))?;
        let Some((last, _)) = new.last() else { return Ok(()) };
        self.read = *last;
        self.entries.extend(new.into_iter().map(|(_, entry)| entry));
        let mut earlier: Vec<&Entry> = self.entries.iter().filter(|e| e.says.kind == EntryKind::Things).collect();
        earlier.sort_by_key(|entry| entry.id);
        let earlier: Vec<(String, String)> =
            earlier.into_iter().map(|entry| (entry.says.plan.clone(), entry.says.typed.clone())).collect();
        // Thousands of readings are about some hundred tests: each text is looked for once.
        let key = |entry: &Entry| (entry.says.plan.clone(), entry.says.what.clone());
        let once: std::collections::BTreeSet<(String, String)> =
            self.entries.iter().filter(|e| !e.says.what.is_empty()).map(key).collect();
        let texts: Vec<(String, String)> = once.into_iter().collect();
        let found: BTreeMap<(String, String), Option<Subject>> =
            texts.iter().cloned().zip(self.subjects.found(&texts, &earlier)).collect();
        let index: BTreeMap<EntryId, usize> = self.entries.iter().enumerate().map(|(i, entry)| (entry.id, i)).collect();
        let held = current(&self.entries)
            .into_iter()
            .filter_map(|entry| Some((found.get(&key(entry)).copied().flatten(), *index.get(&entry.id)?)));
        self.held = held.collect();
        self.of.clear();
        for (about, index) in &self.held {
            about.iter().for_each(|about| self.of.entry(*about).or_default().push(*index));
        }
        Ok(())
    }

    /// Adds entries, all or none; with the first on a text of the plan which things that has, so that they are found again after names
    /// changed. When this comes back they are on the disk.
    ///
    /// # Errors
    /// Where they could not be written; then none is in the logbook.
    pub fn append(&mut self, mut drafts: Vec<Draft>) -> Result<Vec<Entry>, LogbookError> {
        let first = drafts.iter().find(|draft| !draft.what.is_empty());
        if let Some(first) = first.filter(|_| self.is_new_text()) {
            let things = Draft {
                typed: self.subjects.things.clone(),
                plan: self.revision.clone(),
                who: first.who.clone(),
                device: first.device.clone(),
                ..Draft::new(EntryKind::Things, Moment::now())
            };
            drafts.insert(0, things);
        }
        let with_things = first_is_things(&drafts);
        let mut entries = self.open_or_create()?.append_all(drafts)?;
        self.refresh()?;
        if with_things {
            entries.remove(0);
        }
        Ok(entries)
    }

    /// The logbook, made where it is not there yet.
    pub(crate) fn open_or_create(&mut self) -> Result<&mut Logbook, LogbookError> {
        let logbook = match self.logbook.take() {
            Some(open) => open,
            None => Logbook::open_or_create(&self.path)?,
        };
        Ok(self.logbook.insert(logbook))
    }

    /// The revision of the plan's text, as papers have it.
    pub fn revision(&self) -> &str {
        &self.revision
    }

    /// Whether nothing was entered yet about this text of the plan.
    pub fn is_new_text(&self) -> bool {
        let known = |entry: &Entry| entry.says.kind == EntryKind::Things && entry.says.plan == self.revision;
        !self.entries.iter().any(known)
    }

    /// A draft about something of the plan.
    pub fn draft(&self, kind: EntryKind, about: Option<Subject>, hand: &Hand, time: Moment) -> Draft {
        Draft {
            what: about.map_or_else(String::new, |about| self.subjects.text(about)),
            plan: self.revision.clone(),
            who: hand.who.clone(),
            device: hand.device.clone(),
            ..Draft::new(kind, time)
        }
    }

    /// The file of the logbook.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The logbook; none before the first entry.
    pub fn logbook(&self) -> Option<&Logbook> {
        self.logbook.as_ref()
    }

    /// The tests, cold ones first.
    pub fn tests(&self) -> &[&'j Test] {
        &self.tests
    }

    /// Tests and jobs of the plan.
    pub fn work(&self) -> &'j Work {
        self.work
    }

    /// The plan and what papers are made from.
    pub fn job(&self) -> &'j Job<'p> {
        self.job
    }

    /// All entries, as they were written.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The entries that hold, in order of time, each with what it is about in the plan as it is now.
    pub fn current(&self) -> impl DoubleEndedIterator<Item = (Option<Subject>, &Entry)> {
        self.held.iter().map(|(about, index)| (*about, &self.entries[*index]))
    }

    /// The entries of a kind about something that hold, in order of time.
    pub fn about(&self, subject: Subject, kind: EntryKind) -> Vec<&Entry> {
        let of = self.of.get(&subject).into_iter().flatten().map(|index| &self.entries[*index]);
        of.filter(|entry| entry.says.kind == kind).collect()
    }

    /// What words name: `12` a test, `F-12` a wire, gap or joint, `dock 1` a thing.
    pub fn subject(&self, words: &str) -> Option<Subject> {
        let words = words.trim();
        if let Ok(number) = words.parse::<usize>() {
            return self.tests.iter().position(|test| test.number == number).map(Subject::Test);
        }
        let number = words.to_uppercase().parse::<Number>().ok();
        number.and_then(|number| self.subjects.item(self.job, number)).or_else(|| self.subjects.thing(words))
    }

    /// What papers call it: `test 12`, `order 5, feeders dock 1`, `F-12`, `dock 1`.
    pub fn called(&self, subject: Subject) -> String {
        match subject {
            Subject::Test(index) => format!("test {}", self.tests[index].number),
            Subject::Task(index) => format!("order {}, {}", index + 1, self.work.tasks[index].name),
            Subject::Item(index) => {
                let number = self.job.numbers.number(&self.subjects.items[index]);
                number.map_or_else(String::new, |number| number.to_string())
            }
            Subject::Thing(index) => self.subjects.thing_name(index).to_owned(),
        }
    }
}

fn first_is_things(drafts: &[Draft]) -> bool {
    drafts.first().is_some_and(|draft| draft.kind == EntryKind::Things)
}
