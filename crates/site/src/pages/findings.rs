//! The findings of a plan, a page for each, and what each means in general.

use super::{Page, shell::PageShell, words};
use crate::address::{address, page_of};
use crate::opened::VersionView;
use axum::http::StatusCode;
use finding::{Finding, Lines, Place, Proposal};
use maud::{Markup, html};
use text::escape_control_chars;

/// Lines of a plan shown around a place.
const AROUND: usize = 2;

/// A finding in a line, with a link to its page.
pub(crate) fn line(opened: &VersionView<'_>, finding: &Finding) -> Markup {
    html! {
        span class={ "severity " (finding.severity.word()) } { (finding.severity.word()) }
        " "
        a href=(page_of(opened, finding)) { (words(&finding.message)) }
        @if let Some(place) = finding.place() {
            @let line = opened.lines.line_at(place.span.start);
            " " span.quiet { a href={ "/lines#L" (line) } { "line " (line) } }
        }
    }
}

/// The errors of a text that is not the one shown, with the lines they are in: neither has a page to lead to.
pub(crate) fn of_another_text(opened: &VersionView<'_>) -> Markup {
    let errors = opened.review.findings.iter().filter(|f| f.severity == finding::Severity::Error);
    html! {
        ul.findings {
            @for finding in errors.take(20) {
                li {
                    span class={ "severity " (finding.severity.word()) } { (finding.severity.word()) } " " (words(&finding.message))
                    @if let Some(place) = finding.place() {
                        @let line = opened.lines.line_at(place.span.start);
                        br;
                        span.quiet { "line " (line) ": " } code { (escape_control_chars(opened.lines.text(line).trim())) }
                    }
                }
            }
        }
    }
}

/// The finding that a page names.
pub(crate) fn named<'o>(opened: &'o VersionView<'_>, name: &str, number: &str) -> Option<&'o Finding> {
    let number: usize = number.parse().ok()?;
    opened.review.findings.iter().filter(|f| f.name == name).nth(number.checked_sub(1)?)
}

/// All findings, by what they do if they are left.
pub(crate) fn list(opened: &VersionView<'_>, done: Option<&str>) -> Page {
    let body = html! {
        h1 { "Findings" }
        @match done {
            Some("mended") => p.done role="status" { "The proposed edit is made, and the plan file is written." },
            Some("undone") => p.done role="status" { "The last change is undone, and the plan file is written." },
            Some("redone") => p.done role="status" { "The change is made again, and the plan file is written." },
            _ => {}
        }
        p { (counted(opened)) }
        (grouped(opened))
        p { a href="/explain" { "What every finding means" } }
    };
    Page::new("Findings", body)
}

/// How many there are of each kind, in words.
pub(crate) fn counted(opened: &VersionView<'_>) -> String {
    if opened.review.findings.is_empty() { "no findings".to_owned() } else { finding::counts(&opened.review.findings) }
}

pub(crate) fn grouped(opened: &VersionView<'_>) -> Markup {
    let findings = &opened.review.findings;
    html! {
        @if findings.is_empty() { p.ok { "Nothing was found." } }
        @for (index, finding) in findings.iter().enumerate() {
            @if index == 0 || findings[index - 1].harm != finding.harm {
                @let these = findings.iter().filter(|f| f.harm == finding.harm);
                h2 { (finding.harm.heading()) }
                ul.findings { @for finding in these { li { (line(opened, finding)) } } }
            }
        }
    }
}

