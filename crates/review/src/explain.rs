//! Half a page on any finding.

use crate::rules::{self, Page};
use crate::words;

/// The page of a finding, from whichever room makes it: name, title and text.
pub fn page(name: &str) -> Option<(&'static str, &'static str, &'static str)> {
    pages().find(|p| p.0 == name)
}

/// All pages: those of the reader first, then those of the rules.
pub fn pages() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    let reading = plan::pages::PAGES.iter().copied();
    reading.chain(rules::RULES.iter().map(|r| {
        let Page { name, title, text, .. } = r.page;
        (name, title, text)
    }))
}

/// A page as it is printed: title, text wrapped to a width, and the smallest plan that shows the fault
/// with what is said of it.
pub fn explain(name: &str, width: usize) -> Option<String> {
    let (name, title, text) = page(name)?;
    let mut out = format!("{name}: {title}\n");
    for paragraph in text.split("\n\n") {
        out.push('\n');
        out.push_str(&words::filled("", paragraph, width));
    }
    Some(out)
}
