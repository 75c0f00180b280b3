//! The drawing: the home page of a plan.

use super::{Page, count, words};
use crate::address::{Fields, LayerName, Shown, Zoom};
use crate::drawn;
use crate::marked::marked;
use crate::opened::{Drawn, VersionView};
use axum::http::StatusCode;
use circuit::ControlId;
use finding::Severity;
use maud::{Markup, html};
use text::escape_control_chars;

/// Ways that the picker lists.
const MOST_WAYS: usize = 500;

/// What an address of the home page leads to.
pub(crate) enum Home {
    Page(Page),
    /// To the setting of a way.
    To(String),
    /// The plan is not understood, and has no drawing.
    Unread,
}

pub(crate) fn home(opened: &VersionView<'_>, fields: &Fields) -> Home {
    let Some(drawn) = &opened.drawn else {
        return Home::Unread;
    };
    let circuit = drawn.circuit();
    let shown = match Shown::read(fields, circuit) {
        Ok(shown) => shown,
        Err(why) => {
            return Home::Page(Page::sorry(
                StatusCode::BAD_REQUEST,
                "There is no such view",
                &escape_control_chars(&why.to_string()),
            ));
        }
    };
    if let Some(way) = fields.get("way").filter(|w| !w.is_empty()) {
        let ways = &drawn.job.facts.ways().list;
        let Some(way) = way.parse::<usize>().ok().and_then(|n| ways.get(n.checked_sub(1)?)) else {
            let why = format!("there are {} routes", ways.len());
            return Home::Page(Page::sorry(StatusCode::BAD_REQUEST, "There is no such route", &why));
        };
        let mut lined = shown;
        lined.positions = vec![Some(0); circuit.controls.len()];
        for (&control, &position) in &way.setting {
            lined.positions[control] = Some(position);
        }
        return Home::To(lined.address(circuit, "/", &[]));
    }
    Home::Page(Page::new("Drawing", body(opened, drawn, &shown)))
}

fn body(opened: &VersionView<'_>, drawn: &Drawn<'_>, shown: &Shown) -> Markup {
    let circuit = drawn.circuit();
    let view = Shown { below: !shown.below, ..shown.clone() };
    let ways = &drawn.job.facts.ways().list;
    let report = marked(opened, drawn, drawn.seen(shown.below));
    let marks = if shown.marks { report.as_slice() } else { &[] };
    html! {
        h1.unseen { "The drawing" }
        nav.chooser aria-label="What the rails show" {
            ul {
                @for (layer, _, says) in LayerName::ALL {
                    @let to = Shown { layer, ..shown.clone() }.address(circuit, "/", &[]);
                    li {
                        @if layer == shown.layer {
                            a href=(to) aria-current="true" { (says) }
                        } @else {
                            a href=(to) { (says) }
                        }
                    }
                }
                li.apart {
                    a href=(view.address(circuit, "/", &[])) {
                        @if shown.below { "see it from above" } @else { "see it from below" }
                    }
                }
                @if !report.is_empty() {
                    li {
                        a href=(Shown { marks: !shown.marks, ..shown.clone() }.address(circuit, "/", &[])) {
                            @if shown.marks { "hide the findings" } @else { "mark the findings" }
                        }
                    }
                }
            }
        }
        p.warning #never hidden[circuit.is_legal(&shown.positions)] { "These positions never hold together." }
        @match drawn::drawing(drawn, shown, marks) {
            Ok(svg) => {
                nav.chooser.zooms aria-label="How near" {
                    ul {
                        li.quiet { "Show" }
                        @for (zoom, _, says) in Zoom::ALL {
                            @let to = Shown { zoom, ..shown.clone() }.address(circuit, "/", &[]);
                            li { a href=(to) data-zoom=(zoom.word()) aria-current=[(zoom == shown.zoom).then_some("true")] { (says) } }
                        }
                    }
                }
                div.drawing tabindex="0" role="region" aria-label="The drawing; it scrolls" { (svg) }
            },
            Err(why) => p.warning { "This cannot be drawn: " (escape_control_chars(&why.to_string())) "." },
        }
        div.columns {
            section aria-labelledby="turnouts" {
                h2 id="turnouts" { "Turnouts" }
                @if circuit.controls.is_empty() { p { "Nothing here has positions." } }
                ul.throws {
                    @for (control, c) in ControlId::each(&circuit.controls) {
                        @let (name, now) = shown.words(circuit, control);
                        @let thrown = shown.thrown(circuit, control);
                        @let next = thrown.words(circuit, control).1.to_owned();
                        li {
                            a href=(thrown.address(circuit, "/", &[])) data-key={ "listed " (escape_control_chars(name)) }
                                data-control=(name) data-then=(next) {
                                b { (escape_control_chars(name)) } " stands " em { (escape_control_chars(now)) }
                                span.unseen { ", " } span.quiet { "set it " span.then { (escape_control_chars(&next)) } }
                            }
                            @if c.settles { span.quiet { " (takes its sense by itself)" } }
                        }
                    }
                }
                @if !ways.is_empty() {
                    form.picker method="get" action="/" {
                        label for="way" { "Set a whole route" }
                        select #way name="way" {
                            @for (index, way) in ways.iter().take(MOST_WAYS).enumerate() {
                                option value=(index + 1) { (escape_control_chars(&way.name)) }
                            }
                        }
                        @if shown.layer != LayerName::Phase {
                            input type="hidden" name="layer" value=(shown.layer.word());
                        }
                        @if shown.below { input type="hidden" name="view" value="below"; }
                        @if !shown.marks { input type="hidden" name="marks" value="none"; }
                        @if shown.zoom != Zoom::Names { input type="hidden" name="zoom" value=(shown.zoom.word()); }
                        button type="submit" { "Set it" }
                    }
                }
            }
            section aria-labelledby="review" {
                h2 id="review" { "Review" }
                (summary(opened))
                @if !marks.is_empty() {
                    h3 { "Marked on the drawing" }
                    ol.marked { @for mark in marks { li { (super::findings::line(opened, mark.finding)) } } }
                }
            }
            section aria-labelledby="places" {
                h2 id="places" { "Places" }
                p.quiet { "Touch a track, a wire or a gap on the drawing, or choose here." }
                ul.places {
                    @for segment in circuit.segments.iter().take(circuit.tracks) {
                        li {
                            a href=(shown.address(circuit, "/place", &[("at", &segment.name)])) { (escape_control_chars(&segment.name)) }
                        }
                    }
                    @for work in &drawn.above.works {
                        li { a href=(shown.address(circuit, "/place", &[("at", &work.name)])) { (escape_control_chars(&work.name)) } }
                    }
                }
                form.picker method="get" action="/place" {
                    label for="at" { "Any other place" }
                    input #at name="at" placeholder="dock 1.right @ 1 m" required;
                    @for (name, position) in shown.set(circuit) {
                        input type="hidden" name=(name) value=(position);
                    }
                    button type="submit" { "Tell of it" }
                }
            }
        }
    }
}

