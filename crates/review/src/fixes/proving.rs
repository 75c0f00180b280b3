//! Whether a change does good and no harm: the whole review is made again after it.
//!
//! A change is offered only if the finding goes and no finding of any kind comes or grows, volts and fault currents
//! included.

use crate::context::Context;
use crate::fixes::Change;
use crate::verdict::ReviewVerdict;
use analysis::{Analysis, Figures, TrackLine, figures};
use circuit::{Circuit, EdgeId, Node, NodeId, Spot};
use finding::{Edit, Finding};
use plan::PlanReading;
use proof::{Proof, Short};

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
    ReviewVerdict::new(facts.text, &found(facts), facts.figures())
}

/// What the rules find.
fn found(facts: &Context<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    (facts.rules)(facts, &mut found);
    found
}

/// A changed text, where it is understood.
fn read(facts: &Context<'_>, text: &str) -> Option<PlanReading> {
    Some(plan::read(text).in_units(Some(facts.plan.units()))).filter(PlanReading::understood)
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
    // While poles meet in every setting, little is proved of anything else: what seems to end something may only hide it.
    let always = |proof: &Proof| proof.shorts.iter().filter(|short| short.always()).count();
    let in_the_dark = |after: &Proof| always(after) > 0 && always(after) >= always(proof);
    let good =
        |after: &Proof| faults(after) < were && !in_the_dark(after) && !shorts_spread(proof, after) && proved(after);
    takes_away(facts, edits, name, good)
}

/// The same of a finding that is none of the proof's.
pub(crate) fn ends(facts: &Context<'_>, edits: &[Edit], name: &str) -> bool {
    let Ok(proof) = facts.proof() else { return false };
    takes_away(facts, edits, name, |after| is_no_worse(proof, after))
}

fn takes_away(facts: &Context<'_>, edits: &[Edit], name: &str, proved: impl Fn(&Proof) -> bool) -> bool {
    let Some(text) = changed(facts, edits) else { return false };
    let after = after(facts, &text, proved);
    after.is_some_and(|after| after.good && after.verdict.count(name) < before(facts).count(name))
}

/// What is not proved in settings in which poles meet, and comes to light when that ends.
const HIDDEN_BY_A_SHORT: [&str; 11] = [
    "short-circuit",
    "frog-on-wrong-phase",
    "bridged-gap",
    "wrong-phase",
    "rails-on-one-pole",
    "dead-rail",
    "storage-live-unlined",
    "storage-not-live",
    "districts-joined",
    "reversing-without-section",
    "crossing-set-against",
];

/// Of the changes that end a short, the one after which the fewest faults are left, no more than there are now, and how many: where a
/// plan has more than one mistake, one hides the other, and no change leaves it without. None where two leave as many.
pub(crate) fn fewest_left(
    facts: &Context<'_>,
    short: &Short,
    changes: impl IntoIterator<Item = Change>,
) -> Option<(Change, usize)> {
    let proof = facts.proof().ok()?;
    let such = |proof: &Proof| proof.shorts.iter().filter(|s| s.witness.setting == short.witness.setting).count();
    let were = such(proof);
    let mut best: Option<(Change, usize)> = None;
    let mut tied = false;
    for change in changes {
        if best.as_ref().is_some_and(|(best, _)| best.1 == change.1) {
            continue;
        }
        let Some(text) = changed(facts, &change.1) else { break };
        let ends = |after: &Proof| such(after) < were && !shorts_spread(proof, after);
        let Some(after) = after(facts, &text, ends) else { continue };
        if !after.good_but_for_hidden {
            continue;
        }
        let left = after.verdict.faults();
        match best.as_ref().map_or(std::cmp::Ordering::Less, |best| left.cmp(&best.1)) {
            std::cmp::Ordering::Less => (best, tied) = (Some((change, left)), false),
            std::cmp::Ordering::Equal => tied = true,
            std::cmp::Ordering::Greater => {}
        }
    }
    best.filter(|(_, left)| !tied && *left <= before(facts).faults())
}

