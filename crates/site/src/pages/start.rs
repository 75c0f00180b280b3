//! The plans that can be opened here, and pairing with a phone.

use super::Page;
use crate::demos::DEMOS;
use crate::shelf::{base_of_demo, base_of_file};
use axum::http::StatusCode;
use maud::html;
use text::escape_control_chars;

pub(crate) fn plans(here: &[String]) -> Page {
    let body = html! {
        h1 { "Plans" }
        p { "Choose one. Each has pages of its own, so that several can be open side by side." }
        section aria-labelledby="yours" {
            h2 id="yours" { "In this folder" }
            @if here.is_empty() {
                p { "There is no plan yet. " a href="/new" { "Answer a few questions" } " and there is one." }
            }
            ul.plans { @for name in here { li { a href=(base_of_file(name) + "/") { (escape_control_chars(name)) } } } }
            p { a href="/new" { "A new yard" } }
        }
        section aria-labelledby="demos" {
            h2 id="demos" { "Demo plans" }
            p.quiet { "They can be looked at, and kept under a name of your own." }
            ul.plans {
                @for demo in DEMOS {
                    li { a href=(base_of_demo(demo.name) + "/") { (demo.name) } " " span.quiet { (demo.says) } }
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