/// The first lines of the review.
pub(crate) fn summary(opened: &VersionView<'_>) -> Markup {
    let review = opened.review;
    html! {
        @if !review.summary.extent.is_empty() { p { (escape_control_chars(&review.summary.extent)) } }
        dl.answers {
            @for answer in &review.summary.answers {
                @let (word, class) = match answer.well {
                    Some(true) => ("ok", "ok"),
                    Some(false) => ("NO", "no"),
                    None => ("?", "unknown"),
                };
                dt { span class=(class) { (word) } " " (answer.question) }
                dd { (words(&answer.words)) }
            }
        }
        p { a href="/findings" { (super::findings::counted(opened)) } }
        @if !review.summary.notes.is_empty() {
            details {
                summary { (count(review.summary.notes.len(), "thing", "things")) " to know of these numbers" }
                ul { @for note in &review.summary.notes { li { (words(note)) } } }
            }
        }
    }
}

/// The drawing of a text that is no more; in its first setting, where the one asked for is none of its own.
pub(crate) fn past(opened: &VersionView<'_>, fields: &Fields) -> Option<Markup> {
    let drawn = opened.drawn.as_ref()?;
    let shown =
        Shown::read(fields, drawn.circuit()).or_else(|_| Shown::read(&Fields::default(), drawn.circuit())).ok()?;
    drawn::past(drawn, &shown).ok()
}

/// A plan that is not understood: no drawing of it would be true. The last one that was is shown as what it is.
pub(crate) fn unread(opened: &VersionView<'_>, past: Option<&Markup>) -> Page {
    let errors = opened.review.findings.iter().filter(|f| f.severity == Severity::Error);
    let body = html! {
        h1 { "There is no drawing now" }
        p { "The plan as it stands is not understood, and a drawing of it would not be true. "
            a href="/plan" { "Mend the text" } "; the drawing comes back by itself." }
        ul.findings {
            @for finding in errors.take(20) {
                li { (super::findings::line(opened, finding)) }
            }
        }
        @if let Some(past) = past {
            section aria-labelledby="past" {
                h2 id="past" { "The drawing of an earlier text" }
                p.past-words { "This was the layout when the plan was last understood. It is " b { "not" } " what the plan says now." }
                div.drawing.past tabindex="0" role="region" aria-label="The drawing of an earlier text; it scrolls sideways" { (past) }
            }
        }
    };
    Page::new("Drawing", body)
}
