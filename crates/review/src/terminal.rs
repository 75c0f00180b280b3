//! A review as it is printed at a terminal: faults first, then what was proved, then the numbers that matter, then what to do next.

use crate::Review;
use finding::Style;
use text::{escape_control_chars, paragraph};

/// The review of the plan in file `name`; with every number where `all` is asked for.
pub fn page(review: &Review, text: &str, name: &str, style: Style, all: bool) -> String {
    let summary = &review.summary;
    let mut out = summary.head();
    out.push('\n');
    if !review.findings.is_empty() {
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

/// What a builder does next.
fn next(review: &Review, name: &str) -> String {
    let plan = quoted_argument(name);
    let findings = &review.findings;
    if !review.summary.understood {
        "put the lines above right, then check again".to_owned()
    } else if findings.iter().any(|f| f.proposal.is_some()) {
        format!("gapwright fix {plan} shows the edits that are proposed; with --write it makes them")
    } else if let Some(worst) = findings.iter().min_by_key(|f| f.order()) {
        format!("gapwright explain {} says more about the first of them", worst.name)
    } else {
        format!("gapwright papers {plan} --out papers makes the papers to build from")
    }
}

/// A file name as one types it.
fn quoted_argument(name: &str) -> String {
    let name = escape_control_chars(name);
    let plain = |c: char| c.is_alphanumeric() || "/._-".contains(c);
    if name.chars().all(plain) { name } else { format!("\"{name}\"") }
}
