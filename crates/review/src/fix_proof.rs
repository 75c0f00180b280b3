//! Whether a change does good and no harm: the whole review is made again after it.
//!
//! A change is offered only if the finding goes and no finding of any kind comes or grows, volts and fault currents
//! included. Findings of the two reviews are matched by what they are and by which table of the plan they are told at: an
//! edit moves bytes, but adds no table.

use crate::figures::Figures;
use crate::{Facts, facts_of, rules};
use circuit::{Circuit, EdgeId, Node, NodeId, Spot};
use finding::{Edit, Finding, Severity};
use proof::Proof;
use std::collections::BTreeMap;
use std::sync::atomic::Ordering::Relaxed;

/// What may go into proving changes: edges and eighths of decision nodes, for each plan that is proved. Some hundreds of
/// plans the size of a home's, six of a museum's.
pub(crate) const MOST_WORK: usize = 1_000_000;
/// How much more a whole review costs than its proof.
const WHOLE: usize = 4;

/// What a finding is, and the table it is told at.
type Key = (&'static str, Severity, usize);

/// Findings that are told at one of several pieces by what is most suspect, or once for all that are alike, at the worst:
/// which one that is, is no part of what they are.
const ANYWHERE: [&str; 11] = [
    "short-circuit",
    "supplies-meet",
    "districts-joined",
    "voltage-drop",
    "breaker-may-not-trip",
    "wire-too-thin",
    "single-sliding-joint",
    "gap-closes",
    "gap-opens-too-far",
    "rail-may-buckle",
    "feeder-may-tear",
];
/// Of those, the ones whose facts name what is alike: they grow with the list.
const LISTED: [&str; 5] =
    ["single-sliding-joint", "gap-closes", "gap-opens-too-far", "rail-may-buckle", "feeder-may-tear"];

/// What a review comes to, for comparison.
#[derive(Debug)]
pub(crate) struct Verdict {
    /// How many findings there are of each kind, at each table, at least as severe.
    counts: BTreeMap<Key, usize>,
    /// How many facts those have that list what is alike.
    listed: BTreeMap<&'static str, usize>,
    /// For each track its number, the share of the voltage that is lost, as usual, and the margins of a short, as usual and
    /// aged.
    tracks: Vec<(usize, f64, Option<[f64; 2]>)>,
    limits: Option<[f64; 2]>,
}

impl Verdict {
    fn new(text: &str, findings: &[Finding], figures: Option<&Figures>) -> Verdict {
        let (mut counts, mut listed) = (BTreeMap::new(), BTreeMap::new());
        for finding in findings {
            let name = kind_of(finding.name);
            let table = finding.place().map_or(0, |place| tables_before(text, place.span.start));
            let table = if ANYWHERE.contains(&name) { 0 } else { table };
            let milder = [Severity::Note, Severity::Warning, Severity::Error];
            for severity in milder.into_iter().filter(|s| rank(*s) <= rank(finding.severity)) {
                *counts.entry((name, severity, table)).or_insert(0) += 1;
            }
            if LISTED.contains(&name) {
                *listed.entry(name).or_insert(0) += finding.facts.len();
            }
        }
        let tracks = figures.iter().flat_map(|f| &f.tracks).map(|t| {
            let lost = 1.0 - t.volts.typical / t.supply_volts;
            (t.track, lost, t.margin.map(|m| [m.typical, m.low]))
        });
        let limits = figures.map(|f| [f.asked.drop, f.asked.fault_margin]);
        Verdict { counts, listed, tracks: tracks.collect(), limits }
    }

    fn count(&self, name: &str) -> usize {
        self.counts.iter().filter(|(key, _)| key.0 == name && key.1 == Severity::Note).map(|(_, n)| n).sum()
    }

    /// Whether nothing is here that was not there before, or is worse.
    fn harms_nothing(&self, before: &Verdict) -> bool {
        // While poles meet with everything standing still, what meets while something is thrown is not told: it comes to
        // light when the short goes, and was there before.
        let hidden = |key: &Key| key.0 == "mid-throw-short" && before.count("short-circuit") > 0;
        let comes = |(key, &n): (&Key, &usize)| n > before.counts.get(key).copied().unwrap_or(0) && !hidden(key);
        let longer = |(name, &n): (&&'static str, &usize)| n > before.listed.get(name).copied().unwrap_or(0);
        if self.counts.iter().any(comes) || self.listed.iter().any(longer) {
            return false;
        }
        let Some([drop, margin]) = self.limits else { return true };
        const ROUNDING: f64 = 1e-9;
        !self.tracks.iter().any(|(track, lost, margins)| {
            let was = before.tracks.iter().find(|t| t.0 == *track);
            let lost_before = was.map_or(0.0, |t| t.1);
            let margin_before = |aged: usize| was.and_then(|t| t.2).map_or(f64::INFINITY, |m| m[aged]);
            let grows = *lost > drop && *lost > lost_before + ROUNDING;
            let falls = |aged: usize, limit: f64| {
                margins.is_some_and(|m| m[aged] < limit && m[aged] < margin_before(aged) - ROUNDING)
            };
            grows || falls(0, margin) || falls(1, 1.0)
        })
    }
}

/// Where a breaker may not trip as built, it is not told that it may not once joints have aged or one has failed; where a
/// place gets too little, it is not told that a decoder there sees still less. Such are one kind of finding.
fn kind_of(name: &'static str) -> &'static str {
    match name {
        "breaker-may-not-trip-when-aged" | "breaker-may-not-trip-after-failure" => "breaker-may-not-trip",
        "inductive-drop" => "voltage-drop",
        other => other,
    }
}

fn rank(severity: Severity) -> u8 {
    match severity {
        Severity::Note => 0,
        Severity::Warning => 1,
        Severity::Error => 2,
    }
}

/// How many tables begin before a place: which of them it is in.
fn tables_before(text: &str, byte: usize) -> usize {
    let before = text.get(..byte).unwrap_or(text);
    before.lines().filter(|line| line.trim_start().starts_with('[') && line.trim_end().ends_with(']')).count()
}

/// Whether there was more to prove than may be tried.
pub(crate) fn left_out(facts: &Facts<'_>) -> bool {
    facts.fix_budget.load(Relaxed) == 0 && facts.may_fix
}

/// Takes what proving a change costs; false where enough has been tried.
fn may_try(facts: &Facts<'_>, times: usize) -> bool {
    let left = facts.fix_budget.load(Relaxed);
    let Ok(before) = &facts.proof else { return false };
    if left == 0 || !facts.may_fix || !before.cut_short.is_empty() {
        facts.fix_budget.store(0, Relaxed);
        return false;
    }
    let work = times * (facts.circuit.edges.len() + before.counts.decision_nodes / 8);
    facts.fix_budget.store(left.saturating_sub(work), Relaxed);
    true
}

/// The review as it is, without proposals.
fn before<'f>(facts: &'f Facts<'_>) -> &'f Verdict {
    facts.verdict.get_or_init(|| {
        let bare = facts_of((facts.text, facts.plan, facts.names), facts.circuit.clone(), facts.proof.clone(), false);
        verdict(&bare)
    })
}

fn verdict(facts: &Facts<'_>) -> Verdict {
    let mut found = Vec::new();
    for rule in rules::RULES {
        (rule.find)(facts, &mut found);
    }
    Verdict::new(facts.text, &found, facts.figures.as_ref())
}

/// How many faults a proof found.
fn faults(proof: &Proof) -> usize {
    proof.shorts.len()
        + proof.joined.len()
        + proof.wrong_phases.len()
        + proof.bridges.len()
        + proof.dead.len()
        + proof.storage.len()
}

/// Whether a finding of this name goes after some edits, and nothing comes or grows; `proved` is asked of the
/// proof then before the rest is worked out.
pub(crate) fn fixes(facts: &Facts<'_>, edits: &[Edit], name: &str, proved: impl Fn(&Proof) -> bool) -> bool {
    let Ok(proof) = &facts.proof else { return false };
    let were = faults(proof);
    let after = after(facts, edits, |proof| faults(proof) < were && proved(proof));
    after.is_some_and(|(verdict, _)| verdict.count(name) < before(facts).count(name))
}

/// The numbers after some edits, where nothing comes or grows.
pub(crate) fn harmless(facts: &Facts<'_>, edits: &[Edit]) -> Option<Figures> {
    let were = faults(facts.proof.as_ref().ok()?);
    after(facts, edits, |proof| faults(proof) <= were)?.1
}

fn after(facts: &Facts<'_>, edits: &[Edit], proved: impl Fn(&Proof) -> bool) -> Option<(Verdict, Option<Figures>)> {
    if !may_try(facts, 1) {
        return None;
    }
    let text = finding::apply(facts.text, edits).ok()?;
    let reading = plan::read(&text);
    if !reading.understood() {
        return None;
    }
    let (plan, names) = (&reading.plan, &reading.names);
    let circuit = Circuit::of(plan, names);
    let proof = crate::prove(plan, names, &circuit).ok()?;
    if !proved(&proof) || !may_try(facts, WHOLE) {
        return None;
    }
    let changed = facts_of((&text, plan, names), circuit, Ok(proof), false);
    // What reading alone finds, such as a wire that is given twice, counts too.
    let mut found = reading.findings.clone();
    let told_before = plan::read(facts.text).findings;
    found.retain(|f| !told_before.iter().any(|t| t.name == f.name && t.severity == f.severity));
    let verdict = verdict(&changed);
    let good = found.is_empty() && verdict.harms_nothing(before(facts));
    good.then_some((verdict, changed.figures))
}

/// Whether parting a piece of the circuit makes a finding of this name go, and nothing comes or grows then: only such a piece
/// is named as what to part.
pub(crate) fn parting_fixes(facts: &Facts<'_>, edge: EdgeId, name: &str) -> bool {
    if !may_try(facts, 1 + WHOLE) {
        return false;
    }
    let mut circuit = facts.circuit.clone();
    let loose = NodeId::new(circuit.nodes.len());
    circuit.nodes.push(Node { name: String::new(), span: 0..0, spot: Spot::Loose });
    circuit.edges[edge].a = loose;
    let Ok(proof) = crate::prove(facts.plan, facts.names, &circuit) else { return false };
    let parted = facts_of((facts.text, facts.plan, facts.names), circuit, Ok(proof), false);
    let verdict = verdict(&parted);
    let were = before(facts);
    verdict.count(name) < were.count(name) && verdict.harms_nothing(were)
}
