//! One finding for one cause: what an edit ends besides is told with it.

use crate::context::Context;
use crate::fixes::proving::found_after;
use finding::{Finding, Severity};
use std::collections::BTreeSet;

/// Proposals that are asked what else they end: a review each.
const MOST_ASKED: usize = 6;
/// Faults that are named as ended by the same edit.
const MOST_NAMED: usize = 3;

/// Faults that the edit of one of them ends, too, become facts of the gravest of them, which takes the edit. Leaves the findings
/// sorted.
pub(crate) fn fold(context: &Context<'_>, findings: &mut Vec<Finding>) {
    finding::sort(findings);
    let is_fault = |f: &Finding| f.severity == Severity::Error;
    let (mut at, mut asked) = (0, 0);
    while at < findings.len() && asked < MOST_ASKED && findings.iter().filter(|f| is_fault(f)).count() > 1 {
        let edits = findings[at].proposal.as_ref().filter(|_| is_fault(&findings[at])).map(|p| p.edits.clone());
        let Some(edits) = edits else {
            at += 1;
            continue;
        };
        asked += 1;
        let Some(left) = found_after(context, &edits) else { return };
        if left.iter().any(|l| same(&findings[at], l)) {
            // It ends another fault of that kind, and belongs to that one.
            findings[at].proposal = None;
            findings[at].help = Some("put the other faults right first, then check again".to_owned());
            at += 1;
            continue;
        }
        let ended = ended(findings, at, &left);
        let Some(&first) = ended.first() else {
            at += 1;
            continue;
        };
        let proposal = findings[at].proposal.take();
        let lead = first.min(at);
        let others: BTreeSet<usize> = ended.into_iter().chain([at]).filter(|&i| i != lead).collect();
        for &other in others.iter().take(MOST_NAMED) {
            let fact = format!("the same fix ends this too: {}", findings[other].message);
            findings[lead].facts.push(fact);
        }
        match others.len().saturating_sub(MOST_NAMED) {
            0 => {}
            1 => findings[lead].facts.push("and one more fault".to_owned()),
            n => findings[lead].facts.push(format!("and {n} more faults")),
        }
        (findings[lead].proposal, findings[lead].help) = (proposal, None);
        for &other in others.iter().rev() {
            findings.remove(other);
        }
        at = lead + 1;
    }
}

/// Whether two findings say the same.
fn same(a: &Finding, b: &Finding) -> bool {
    (a.name, &a.message) == (b.name, &b.message)
}

/// The other faults that are gone, in order. Where what is left of a kind reads otherwise than before, it may be the same with fewer
/// things in it: nothing of that kind is called ended.
fn ended(findings: &[Finding], by: usize, left: &[Finding]) -> Vec<usize> {
    let changed = |name: &str| left.iter().any(|l| l.name == name && !findings.iter().any(|f| same(f, l)));
    let gone = |f: &Finding| f.severity == Severity::Error && !changed(f.name) && !left.iter().any(|l| same(f, l));
    (0..findings.len()).filter(|&i| i != by && gone(&findings[i])).collect()
}
