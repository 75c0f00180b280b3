//! All that is known of a place: a track, a turnout, a point on a rail, a wire, a joint or a gap.

use super::acts::{self, Today};
use super::shell::PageShell;
use super::{Page, search, wired};
use crate::address::{Fields, Shown, address};
use crate::drawn::{controls_of, is_number};
use crate::opened::{Drawn, VersionView};
use analysis::TraceError;
use analysis::trace::{Between, Missing, PolePath, Trace, TracedPoint};
use axum::http::StatusCode;
use circuit::{EdgeId, EdgeKind};
use handbook::Spread;
use handbook::quantity::{Amps, Ohms, Volts, show_amps, show_ohms, show_volts};
use maud::{Markup, html};
use plan::tables::RailSide;
use std::ops::Range;
use text::escape_control_chars;

pub(crate) fn place(opened: &VersionView<'_>, around: &PageShell<'_>, fields: &Fields) -> Page {
    let Some(drawn) = &opened.drawn else {
        let why = "The plan as it stands is not understood; the findings tell why.";
        return Page::sorry(StatusCode::OK, "Nothing is known of this place now", why);
    };
    let shown = match Shown::read(fields, drawn.circuit()) {
        Ok(shown) => shown,
        Err(why) => {
            return Page::sorry(
                StatusCode::BAD_REQUEST,
                "There is no such view",
                &escape_control_chars(&why.to_string()),
            );
        }
    };
    let at = fields.get("at").unwrap_or_default().trim();
    let facts = &drawn.job.facts;
    let today = Today { text: facts.text, plan: facts.plan, names: facts.names };
    let report = if is_number(at) && facts.names.get(at).is_none() {
        numbered(opened, around, drawn, &shown, at)
    } else if let Some(track) = drawn.circuit().segments.iter().take(drawn.circuit().tracks).find(|s| s.name == at) {
        let middle = format!("{at} @ {:.3} m", track.length / 2.0);
        Ok(html! {
            (known(opened, &track.span, at))
            (traced(drawn, &shown, &middle, "At its middle"))
            h2 { "What stands on it" }
            (of_track(drawn, &shown, at))
            (acts::of_track(around, today, at))
        })
    } else if let Some(work) = drawn.above.works.iter().find(|w| w.name == at) {
        Ok(html! {
            (of_work(opened, drawn, &shown, work))
            (wired::ends(drawn, &shown, work.kind, work.index))
            (wired::wires(drawn, &shown, &[(work.kind, work.index)]))
        })
    } else if let Some((kind, index, name)) = plan::names::each_name(facts.plan).find(|(_, _, name)| name.value == at) {
        Ok(html! {
            p.lead { "A " (kind.word()) "." }
            (known(opened, &name.span, at))
            (wired::wires(drawn, &shown, &[(kind, index)]))
            @if kind == plan::Kind::Bus { (acts::of_bus(around, today, at)) }
        })
    } else {
        trace(drawn, &shown, at).map(|t| of_point_on_track(drawn, &shown, at, &t)).map_err(NoPlace::from)
    };
    let report = match report {
        Ok(report) => report,
        Err(why) => return search::none(drawn, &shown, at, &why.to_string()),
    };
    let body = html! {
        h1 { (escape_control_chars(at)) }
        p { (setting(drawn, &shown)) " " a.by-hand href=(shown.address(drawn.circuit(), "/", &[])) { "Back to the drawing" }
            @if report.0.contains("id=\"change\"") { " · " a.by-hand href="#change" { "Change it" } }
        }
        (report)
        @if is_number(at) || facts.names.get(at).is_some() {
            p { a href=(address("/papers", &[("of", at)])) { "Tests and other rows of the papers that name " (escape_control_chars(at)) } }
        }
    };
    Page::new(escape_control_chars(at), body)
}

fn setting(drawn: &Drawn<'_>, shown: &Shown) -> Markup {
    let set = shown.setting(drawn.circuit());
    html! {
        @if set.is_empty() { "All stands in its first position." }
        @else { "Set: " (escape_control_chars(&set.join(", "))) "; all else in its first position." }
    }
}

