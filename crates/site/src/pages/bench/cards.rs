//! A job or test to do, with the form that closes it.

use crate::address::address;
use crate::bench_session::BenchView;
use crate::logged::{Desk, Subject};
use crate::pages::{shell::PageShell, words};
use commissioning::{How, TestKind};
use logbook::progress::{JobState, Next, Progress};
use logbook::{EntryId, EntryKind, Moment};
use maud::{Markup, html};
use text::escape_control_chars;

/// What it is called: `Test 12, F-3`.
pub(crate) fn name(desk: &Desk<'_, '_>, next: Next) -> String {
    match next {
        Next::Test(index) => {
            let test = desk.tests()[index];
            format!("Test {}: {}", test.number, escape_control_chars(&test.name))
        }
        Next::Job(index) => {
            let task = &desk.work().tasks[index];
            format!("Order {}: {}", index + 1, escape_control_chars(&task.name))
        }
    }
}

/// All that is needed to do it; `key` makes ids on the page different.
pub(super) fn card(
    view: &BenchView<'_, '_>,
    around: &PageShell<'_>,
    progress: &Progress<'_>,
    next: Next,
    key: &str,
) -> Markup {
    match next {
        Next::Test(index) => test_card(view, around, index, key),
        Next::Job(index) => job_card(view, around, progress, index, key),
    }
}

fn job_card(
    view: &BenchView<'_, '_>,
    around: &PageShell<'_>,
    progress: &Progress<'_>,
    index: usize,
    key: &str,
) -> Markup {
    let desk = &view.desk;
    let task = &desk.work().tasks[index];
    let ticked = desk.about(Subject::Task(index), EntryKind::Tick);
    let waits = |before: &&usize| !matches!(progress.jobs[**before], JobState::Done | JobState::Fails);
    let before = desk.before(index);
    let waiting = before.iter().find(waits).filter(|_| progress.jobs[index] == JobState::Blocked);
    let tests: Vec<usize> = desk.tests_of(Subject::Task(index));
    html! {
        article.card {
            h3 { "Order " (index + 1) ": " (escape_control_chars(&task.name)) }
            p { (words(&task.does)) }
            (cautions(task.stage.cautions()))
            dl.pairs {
                dt { "Tools" } dd { (task.stage.tools()) }
                dt { "Done when" } dd { (task.stage.check()) }
                @if !task.place.is_empty() {
                    dt { "Where" }
                    dd { a href=(address("/place", &[("at", &task.place)])) { (escape_control_chars(&task.place)) } }
                }
            }
            @if let Some(first) = waiting {
                p.warning { "Before it comes order " (first + 1) ", "
                    a href=(address("/bench", &[("order", &(first + 1).to_string())])) { (escape_control_chars(&desk.work().tasks[*first].name)) }
                    ", which is not ticked." }
            }
            @match ticked.last() {
                Some(entry) => p.ok { "Ticked " (entry.says.time.minute()) @if !entry.says.who.is_empty() { " by " (escape_control_chars(&entry.says.who)) } "." },
                None if view.is_file => {
                    (entry_form(desk, around, EntryKind::Tick, Some(Subject::Task(index)), "/bench", &html! {
                        input type="hidden" name="typed" value="done";
                        (hand_fields(key, false))
                        button.big type="submit" { "Tick order " (index + 1) }
                    }))
                }
                None => {}
            }
            @if !tests.is_empty() {
                p { "Then read "
                    @for (at, test) in tests.iter().take(12).enumerate() {
                        @let number = desk.tests()[*test].number.to_string();
                        @if at > 0 { ", " }
                        a href=(address("/bench", &[("test", &number)])) { "test " (number) }
                    }
                    @if tests.len() > 12 { " and " (tests.len() - 12) " more" }
                    "."
                }
            }
        }
    }
}

