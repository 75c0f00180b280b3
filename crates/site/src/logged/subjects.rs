//! What an entry can be about: a test, a job, a numbered wire, gap or joint, a thing of the plan.

use commissioning::entry_keys::{task_keys, test_keys};
use commissioning::{Test, Work};
use schedule::entry_keys::{EarlierTexts, key_text, things_text};
use schedule::items::{Item, ItemEnd, items};
use schedule::test_numbers::{TestKey, TestKeys};
use schedule::{Job, Number};
use std::collections::BTreeMap;

/// What an entry is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A test, by its index among cold and hot ones.
    Test(usize),
    /// A job of the work orders, by its index.
    Task(usize),
    /// A wire, gap or joint, by its index among all that are numbered.
    Item(usize),
    /// A thing of the plan, by its index in the list of things.
    Thing(usize),
}

/// All that entries can be about, with their keys.
pub(crate) struct Subjects {
    subjects: Vec<Subject>,
    keys: Vec<TestKey>,
    texts: Vec<String>,
    place: BTreeMap<Subject, usize>,
    pub(crate) items: Vec<Item>,
    /// The things of the plan as a logbook keeps them.
    pub(crate) things: String,
    keys_of: TestKeys,
}

impl Subjects {
    pub(crate) fn new(job: &Job<'_>, work: &Work, tests: &[&Test]) -> Subjects {
        let keys_of = TestKeys::new(job);
        let items = items(&job.facts.circuit, Some(job.facts.plan));
        let (mut subjects, mut keys) = (Vec::new(), Vec::new());
        let mut add = |subject, key| {
            subjects.push(subject);
            keys.push(key);
        };
        let of_tests = test_keys(job, &keys_of, tests.iter().copied());
        of_tests.into_iter().enumerate().for_each(|(index, key)| add(Subject::Test(index), key));
        let of_tasks = task_keys(job, &keys_of, &work.tasks);
        of_tasks.into_iter().enumerate().for_each(|(index, key)| add(Subject::Task(index), key));
        for (index, item) in items.iter().enumerate() {
            add(Subject::Item(index), keys_of.key(format!("item {}", item.what), &item.ends, &[]));
        }
        let named = plan::names::each_name(job.facts.plan);
        for (kind, of_kind, _) in named {
            if let Some(index) = keys_of.things().at((kind, of_kind)) {
                let end = ItemEnd { thing: Some((kind, of_kind)), part: String::new(), place: None };
                add(Subject::Thing(index), keys_of.key("thing".to_owned(), &[end], &[]));
            }
        }
        let texts = keys.iter().map(|key| key_text(key, keys_of.things())).collect();
        let place = subjects.iter().enumerate().map(|(index, subject)| (*subject, index)).collect();
        Subjects { subjects, keys, texts, place, items, things: things_text(keys_of.things()), keys_of }
    }

    /// The text that an entry about it has.
    pub(crate) fn text(&self, subject: Subject) -> String {
        self.place.get(&subject).map_or_else(String::new, |&index| self.texts[index].clone())
    }

    /// What entries are about now, each given by its revision and its text; `earlier` are the things of earlier texts.
    pub(crate) fn found(&self, entries: &[(String, String)], earlier: &[(String, String)]) -> Vec<Option<Subject>> {
        let texts = EarlierTexts::new(self.keys_of.things().clone(), earlier);
        texts.found(entries, &self.keys).into_iter().map(|found| found.map(|index| self.subjects[index])).collect()
    }

    /// The wire, gap or joint of a number.
    pub(crate) fn item(&self, job: &Job<'_>, number: Number) -> Option<Subject> {
        self.items.iter().position(|item| job.numbers.number(item) == Some(number)).map(Subject::Item)
    }

    /// The thing of a name, in whatever case it is written.
    pub(crate) fn thing(&self, name: &str) -> Option<Subject> {
        let things = self.keys_of.things();
        let same = || things.list.iter().position(|thing| thing.name.to_lowercase() == name.to_lowercase());
        things.named(name).or_else(same).map(Subject::Thing)
    }

    /// The name of a thing.
    pub(crate) fn thing_name(&self, index: usize) -> &str {
        self.keys_of.things().list.get(index).map_or("", |thing| thing.name.as_str())
    }

    /// The thing of a kind and index of the plan, as its index in the list.
    pub(crate) fn thing_at(&self, of: (plan::Kind, usize)) -> Option<usize> {
        self.keys_of.things().at(of)
    }
}