/// The line of the plan, and the findings that point into what stands there.
fn known(opened: &VersionView<'_>, span: &Range<usize>, name: &str) -> Markup {
    let line = opened.lines.line_at(span.start);
    let block = block(opened, line);
    // Of what a composite stands for, those about that very thing.
    let expanded = opened.review.expansion.table_at(span.start);
    let touching: Vec<_> = opened
        .review
        .findings
        .iter()
        .filter(|f| {
            f.at.iter().chain(&f.also).any(|label| match (&expanded, &label.expanded) {
                (Some(table), place) => place.as_ref().is_some_and(|place| table.contains(&place.span.start)),
                (None, _) => block.contains(&opened.lines.line_at(label.place.span.start)),
            })
        })
        .collect();
    html! {
        p { a href={ "/lines#L" (line) } { "Line " (line) " of the plan" } }
        @if touching.is_empty() {
            p.ok { "No finding is about " (escape_control_chars(name)) "." }
        } @else {
            ul.findings { @for finding in touching { li { (super::findings::line(opened, finding)) } } }
        }
    }
}

/// The lines of the table of the plan that a line stands in.
fn block(opened: &VersionView<'_>, line: usize) -> Range<usize> {
    let heads = |n: &usize| opened.lines.text(*n).starts_with('[');
    let start = (1..=line).rev().find(heads).unwrap_or(1);
    let end = (line + 1..=opened.lines.count()).find(heads).unwrap_or(opened.lines.count() + 1);
    start..end
}

