//! All jobs place by place, all tests, and what was entered: a thing a line.

use super::cards::entry_form;
use crate::address::address;
use crate::bench_session::BenchView;
use crate::logged::Subject;
use crate::pages::{Page, shell::PageShell};
use axum::http::StatusCode;
use logbook::EntryKind;
use logbook::progress::{JobState, Progress, TestState};
use maud::{Markup, html};
use text::escape_control_chars;

/// Entries that are listed; of more, the last ones.
const MOST_ENTRIES: usize = 200;

/// One of the lists.
pub(super) fn list(view: &BenchView<'_, '_>, around: &PageShell<'_>, progress: &Progress<'_>, which: &str) -> Page {
    let (title, inside) = match which {
        "jobs" => ("All jobs", jobs(view, around, progress)),
        "tests" => ("All tests", tests(view, progress)),
        "book" => ("What was entered", book(view, around)),
        _ => return Page::sorry(StatusCode::NOT_FOUND, "There is no such list", "It is jobs, tests or book."),
    };
    let body = html! {
        h1 { (title) }
        div.standing {
            div #told aria-live="polite" {}
            ul #waiting .waiting hidden {}
        }
        p { a href="/bench" { "Back to the bench" } }
        (inside)
    };
    Page::new(title, body)
}

fn jobs(view: &BenchView<'_, '_>, around: &PageShell<'_>, progress: &Progress<'_>) -> Markup {
    let desk = &view.desk;
    let tasks = &desk.work().tasks;
    let mut stages: Vec<commissioning::task::Stage> = Vec::new();
    for task in tasks {
        if stages.last() != Some(&task.stage) {
            stages.push(task.stage);
        }
    }
    html! {
        p { (progress.sentence()) }
        @for stage in stages {
            h2 { (stage.words()) }
            ul.boxes {
                @for (index, task) in tasks.iter().enumerate().filter(|(_, task)| task.stage == stage) {
                    @let state = progress.jobs[index];
                    @let number = (index + 1).to_string();
                    li {
                        @if state == JobState::Open && view.is_file {
                            (entry_form(desk, around, EntryKind::Tick, Some(Subject::Task(index)), "/bench?show=jobs", &html! {
                                input type="hidden" name="typed" value="done";
                                button.tick type="submit" aria-label={ "Tick order " (number) } { "☐" }
                            }))
                        } @else {
                            span.tick aria-hidden="true" { (match state { JobState::Done => "☑", JobState::Fails => "☒", _ => "☐" }) }
                        }
                        a href=(address("/bench", &[("order", &number)])) {
                            (number) ". " (escape_control_chars(&task.name))
                            span.quiet { (match state {
                                JobState::Done => ", done",
                                JobState::Fails => ", done, and a test of it fails",
                                JobState::Open => "",
                                JobState::Blocked => ", waits for others",
                            }) }
                        }
                    }
                }
            }
        }
    }
}

fn tests(view: &BenchView<'_, '_>, progress: &Progress<'_>) -> Markup {
    let desk = &view.desk;
    let all = desk.tests();
    let group = |kind: commissioning::TestKind| (0..all.len()).filter(move |index| all[*index].kind == kind);
    html! {
        @for (title, kind) in [("Cold: power off", commissioning::TestKind::Cold), ("Hot: power on", commissioning::TestKind::Hot)] {
            h2 { (title) }
            ul.lines {
                @for index in group(kind) {
                    @let test = all[index];
                    li { a href=(address("/bench", &[("test", &test.number.to_string())])) {
                        @match progress.tests[index] {
                            TestState::Well => b.ok { "PASS " },
                            TestState::Fails => b.no { "FAIL " },
                            TestState::Unclear => b { "NOT CLEAR " },
                            TestState::NotRead => {},
                        }
                        (test.number) ". " (escape_control_chars(&test.name))
                    } }
                }
            }
        }
    }
}

fn book(view: &BenchView<'_, '_>, around: &PageShell<'_>) -> Markup {
    let desk = &view.desk;
    let all: Vec<_> = desk.current().filter(|(_, entry)| entry.says.kind != EntryKind::Things).collect();
    html! {
        p { "Entries are never changed or deleted. What was wrong is taken back by another entry." }
        @if all.is_empty() { p { "Nothing yet." } }
        @else { p { a.wide href="/record.pdf" { "The record to print: tests, symptoms, repairs (PDF)" } } }
        ul.lines {
            @for (about, entry) in all.iter().rev().take(MOST_ENTRIES) {
                li {
                    (entry.says.time.minute()) " " b { (entry.says.kind.word()) } " "
                    @if let Some(about) = about { (escape_control_chars(&desk.called(*about))) ": " }
                    (escape_control_chars(&entry.says.typed))
                    @if !entry.says.who.is_empty() { span.quiet { " " (escape_control_chars(&entry.says.who)) } }
                    @if let (EntryKind::Reading, Some(Subject::Test(index))) = (entry.says.kind, about) {
                        " " b { (desk.verdict(*index, entry).word()) }
                    }
                    @if view.is_file {
                        (entry_form(desk, around, entry.says.kind, *about, "/bench?show=book", &html! {
                            input type="hidden" name="supersedes" value=(entry.id);
                            input type="hidden" name="typed" value=(logbook::entry::WITHDRAWN);
                            button.second type="submit" aria-label={ "Take back: " (entry.says.kind.word()) " of " (entry.says.time.minute()) } { "Take it back" }
                        }))
                    }
                }
            }
        }
        @if all.len() > MOST_ENTRIES { p { "And " (all.len() - MOST_ENTRIES) " older ones: " code { "gapwright log PLAN list" } " shows them." } }
    }
}
