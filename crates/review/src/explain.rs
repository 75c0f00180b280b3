//! Half a page on any finding.

use crate::rules::{self, FindingPage};

/// The page of a finding, from whichever room makes it: name, title and text.
pub fn page(name: &str) -> Option<(&'static str, &'static str, &'static str)> {
    pages().find(|p| p.0 == name)
}

/// The smallest drawing that shows a finding, where it is about something that can be drawn.
pub fn drawing(name: &str) -> Option<&'static str> {
    rules::RULES.iter().find(|r| r.page.name == name).map(|r| r.page.drawing)
}

/// All pages: those of the reader first, then those of the rules.
pub fn pages() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    let reading = plan::pages::PAGES.iter().copied();
    reading.chain(rules::RULES.iter().map(|r| {
        let FindingPage { name, title, text, .. } = r.page;
        (name, title, text)
    }))
}

/// A word of the trade as it is printed.
pub fn explain_word(asked: &str, width: usize) -> Option<String> {
    let found = crate::trade_words::trade_word(asked)?;
    let mut out = format!("{}\n", found.word);
    if !found.also.is_empty() {
        out.push_str(&text::paragraph("also: ", &found.also.join(", "), width));
    }
    if let Some(drawing) = found.drawing {
        out.push_str(&format!("\n{drawing}\n"));
    }
    out.push('\n');
    out.push_str(&text::paragraph("", found.text, width));
    Some(out)
}

/// A page as it is printed: title, text wrapped to a width, and the smallest plan that shows the fault
/// with what is said of it.
pub fn explain(name: &str, width: usize) -> Option<String> {
    let (name, title, text) = page(name)?;
    let mut out = format!("{name}: {title}\n");
    if let Some(drawing) = drawing(name) {
        out.push_str(&format!("\n{drawing}\n"));
    }
    for paragraph in text.split("\n\n") {
        out.push('\n');
        out.push_str(&text::paragraph("", paragraph, width));
    }
    Some(out)
}
