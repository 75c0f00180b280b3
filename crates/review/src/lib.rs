//! Runs the engines over a plan and says what they found.
//!
//! One finding is one file in [`rules`]: its rule, its message, its page and the example that its test
//! renders. [`review`] never fails: whatever a text holds, it gives a [`Review`] with findings, and
//! says plainly where something could not be proved.

pub mod addresses;
pub mod addresses_print;
pub mod bench_print;
pub mod bench_test;
pub mod buys;
pub mod explain;
pub mod feeds;
pub mod figures;
mod filters;
mod fix_proof;
pub mod lengths_print;
pub mod lengths_table;
pub mod linkage_print;
mod linkage_words;
mod loops;
mod mend;
mod mend_gaps;
mod mend_storage;
mod netlist;
mod notes;
mod numbers;
pub mod profile_csv;
pub mod profile_plot;
pub mod profile_print;
mod profile_strip;
pub mod record;
pub mod rules;
pub mod season_plot;
pub mod season_print;
pub mod season_table;
mod season_words;
mod section_gaps;
mod settings;
pub mod summary;
mod svg;
pub mod throwing;
pub mod trace;
pub mod trace_print;
mod trace_walk;
mod trace_words;
pub mod turnout_wired;
mod way_choice;
pub mod way_marks;
pub mod way_piece;
pub mod way_profile;
pub mod ways_print;
pub mod ways_table;
mod words;

pub use figures::Figures;
pub use netlist::{netlist, netlist_at_first};
pub use settings::positions as setting_positions;
pub use summary::Summary;
pub use trace_walk::joined_poles;

use circuit::Circuit;
use circuit::ways::Ways;
use finding::{Edit, Finding, Severity};
use handbook::quantity::Quantity;
use movement::clearance::Clearance;
use movement::{Movement, NotTold};
use plan::{Kind, Names, Plan, Reading};
use proof::{Promises, Proof, SingleFailure, Storage};
use std::borrow::Cow;
use std::sync::OnceLock;
use std::sync::atomic::AtomicUsize;

/// Ways beyond this many are not listed and not reckoned one by one.
const MOST_WAYS: usize = 500;

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
}

impl Review {
    /// Whether anything was found that must be mended.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Error)
    }
}

/// What the rules work from.
pub struct Facts<'p> {
    /// The plan's text.
    pub text: &'p str,
    /// The plan.
    pub plan: &'p Plan,
    /// Its names.
    pub names: &'p Names,
    /// Its circuit.
    pub circuit: Circuit,
    /// Ways a train can be lined.
    pub ways: Ways,
    /// What was proved, or why nothing could be.
    pub proof: Result<Proof, Unproved>,
    /// The numbers, where the layout feeds anything at all.
    pub figures: Option<Figures>,
    /// Where the tracks behind each turnout are clear of each other.
    pub clearances: Vec<Clearance>,
    /// What goes dead on the ways when one joint, contact, tap or feeder opens, the worst first.
    pub failures: Vec<SingleFailure>,
    /// What the worst of them leaves of each track that stays fed.
    pub openings: Vec<electrics::TrackFailure>,
    /// What rail and base do over the year, or what the plan does not tell of it.
    pub movement: Result<Movement, NotTold>,
    /// Whether changes are proposed at all: not while one is proved.
    may_fix: bool,
    /// How much work may still go into proving changes, see [`fix_proof`].
    fix_budget: AtomicUsize,
    /// What the review comes to without proposals, once that is asked for.
    verdict: OnceLock<fix_proof::Verdict>,
}

/// Why nothing could be proved.
#[derive(Clone, Debug)]
pub enum Unproved {
    /// Its conditions outgrew their limit.
    TooComplex(usize),
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

/// `with_worth`: whether to work out what would help the worst place.
fn review_reading(text: &str, reading: Reading, with_worth: bool) -> Review {
    let understood = reading.understood();
    let Reading { plan, names, mut findings } = reading;
    let mut figures = None;
    let summary = if understood {
        let facts = facts(text, &plan, &names);
        let mut summary = told(&facts, &mut findings);
        // Where the voltage is too low, the finding says it.
        if with_worth && !findings.iter().any(|f| f.name == "voltage-drop") {
            summary.worth = buys::first_worth(&facts);
        }
        figures = facts.figures;
        summary
    } else {
        finding::dedup(&mut findings);
        finding::sort(&mut findings);
        Summary::of_unread(&plan, &findings)
    };
    Review { plan, findings, summary, figures }
}

/// Adds what the rules find in facts that are there already to what the reading found, sorted; and gives the summary.
pub fn told(facts: &Facts<'_>, findings: &mut Vec<Finding>) -> Summary {
    for rule in rules::RULES {
        (rule.find)(facts, findings);
    }
    finding::dedup(findings);
    finding::sort(findings);
    told_once(findings);
    Summary::of(facts)
}

/// An edit that several findings propose is shown with the first of them only.
fn told_once(findings: &mut [Finding]) {
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

/// Whether a circuit is so large that what costs a solve for each of its edges or tracks is left out.
fn is_large(circuit: &Circuit) -> bool {
    circuit.edges.len() > 20_000
}

/// On how many of the ways single failures are tried: each is a walk over the whole circuit.
fn ways_failed(circuit: &Circuit, ways: &Ways) -> usize {
    ways.list.len().min(1 + numbers::MOST_WORK / circuit.edges.len().max(1))
}

/// Builds the circuit of a plan that was read without errors, proves it and works out its numbers.
pub fn facts<'p>(text: &'p str, plan: &'p Plan, names: &'p Names) -> Facts<'p> {
    let circuit = Circuit::of(plan, names);
    let proof = prove(plan, names, &circuit);
    facts_of((text, plan, names), circuit, proof, true)
}

