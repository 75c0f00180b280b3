//! A review as it is printed at a terminal: faults first, then what was proved, then the numbers that matter, then what to do next.

use crate::Review;
use finding::Style;
use text::{escape_control_chars, paragraph};

/// The review of the plan in file `name`; with every number where `all` is asked for.
pub fn page(review: &Review, text: &str, name: &str, style: Style, all: bool) -> String {
    let summary = &review.summary;
    let mut out = summary.head();
    out.push('\n');
    let follow = if all { 0 } else { of_one_cause(review) };
    if follow > 0 {
        out.push_str(&paragraph("", NOT_WIRED, style.width));
        out.push('\n');
        let shown: Vec<finding::Finding> =
            review.findings.iter().filter(|f| !follows_from_bare_rails(f)).cloned().collect();
        let first = review.findings.iter().filter(|f| follows_from_bare_rails(f)).take(1);
        let list: Vec<finding::Finding> = first.cloned().chain(shown).collect();
        out.push_str(&finding::render_full(&list, text, name, style));
        if follow > 1 {
            let more = format!("{} more faults follow from the same: --all shows them", follow - 1);
            out.push_str(&paragraph("\n", &more, style.width));
        }
        out.push('\n');
    } else if !review.findings.is_empty() {
        out.push_str(&finding::render_full(&review.findings, text, name, style));
        out.push('\n');
    }
    out.push_str(&summary.proved(style.width));
    if all {
        out.push_str(&summary.numbers(style.width));
    } else {
        out.push('\n');
        out.push_str(&summary.weak_numbers(style.width));
    }
    if review.findings.is_empty() {
        out.push_str(&paragraph("\n", &format!("{}: no findings", escape_control_chars(name)), style.width));
    }
    out.push_str(&paragraph("\nnext: ", &next(review, name), style.width));
    out
}

/// What is said first of a plan whose rails are bare.
const NOT_WIRED: &str =
    "This plan is not wired yet: no rail is cut, and nothing switches one. What is found follows from that.";

/// Whether a finding is one that gaps, feeders and contacts end.
fn follows_from_bare_rails(finding: &finding::Finding) -> bool {
    finding.severity == finding::Severity::Error
        && [
            "short-circuit",
            "dead-rail",
            "frog-on-wrong-phase",
            "wrong-phase",
            "rails-on-one-pole",
            "bridged-gap",
            "mid-throw-short",
            "supplies-meet",
            "districts-joined",
            "storage-live-unlined",
            "storage-not-live",
            "reversing-without-section",
            "voltage-drop",
        ]
        .contains(&finding.name)
}

/// How many findings have one cause: that nothing is wired yet. None where something is.
fn of_one_cause(review: &Review) -> usize {
    if !review.summary.understood || plan::bare::wired_already(&review.plan).is_some() {
        return 0;
    }
    // A plan with nothing but plain line has nothing to cut.
    let work = !review.plan.turnout.is_empty()
        || !review.plan.slip.is_empty()
        || !review.plan.three_way.is_empty()
        || !review.plan.crossing.is_empty()
        || review.plan.bus.is_empty();
    let of_bare_rails = || review.findings.iter().filter(|f| follows_from_bare_rails(f));
    // Where each has an edit, whoever wired it meant it so and slipped.
    let all_mended = of_bare_rails().all(|finding| finding.proposal.is_some());
    if work && !all_mended { of_bare_rails().count() } else { 0 }
}

/// What a builder does next.
fn next(review: &Review, name: &str) -> String {
    let plan = quoted_argument(name);
    let findings = &review.findings;
    if !review.summary.understood {
        "put the lines above right, then check again".to_owned()
    } else if of_one_cause(review) > 0 {
        format!("gapwright wire {plan} proposes gaps, feeders, contacts and wires, with the reason for each")
    } else if findings.iter().any(|f| f.proposal.is_some()) {
        format!("gapwright fix {plan} shows the edits that are proposed; with --write it makes them")
    } else if let Some(worst) = findings.iter().min_by_key(|f| f.order()) {
        format!("gapwright explain {} says more about the first of them", worst.name)
    } else {
        format!("gapwright papers {plan} --out papers makes the papers to build from")
    }
}

/// A file name as one types it.
pub fn quoted_argument(name: &str) -> String {
    let name = escape_control_chars(name);
    let plain = |c: char| c.is_alphanumeric() || "/._-".contains(c);
    if name.chars().all(plain) { name } else { format!("\"{name}\"") }
}
