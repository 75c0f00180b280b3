//! One paper as a page.

use super::{made_so, rows};
use crate::address::address;
use crate::pages::{Page, words};
use maud::{Markup, html};
use papers::{Binder, things};
use schedule::Choices;
use schedule::paper::{Block, Cell, ColumnSet, Drawing, Label, Paper, Table, TableColumn, TableRow};
use std::collections::{BTreeMap, BTreeSet};
use text::escape_control_chars;

/// Pixels of a drawing to the millimetre (CSS Values and Units 3, section 6.2: 25.4 mm are 96 px).
const PER_MILLIMETRE: f64 = 96.0 / 25.4;

/// The drawings and templates of a paper.
pub(super) fn drawings(paper: &Paper) -> impl Iterator<Item = &Drawing> {
    paper.blocks.iter().filter_map(|block| match block {
        Block::Drawing(drawing) | Block::Template(drawing) => Some(drawing),
        _ => None,
    })
}

/// What a page of a paper is made from.
struct SheetPage<'b> {
    binder: &'b Binder,
    /// The numbers that lead to places.
    numbers: BTreeSet<&'b str>,
}

/// The page of a paper; none where no paper has this name.
pub(crate) fn sheet(binder: &Binder, name: &str) -> Option<Page> {
    let at = binder.papers.iter().position(|paper| paper.name == name)?;
    let paper = &binder.papers[at];
    let choices = &binder.choices;
    let made = SheetPage { binder, numbers: rows::numbers(binder) };
    let mut ids = rows::ids(paper).into_iter();
    let mut called = BTreeMap::new();
    let mut heading = paper.title.as_str();
    let mut blocks = Vec::new();
    for block in &paper.blocks {
        if let Block::Heading(words) = block {
            heading = words;
        }
        blocks.push(made.block(block, heading, &mut ids, &mut called));
    }
    let before = at.checked_sub(1).and_then(|before| binder.papers.get(before));
    let body = html! {
        h1 { (escape_control_chars(&paper.title)) }
        @if let Some(warning) = binder.warning() { p.warning { (escape_control_chars(&warning)) "." } }
        p.quiet {
            "Plan " code { (binder.revision) }
            span.csv {
                " · " a href=(made_so(choices, "/paper.pdf", &[("name", name)])) { "this paper as PDF" } " · "
                a href=(made_so(choices, "/papers", &[])) { "all papers" }
            }
        }
        div.paper.large[choices.large_print] { @for block in &blocks { (block) } }
        nav.beside aria-label="Papers beside this one" {
            @if let Some(paper) = before { (beside(choices, paper, "prev", "Before: ")) }
            @if let Some(paper) = binder.papers.get(at + 1) { (beside(choices, paper, "next", "Next: ")) }
        }
    };
    Some(Page::new(escape_control_chars(&paper.title), body))
}

fn beside(choices: &Choices, paper: &Paper, way: &str, says: &str) -> Markup {
    html! { a rel=(way) href=(made_so(choices, "/paper", &[("name", &paper.name)])) { (says) (escape_control_chars(&paper.title)) } " " }
}

