//! The forms on their pages.

use super::questions::{About, FormQuestion, Today, questions};
use super::{FormAction, feeder};
use crate::address::{Fields, address};
use crate::opened::VersionView;
use crate::pages::{Page, findings, shell::PageShell, words};
use axum::http::StatusCode;
use finding::Edit;
use maud::{Markup, html};
use plan::acts::ActRefused;
use text::escape_control_chars;

/// How wide changed lines are shown, in characters.
const WIDE: usize = 100;

/// The page to add to a plan, and the way to what is in it; `from` is an open end to begin at.
pub(crate) fn changes(opened: &VersionView<'_>, around: &PageShell<'_>, from: Option<&str>) -> Page {
    let reading = plan::read(opened.text);
    let today = Today { text: reading.names.expansion.whole(opened.text), plan: &reading.plan, names: &reading.names };
    let adding = |doing: FormAction| {
        let mut asked = questions(doing, today, About::default());
        let begun = asked.iter_mut().filter(|one| ["from", "joins"].contains(&one.name));
        for one in begun {
            if let Some(end) = from.filter(|end| one.choices.iter().any(|choice| choice.0 == *end)) {
                end.clone_into(&mut one.now);
            }
        }
        form(around, doing, About::default(), &asked, None)
    };
    let body = html! {
        h1 { "Change the plan" }
        p { "These forms write into the plan's text and leave all else in it as it is. "
            a href="/plan" { "The text itself" } " can be changed too." }
        @if around.only_looked_at {
            (keep_first())
        } @else if !reading.understood() {
            p.warning { "The plan as it stands is not understood. " a href="/plan" { "Mend its text" } " first." }
        } @else {
            div.columns.editing {
                section aria-labelledby="add-track" {
                    h2 id="add-track" { "Add a track" }
                    (adding(FormAction::AddTrack))
                }
                section aria-labelledby="add-turnout" {
                    h2 id="add-turnout" { "Add a turnout" }
                    (adding(FormAction::AddTurnout))
                }
                section aria-labelledby="there" {
                    h2 id="there" { "Change what is there" }
                    p { "Feeders, gaps, lengths and wires are changed on the page of the track or bus." }
                    (links("Tracks", reading.plan.track.iter().map(|t| t.name.value.as_str())))
                    (links("Buses", reading.plan.bus.iter().map(|b| b.name.value.as_str())))
                }
            }
        }
    };
    Page::new("Change the plan", body)
}

fn links<'n>(title: &str, names: impl Iterator<Item = &'n str>) -> Markup {
    html! {
        h3 { (title) }
        ul.places { @for name in names { li { a href=(address("/place", &[("at", name)]) + "#change") { (escape_control_chars(name)) } } } }
    }
}

fn keep_first() -> Markup {
    html! { p { "This is a demo plan. " a href="/plan" { "Keep it under a name of your own" } " to change it." } }
}

/// What can be changed of a track, on its page.
pub(crate) fn of_track(around: &PageShell<'_>, today: Today<'_>, track: &str) -> Markup {
    let open = plan::acts::open_ends(today.plan, today.names).into_iter().map(|end| end.words);
    let own: Vec<String> = open.filter(|end| ["from", "to"].iter().any(|e| *end == format!("{track}.{e}"))).collect();
    let doings = [FormAction::AddFeeder, FormAction::AddGap, FormAction::Length, FormAction::Wire];
    html! {
        (folded(around, today, &doings, About { of: track, feeder: None }))
        @if !around.only_looked_at {
            @for end in own {
                p { a href=(address("/change", &[("from", &end)])) { "Add a track or a turnout at " (escape_control_chars(&end)) } }
            }
        }
    }
}

/// What can be changed of a bus, on its page.
pub(crate) fn of_bus(around: &PageShell<'_>, today: Today<'_>, bus: &str) -> Markup {
    folded(around, today, &[FormAction::Wire, FormAction::Length], About { of: bus, feeder: None })
}

/// What can be changed of one feeder, on its page.
pub(crate) fn of_feeder(around: &PageShell<'_>, today: Today<'_>, track: &str, number: usize) -> Markup {
    folded(around, today, &[FormAction::Wire], About { of: track, feeder: Some(number) })
}

fn folded(around: &PageShell<'_>, today: Today<'_>, doings: &[FormAction], about: About<'_>) -> Markup {
    html! {
        section.changing aria-labelledby="change" {
            h2 id="change" { "Change it" }
            @if around.only_looked_at { (keep_first()) } @else {
                @for &doing in doings {
                    details {
                        summary { (title(doing, about)) }
                        (fresh(around, today, doing, about))
                    }
                }
            }
        }
    }
}

