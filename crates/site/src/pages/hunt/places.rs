//! Suspects of a hunt on the drawing, each with its number in the list.

use super::{Known, Means};
use crate::address::address;
use crate::drawn;
use crate::marked::{Mark, PlacesOfThings};
use circuit::Part;
use diagnosis::Element;
use drawing::{Frame, Point};
use maud::{Markup, html};
use schedule::Job;
use std::ops::Range;
use text::escape_control_chars;

/// The drawing with the suspects that have a place on it; nothing where none has.
pub(super) fn drawn(known: &Known<'_, '_, '_>, means: &Means) -> Markup {
    let Some(above) = known.view.frame() else { return html! {} };
    let mirrored = means.below.then(|| above.mirrored());
    let frame = mirrored.as_ref().unwrap_or(above);
    let job = known.view.desk.job();
    let places = PlacesOfThings::new(job, frame);
    let mut marks: Vec<Mark> = Vec::new();
    for (ranked, number) in known.numbered() {
        let Some(number) = number else { continue };
        for element in &ranked.elements {
            let own = drawn_at(frame, *element);
            let beside = || span_of(job, *element).and_then(|span| places.of_span(&span));
            let Some(at) = own.or_else(beside) else { continue };
            let says = format!("{number}, suspect: {}", escape_control_chars(&known.wording.element(*element)));
            let to = known.number(*element).map_or("#suspects".to_owned(), |n| address("/place", &[("at", &n)]));
            marks.push(Mark { number, kind: "suspect", says, to, at });
        }
    }
    if marks.is_empty() {
        return html! {};
    }
    html! {
        details.also open[means.below] {
            summary { "Show them on the drawing" }
            p { a.wide href=(means.other_side()) { @if means.below { "See it from above" } @else { "See it from below" } } }
            div.drawing tabindex="0" role="region" aria-label="The drawing; it scrolls" { (drawn::with_marks(frame, &marks)) }
        }
    }
}

/// Where a thing has a sign of its own.
fn drawn_at(frame: &Frame, element: Element) -> Option<Point> {
    let mut signs = frame.marks.iter().filter(|mark| !mark.inside);
    match element {
        Element::Edge(edge) | Element::Conductor(edge) => signs.find(|mark| mark.edge == Some(edge)),
        Element::Gap(a, b) => signs.find(|mark| mark.edge.is_none() && mark.nodes == [a, b]),
        Element::Pair(..) => None,
    }
    .map(|mark| mark.at)
}

/// The words of the plan that a thing came from; of a contact those that name what it is on.
fn span_of(job: &Job<'_>, element: Element) -> Option<Range<usize>> {
    let (Element::Edge(edge) | Element::Conductor(edge)) = element else { return None };
    let edge = job.facts.circuit.edges.get(edge.index())?;
    let Part::Contact { kind, index, .. } = edge.part else { return Some(edge.span.clone()) };
    let mut names = plan::names::each_name(job.facts.plan);
    names.find(|name| (name.0, name.1) == (kind, index)).map(|name| name.2.span.clone())
}
