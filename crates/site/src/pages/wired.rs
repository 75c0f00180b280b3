//! What is wired to a thing of the plan, and what its ends join.

use crate::address::{Shown, address};
use crate::opened::Drawn;
use maud::{Markup, html};
use plan::names::{each_name, ports};
use plan::{EndOf, Kind};
use schedule::items::{Item, ItemEnd, items};
use text::escape_control_chars;

/// Wires that are listed.
const MOST: usize = 200;

fn link(drawn: &Drawn<'_>, shown: &Shown, at: &str) -> Markup {
    html! { a href=(shown.address(drawn.circuit(), "/place", &[("at", at)])) { (escape_control_chars(at)) } }
}

/// Every numbered wire, gap and joint that ends at one of these things.
pub(crate) fn wires(drawn: &Drawn<'_>, shown: &Shown, things: &[(Kind, usize)]) -> Markup {
    let plan = drawn.job.facts.plan;
    let moved = |motor: usize| drawn.job.facts.names.moved(&plan.motor[motor].moves.0.first()?.value).ok();
    let motors =
        (0..plan.motor.len()).filter(|&motor| moved(motor).is_some_and(|m| things.contains(&(m.kind, m.index))));
    let all: Vec<(Kind, usize)> = things.iter().copied().chain(motors.map(|motor| (Kind::Motor, motor))).collect();
    let touching = |item: &Item| item.ends.iter().any(|end| end.thing.is_some_and(|thing| all.contains(&thing)));
    let found: Vec<Item> = items(drawn.circuit(), Some(plan)).into_iter().filter(touching).collect();
    html! {
        @if !found.is_empty() {
            h2 { "What is wired to it" }
            div.scrolls tabindex="0" role="region" aria-label="What is wired to it" {
                table.stack {
                    thead { tr { th scope="col" { "Number" } th scope="col" { "What" } th scope="col" { "From" } th scope="col" { "To" } } }
                    tbody {
                        @for item in found.iter().take(MOST) {
                            tr {
                                td data-label="Number" { @if let Some(number) = drawn.job.numbers.number(item) { (link(drawn, shown, &number.to_string())) } }
                                td data-label="What" { (item.what) }
                                @for (end, label) in item.ends.iter().zip(["From", "To"]) { td data-label=(label) { (point(drawn, shown, end)) } }
                            }
                        }
                    }
                }
            }
            @if found.len() > MOST { p { "And " (found.len() - MOST) " more; the wire list has all." } }
        }
    }
}

/// A wire that the circuit does not hold, by its number.
pub(crate) fn numbered(drawn: &Drawn<'_>, shown: &Shown, number: &str) -> Option<Markup> {
    let items = items(drawn.circuit(), Some(drawn.job.facts.plan));
    let item = items.iter().find(|item| drawn.job.numbers.number(item).is_some_and(|n| n.to_string() == number))?;
    Some(html! {
        p.lead { (item.what) }
        dl {
            dt { "From" } dd { (point(drawn, shown, &item.ends[0])) }
            dt { "To" } dd { (point(drawn, shown, &item.ends[1])) }
        }
    })
}

/// A place that something ends at, as a builder says it.
fn point(drawn: &Drawn<'_>, shown: &Shown, point: &ItemEnd) -> Markup {
    let plan = drawn.job.facts.plan;
    let name = point.thing.and_then(|thing| each_name(plan).find(|(kind, index, _)| (*kind, *index) == thing));
    let place = point.place.map(|hundredths| format!(" at {}", plan.units().metres(hundredths as f64 / 1e5)));
    html! {
        @if let Some((_, _, name)) = name { (link(drawn, shown, &name.value)) " " }
        (escape_control_chars(&point.part)) (place.unwrap_or_default())
    }
}

/// What joins each end of a piece of trackwork, and what moves it.
pub(crate) fn ends(drawn: &Drawn<'_>, shown: &Shown, kind: Kind, index: usize) -> Markup {
    let (plan, names) = (drawn.job.facts.plan, drawn.job.facts.names);
    let joins = |port: &str| {
        let here = |words: &str| matches!(names.end(plan, words), Ok(EndOf::Work(k, i, p)) if (k, i, p.as_str()) == (kind, index, port));
        plan.track.iter().find(|track| here(&track.from.value) || here(&track.to.value))
    };
    let movers = plan.motor.iter().filter(|motor| {
        motor.moves.0.iter().any(|moves| names.moved(&moves.value).is_ok_and(|m| (m.kind, m.index) == (kind, index)))
    });
    let movers: Vec<_> = movers.collect();
    let named = each_name(plan).find(|(k, i, _)| (*k, *i) == (kind, index));
    let name = named.map_or("", |(_, _, name)| name.value.as_str());
    html! {
        dl {
            @for port in ports(plan, kind, index) {
                dt { "Its end " (port) }
                dd { @match joins(&port) {
                    Some(track) => { "joins " (link(drawn, shown, &track.name.value)) },
                    None => { "joins nothing yet. " a href=(address("/change", &[("from", &format!("{name}.{port}"))])) { "Add a track" } },
                } }
            }
            @for motor in movers { dt { "Moved by" } dd { (link(drawn, shown, &motor.name.value)) } }
        }
    }
}
