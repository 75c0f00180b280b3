//! Whether a change does good and no harm: the whole review is made again after it.
//!
//! A change is offered only if the finding goes and no finding of any kind comes or grows, volts and fault currents
//! included.

use crate::context::Context;
use crate::verdict::ReviewVerdict;
use analysis::{Analysis, Figures, TrackLine, figures};
use circuit::{Circuit, EdgeId, Node, NodeId, Spot};
use finding::Edit;
use proof::Proof;
use std::borrow::Cow;

/// How much more a whole review costs than its proof.
const WHOLE: usize = 4;

/// Whether there was more to prove than may be tried.
pub(crate) fn left_out(facts: &Context<'_>) -> bool {
    facts.fix_budget.get() == 0 && facts.may_fix
}

/// Takes what proving a change costs; false where enough has been tried.
fn may_try(facts: &Context<'_>, times: usize) -> bool {
    let left = facts.fix_budget.get();
    let Ok(before) = facts.proof() else { return false };
    if left == 0 || !facts.may_fix || !before.cut_short.is_empty() {
        facts.fix_budget.set(0);
        return false;
    }
    let work = times * (facts.circuit.edges.len() + before.counts.decision_nodes / 8);
    facts.fix_budget.set(left.saturating_sub(work));
    true
}

/// The review as it is, without proposals.
fn before<'f>(facts: &'f Context<'_>) -> &'f ReviewVerdict {
    facts.verdict.get_or_init(|| verdict(&facts.without_fixes(facts)))
}

fn verdict(facts: &Context<'_>) -> ReviewVerdict {
    let mut found = Vec::new();
    (facts.rules)(facts, &mut found);
    ReviewVerdict::new(facts.text, &found, facts.figures())
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
pub(crate) fn fixes(facts: &Context<'_>, edits: &[Edit], name: &str, proved: impl Fn(&Proof) -> bool) -> bool {
    let Ok(proof) = facts.proof() else { return false };
    let were = faults(proof);
    takes_away(facts, edits, name, |proof| faults(proof) < were && proved(proof))
}

/// Whether a finding of this name, of which the proof knows nothing, goes after some edits, and nothing comes or grows.
pub(crate) fn mends(facts: &Context<'_>, edits: &[Edit], name: &str) -> bool {
    let Ok(proof) = facts.proof() else { return false };
    let were = faults(proof);
    takes_away(facts, edits, name, |proof| faults(proof) <= were)
}

fn takes_away(facts: &Context<'_>, edits: &[Edit], name: &str, proved: impl Fn(&Proof) -> bool) -> bool {
    let Some(text) = changed(facts, edits) else { return false };
    let after = after(facts, &text, proved);
    after.is_some_and(|after| after.good && after.verdict.count(name) < before(facts).count(name))
}

/// The numbers after some edits, where nothing comes or grows. Several findings ask what the same change brings: it is worked out
/// once, but taken each time from what may be tried, so that what one finding proposes does not hang on another.
pub(crate) fn harmless(facts: &Context<'_>, edits: &[Edit]) -> Option<Figures> {
    let were = faults(facts.proof().ok()?);
    let text = changed(facts, edits)?;
    let known = facts.harmless.borrow().get(&text).cloned();
    if let Some(known) = known {
        return known.filter(|_| may_try(facts, WHOLE)).flatten();
    }
    let after = after(facts, &text, |proof| faults(proof) <= were);
    let figures = after.map(|after| after.figures.filter(|_| after.good));
    facts.harmless.borrow_mut().insert(text, figures.clone());
    figures.flatten()
}

/// The numbers of one track after some edits, whatever else they do: to see in a fraction of the time whether a whole review is worth it.
/// None where the plan then does not read or is not proved, the track has no power, or no more may be tried.
pub(crate) fn line_after(facts: &Context<'_>, edits: &[Edit], track: usize) -> Option<TrackLine> {
    let text = changed(facts, edits)?;
    let key = (text, track);
    if let Some(known) = facts.lines_after.borrow().get(&key) {
        return known.clone();
    }
    let line = line_of_text(facts, &key.0, track);
    facts.lines_after.borrow_mut().insert(key, line.clone());
    line
}

fn line_of_text(facts: &Context<'_>, text: &str, track: usize) -> Option<TrackLine> {
    let reading = plan::read(text).in_units(Some(facts.plan.units()));
    if !reading.understood() {
        return None;
    }
    let changed = Analysis::of(text, &reading.plan, &reading.names);
    let before = facts.proof().ok()?;
    if changed.circuit.is_joined_like(&facts.circuit) {
        // Thicker wires change nothing of what was proved.
        return figures::line_of_track(changed.plan, &changed.circuit, &before.promises, track);
    }
    if faults(changed.proof().ok()?) > faults(before) {
        return None;
    }
    changed.line_of_track(track).map(Cow::into_owned)
}

/// The text after some edits; none where no more may be tried.
fn changed(facts: &Context<'_>, edits: &[Edit]) -> Option<String> {
    if !may_try(facts, 1) {
        return None;
    }
    facts.text_after(edits)
}

/// The whole review of a changed plan.
struct ReviewAfter {
    verdict: ReviewVerdict,
    figures: Option<Figures>,
    /// Whether nothing comes or grows.
    good: bool,
}

/// The review of a changed text; none where it does not read, is not proved as it should, or no more may be tried.
fn after(facts: &Context<'_>, text: &str, proved: impl Fn(&Proof) -> bool) -> Option<ReviewAfter> {
    let units = Some(facts.plan.units());
    let reading = plan::read(text).in_units(units);
    if !reading.understood() {
        return None;
    }
    let (plan, names) = (&reading.plan, &reading.names);
    let circuit = Circuit::from_plan(plan, names);
    let proof = analysis::prove(plan, names, &circuit).ok()?;
    if !proved(&proof) || !may_try(facts, WHOLE) {
        return None;
    }
    let changed = Analysis::of_proved((text, plan, names), circuit, Ok(proof));
    // What reading alone finds, such as a wire that is given twice, counts too.
    let mut found = reading.findings.clone();
    let told_before = plan::read(facts.written_text()).findings;
    found.retain(|f| !told_before.iter().any(|t| t.name == f.name && t.severity == f.severity));
    let verdict = verdict(&facts.without_fixes(&changed));
    let good = found.is_empty() && verdict.harms_nothing(before(facts));
    Some(ReviewAfter { verdict, figures: changed.into_figures(), good })
}

/// Whether parting a piece of the circuit makes a finding of this name go, and nothing comes or grows then: only such a piece
/// is named as what to part.
pub(crate) fn parting_fixes(facts: &Context<'_>, edge: EdgeId, name: &str) -> bool {
    if !may_try(facts, 1 + WHOLE) {
        return false;
    }
    let mut circuit = facts.circuit.clone();
    let loose = NodeId::new(circuit.nodes.len());
    circuit.nodes.push(Node { name: String::new(), span: 0..0, spot: Spot::Loose });
    circuit.edges[edge].a = loose;
    let Ok(proof) = analysis::prove(facts.plan, facts.names, &circuit) else { return false };
    let parted = Analysis::of_proved((facts.text, facts.plan, facts.names), circuit, Ok(proof));
    let verdict = verdict(&facts.without_fixes(&parted));
    let were = before(facts);
    verdict.count(name) < were.count(name) && verdict.harms_nothing(were)
}