impl SheetPage<'_> {
    fn block(
        &self,
        block: &Block,
        heading: &str,
        ids: &mut impl Iterator<Item = Vec<String>>,
        called: &mut BTreeMap<String, usize>,
    ) -> Markup {
        html! {
            @match block {
                Block::Heading(words) => h2 { (escape_control_chars(words)) },
                Block::Text(words) => p { (self.linked(words)) },
                Block::Caution(words) => p.caution { strong { "Caution " } (self.linked(words)) },
                Block::Table(table) => (self.table(table, heading, &ids.next().unwrap_or_default(), called)),
                Block::Drawing(drawing) => (self.figure(drawing, "")),
                Block::Template(drawing) => (self.figure(drawing, ". On a screen it has not its true size: print it, and measure its ruler.")),
                Block::Labels(labels) => (labels_list(labels)),
                Block::See(references) => p.quiet {
                    @for (at, (words, _)) in references.iter().enumerate() { @if at > 0 { "; " } "see " (escape_control_chars(words)) }
                },
                Block::NewPage => {},
            }
        }
    }

    /// Words in which the numbers of things lead to their places, and words of the plan stand out.
    fn linked(&self, text: &str) -> Markup {
        let parts: Vec<&str> = text.split('`').collect();
        // An odd quote is a mark like any other.
        let quotes = !parts.len().is_multiple_of(2);
        html! {
            @for (at, part) in parts.into_iter().enumerate() {
                @if quotes && at % 2 == 1 { code { (escape_control_chars(part)) } } @else {
                    @if !quotes && at > 0 { "`" }
                    @for (piece, is_number) in things::pieces(part) {
                        @if is_number && self.numbers.contains(piece) { (place(piece)) } @else { (escape_control_chars(piece)) }
                    }
                }
            }
        }
    }

    /// What stands in a cell: a name of the plan leads to its place, and so do numbers.
    fn words(&self, text: &str) -> Markup {
        if self.binder.names.contains(text) { place(text) } else { self.linked(text) }
    }

    fn table(&self, table: &Table, heading: &str, ids: &[String], called: &mut BTreeMap<String, usize>) -> Markup {
        let says = escape_control_chars(table.caption.as_deref().unwrap_or(heading));
        let times = called.entry(says.clone()).or_default();
        *times += 1;
        // Two regions of one name could not be reported from each other.
        let region = if *times > 1 { format!("{says}, {times}") } else { says.clone() };
        let csv = made_so(&self.binder.choices, "/table.csv", &[("name", &table.name)]);
        let mut group: Option<&str> = None;
        if table.on_pages().is_empty() {
            return html! { p.quiet.csv { a href=(csv) { "The file " (table.name) ".csv" } } };
        }
        html! {
            div.scrolls tabindex="0" role="region" aria-label=(region) {
                table.stack {
                    caption { @if table.caption.is_some() { (says) } @else { span.unseen { (says) } } }
                    thead { tr { @for column in table.on_pages() { th scope="col" class=[class(column)] { (header(column)) } } } }
                    tbody {
                        @if table.rows.is_empty() {
                            tr { td colspan=(table.on_pages().len()) { "none in this plan" } }
                        }
                        @for (row, id) in table.rows.iter().zip(ids) {
                            @if let Some(words) = row.group.as_deref().filter(|words| group != Some(*words)) {
                                tr.group { th scope="colgroup" colspan=(table.on_pages().len()) { (escape_control_chars(words)) } }
                            }
                            ({ group = row.group.as_deref(); "" })
                            tr id=(id) { (self.cells(row, table)) }
                        }
                    }
                }
            }
            p.quiet.csv { a href=(csv) aria-label={ "This table as CSV: " (region) } { "This table as CSV" } }
        }
    }

    fn cells(&self, row: &TableRow, table: &Table) -> Markup {
        html! {
            @for (at, (cell, column)) in row.cells.iter().zip(table.on_pages()).enumerate() {
                @let words = self.cell(cell);
                @let label = (!cell.shown().is_empty() || matches!(cell, Cell::Box)).then(|| header(column));
                @if at == 0 && !cell.shown().is_empty() { th scope="row" class=[class(column)] { (words) } }
                @else { td class=[class(column)] data-label=[label] { (words) } }
            }
        }
    }

    fn cell(&self, cell: &Cell) -> Markup {
        html! {
            @match cell {
                Cell::Empty => {},
                Cell::Words(text) => (self.words(text)),
                Cell::Number { shown, .. } | Cell::Page { shown, .. } => (shown),
                Cell::Colour { word, rgb: [r, g, b] } => {
                    svg.swatch width="20" height="12" viewBox="0 0 20 12" aria-hidden="true" {
                        rect x="0.5" y="0.5" width="19" height="11" fill=(format!("#{r:02x}{g:02x}{b:02x}")) {}
                    }
                    " " (escape_control_chars(word))
                },
                Cell::Box => span.box role="img" aria-label="box to tick" {},
            }
        }
    }

    fn figure(&self, drawing: &Drawing, more: &str) -> Markup {
        let [width, height] = drawing.size.map(|mm| (mm * PER_MILLIMETRE).round());
        let source = |take: &[(&str, &str)]| {
            let fields: Vec<(&str, &str)> =
                [("name", drawing.name.as_str())].into_iter().chain(take.iter().copied()).collect();
            made_so(&self.binder.choices, "/drawing.svg", &fields)
        };
        html! {
            figure {
                div.scrolls.plot tabindex="0" role="region" aria-label={ (escape_control_chars(&drawing.caption)) "; it scrolls sideways" } {
                    img src=(source(&[])) width=(width) height=(height) alt=(escape_control_chars(&drawing.caption));
                }
                figcaption.quiet { (escape_control_chars(&drawing.caption)) (more) " " a href=(source(&[("take", "yes")])) { "This drawing as SVG" } }
            }
        }
    }
}

fn place(of: &str) -> Markup {
    html! { a href=(address("/place", &[("at", of)])) { (escape_control_chars(of)) } }
}

fn labels_list(labels: &[Label]) -> Markup {
    html! {
        ul.labels { @for label in labels { li { b { (escape_control_chars(&label.number)) } " " (words(&label.says)) } } }
    }
}

fn header(column: &TableColumn) -> String {
    match &column.unit {
        Some(unit) if !unit.is_empty() => format!("{} ({unit})", escape_control_chars(&column.title)),
        _ => escape_control_chars(&column.title),
    }
}

fn class(column: &TableColumn) -> Option<&'static str> {
    match column.set {
        ColumnSet::Number => Some("figure"),
        ColumnSet::Short => Some("short"),
        ColumnSet::Words | ColumnSet::Box | ColumnSet::File => None,
    }
}