/// The same of a circuit that is proved already; `may_fix` says whether rules may propose changes.
fn facts_of<'p>(
    (text, plan, names): (&'p str, &'p Plan, &'p Names),
    circuit: Circuit,
    proof: Result<Proof, Unproved>,
    may_fix: bool,
) -> Facts<'p> {
    let ways = circuit::ways::ways(&circuit, MOST_WAYS);
    let figures = figures::figures(plan, &circuit, &ways, &promises(&circuit, &proof));
    let failures = proof::single_failures(&circuit, &ways.list[..ways_failed(&circuit, &ways)]);
    let openings = figures.as_ref().map(|f| figures::openings(&circuit, f)).unwrap_or_default();
    let clearances = movement::clearance::clearances(plan, &circuit);
    let movement = movement::movement(plan, &circuit);
    let (fix_budget, verdict) = (AtomicUsize::new(fix_proof::MOST_WORK), OnceLock::new());
    Facts {
        text,
        plan,
        names,
        circuit,
        ways,
        proof,
        figures,
        clearances,
        failures,
        openings,
        movement,
        may_fix,
        fix_budget,
        verdict,
    }
}

/// Proves a plan's circuit with its storage policy.
pub(crate) fn prove(plan: &Plan, names: &Names, circuit: &Circuit) -> Result<Proof, Unproved> {
    proof::prove(circuit, storage(plan, names).as_ref()).map_err(|e| Unproved::TooComplex(e.limit))
}

/// Where a plan promises power, and in which settings; where it could not be proved, where only.
pub(crate) fn promises<'p>(circuit: &Circuit, proof: &'p Result<Proof, Unproved>) -> Cow<'p, Promises> {
    match proof {
        Ok(proof) => Cow::Borrowed(&proof.promises),
        Err(_) => Cow::Owned(Promises::unknown(circuit)),
    }
}

/// Edits of a plan, one proposal after another.
#[derive(Debug)]
pub struct Mended {
    /// What was done, in order.
    pub steps: Vec<Step>,
    /// The plan as it is then.
    pub text: String,
    /// Whether errors are left.
    pub errors_left: bool,
}

/// One proposal that was carried out.
#[derive(Debug)]
pub struct Step {
    /// What it did, in words.
    pub says: String,
    /// The text it was made in.
    pub before: String,
    /// Its edits.
    pub edits: Vec<Edit>,
}

/// Carries out proposals one after another, each found in the plan as the one before left it, until
/// there is none left.
pub fn mend_all(bytes: &[u8]) -> Mended {
    let (mut text, mut review) = review_bytes(bytes);
    let mut steps = Vec::new();
    // Each proposal is proved to lessen the faults, so this ends by itself; the limit is for our own bugs.
    while steps.len() < 100 {
        let Some(proposal) = review.findings.iter().find_map(|f| f.proposal.clone()) else { break };
        let Ok(after) = finding::apply(&text, &proposal.edits) else { break };
        let before = std::mem::replace(&mut text, after);
        steps.push(Step { says: proposal.says, before, edits: proposal.edits });
        review = self::review(&text);
    }
    Mended { steps, errors_left: review.has_errors(), text }
}

/// The storage policy of a plan.
pub fn storage(plan: &Plan, names: &Names) -> Option<Storage> {
    let storage = &plan.storage.as_ref()?.value;
    let tracks = storage
        .tracks
        .iter()
        .filter_map(|text| names.get(&text.value).filter(|f| f.0 == Kind::Track).map(|f| f.1))
        .collect();
    let pick_ups = plan.train.iter().filter_map(|t| Some(t.pick_up.as_ref()?.value.si()));
    Some(Storage { tracks, live: storage.live.value, pick_up: pick_ups.reduce(f64::min) })
}
