//! The plan's text, to change and to point at.

use super::difference::{Called, difference};
use super::{Page, shell::PageShell};
use crate::opened::VersionView;
use crate::store::StoredPlan;
use axum::http::StatusCode;
use maud::{Markup, html};

/// Lines that the listing shows.
const MOST_LINES: usize = 20_000;

/// The text with its findings beside it.
pub(crate) fn plan(opened: &VersionView<'_>, around: &PageShell<'_>, saved: bool) -> Page {
    let whole = std::str::from_utf8(opened.bytes).is_ok();
    let body = html! {
        h1 { "The plan" }
        @if saved { p.done role="status" { "The plan file is written." } }
        @if !whole {
            p.warning { "The file holds bytes that are no text, so it cannot be changed here without losing them. "
                "An editor that shows them can." }
        }
        div.columns.editing {
            section aria-labelledby="text" {
                h2 id="text" { "Its text" }
                @if around.only_looked_at {
                    form method="post" action="/keep" { (keep(around, opened.text)) }
                } @else if whole {
                    form method="post" action="/save" { (editor(around, opened.text)) }
                }
                // A field to write in shows on paper only what it shows on the screen.
                pre.on-paper { (opened.text) }
                p { a href="/lines" { "The text with its lines numbered" } }
            }
            section aria-labelledby="found" aria-live="polite" {
                h2 id="found" { "Found in it" }
                div #checked { (super::findings::grouped(opened)) }
            }
        }
    };
    Page::new("Plan", body)
}

/// A first line break is left out by whoever reads the page, so one is put in front of the text.
fn area(text: &str) -> Markup {
    html! {
        label.unseen for="plan" { "The text of the plan" }
        textarea #plan name="text" rows="30" spellcheck="false" autocomplete="off" autocapitalize="off" { "\n" (text) }
    }
}

fn editor(around: &PageShell<'_>, text: &str) -> Markup {
    html! {
        (around.carried())
        (area(text))
        p { button type="submit" { "Save" } }
    }
}

fn keep(around: &PageShell<'_>, text: &str) -> Markup {
    html! {
        (around.carried())
        (area(text))
        p {
            label for="file" { "Keep it in a new file named" } " "
            input #file name="file" required value="my-layout.toml" autocomplete="off";
            " " button type="submit" { "Keep it" }
        }
    }
}

/// The text with its lines numbered.
pub(crate) fn lines(opened: &VersionView<'_>) -> Page {
    let count = opened.lines.count();
    let body = html! {
        h1 { "The plan, line by line" }
        p { a href="/plan" { "Change it" } }
        div.listing tabindex="0" role="region" aria-label="The text" {
            ol {
                @for number in 1..=count.min(MOST_LINES) {
                    li id={ "L" (number) } { code { (opened.lines.text(number)) } }
                }
            }
        }
        @if count > MOST_LINES { p { "And " (count - MOST_LINES) " more lines." } }
    };
    Page::new("The plan, line by line", body)
}

/// Two texts that were both meant to be the plan.
pub(crate) fn conflict(around: &PageShell<'_>, mine: &str, theirs: &StoredPlan) -> Page {
    let there = String::from_utf8_lossy(&theirs.bytes);
    let body = html! {
        h1 { "Somebody else changed the plan meanwhile" }
        p.warning { "Nothing was written. Both texts are here: yours to change and save, and the one that is in the file now." }
        section aria-labelledby="differ" {
            h2 id="differ" { "Where they differ" }
            (difference(&there, mine, &Called { first: "file", second: "yours" }))
        }
        div.columns.editing {
            section aria-labelledby="mine" {
                h2 id="mine" { "Yours" }
                form method="post" action="/save" {
                    (around.carried())
                    (area(mine))
                    p { button type="submit" { "Save mine in place of theirs" } }
                }
            }
            section aria-labelledby="theirs" {
                h2 id="theirs" { "In the file now" }
                pre.theirs tabindex="0" { (there) }
                p { a href="/plan" { "Leave theirs, and forget mine" } }
            }
        }
    };
    Page::new("Conflict", body).status(StatusCode::CONFLICT).giving_back()
}

/// The text of a form as the file has its lines: browsers send every line break as two characters.
pub(crate) fn as_in_file(sent: &str, before: &[u8]) -> String {
    let text = sent.replace("\r\n", "\n").replace('\r', "\n");
    let breaks = before.iter().filter(|b| **b == b'\n').count();
    let both = before.windows(2).filter(|w| w == b"\r\n").count();
    if breaks > 0 && both == breaks { text.replace('\n', "\r\n") } else { text }
}

#[cfg(test)]
mod tests {
    use super::as_in_file;

    #[test]
    fn line_breaks_stay_as_the_file_has_them() {
        for (sent, before, kept) in [
            ("a\r\nb\r\n", &b"x\ny\n"[..], "a\nb\n"),
            ("a\r\nb", b"x\r\ny\r\n", "a\r\nb"),
            ("a\r\nb", b"", "a\nb"),
            ("a\rb", b"x\n", "a\nb"),
            ("a\nb", b"x\r\ny\n", "a\nb"),
        ] {
            assert_eq!(as_in_file(sent, before), kept, "{sent:?} in place of {before:?}");
        }
    }
}
