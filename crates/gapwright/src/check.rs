//! `gapwright check`.

use crate::Format;
use crate::exit::{self, CliError, print};
use finding::Style;
use std::io::IsTerminal as _;
use std::path::Path;

/// How a review is printed.
pub struct CheckLook {
    /// For whom.
    pub format: Format,
    /// How many findings in full.
    pub most: usize,
    /// Whether every number is printed.
    pub all: bool,
    /// Whether the lines of the plan stand with each finding.
    pub source: bool,
}

/// Reviews a plan and prints what was found; false where something must be mended.
pub fn check(path: &Path, look: &CheckLook) -> Result<bool, CliError> {
    let bytes = exit::read(path)?;
    let whole = look.format == Format::Full && look.all;
    let (text, review) = if whole { review::review_for_reading(&bytes) } else { review::review_bytes(&bytes) };
    let name = path.display().to_string();
    let printed = match look.format {
        Format::Full => {
            let style = Style { color: colour_wanted(), width: width(), most: look.most, source: look.source };
            let summary = &review.summary;
            let mut out = summary.head();
            out.push('\n');
            if !review.findings.is_empty() {
                out.push_str(&finding::render_full(&review.findings, &text, &name, style));
                out.push('\n');
            }
            out.push_str(&summary.proved(style.width));
            let numbers =
                if look.all { summary.numbers(style.width) } else { format!("\n{}", summary.weak_numbers(style.width)) };
            out.push_str(&numbers);
            if review.findings.is_empty() {
                out.push_str(&text::paragraph("\n", &format!("{}: no findings", text::escape_control_chars(&name)), style.width));
            }
            out.push_str(&text::paragraph("\nnext: ", &next(&review, &name), style.width));
            out
        }
        Format::Concise => finding::render_concise(&review.findings, &text, &name),
        Format::Json => review::record::to_json(&review, &text, &name),
    };
    print(&printed)?;
    Ok(!review.has_errors())
}

/// What a builder does next.
fn next(review: &review::Review, name: &str) -> String {
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
    let name = text::escape_control_chars(name);
    let plain = |c: char| c.is_alphanumeric() || "/._-".contains(c);
    if name.chars().all(plain) { name } else { format!("\"{name}\"") }
}

/// Colour only for a person, and only for one who wants it.
fn colour_wanted() -> bool {
    std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

/// The width to print for: the terminal's where it says, else 80.
pub fn width() -> usize {
    std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok()).unwrap_or(80)
}
