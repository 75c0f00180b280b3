//! What an entry says, told at once.

use crate::logged::{Desk, Judged, ReadingAsked, Subject, Verdict};
use crate::pages::words;
use logbook::{Entry, EntryId, EntryKind};
use maud::{Markup, html};
use text::escape_control_chars;

/// What was said of an entry that is in the logbook.
pub(super) fn of_id(desk: &Desk<'_, '_>, id: EntryId) -> Option<Markup> {
    desk.entry(id).map(|entry| kept(desk, entry))
}

/// An entry that was kept, with what it says.
pub(crate) fn kept(desk: &Desk<'_, '_>, entry: &Entry) -> Markup {
    let says = &entry.says;
    let about = (!says.what.is_empty()).then(|| desk.subject_of(&says.what, &says.plan, &[])).flatten();
    let called = about.map_or_else(String::new, |about| escape_control_chars(&desk.called(about)));
    html! {
        div.told data-kept=(entry.id) {
            @match (says.kind, about) {
                (EntryKind::Reading, Some(Subject::Test(index))) => (verdict(desk, index, entry)),
                (EntryKind::Tick, _) if entry.is_withdrawal() => p.done role="status" { "Taken back." },
                (EntryKind::Tick, Some(_)) => p.done role="status" { b { "Ticked: " } (called) "." },
                _ if entry.is_withdrawal() => p.done role="status" { "Taken back." },
                (kind, Some(_)) => p.done role="status" { b { "Kept: " } (kind.word()) ", " (called) ": " (escape_control_chars(&says.typed)) "." },
                (kind, None) if says.what.is_empty() => p.done role="status" { b { "Kept: " } (kind.word()) ": " (escape_control_chars(&says.typed)) "." },
                (kind, None) => p.warning role="status" { b { "Kept: " } (kind.word()) ": " (escape_control_chars(&says.typed))
                    ". The plan has changed, and what it was about is not in it any more." },
            }
            @if let (EntryKind::Repair, Some(about)) = (says.kind, about) {
                @let tests: Vec<usize> = desk.tests_of(about).into_iter().map(|test| desk.tests()[test].number).collect();
                @if !tests.is_empty() { p { "Earlier readings no longer count for test " (schedule::counts_in_runs(tests)) ": read again." } }
            }
        }
    }
}

/// A reading with what it says: pass or fail, and what a failure would mean.
fn verdict(desk: &Desk<'_, '_>, index: usize, entry: &Entry) -> Markup {
    let test = desk.tests()[index];
    let says = &entry.says;
    let asked = ReadingAsked {
        typed: says.typed.clone(),
        instrument: Some(says.instrument.clone()).filter(|name| !name.is_empty()),
        range: Some(says.range.clone()).filter(|range| !range.is_empty()),
        lead_zero: says.lead_zero.map(|zero| format!("{zero} ohm")),
        air: None,
        note: None,
    };
    let hand = crate::logged::Hand { who: says.who.clone(), device: says.device.clone() };
    let judged = desk.reading(index, &asked, &hand, says.time.clone()).ok().map(|entered| entered.judged);
    html! {
        @match judged {
            Some(judged) => (of_judged(test.number, &test.name, &says.typed, &test.passes_words(), &judged)),
            None => p.done role="status" { b { "Kept: " } "test " (test.number) ": " (escape_control_chars(&says.typed)) "." },
        }
    }
}

fn of_judged(number: usize, name: &str, typed: &str, well: &str, judged: &Judged) -> Markup {
    let class = match judged.verdict {
        Verdict::Well | Verdict::Aged => "done",
        Verdict::Fails | Verdict::Unclear => "warning",
    };
    html! {
        p class={ "verdict " (class) } role="status" {
            b { (judged.verdict.word()) } " test " (number) ", " (escape_control_chars(name)) ": read "
            (escape_control_chars(typed)) "; well: " (well) "."
        }
        @if !judged.how.is_empty() { p.quiet { (escape_control_chars(&judged.how)) } }
        @if !judged.means.is_empty() {
            p { b { "It may mean" } }
            ul.lines { @for means in &judged.means { li { (words(means)) } } }
        }
        @for hint in &judged.hints { p { (words(hint)) "." } }
    }
}
