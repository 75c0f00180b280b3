//! The plans that can be opened here, and pairing with a phone.

use super::{Page, shell::PageShell};
use crate::demos::DEMOS;
use axum::http::StatusCode;
use maud::html;

pub(crate) fn plans(around: &PageShell<'_>, here: &[String]) -> Page {
    let body = html! {
        h1 { "Plans" }
        p { "Choose what these pages show. They show one plan at a time, on every device that looks at them." }
        section aria-labelledby="yours" {
            h2 id="yours" { "In this folder" }
            @if here.is_empty() {
                p { "There is no plan yet. " a href="/new" { "Answer a few questions" } " and there is one." }
            }
            ul.plans { @for name in here { li { (around.button("/open", name, &[("plan", name)])) } } }
            p { a href="/new" { "A new yard" } }
        }
        section aria-labelledby="demos" {
            h2 id="demos" { "Demo plans" }
            p.quiet { "They can be looked at, and kept under a name of your own." }
            ul.plans {
                @for demo in DEMOS {
                    li { (around.button("/open", demo.name, &[("demo", demo.name)])) " " (demo.says) }
                }
            }
        }
    };
    Page::new("Plans", body)
}

pub(crate) fn pair(code: &str, wrong: bool) -> Page {
    let body = html! {
        h1 { "Pair this device" }
        p { "The terminal in which the pages were started shows a code. It is asked for once." }
        @if wrong { p.warning role="alert" { "That is not the code. Look again at the terminal." } }
        form method="post" action="/pair" {
            label for="code" { "The code" } " "
            input #code name="code" inputmode="numeric" autocomplete="off" required value=(code);
            " " button type="submit" { "Pair" }
        }
    };
    Page::new("Pair this device", body).status(if wrong { StatusCode::FORBIDDEN } else { StatusCode::OK })
}