/// Whether poles meet in a setting in which they did not before: one short in every setting is fewer than two that need a turnout
/// thrown, and far worse.
fn shorts_spread(before: &Proof, after: &Proof) -> bool {
    let was_there = |short: &Short| {
        let holds = |literal| short.witness.setting.contains(literal);
        before.shorts.iter().any(|was| was.witness.setting.iter().all(holds))
    };
    !after.shorts.iter().all(was_there)
}

/// Whether a proof finds no more faults than one before, and no short in more settings.
fn is_no_worse(before: &Proof, after: &Proof) -> bool {
    faults(after) <= faults(before) && !shorts_spread(before, after)
}

/// What a review finds after some edits, without proposals; none where no more may be tried. What is proposed was reviewed already.
pub(crate) fn found_after(facts: &Context<'_>, edits: &[Edit]) -> Option<Vec<Finding>> {
    if !may_try(facts, 1 + WHOLE) {
        return None;
    }
    let text = facts.text_after(edits)?;
    if let Some(known) = facts.reviewed.borrow().get(&text) {
        return Some(known.clone());
    }
    let reading = read(facts, &text)?;
    let changed = Analysis::of(&text, &reading.plan, &reading.names);
    Some(found(&facts.without_fixes(&changed)))
}

/// The numbers after some edits, where nothing comes or grows. Several findings ask what the same change brings: it is worked out
/// once, but taken each time from what may be tried, so that what one finding proposes does not hang on another.
pub(crate) fn harmless(facts: &Context<'_>, edits: &[Edit]) -> Option<Figures> {
    let proof = facts.proof().ok()?;
    let text = changed(facts, edits)?;
    let known = facts.harmless.borrow().get(&text).cloned();
    if let Some(known) = known {
        return known.filter(|_| may_try(facts, WHOLE)).flatten();
    }
    let after = after(facts, &text, |after| is_no_worse(proof, after));
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
    let reading = read(facts, text)?;
    let changed = Analysis::of(text, &reading.plan, &reading.names);
    let before = facts.proof().ok()?;
    // Thicker wires change nothing of what was proved.
    let proof = if changed.circuit.is_joined_like(&facts.circuit) { before } else { changed.proof().ok()? };
    if faults(proof) > faults(before) {
        return None;
    }
    figures::line_of_track(changed.plan, &changed.circuit, &proof.promises, track)
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
    /// Whether nothing does but what a short in every setting hides.
    good_but_for_hidden: bool,
}

/// The review of a changed text; none where it does not read, is not proved as it should, or no more may be tried.
fn after(facts: &Context<'_>, text: &str, proved: impl Fn(&Proof) -> bool) -> Option<ReviewAfter> {
    let reading = read(facts, text)?;
    let (plan, names) = (&reading.plan, &reading.names);
    let circuit = Circuit::from_plan(plan, names);
    let proof = analysis::prove(plan, names, &circuit).ok()?;
    if !proved(&proof) || !may_try(facts, WHOLE) {
        return None;
    }
    let changed = Analysis::of_proved((text, plan, names), circuit, Ok(proof));
    // What reading alone finds, such as a wire that is given twice, counts too.
    let told_before = plan::read(facts.written_text()).findings;
    let is_told = |f: &Finding| told_before.iter().any(|t| t.name == f.name && t.severity == f.severity);
    let reads_well = reading.findings.iter().all(is_told);
    let found = found(&facts.without_fixes(&changed));
    let verdict = ReviewVerdict::new(changed.text, &found, changed.figures());
    facts.reviewed.borrow_mut().insert(text.to_owned(), found);
    let good = reads_well && verdict.harms_nothing(before(facts));
    let good_but_for_hidden = reads_well && verdict.harms_nothing_but(before(facts), &HIDDEN_BY_A_SHORT);
    Some(ReviewAfter { verdict, figures: changed.into_figures(), good, good_but_for_hidden })
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