/// The page of one finding.
pub(crate) fn one(opened: &VersionView<'_>, around: &PageShell<'_>, name: &str, number: &str) -> Page {
    let Some(finding) = named(opened, name, number) else {
        let why = "It may be fixed, or the plan has changed; the list shows what is found now.";
        return Page::sorry(StatusCode::NOT_FOUND, "There is no such finding in this plan", why);
    };
    let labels = finding.at.iter().chain(&finding.also);
    let body = html! {
        h1 { span class={ "severity " (finding.severity.word()) } { (finding.severity.word()) } " " (words(&finding.message)) }
        @for label in labels {
            (snippet(&opened.lines, &label.place, &label.words))
        }
        @if let Some(witness) = &finding.witness {
            section aria-labelledby="shown" {
                h2 id="shown" { "What shows it" }
                @let setting: Vec<(&str, &str)> = witness.setting.iter().map(|(n, p)| (n.as_str(), p.as_str())).collect();
                @if !setting.is_empty() {
                    p { "Set " @for (i, (control, position)) in setting.iter().enumerate() {
                        @if i > 0 { ", " } b { (escape_control_chars(control)) } " " (escape_control_chars(position))
                    } }
                }
                p { a href=(address("/", &setting)) { "See it on the drawing" } }
                @if !witness.path.is_empty() {
                    p { "Follow the current:" }
                    ol.path { @for piece in &witness.path { li { (escape_control_chars(piece)) } } }
                }
            }
        }
        @if !finding.facts.is_empty() || finding.help.is_some() {
            section aria-labelledby="why" {
                h2 id="why" { "Why, and what to do" }
                ul { @for fact in &finding.facts { li { (words(fact)) } } }
                @if let Some(help) = &finding.help { p.help { (words(help)) } }
            }
        }
        @if let Some(proposal) = &finding.proposal {
            (proposed(opened, around, proposal, name, number))
        }
        p { a href=(address("/explain", &[("name", finding.name)])) { "What " (finding.name) " means" } }
        p { a href="/findings" { "All findings" } }
    };
    Page::new(finding.name, body)
}

fn proposed(opened: &VersionView<'_>, around: &PageShell<'_>, proposal: &Proposal, name: &str, number: &str) -> Markup {
    let edits = finding::render_edits(opened.text, &proposal.edits, 100);
    html! {
        section.proposal aria-labelledby="edit" {
            h2 id="edit" { "Proposed edit" }
            p.help { (words(&proposal.says)) }
            (changed_lines(&edits))
            @if around.only_looked_at {
                p { "This is a demo plan. " a href="/plan" { "Keep it under a name of your own" } " to change it." }
            } @else {
                (around.button("/mend", "Make this edit", &[("name", name), ("n", number)]))
            }
        }
    }
}

/// Lines that go and come, each with its sign, as `finding` renders them.
pub(crate) fn changed_lines(rendered: &str) -> Markup {
    html! {
        pre.diff tabindex="0" role="group" aria-label="Lines that go and lines that come" {
            @for line in rendered.lines() {
                @let sign = line.trim_start().trim_start_matches(|c: char| c.is_ascii_digit()).trim_start().chars().next();
                @match sign {
                    Some('-') => del { (line) },
                    Some('+') => ins { (line) },
                    _ => (line),
                }
                "\n"
            }
        }
    }
}

/// A few lines of the plan with the words at fault marked.
pub(crate) fn snippet(lines: &Lines<'_>, place: &Place, label: &str) -> Markup {
    let span = place.clamped(lines.source());
    let at = lines.line_at(span.start);
    let last = (at + AROUND).min(lines.count());
    html! {
        figure.snippet {
            pre tabindex="0" aria-label={ "The plan around line " (at) } {
                @for number in at.saturating_sub(AROUND).max(1)..=last {
                    @let range = lines.range(number);
                    @let text = lines.text(number);
                    span.number { a href={ "/lines#L" (number) } { (number) } } " "
                    @let from = span.start.clamp(range.start, range.start + text.len()) - range.start;
                    @let to = span.end.clamp(range.start, range.start + text.len()) - range.start;
                    @match (text.get(..from), text.get(from..to), text.get(to..)) {
                        (Some(before), Some(marked), Some(after)) if !marked.is_empty() => {
                            (before) mark { (marked) } (after)
                        },
                        _ => (text),
                    }
                    "\n"
                }
            }
            @if !label.is_empty() { figcaption { (words(label)) } }
        }
    }
}

/// What a finding means in general; all names where none is asked for.
pub(crate) fn explain(name: Option<&str>) -> Page {
    let Some(name) = name else {
        let body = html! {
            h1 { "What findings mean" }
            dl.explained {
                @for (name, title, _) in review::explain::pages() {
                    dt { a href=(address("/explain", &[("name", name)])) { (name) } }
                    dd { (title) }
                }
            }
        };
        return Page::new("What findings mean", body);
    };
    let Some((name, title, text)) = review::explain::page(name) else {
        return Page::sorry(StatusCode::NOT_FOUND, "There is no such finding", "The list of all has every name.");
    };
    let body = html! {
        h1 { (name) }
        p.lead { (title) }
        @if let Some(drawing) = review::explain::drawing(name) {
            pre.figure tabindex="0" role="img" aria-label="The smallest drawing that shows it" { (drawing) }
        }
        @for paragraph in text.split("\n\n") { p { (words(paragraph)) } }
        p { a href="/explain" { "All findings explained" } }
    };
    Page::new(name, body)
}