fn test_card(view: &BenchView<'_, '_>, around: &PageShell<'_>, index: usize, key: &str) -> Markup {
    let desk = &view.desk;
    let test = desk.tests()[index];
    let last = desk.readings(index).into_iter().next_back();
    let yes_or_no = matches!(test.how, How::Watch | How::Coin);
    html! {
        article.card {
            h3 { "Test " (test.number) ": " (escape_control_chars(&test.name)) }
            (cautions(&desk.cautions(index)))
            p { (words(&commissioning::places(test))) }
            @if !test.set.is_empty() {
                p { "Set " @for (at, (control, position)) in test.set.iter().enumerate() {
                    @if at > 0 { ", " } b { (escape_control_chars(control)) } " " (escape_control_chars(position))
                } "." }
            }
            dl.pairs {
                dt { @if test.how == How::Watch { "Watch for" } @else { "Meter on" } } dd { (words(&test.range)) }
                dt { "Well" } dd { b { (test.passes_words()) } }
                @if let Some(entry) = last {
                    dt { "Last read" }
                    dd { (escape_control_chars(&entry.says.typed)) ", " (entry.says.time.day()) ": " (desk.verdict(index, entry).word()) }
                }
            }
            @if view.is_file {
                (entry_form(desk, around, EntryKind::Reading, Some(Subject::Test(index)), "/bench", &html! {
                    @if yes_or_no {
                        (hand_fields(key, false))
                        button.big type="submit" name="typed" value="yes" { "Yes" } " "
                        button.big.second type="submit" name="typed" value="no" { "No" }
                    } @else {
                        label for={ "typed-" (key) } { "What the meter shows" }
                        input.reading id={ "typed-" (key) } name="typed" required autocomplete="off" autocapitalize="off"
                            spellcheck="false" placeholder=(crate::logged::example(test));
                        (hand_fields(key, test.kind == TestKind::Cold))
                        button.big type="submit" { "Enter the reading" }
                    }
                }))
            }
            @if !test.mistakes.is_empty() {
                details {
                    summary { "What a mistake would read" }
                    ul.lines {
                        @for mistake in test.mistakes.iter().take(12) {
                            li { (words(&mistake.what)) @if !yes_or_no { ": " (commissioning::test::shown_with_unit(test.how, mistake.reading)) } }
                        }
                    }
                }
            }
        }
    }
}

fn cautions(all: &[&str]) -> Markup {
    html! { @for caution in all { p.caution { b { "Caution: " } (caution) } } }
}

/// The form of an entry: what it is about goes with it as the logbook writes it, so that it is found again after the plan changed.
pub(crate) fn entry_form(
    desk: &Desk<'_, '_>,
    around: &PageShell<'_>,
    kind: EntryKind,
    about: Option<Subject>,
    back: &str,
    inside: &Markup,
) -> Markup {
    html! {
        form.entry method="post" action="/log" data-bench
            data-called=[about.map(|about| escape_control_chars(&desk.called(about)))] {
            (around.carried())
            // One that is sent twice is kept once.
            input type="hidden" name="id" value=(EntryId::new(&Moment::now()));
            input type="hidden" name="kind" value=(kind.word());
            input type="hidden" name="back" value=(back);
            @if let Some(about) = about {
                input type="hidden" name="what" value=(desk.what(about));
                input type="hidden" name="revision" value=(desk.revision());
            }
            (inside)
            output.state {}
        }
    }
}

/// Who enters it, how warm the air was and, of a reading in ohms or millivolts, with which meter; the browser remembers all.
pub(crate) fn hand_fields(key: &str, meter: bool) -> Markup {
    html! {
        details.hand {
            summary { @if meter { "Who, how warm, which meter" } @else { "Who, and how warm it is" } }
            label for={ "who-" (key) } { "Your name" }
            input id={ "who-" (key) } name="who" autocomplete="name" data-remembered="who";
            label for={ "air-" (key) } { "The air" }
            input id={ "air-" (key) } name="air" autocomplete="off" placeholder="18 °C" data-remembered="air";
            @if meter {
                label for={ "with-" (key) } { "The meter, by the name you entered it under" }
                input id={ "with-" (key) } name="with" autocomplete="off" data-remembered="with";
                label for={ "zero-" (key) } { "What its leads read, held together" }
                input id={ "zero-" (key) } name="zero" autocomplete="off" placeholder="0.3 ohm" data-remembered="zero";
            }
        }
    }
}

/// Anything else that is worth entering.
pub(super) fn more(view: &BenchView<'_, '_>, around: &PageShell<'_>) -> Markup {
    let desk = &view.desk;
    let kinds = [
        (EntryKind::Symptom, "Something does not run", "What you see", "dead, slow, trips the breaker"),
        (EntryKind::Repair, "Something was repaired", "What you did", "soldered anew"),
        (EntryKind::Remark, "Anything else worth knowing", "What", ""),
    ];
    html! {
        @if view.is_file {
            section.changing aria-labelledby="more" {
                h2 id="more" { "Enter something else" }
                @for (kind, title, asks, example) in kinds {
                    @let key = kind.word();
                    details {
                        summary { (title) }
                        (entry_form(desk, around, kind, None, "/bench", &html! {
                            @if kind != EntryKind::Remark {
                                label for={ "place-" (key) } { "Where: a name of the plan, or a number of the papers" }
                                input id={ "place-" (key) } name="place" required autocomplete="off" list="names" placeholder="F-12";
                            }
                            label for={ "said-" (key) } { (asks) }
                            input id={ "said-" (key) } name="typed" required autocomplete="off" placeholder=(example);
                            (hand_fields(key, false))
                            button.big type="submit" { "Enter it" }
                        }))
                    }
                }
                datalist #names { @for (_, _, name) in plan::names::each_name(desk.job().facts.plan).take(400) { option value=(name.value) {} } }
            }
        }
    }
}
