//! How far the building is.

use crate::logged::desk::Desk;
use crate::logged::judge::Verdict;
use crate::logged::subjects::Subject;
use circuit::EdgeId;
use commissioning::{Element, Test, TestKind};
use logbook::progress::{ByKey, PlannedJob, PlannedTest, Progress, progress};
use logbook::{EntryKind, Moment};
use schedule::items::{ItemKind, point};
use std::collections::{BTreeMap, BTreeSet};

impl Desk<'_, '_> {
    /// How far all of it is.
    pub fn progress(&self, year: i32) -> Progress<'_> {
        let (jobs, tests) = (self.planned_jobs(), self.planned_tests());
        let mut said = ByKey::new();
        for (about, entry) in self.current() {
            if let Some(about) = about {
                said.entry(self.subjects.text(about)).or_default().push(entry);
            }
        }
        let repaired = self.repaired();
        let well = |index: usize, entry: &logbook::Entry| match self.verdict(index, entry) {
            Verdict::Well | Verdict::Aged => Some(true),
            Verdict::Fails => Some(false),
            Verdict::Unclear => None,
        };
        progress(&jobs, &tests, &said, well, |index| repaired.get(&index).cloned(), year)
    }

    /// The jobs that come before a job, by their index: those it names, and whole stages.
    pub fn before(&self, job: usize) -> Vec<usize> {
        let tasks = &self.work.tasks;
        let task = &tasks[job];
        let whole = |before: &usize| {
            task.after_stages.contains(&tasks[*before].stage) && task.site.can_wait_for(tasks[*before].site)
        };
        let all: BTreeSet<usize> = task.after.iter().copied().chain((0..job).filter(whole)).collect();
        all.into_iter().collect()
    }

    fn planned_jobs(&self) -> Vec<PlannedJob> {
        let tests: BTreeMap<&str, usize> =
            self.tests.iter().enumerate().map(|(index, test)| (test.name.as_str(), index)).collect();
        let tasks = &self.work.tasks;
        let job = |(index, task): (usize, &commissioning::Task)| PlannedJob {
            key: self.subjects.text(Subject::Task(index)),
            place: task.place.clone(),
            after: self.before(index),
            tests: task.closed_by.iter().filter_map(|name| tests.get(name.as_str()).copied()).collect(),
        };
        tasks.iter().enumerate().map(job).collect()
    }

    fn planned_tests(&self) -> Vec<PlannedTest> {
        let planned = |(index, test): (usize, &&Test)| PlannedTest {
            key: self.subjects.text(Subject::Test(index)),
            hot: test.kind == TestKind::Hot,
            yearly: self.aged.contains_key(&test.number),
        };
        self.tests.iter().enumerate().map(planned).collect()
    }

    /// When something that a test proves or touches was last repaired, by the test's index.
    pub(crate) fn repaired(&self) -> BTreeMap<usize, Moment> {
        let mut last = BTreeMap::new();
        for (about, entry) in self.current() {
            if let (Some(about), EntryKind::Repair) = (about, entry.says.kind) {
                for index in self.tests_of(about) {
                    last.insert(index, entry.says.time.clone());
                }
            }
        }
        last
    }

    /// The tests that tell of something: those that prove it; of a thing those that touch it.
    pub fn tests_of(&self, subject: Subject) -> Vec<usize> {
        let proves = |test: &Test| match subject {
            Subject::Test(_) => false,
            Subject::Task(task) => self.work.tasks[task].closed_by.contains(&test.name),
            Subject::Item(item) => match &self.subjects.items[item].kind {
                ItemKind::Edges(edges) => {
                    test.proves.iter().any(|e| matches!(e, Element::Edge(edge) if edges.contains(edge)))
                }
                // No test of the layout looks at the wires of a panel.
                ItemKind::Panel(..) => false,
                ItemKind::Gap(a, b) => {
                    test.proves.iter().any(|e| matches!(e, Element::Gap(c, d) if [c, d] == [a, b] || [d, c] == [a, b]))
                }
            },
            Subject::Thing(thing) => self.touches(test, thing),
        };
        if let Subject::Test(index) = subject {
            return vec![index];
        }
        self.tests.iter().enumerate().filter(|(_, test)| proves(test)).map(|(index, _)| index).collect()
    }

    fn touches(&self, test: &Test, thing: usize) -> bool {
        let circuit = &self.job.facts.circuit;
        let of_edge = |edge: &EdgeId| [circuit.edges[*edge].a, circuit.edges[*edge].b];
        let proved = test.proves.iter().flat_map(|element| match element {
            Element::Edge(edge) => of_edge(edge),
            Element::Gap(a, b) => [*a, *b],
        });
        let probed = test.between.iter().flatten().map(|probe| probe.node);
        let ends = proved.chain(probed).map(|node| point(circuit, node)).chain(test.on.iter().cloned());
        let same = |of: (plan::Kind, usize)| self.subjects.thing_at(of) == Some(thing);
        ends.filter_map(|end| end.thing).any(same)
    }
}
