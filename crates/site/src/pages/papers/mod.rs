//! The papers of a plan: what there is, and where a thing stands in them.

mod rows;
mod sheet;

pub(crate) use sheet::sheet;

use super::{Page, count, words};
use crate::address::{Fields, address};
use crate::binders::{NumberedBinder, NumbersFrom};
use axum::http::StatusCode;
use maud::{Markup, html};
use papers::Binder;
use schedule::{Choices, ColourChoice, PageSize, Units};
use text::escape_control_chars;

/// Rows that are shown of a thing.
const MOST_ROWS: usize = 80;

/// What an address says of how papers are made; where it does not, in the units of the plan.
pub(crate) fn choices(fields: &Fields, usual: impl FnOnce() -> Units) -> Choices {
    let units = match fields.get("units") {
        Some("imperial") => Units::Imperial,
        Some("metric") => Units::Metric,
        _ => usual(),
    };
    Choices {
        page: match fields.get("page") {
            Some("Letter") => PageSize::Letter,
            Some("A4") => PageSize::A4,
            _ => PageSize::usual(units),
        },
        units,
        colours: if fields.get("colours") == Some("nem-605") { ColourChoice::Nem605 } else { ColourChoice::Plan },
        large_print: fields.get("large") == Some("yes"),
    }
}

/// The address of a page or file of papers that are made so, with more fields in front.
fn made_so(choices: &Choices, page: &str, more: &[(&str, &str)]) -> String {
    let said = [
        (true, ("page", if choices.page == PageSize::Letter { "Letter" } else { "A4" })),
        (true, ("units", if choices.units == Units::Imperial { "imperial" } else { "metric" })),
        (choices.colours == ColourChoice::Nem605, ("colours", "nem-605")),
        (choices.large_print, ("large", "yes")),
    ];
    let fields: Vec<(&str, &str)> =
        more.iter().copied().chain(said.into_iter().filter_map(|(is, field)| is.then_some(field))).collect();
    address(page, &fields)
}

/// Why there are no papers.
pub(crate) fn none(why: &str) -> Page {
    let body = html! {
        h1 { "There are no papers now" }
        p { (words(why)) "." }
        p { a href="/plan" { "Mend the text" } " · " a href="/findings" { "What is found in it" } }
    };
    Page::new("Papers", body)
}

/// The list of all papers; and, where a thing is asked for, the rows that name it.
pub(crate) fn list(bound: &NumberedBinder, of: Option<&str>) -> Page {
    let binder = &bound.binder;
    let body = html! {
        h1 { "Papers" }
        @if let Some(of) = of.filter(|of| !of.is_empty()) { (naming(binder, of)) }
        (heading(bound))
        ol.papers {
            @for paper in &binder.papers {
                li { a href=(made_so(&binder.choices, "/paper", &[("name", &paper.name)])) { (escape_control_chars(&paper.title)) } }
            }
        }
        section aria-labelledby="take" {
            h2 id="take" { "To print or to take away" }
            (taken(binder))
        }
        section.choosing aria-labelledby="how" {
            h2 id="how" { "How they are made" }
            (chooser(&binder.choices))
        }
    };
    Page::new("Papers", body)
}

/// Whose numbers these are, and whether anything may be built from them.
fn heading(bound: &NumberedBinder) -> Markup {
    let binder = &bound.binder;
    html! {
        p {
            (count(binder.papers.len(), "paper", "papers")) " of plan " code { (binder.revision) } ". "
            @match &bound.whose {
                NumbersFrom::Carried(folder) => { "Wires, gaps and joints have the numbers of the papers in the folder " b { (escape_control_chars(folder)) }
                    "; what is new has numbers behind them." },
                NumbersFrom::Beside(file) => { "Wires, gaps, joints and tests have the numbers kept in the file " b { (escape_control_chars(file)) }
                    " beside the plan; what is new has numbers behind them." },
                NumbersFrom::New => { "Wires, gaps and joints are numbered in the order of the plan. Numbers are kept once papers are in a folder "
                    "beside the plan, or the plan is changed on these pages: " code { "gapwright papers" } " puts papers there." },
                NumbersFrom::NewBeside(folder, why) => { "Wires, gaps and joints are numbered anew, in the order of the plan." br;
                    b { "The numbers in the " (escape_control_chars(folder)) " are not used: " (escape_control_chars(why)) "." } },
            }
        }
        @if let Some(warning) = binder.warning() {
            p.warning { (escape_control_chars(&warning)) ". " a href="/findings" { "What is wrong" } }
        }
    }
}

