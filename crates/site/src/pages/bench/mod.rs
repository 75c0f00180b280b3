//! The bench: the next job or test for somebody under the layout, a thing a line, ticked and read where they lie.

mod cards;
mod lists;
mod verdict;

pub(crate) use cards::{entry_form, hand_fields};
pub(crate) use verdict::kept;

use super::{Page, shell::PageShell};
use crate::address::{Fields, address};
use crate::bench_session::{BenchView, NoBench};
use crate::logged::{Desk, Subject};
use axum::http::StatusCode;
use logbook::progress::{Next, Progress, TestState};
use logbook::{EntryId, Moment};
use maud::{Markup, html};

/// Things that can be done now and are shown whole, so that work goes on where there is no connection.
const MOST_CARDS: usize = 30;

/// The page.
pub(crate) fn bench(view: &BenchView<'_, '_>, around: &PageShell<'_>, fields: &Fields) -> Page {
    let desk = &view.desk;
    let now = Moment::now();
    let progress = desk.progress(now.year());
    if let Some(list) = fields.get("show") {
        return lists::list(view, around, &progress, list);
    }
    let asked = match asked_for(desk, fields) {
        Ok(asked) => asked,
        Err(why) => return Page::sorry(StatusCode::NOT_FOUND, "There is no such job or test", &why),
    };
    let told = fields.get("kept").and_then(EntryId::parse).and_then(|id| verdict::of_id(desk, id));
    let first = asked.or_else(|| progress.next.first().copied());
    let others: Vec<Next> = progress.next.iter().copied().filter(|next| Some(*next) != first).collect();
    let body = html! {
        h1 { "Bench" }
        div.standing {
            div #told aria-live="polite" { @if let Some(told) = told { (told) } }
            ul #waiting .waiting hidden {}
        }
        @if !view.is_file {
            p.warning { "This is a demo plan and has no logbook. " a href="/plan" { "Keep it under a name of your own" } " to work by it." }
        }
        p.lead { (progress.sentence()) }
        (failing(desk, &progress))
        @match first {
            Some(next) => {
                section.next aria-labelledby="next" {
                    h2 id="next" { @if asked.is_some() { "This one" } @else { "Next" } }
                    (cards::card(view, around, &progress, next, "1"))
                }
            }
            None => p.done { "Nothing is left to do this year." },
        }
        @if !others.is_empty() {
            section aria-labelledby="also" {
                h2 id="also" { "Can be done now too" }
                @for (index, next) in others.iter().take(MOST_CARDS).enumerate() {
                    details.also {
                        summary { (cards::name(desk, *next)) }
                        (cards::card(view, around, &progress, *next, &(index + 2).to_string()))
                    }
                }
                @if others.len() > MOST_CARDS { p { "And " (others.len() - MOST_CARDS) " more, when these are done." } }
            }
        }
        (cards::more(view, around))
        p { a.wide href="/bench?show=jobs" { "All jobs, place by place" } }
        p { a.wide href="/bench?show=tests" { "All tests" } }
        p { a.wide href="/bench?show=book" { "What was entered" } }
        p { a.wide href="/hunt" { "Something does not run: hunt the fault" } }
    };
    Page::new("Bench", body)
}

/// The job or test that an address names.
fn asked_for(desk: &Desk<'_, '_>, fields: &Fields) -> Result<Option<Next>, String> {
    if let Some(number) = fields.get("test") {
        return match desk.subject(number).filter(|_| number.trim().parse::<usize>().is_ok()) {
            Some(Subject::Test(index)) => Ok(Some(Next::Test(index))),
            _ => Err(format!("There is no test {}.", text::escape_control_chars(number))),
        };
    }
    let Some(number) = fields.get("order") else { return Ok(None) };
    let order = number.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|o| *o < desk.work().tasks.len());
    match order {
        Some(order) => Ok(Some(Next::Job(order))),
        None => Err(format!(
            "There is no order {}; they go from 1 to {}.",
            text::escape_control_chars(number),
            desk.work().tasks.len()
        )),
    }
}

/// Tests that fail, first of all.
fn failing(desk: &Desk<'_, '_>, progress: &Progress<'_>) -> Markup {
    let failing: Vec<usize> =
        (0..progress.tests.len()).filter(|index| progress.tests[*index] == TestState::Fails).collect();
    html! {
        @if !failing.is_empty() {
            section aria-labelledby="failing" {
                h2 id="failing" { "Not well" }
                ul.lines {
                    @for index in failing {
                        @let test = desk.tests()[index];
                        li { a href=(address("/bench", &[("test", &test.number.to_string())])) {
                            b.no { "FAIL" } " test " (test.number) ", " (text::escape_control_chars(&test.name))
                        } }
                    }
                }
            }
        }
    }
}

/// The page where there is no bench.
pub(crate) fn none(why: &NoBench) -> Page {
    let body = html! {
        h1 { "There is no bench now" }
        p { (super::words(&why.to_string())) }
        p { "Ticks and readings that this browser keeps are sent when there is one again." }
        ul #waiting .waiting hidden {}
        p { a href="/plan" { "The text of the plan" } " · " a href="/findings" { "What is found in it" } }
    };
    Page::new("Bench", body)
}