fn title(doing: FormAction, about: About<'_>) -> &'static str {
    match (doing, about.feeder) {
        (FormAction::Wire, Some(_)) => "Change the wire of this feeder",
        _ => doing.title(),
    }
}

fn fresh(around: &PageShell<'_>, today: Today<'_>, doing: FormAction, about: About<'_>) -> Markup {
    form(around, doing, about, &questions(doing, today, about), None)
}

fn form(
    around: &PageShell<'_>,
    doing: FormAction,
    about: About<'_>,
    asked: &[FormQuestion],
    refused: Option<&ActRefused>,
) -> Markup {
    html! {
        form.questions.act method="post" action="/act" {
            (around.carried())
            input type="hidden" name="act" value=(doing.word());
            @if !about.of.is_empty() { input type="hidden" name="of" value=(about.of); }
            @if let Some(feeder) = about.feeder { input type="hidden" name="feeder" value=(feeder); }
            @for one in asked {
                (question(doing, one, refused.filter(|r| r.field == one.name)))
            }
            p { button type="submit" { (doing.button()) } }
        }
    }
}

fn question(doing: FormAction, one: &FormQuestion, refused: Option<&ActRefused>) -> Markup {
    let id = format!("{}-{}", doing.word(), one.name);
    let (why, wrong) = (format!("{id}-why"), format!("{id}-wrong"));
    let shown: Vec<&str> = [(!one.why.is_empty(), why.as_str()), (refused.is_some(), wrong.as_str())]
        .into_iter()
        .filter_map(|(is, id)| is.then_some(id))
        .collect();
    let shown = (!shown.is_empty()).then(|| shown.join(" "));
    let invalid = refused.map(|_| "true");
    html! {
        div.question {
            label for=(id) { (one.asks) }
            @if !one.why.is_empty() { p.quiet id=(why) { (words(&one.why)) } }
            @if let Some(refused) = refused {
                p.warning id=(wrong) { (words(&refused.why)) "; " (words(&refused.instead)) "." }
            }
            @if one.choices.is_empty() {
                input id=(id) name=(one.name) value=(one.now) autocomplete="off" required[!one.may_be_empty]
                    aria-describedby=[shown] aria-invalid=[invalid];
            } @else {
                select id=(id) name=(one.name) aria-describedby=[shown] aria-invalid=[invalid] {
                    @for (value, says) in &one.choices {
                        option value=(value) selected[*value == one.now] { (escape_control_chars(says)) }
                    }
                }
            }
        }
    }
}

/// The form again, with what does not fit said beside it.
pub(crate) fn refused(
    opened: &VersionView<'_>,
    around: &PageShell<'_>,
    doing: FormAction,
    fields: &Fields,
    why: &ActRefused,
) -> Page {
    let reading = plan::read(opened.text);
    let today = Today { text: reading.names.expansion.whole(opened.text), plan: &reading.plan, names: &reading.names };
    let about = About { of: fields.get("of").unwrap_or_default(), feeder: feeder(fields) };
    let mut asked = questions(doing, today, about);
    for one in &mut asked {
        if let Some(said) = fields.get(one.name) {
            said.clone_into(&mut one.now);
        }
    }
    let named = asked.iter().find(|one| one.name == why.field);
    let body = html! {
        h1 { (title(doing, about)) @if !about.of.is_empty() { ": " (escape_control_chars(about.of)) } }
        p.warning role="alert" {
            "Nothing was changed. "
            @match named {
                Some(one) => { "Look at " b { (one.asks) } "." },
                None => { (words(&why.why)) "; " (words(&why.instead)) "." },
            }
        }
        @if reading.understood() { (form(around, doing, about, &asked, Some(why))) }
        p { (back(about.of)) }
    };
    Page::new(title(doing, about), body).status(StatusCode::UNPROCESSABLE_ENTITY).giving_back()
}

fn back(of: &str) -> Markup {
    html! {
        @if of.is_empty() { a href="/change" { "Back, and leave the plan as it is" } }
        @else { a href=(address("/place", &[("at", of)])) { "Back, and leave the plan as it is" } }
    }
}

/// What an act would do where the plan would not be understood after it: shown before anything is written.
///
/// `found` are the errors as they would be reported.
pub(crate) fn not_understood(
    opened: &VersionView<'_>,
    around: &PageShell<'_>,
    doing: FormAction,
    fields: &Fields,
    edits: &[Edit],
    found: &Markup,
) -> Page {
    let about = About { of: fields.get("of").unwrap_or_default(), feeder: feeder(fields) };
    let body = html! {
        h1 { (title(doing, about)) @if !about.of.is_empty() { ": " (escape_control_chars(about.of)) } }
        p.warning role="alert" { "Nothing is written yet: after this change the plan would not be understood, and there would be no drawing "
            "until more of it is changed." }
        h2 { "What would be wrong then" }
        (found)
        h2 { "What would change in the text" }
        (findings::changed_lines(&finding::render_edits(opened.text, edits, WIDE)))
        form.inline method="post" action="/act" {
            (around.carried())
            @for (name, value) in fields.all().filter(|f| !["token", "plan", "based-on", "sure"].contains(&f.0)) {
                input type="hidden" name=(name) value=(value);
            }
            input type="hidden" name="sure" value="yes";
            button.second type="submit" { "Write it all the same" }
        }
        p { (back(about.of)) }
    };
    Page::new("Not understood after this", body)
}