fn taken(binder: &Binder) -> Markup {
    let choices = &binder.choices;
    let templates = "drilling-templates";
    html! {
        ul {
            li { a href=(made_so(choices, "/binder.pdf", &[])) { "The whole binder" } ", PDF" }
            @if binder.papers.iter().any(|paper| paper.name == templates) {
                li { a href=(made_so(choices, "/paper.pdf", &[("name", templates)])) { "The drilling templates" }
                    ", PDF at true size: print it at 100 %" }
            }
            li { a href=(made_so(choices, "/tables.xlsx", &[])) { "All tables in a workbook" } ", XLSX" }
            @for paper in binder.papers.iter().filter(|paper| paper.name != templates && sheet::drawings(paper).next().is_some()) {
                li {
                    (escape_control_chars(&paper.title)) ": "
                    a href=(made_so(choices, "/paper.pdf", &[("name", &paper.name)])) aria-label={ (escape_control_chars(&paper.title)) " as PDF" } { "PDF" }
                    @for (at, drawing) in sheet::drawings(paper).enumerate() {
                        ", " a href=(made_so(choices, "/drawing.svg", &[("name", &drawing.name), ("take", "yes")]))
                            aria-label={ (escape_control_chars(&paper.title)) ", sheet " (at + 1) " as SVG" } { "SVG" @if at > 0 { " " (at + 1) } }
                    }
                }
            }
        }
        p.quiet { "Each paper by itself as PDF, and each table as CSV, is on the page of the paper." }
    }
}

fn chooser(choices: &Choices) -> Markup {
    let one = |id: &str, asks: &str, options: &[(&str, &str, bool)]| {
        html! {
            div {
                label for=(id) { (asks) }
                select id=(id) name=(id) {
                    @for (value, says, is) in options { option value=(value) selected[*is] { (says) } }
                }
            }
        }
    };
    let (letter, imperial) = (choices.page == PageSize::Letter, choices.units == Units::Imperial);
    let nem = choices.colours == ColourChoice::Nem605;
    html! {
        form.choices method="get" action="/papers" {
            (one("page", "Paper in the printer", &[("A4", "A4", !letter), ("Letter", "Letter", letter)]))
            (one("units", "Lengths in", &[("metric", "millimetres", !imperial), ("imperial", "inches", imperial)]))
            (one("colours", "Colours of wires", &[("plan", "as the plan says", !nem), ("nem-605", "as NEM 605 says", nem)]))
            (one("large", "Print", &[("no", "usual", !choices.large_print), ("yes", "large", choices.large_print)]))
            p { button type="submit" { "Make them so" } }
        }
    }
}

/// The rows that name a thing.
fn naming(binder: &Binder, of: &str) -> Markup {
    let found = rows::naming(binder, of);
    html! {
        section aria-labelledby="named" {
            h2 id="named" { (escape_control_chars(of)) " in the papers" }
            @if found.is_empty() { p { "No row of a table names it." } } @else {
                ul.naming {
                    @for row in found.iter().take(MOST_ROWS) {
                        @let paper = made_so(&binder.choices, "/paper", &[("name", row.paper)]);
                        li { a href={ (paper) "#" (row.id) } { (escape_control_chars(row.title)) } ": " (escape_control_chars(&row.words)) }
                    }
                }
                @if found.len() > MOST_ROWS { p { "And " (found.len() - MOST_ROWS) " more rows." } }
            }
            p { a href=(address("/place", &[("at", of)])) { "Its place" } }
        }
    }
}

/// Where no paper, table or drawing has the name asked for.
pub(crate) fn no_such() -> Page {
    Page::sorry(StatusCode::NOT_FOUND, "There is no such paper", "The list of papers has all there are.")
}
