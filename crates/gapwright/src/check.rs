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
    let (text, reading) = exit::read_plan(&bytes);
    let review = review::review_reading(&text, reading, whole);
    let name = path.display().to_string();
    let printed = match look.format {
        Format::Full => {
            let style = Style { color: colour_wanted(), width: width(), most: look.most, source: look.source };
            review::terminal::page(&review, &text, &name, style, look.all)
        }
        Format::Concise => finding::render_concise(&review.findings, &text, &name),
        Format::Json => review::record::to_json(&review, &text, &name),
    };
    print(&printed)?;
    Ok(!review.has_errors())
}

/// Colour only for a person, and only for one who wants it.
fn colour_wanted() -> bool {
    std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

/// The width to print for: the terminal's where it says, else 80.
pub fn width() -> usize {
    std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok()).unwrap_or(80)
}

/// What to do after what was printed.
pub fn next(words: &str) -> String {
    text::paragraph("\nnext: ", &text::escape_control_chars(words), width())
}
