//! The binder: every paper of a plan in the order they are read.

use crate::front;
use crate::revision::revision;
use crate::{drawings, panel_sheets, schematics, templates};
use finding::{Finding, Severity};
use review::Summary;
use schedule::paper::Paper;
use schedule::{Choices, Job, Number, NumbersRecord};
use std::collections::BTreeSet;

/// All papers of a plan, with what stands on the front and in the headers.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Binder {
    /// The layout's name.
    pub layout: String,
    /// The revision of the plan, see [`revision`].
    pub revision: String,
    /// What there is: `3 tracks, 1 turnout`.
    pub extent: String,
    /// The date, where the builder gave one: papers know no clock.
    pub date: Option<String>,
    /// The messages of all findings that must be fixed before anything is built.
    pub faults: Vec<String>,
    /// What is to be minded throughout.
    pub cautions: Vec<String>,
    /// The names of the plan. Words that are one of them lead nowhere, rather than to the
    /// wrong thing.
    pub names: BTreeSet<String>,
    /// What the builder chose.
    pub choices: Choices,
    /// The papers.
    pub papers: Vec<Paper>,
    /// The wiring as at first, for a circuit simulator.
    pub netlist: String,
    /// Files for machines that drill and cut: name and content.
    pub machine_files: Vec<(String, String)>,
}

impl Binder {
    /// What every sheet says where the plan has faults: `plan has 3 faults: not for building`.
    pub fn warning(&self) -> Option<String> {
        match self.faults.len() {
            0 => None,
            1 => Some("plan has 1 fault: not for building".to_owned()),
            many => Some(format!("plan has {many} faults: not for building")),
        }
    }
}

/// The binder of a plan that was read without errors, with what its review found.
pub fn binder(job: &Job<'_>, findings: &[Finding], summary: &Summary, date: Option<&str>) -> Binder {
    let mut papers = Vec::new();
    papers.extend(front::findings(job, findings));
    let (gathered, netlist) = rayon::join(|| gathered(job), || analysis::netlist_at_first(&job.facts.circuit));
    papers.extend(gathered);
    papers.extend(front::defaults(job));
    // These stand on sheets of their own.
    papers.extend(templates::paper(job));
    let panels = panel_sheets::sheets(job);
    papers.extend(panels.papers);
    let errors = findings.iter().filter(|f| f.severity == Severity::Error);
    Binder {
        layout: if summary.name.is_empty() { "layout without a name".to_owned() } else { summary.name.clone() },
        revision: revision(job.facts.written_text()),
        extent: summary.extent.clone(),
        date: date.map(text::escape_control_chars),
        faults: errors.map(|f| front::on_paper(&f.message)).collect(),
        cautions: front::CAUTIONS.iter().map(|&words| words.to_owned()).collect(),
        names: plan::names::each_name(job.facts.plan).map(|(_, _, name)| name.value.clone()).collect(),
        choices: job.choices,
        papers,
        netlist,
        machine_files: panels.machine_files,
    }
}

/// The binder of a plan that was understood, its numbers carried on from those that earlier records gave, the first one's
/// before those of the others; the record of the numbers as they are now; and what has another number now than one of those
/// records gave it.
pub fn binder_of_plan(
    text: &str,
    reading: plan::PlanReading,
    choices: Choices,
    kept: &[&NumbersRecord],
    date: Option<&str>,
) -> (Binder, NumbersRecord, Vec<(Number, Number)>) {
    let plan::PlanReading { plan, names, mut findings } = reading;
    let facts = analysis::Analysis::of(text, &plan, &names);
    let summary = review::run_rules(&facts, &mut findings);
    let job = Job::carried_from(facts, choices, kept);
    let renumbered = kept.iter().flat_map(|record| job.renumbered(record)).collect();
    // Making the binder numbers the tests, which the record is to hold.
    let binder = binder(&job, &findings, &summary, date);
    (binder, job.record(), renumbered)
}

impl Binder {
    /// The same binder with one of its papers alone; none where no paper has this name.
    pub fn of_paper(&self, name: &str) -> Option<Binder> {
        let paper = self.papers.iter().find(|paper| paper.name == name)?;
        Some(Binder {
            layout: self.layout.clone(),
            revision: self.revision.clone(),
            extent: self.extent.clone(),
            date: self.date.clone(),
            faults: self.faults.clone(),
            cautions: self.cautions.clone(),
            names: self.names.clone(),
            choices: self.choices,
            papers: vec![Paper { apart: false, ..paper.clone() }],
            netlist: String::new(),
            machine_files: Vec::new(),
        })
    }

    /// What is printed in a booklet of its own, the panel's; none where there is nothing.
    pub fn booklet(&self) -> Option<Binder> {
        let apart = self.papers.iter().filter(|paper| paper.apart);
        let papers: Vec<Paper> = apart.map(|paper| Paper { apart: false, ..paper.clone() }).collect();
        let first = papers.first()?;
        Some(Binder { papers: papers.clone(), ..self.of_paper(&first.name)? })
    }
}

/// The papers of the rooms below, in the order of building. None asks anything of another, so that they are worked out beside
/// each other.
fn gathered(job: &Job<'_>) -> Vec<Paper> {
    let others = || rayon::join(|| drawings::papers(job), || schedule::tables::papers(job));
    let (tests, ((drawings, to), mut tables)) = rayon::join(|| commissioning::papers(job), others);
    schematics::write(&mut tables, &to, job.choices.large_print);
    let mut tables = tables.into_iter();
    // What is bought comes first.
    let mut papers: Vec<Paper> = tables.next().into_iter().collect();
    papers.extend(drawings);
    papers.extend(tables);
    papers.extend(tests);
    papers
}
