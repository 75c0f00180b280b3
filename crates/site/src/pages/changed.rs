//! The last change: what it did to the text, and which findings came and went.

use super::difference::{Called, difference};
use super::{Page, count, findings, words};
use crate::opened::VersionView;
use axum::http::StatusCode;
use finding::{Finding, Severity};
use maud::{Markup, html};
use text::escape_control_chars;

/// What was known of the text before a change.
pub(crate) struct Before {
    pub text: String,
    pub found: Vec<FindingBefore>,
    pub understood: bool,
}

/// A finding of a text that is no more.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct FindingBefore {
    pub severity: Severity,
    pub name: &'static str,
    pub message: String,
}

impl FindingBefore {
    fn from_finding(finding: &Finding) -> FindingBefore {
        FindingBefore { severity: finding.severity, name: finding.name, message: finding.message.clone() }
    }
}

impl Before {
    pub fn from_view(opened: &VersionView<'_>) -> Before {
        Before {
            text: opened.text.to_owned(),
            found: opened.review.findings.iter().map(FindingBefore::from_finding).collect(),
            understood: opened.review.summary.understood,
        }
    }
}

/// Where there is nothing to compare with.
pub(crate) fn none() -> Page {
    let why = "These pages have seen no change of the plan since they were started.";
    Page::sorry(StatusCode::OK, "There is no last change", why)
}

/// The page of the last change; `of` is the thing that a form changed.
pub(crate) fn changed(opened: &VersionView<'_>, before: Option<&Before>, of: Option<&str>) -> Page {
    let body = html! {
        h1 { "The last change" }
        p.done role="status" { "The plan file is written." }
        @match before {
            Some(before) => {
                h2 { "In the text" }
                (difference(&before.text, opened.text, &Called { first: "before", second: "now" }))
                h2 { "In what is found" }
                (found(opened, before))
            },
            None => p { "The plan is too long to compare it with what it was." },
        }
        p {
            @if let Some(of) = of.filter(|of| !of.is_empty()) {
                a href=(crate::address::address("/place", &[("at", of)])) { (escape_control_chars(of)) } " · "
            }
            a href="/" { "The drawing" } " · " a href="/change" { "Change more" }
        }
    };
    Page::new("The last change", body)
}

fn found(opened: &VersionView<'_>, before: &Before) -> Markup {
    let mut gone = before.found.clone();
    let mut came = Vec::new();
    for finding in &opened.review.findings {
        match gone.iter().position(|shown| *shown == FindingBefore::from_finding(finding)) {
            Some(same) => drop(gone.remove(same)),
            None => came.push(finding),
        }
    }
    html! {
        @if before.understood != opened.review.summary.understood {
            @if before.understood {
                p.warning { "The plan is not understood any more; what is found in it now are only the reasons for that." }
            } @else {
                p { "The plan is understood again." }
            }
        }
        @if came.is_empty() && gone.is_empty() {
            p.ok { "No finding came, and none went." }
        }
        @if !came.is_empty() {
            h3 { (count(came.len(), "finding", "findings")) " came" }
            ul.findings { @for finding in &came { li { (findings::line(opened, finding)) } } }
        }
        @if !gone.is_empty() {
            h3 { (count(gone.len(), "finding", "findings")) " went" }
            ul.findings {
                @for shown in &gone {
                    li { span class={ "severity " (shown.severity.word()) } { (shown.severity.word()) } " " s { (words(&shown.message)) } }
                }
            }
        }
    }
}
