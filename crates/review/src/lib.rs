//! Runs the engines over a plan and says what they found.
//!
//! One finding is one file in [`rules`]: its rule, its message, its page and the example that its test
//! renders. [`review`] never fails: whatever a text holds, it gives a [`Review`] with findings, and
//! says plainly where something could not be proved.

mod context;
pub mod explain;
mod feeder_count;
mod fixes;
mod folding;
mod gap_place;
mod loops;
mod motor_notes;
mod notes;
pub mod record;
pub mod rules;
mod section_gaps;
pub mod summary;
pub mod terminal;
mod track_table;
pub mod trade_words;
mod verdict;
pub mod what_if;

pub use summary::Summary;

use analysis::{Analysis, Figures};
use circuit::Origin;
use context::Context;
use finding::{Edit, Finding, Severity};
use plan::expansion::Expansion;
use plan::{Plan, PlanReading};

/// What was found out about a plan.
#[derive(Debug)]
pub struct Review {
    /// The plan as far as it could be read.
    pub plan: Plan,
    /// Findings, sorted: what is unclear, what can burn, what can stop a train, what will age.
    pub findings: Vec<Finding>,
    /// What a builder wants to know first.
    pub summary: Summary,
    /// The numbers; none where the plan could not be understood.
    pub figures: Option<Figures>,
    /// What its composite tables stand for.
    pub expansion: Expansion,
}

impl Review {
    /// Whether anything was found that must be fixed.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Error)
    }
}

/// Reviews a plan's bytes as they come from a file; gives the text too, for printing findings.
pub fn review_bytes(bytes: &[u8]) -> (String, Review) {
    let (text, reading) = plan::read_bytes(bytes);
    let review = review_reading(&text, reading, false);
    (text, review)
}

/// The same, and what each change alone would bring at the worst place of all; that takes a review for each.
pub fn review_for_reading(bytes: &[u8]) -> (String, Review) {
    let (text, reading) = plan::read_bytes(bytes);
    let review = review_reading(&text, reading, true);
    (text, review)
}

/// Reviews a plan's text.
pub fn review(text: &str) -> Review {
    review_reading(text, plan::read(text), false)
}

/// Reviews what was read of a text.
///
/// `with_worth`: whether to work out what each change alone would bring at the worst place of all, which takes a review for each.
pub fn review_reading(text: &str, reading: PlanReading, with_worth: bool) -> Review {
    let understood = reading.understood();
    let PlanReading { plan, names, mut findings } = reading;
    let mut figures = None;
    let summary = if understood {
        let analysis = Analysis::of(text, &plan, &names);
        let mut summary = run_rules(&analysis, &mut findings);
        // Where the voltage is too low, the finding says it.
        if with_worth && !findings.iter().any(|f| f.name == "voltage-drop") {
            summary.worth = what_if::first_worth(&Context::new(&analysis, rules::find_all));
        }
        figures = analysis.into_figures();
        for input in figures.iter_mut().flat_map(|figures| &mut figures.contributions) {
            if let Origin::Plan(span) = &mut input.origin {
                *span = names.expansion.origin(span);
            }
        }
        summary
    } else {
        finding::dedup(&mut findings);
        finding::sort(&mut findings);
        Summary::of_unread(text, &findings)
    };
    Review { plan, findings, summary, figures, expansion: names.expansion }
}

/// What the review of a text finds, sorted, without proposals: for whoever tries one text after another.
pub fn findings(text: &str) -> Vec<Finding> {
    findings_by(text, rules::find_all)
}

/// The same of these rules alone, by the names of their findings: no engine runs that they do not ask.
pub fn findings_of(text: &str, names: &[&str]) -> Vec<Finding> {
    findings_by(text, |context, found| {
        let named = rules::RULES.iter().filter(|rule| names.contains(&rule.page.name));
        named.for_each(|rule| (rule.find)(context, found));
    })
}

/// The tracks that have numbers, the one with the weakest short circuit first: their indices.
pub fn weakest_tracks(text: &str) -> Vec<usize> {
    let reading = plan::read(text);
    if !reading.understood() {
        return Vec::new();
    }
    let Some(figures) = Analysis::of(text, &reading.plan, &reading.names).into_figures() else { return Vec::new() };
    let mut tracks: Vec<(f64, usize)> = figures.tracks.iter().map(|t| (t.fault_amps.typical, t.track)).collect();
    tracks.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    tracks.into_iter().map(|(_, track)| track).collect()
}

fn findings_by(text: &str, run: impl Fn(&Context<'_>, &mut Vec<Finding>)) -> Vec<Finding> {
    let reading = plan::read(text);
    let understood = reading.understood();
    let PlanReading { plan, names, mut findings } = reading;
    if understood {
        let analysis = Analysis::of(text, &plan, &names);
        run(&Context::new(&analysis, rules::find_all).without_fixes(&analysis), &mut findings);
        findings.iter_mut().for_each(|finding| names.expansion.lead_back(finding));
    }
    finding::dedup(&mut findings);
    finding::sort(&mut findings);
    findings
}

/// Adds what the rules find in facts that are there already to what the reading found, sorted; and gives the summary.
pub fn run_rules(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) -> Summary {
    let context = Context::new(analysis, rules::find_all);
    // What reading told is no rule's, and no fix is tried on it.
    let mut found = Vec::new();
    rules::find_all(&context, &mut found);
    finding::dedup(&mut found);
    folding::fold(&context, &mut found);
    findings.append(&mut found);
    findings.iter_mut().for_each(|finding| analysis.names.expansion.lead_back(finding));
    finding::dedup(findings);
    finding::sort(findings);
    propose_once(findings);
    Summary::from_context(&context)
}

/// An edit that several findings propose is shown with the first of them only.
fn propose_once(findings: &mut [Finding]) {
    let mut shown: Vec<(Vec<finding::Edit>, &'static str)> = Vec::new();
    for finding in findings {
        let Some(proposal) = &finding.proposal else { continue };
        match shown.iter().find(|(edits, _)| *edits == proposal.edits) {
            Some((_, first)) => {
                finding.facts.push(format!("the edit that is proposed for [{first}] above ends this too"));
                finding.proposal = None;
            }
            None => shown.push((proposal.edits.clone(), finding.name)),
        }
    }
}

/// Edits of a plan, one proposal after another.
#[derive(Debug)]
pub struct Fixed {
    /// What was done, in order.
    pub steps: Vec<FixStep>,
    /// The plan as it is then.
    pub text: String,
    /// Whether errors are left.
    pub errors_left: bool,
}

/// One proposal that was carried out.
#[derive(Debug)]
pub struct FixStep {
    /// What it did, in words.
    pub says: String,
    /// The text it was made in.
    pub before: String,
    /// Its edits.
    pub edits: Vec<Edit>,
}

/// Carries out proposals one after another, each found in the plan as the one before left it, until
/// there is none left.
pub fn fix_all(bytes: &[u8]) -> Fixed {
    let (mut text, mut review) = review_bytes(bytes);
    let mut steps = Vec::new();
    // Each proposal is proved to lessen the faults, so this ends by itself; the limit is for our own bugs.
    while steps.len() < 100 {
        let Some(proposal) = review.findings.iter().find_map(|f| f.proposal.clone()) else { break };
        let Ok(after) = finding::apply(&text, &proposal.edits) else { break };
        let before = std::mem::replace(&mut text, after);
        steps.push(FixStep { says: proposal.says, before, edits: proposal.edits });
        review = self::review(&text);
    }
    Fixed { steps, errors_left: review.has_errors(), text }
}