/// Feeders, joints and gaps of a track.
fn of_track(drawn: &Drawn<'_>, shown: &Shown, name: &str) -> Markup {
    let circuit = drawn.circuit();
    let Some(id) = circuit.segments.iter().position(|s| s.name == name) else { return html! {} };
    let segment = &circuit.segments[id];
    let mut things: Vec<(f64, String, String)> = Vec::new();
    for (side, line) in RailSide::ALL.into_iter().zip(&segment.rails) {
        let rail = side.word();
        for stop in &line.stops {
            for (edge, e) in EdgeId::each(&circuit.edges) {
                let touches = [e.a, e.b].iter().any(|n| *n == stop.before || *n == stop.after);
                let is = matches!(
                    e.kind,
                    EdgeKind::Feeder | EdgeKind::Wire | EdgeKind::SolderedJoint | EdgeKind::SlidingJoint
                );
                if let Some(number) = drawn.job.numbers.of_edge(edge).filter(|_| touches && is) {
                    things.push((stop.x, number.to_string(), format!("{rail}, {}", e.name)));
                }
            }
        }
    }
    for gap in circuit.gaps_of(id) {
        if let Some(number) = drawn.job.numbers.of_gap(gap.before, gap.after) {
            things.push((gap.x, number.to_string(), format!("{} rail, a gap", gap.side.word())));
        }
    }
    things.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    things.dedup();
    html! {
        p { (format!("{:.3} m long.", segment.length)) }
        @if !things.is_empty() {
            div.scrolls tabindex="0" role="region" aria-label="What stands on it" {
                table.stack {
                    thead { tr { th scope="col" { "At" } th scope="col" { "Number" } th scope="col" { "What" } } }
                    tbody {
                        @for (x, number, what) in &things {
                            tr {
                                td.figure data-label="At" { (format!("{x:.3} m")) }
                                td data-label="Number" { a href=(shown.address(circuit, "/place", &[("at", number)])) { (number) } }
                                td data-label="What" { (escape_control_chars(what)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn of_work(opened: &VersionView<'_>, drawn: &Drawn<'_>, shown: &Shown, work: &drawing::DrawnWork) -> Markup {
    let circuit = drawn.circuit();
    let controls = controls_of(drawn, work.kind, work.index);
    let owned = |s: &&circuit::Segment| matches!(&s.owner, circuit::RailOwner::Work { kind, index, .. } if *kind == work.kind && *index == work.index);
    let span = circuit.segments.iter().find(owned).map(|s| s.span.clone());
    let frogs: Vec<String> = circuit
        .frogs
        .iter()
        .filter(|f| f.0 == work.kind && f.1 == work.index)
        .map(|f| format!("{}.{}", work.name, f.3))
        .collect();
    html! {
        @if let Some(span) = span { (known(opened, &span, &work.name)) }
        @for control in controls {
            @let (name, now) = shown.words(circuit, control);
            @let thrown = shown.thrown(circuit, control);
            @let next = thrown.words(circuit, control).1.to_owned();
            p { b { (escape_control_chars(name)) } " stands " (escape_control_chars(now)) ". "
                a.by-hand href=(thrown.address(circuit, "/place", &[("at", &work.name)])) { "Set it " (escape_control_chars(&next)) } }
        }
        @for frog in &frogs { (traced(drawn, shown, frog, "Its frog")) }
        @if frogs.is_empty() { p { "It has no frog that a wire can feed." } }
    }
}

/// Why there is nothing to show at a place.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
enum NoPlace {
    /// It cannot be traced.
    #[error(transparent)]
    Trace(#[from] TraceError),
    /// Nothing has the number.
    #[error("nothing here has the number {0}")]
    Number(String),
}

/// A wire, joint or gap by its number.
fn numbered(
    opened: &VersionView<'_>,
    around: &PageShell<'_>,
    drawn: &Drawn<'_>,
    shown: &Shown,
    number: &str,
) -> Result<Markup, NoPlace> {
    let circuit = drawn.circuit();
    let of_edge = EdgeId::all(circuit.edges.len())
        .find(|&e| drawn.job.numbers.of_edge(e).is_some_and(|n| n.to_string() == number));
    if let Some(edge) = of_edge {
        let edge = &circuit.edges[edge];
        let when: Vec<String> =
            edge.guard.iter().map(|&l| circuit.literal_words(l)).map(|(c, p)| format!("{c} {p}")).collect();
        let input = &circuit.inputs[edge.input];
        return Ok(html! {
            p.lead { (escape_control_chars(&edge.name)) }
            dl {
                dt { "From" } dd { (escape_control_chars(&circuit.nodes[edge.a].name)) }
                dt { "To" } dd { (escape_control_chars(&circuit.nodes[edge.b].name)) }
                dt { "Resistance" } dd { (ohms(edge.ohms)) }
                dt { "That comes from" } dd { (escape_control_chars(&input.name)) ": " (escape_control_chars(&input.value)) }
                @if !when.is_empty() { dt { "Closed when" } dd { (escape_control_chars(&when.join(" and "))) } }
            }
            (known(opened, &edge.span, number))
            @if let Some((track, feeder)) = acts::feeder_at(drawn.job.facts.plan, edge.span.start).filter(|_| edge.kind == EdgeKind::Feeder) {
                @let today = Today { text: drawn.job.facts.text, plan: drawn.job.facts.plan, names: drawn.job.facts.names };
                p { "It is on " a href=(shown.address(circuit, "/place", &[("at", &track.name.value)])) { (escape_control_chars(&track.name.value)) } "." }
                (acts::of_feeder(around, today, &track.name.value, feeder))
            }
        });
    }
    let gap = circuit
        .gaps
        .iter()
        .find(|g| drawn.job.numbers.of_gap(g.before, g.after).is_some_and(|n| n.to_string() == number));
    let Some(gap) = gap else {
        // The circuit does not hold wires of motors, nor buses that nothing taps.
        let wire = wired::numbered(drawn, shown, number);
        return wire.ok_or_else(|| NoPlace::Number(number.to_owned()));
    };
    let segment = &circuit.segments[gap.segment];
    Ok(html! {
        p.lead { "An insulated gap in the " (gap.side.word()) " rail of "
            a href=(shown.address(circuit, "/place", &[("at", &segment.name)])) { (escape_control_chars(&segment.name)) }
            (format!(", {:.3} m from its start.", gap.x)) }
        dl {
            dt { "Before it" } dd { (escape_control_chars(&circuit.nodes[gap.before].name)) }
            dt { "Behind it" } dd { (escape_control_chars(&circuit.nodes[gap.after].name)) }
        }
        p { a href=(address("/paper", &[("name", "gaps-and-joints")])) { "How wide to cut it, and what becomes of it over the year" } }
        (known(opened, &gap.span, number))
    })
}

fn trace(drawn: &Drawn<'_>, shown: &Shown, at: &str) -> Result<Trace, TraceError> {
    drawn.job.facts.trace(at, &shown.setting(drawn.circuit()))
}

/// A point of a track, or of one of its rails: what a train gets there, then what leads to it.
fn of_point_on_track(drawn: &Drawn<'_>, shown: &Shown, at: &str, of: &Trace) -> Markup {
    // One rail alone has no volts; they are reported between it and the other at the same place.
    let both = [".left @", ".right @"].iter().find(|rail| at.contains(*rail)).map(|rail| at.replacen(rail, " @", 1));
    let pair = both.and_then(|both| trace(drawn, shown, &both).ok());
    html! {
        @if let Some(between) = pair.as_ref().unwrap_or(of).between.as_ref() {
            h2 { "Between the rails" }
            (of_between(between))
        }
        h2 { "What leads here" }
        @for point in &of.points { (of_point(point)) }
    }
}

fn traced(drawn: &Drawn<'_>, shown: &Shown, at: &str, title: &str) -> Markup {
    html! {
        h2 { (title) }
        @match trace(drawn, shown, at) {
            Ok(trace) => (of_trace(&trace)),
            Err(why) => p { (escape_control_chars(&why.to_string())) },
        }
    }
}

fn of_trace(trace: &Trace) -> Markup {
    html! {
        @if let Some(between) = &trace.between { (of_between(between)) }
        @for point in &trace.points { (of_point(point)) }
    }
}

fn band(show: impl Fn(f64) -> String, of: Spread<f64>) -> String {
    format!("{}; {} aged, {} as new", show(of.typical), show(of.low), show(of.high))
}

fn ohms(of: Spread<f64>) -> String {
    let show = |r: f64| show_ohms(Ohms(r));
    format!("{}; {} as new, {} aged", show(of.typical), show(of.low), show(of.high))
}

fn of_between(between: &Between) -> Markup {
    if let Some(why) = between.why_not {
        return html! { p.warning { "A train here gets nothing: " (why) "." } };
    }
    html! {
        dl.figures {
            dt { "A train gets" }
            dd { (band(|v| show_volts(Volts(v)), between.volts)) }
            dt { "of" }
            dd { (show_volts(Volts(between.supply_volts))) " with " (show_amps(Amps(between.train_amps)))
                " (" (super::words(&between.train_from)) ")" }
            dt { "A short draws" }
            dd { (band(|a| show_amps(Amps(a)), between.fault_amps)) }
            dt { "The loop has" }
            dd { (ohms(between.loop_ohms)) }
        }
    }
}

fn of_point(point: &TracedPoint) -> Markup {
    html! {
        section.point {
            h3 { (escape_control_chars(&point.name)) }
            @if let Some(meant) = &point.intended_pole { p { "Meant for " b { (escape_control_chars(meant)) } "." } }
            @if point.paths.len() > 1 { p.warning { "It is joined to more than one pole: that is a short." } }
            @for path in &point.paths { (of_path(path, &point.name)) }
            @if !point.conductor.is_empty() {
                p { "It is dead. One conductor with it: " (escape_control_chars(&point.conductor.join("; "))) "." }
            }
            @for missing in &point.missing { (of_missing(missing)) }
        }
    }
}

fn of_path(path: &PolePath, to: &str) -> Markup {
    html! {
        div.scrolls tabindex="0" role="region" aria-label={ "From " (escape_control_chars(&path.pole)) " to " (escape_control_chars(to)) } {
            table.stack {
                caption { "From " (escape_control_chars(&path.pole)) }
                thead { tr { th scope="col" { "Over" } th scope="col" { "Usual" } th scope="col" { "Aged" } th scope="col" { "Plan" } } }
                tbody {
                    @for piece in &path.pieces {
                        tr {
                            td { (escape_control_chars(&piece.name)) }
                            td.figure data-label="Usual" { (show_ohms(Ohms(piece.ohms.typical))) }
                            td.figure data-label="Aged" { (show_ohms(Ohms(piece.ohms.high))) }
                            td data-label="Plan" { a href={ "/lines#L" (piece.line) } { "line " (piece.line) } }
                        }
                    }
                    tr {
                        th scope="row" { "along this path" }
                        td.figure data-label="Usual" { (show_ohms(Ohms(path.along.typical))) }
                        td.figure data-label="Aged" { (show_ohms(Ohms(path.along.high))) }
                        td {}
                    }
                    @if let Some(beside) = path.beside {
                        tr {
                            th scope="row" { "with all that lies beside it" }
                            td.figure data-label="Usual" { (show_ohms(Ohms(beside.typical))) }
                            td.figure data-label="Aged" { (show_ohms(Ohms(beside.high))) }
                            td {}
                        }
                    }
                }
            }
        }
    }
}

fn of_missing(missing: &Missing) -> Markup {
    html! {
        @match &missing.open {
            None => p { "No wire or rail leads here from " (escape_control_chars(&missing.pole)) "." },
            Some(open) => {
                p { "Between " (escape_control_chars(&missing.pole)) " and here stands open:" }
                ul {
                    @for thing in open {
                        li { (escape_control_chars(&thing.words)) ", " a href={ "/lines#L" (thing.line) } { "line " (thing.line) } }
                    }
                }
            },
        }
    }
}
