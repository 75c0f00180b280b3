//! The papers as web pages: one file each and an index, for a phone under the layout. They need no script and ask nothing of
//! any other place; on a narrow screen each row of a table becomes a card.

mod style;

use crate::binder::Binder;
use crate::file_names::safe;
use crate::layout::header_words;
use crate::things;
use rayon::prelude::*;
use schedule::paper::{Block, Cell, ColumnSet, Drawing, Label, Paper, Table, TableColumn, TableRow};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use text::xml::{escape, escaped};

/// Where the row of each numbered thing is: the page and the place on it.
type Things<'p> = BTreeMap<&'p str, String>;

/// The pages: names of files and their text.
pub fn pages(binder: &Binder) -> Vec<(String, String)> {
    let things = things_of(binder);
    let mut pages = vec![("index.html".to_owned(), index(binder))];
    let papers = binder.papers.par_iter().enumerate();
    pages.par_extend(papers.map(|(at, paper)| (file(paper), page(binder, at, &things))));
    pages
}

fn file(paper: &Paper) -> String {
    format!("{}.html", safe(&paper.name))
}

fn things_of(binder: &Binder) -> Things<'_> {
    let mut things = Things::new();
    for paper in &binder.papers {
        // Papers and drawings by their names, which no number is like.
        things.insert(&paper.name, file(paper));
        for block in &paper.blocks {
            if let Block::Drawing(drawing) = block {
                things.insert(&drawing.name, file(paper));
            }
        }
        for table in paper.tables() {
            for number in table.rows.iter().filter_map(numbered).filter(|number| !binder.names.contains(*number)) {
                things.entry(number).or_insert_with(|| format!("{}#{number}", file(paper)));
            }
        }
    }
    things
}

/// The number of the thing a row tells of.
fn numbered(row: &TableRow) -> Option<&str> {
    row.cells.first().map(Cell::shown).filter(|text| things::is_number(text))
}

/// Text in which the numbers of things lead to their rows.
fn linked(text: &str, things: &Things<'_>) -> String {
    let mut out = String::with_capacity(text.len());
    link(&mut out, text, things);
    out
}

/// Writes text as [`linked`] has it.
fn link(out: &mut String, text: &str, things: &Things<'_>) {
    for (words, is_number) in things::pieces(text) {
        match things.get(words).filter(|_| is_number) {
            Some(place) => {
                let _ = write!(out, "<a href=\"{place}\">");
                escape(out, words);
                out.push_str("</a>");
            }
            None => escape(out, words),
        }
    }
}

fn whole(binder: &Binder, title: &str, body: &str) -> String {
    let warning = match binder.warning() {
        Some(words) => format!("<p class=\"warning\">{}</p>\n", escaped(&words)),
        None => String::new(),
    };
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title} · {layout}</title>\n<style>\n{style}</style>\n</head>\n<body>\n\
         <header><a href=\"index.html\">{layout}</a> · plan {revision}</header>\n{warning}<main>\n{body}</main>\n</body>\n</html>\n",
        title = escaped(title),
        layout = escaped(&binder.layout),
        revision = binder.revision,
        style = style::css(&binder.choices),
    )
}

fn index(binder: &Binder) -> String {
    let mut body = format!("<h1>{}</h1>\n<p>{}</p>\n", escaped(&binder.layout), escaped(&binder.extent));
    if let Some(date) = &binder.date {
        let _ = writeln!(body, "<p>{}</p>", escaped(date));
    }
    if !binder.faults.is_empty() {
        body.push_str("<ul>\n");
        for fault in &binder.faults {
            let _ = writeln!(body, "<li>{}</li>", escaped(fault));
        }
        body.push_str("</ul>\n");
    }
    for words in &binder.cautions {
        body.push_str(&caution(words, &Things::new()));
    }
    body.push_str("<nav aria-label=\"papers\">\n<ol class=\"papers\">\n");
    for paper in &binder.papers {
        let _ = writeln!(body, "<li><a href=\"{}\">{}</a></li>", file(paper), escaped(&paper.title));
    }
    body.push_str("</ol>\n</nav>\n");
    whole(binder, "Papers", &body)
}

fn page(binder: &Binder, at: usize, things: &Things<'_>) -> String {
    let paper = &binder.papers[at];
    let mut body = format!("<h1>{}</h1>\n", escaped(&paper.title));
    let mut heading = paper.title.as_str();
    for block in &paper.blocks {
        if let Block::Heading(words) = block {
            heading = words;
        }
        body.push_str(&self::block(block, heading, things));
    }
    let beside = |to: Option<&Paper>, way: &str| match to {
        Some(paper) => format!("<a rel=\"{way}\" href=\"{}\">{way}: {}</a>", file(paper), escaped(&paper.title)),
        None => String::new(),
    };
    let before = at.checked_sub(1).and_then(|before| binder.papers.get(before));
    let _ = writeln!(
        body,
        "<nav class=\"beside\" aria-label=\"other papers\">{} {}</nav>",
        beside(before, "prev"),
        beside(binder.papers.get(at + 1), "next")
    );
    whole(binder, &paper.title, &body)
}

fn block(block: &Block, heading: &str, things: &Things<'_>) -> String {
    match block {
        Block::Heading(words) => format!("<h2>{}</h2>\n", escaped(words)),
        Block::Text(words) => format!("<p>{}</p>\n", linked(words, things)),
        Block::Caution(words) => caution(words, things),
        Block::Table(table) => self::table(table, heading, things),
        Block::Drawing(drawing) => figure(drawing, ""),
        Block::Template(drawing) => {
            figure(drawing, ". On a screen it has not its true size: print it from the binder, and measure its ruler.")
        }
        Block::Labels(labels) => labels_list(labels),
        Block::See(references) => {
            let of = |(words, named): &(String, String)| {
                let page = things.get(named.as_str());
                page.map_or_else(|| escaped(words), |page| format!("<a href=\"{page}\">{}</a>", escaped(words)))
            };
            format!("<p>{}</p>\n", references.iter().map(of).collect::<Vec<_>>().join("; "))
        }
        Block::NewPage => String::new(),
    }
}

fn caution(words: &str, things: &Things<'_>) -> String {
    format!("<p class=\"caution\"><strong>Caution</strong> {}</p>\n", linked(words, things))
}

/// A drawing as it stands in a page: as part of it where it can be, so that its words can be found and selected. One with
/// styles or names of its own would lend them to the whole page, and is shown as the file it also is.
fn shown(drawing: &Drawing) -> String {
    let svg = drawing.svg.find("<svg").map_or("", |start| &drawing.svg[start..]);
    if svg.contains("<style") || svg.contains(" id=") {
        let [width, height] = drawing.size;
        return format!(
            "<img src=\"../drawings/{}.svg\" alt=\"{}\" style=\"width:{width:.1}mm;aspect-ratio:{width:.2}/{height:.2}\">",
            safe(&drawing.name),
            escaped(&drawing.caption)
        );
    }
    svg.to_owned()
}

fn figure(drawing: &Drawing, more: &str) -> String {
    format!(
        "<figure role=\"group\" aria-label=\"{label}\">\n<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{label}, \
         drawing\">{svg}</div>\n<figcaption>{label}{more}</figcaption>\n</figure>\n",
        label = escaped(&drawing.caption),
        svg = shown(drawing),
    )
}

fn labels_list(labels: &[Label]) -> String {
    let mut out = "<ul class=\"labels\">\n".to_owned();
    for label in labels {
        let _ = writeln!(out, "<li><b>{}</b> {}</li>", escaped(&label.number), escaped(&label.says));
    }
    out + "</ul>\n"
}

/// A table. The roles are said although the elements have them: laid out as cards they would lose them.
fn table(table: &Table, heading: &str, things: &Things<'_>) -> String {
    if table.on_pages().is_empty() {
        let file = format!("{}.csv", safe(&table.name));
        return format!("<p><a href=\"../tables/{file}\">{file}</a></p>\n");
    }
    // One without a caption of its own stands under a heading that says it; who cannot see that is told so.
    let caption = match &table.caption {
        Some(own) => format!("<caption>{}</caption>", escaped(own)),
        None => format!("<caption><span class=\"unseen\">{}</span></caption>", escaped(heading)),
    };
    let mut out = format!("<table role=\"table\">\n{caption}\n");
    out.push_str("<thead role=\"rowgroup\">\n<tr role=\"row\">");
    for column in table.on_pages() {
        let _ = write!(
            out,
            "<th role=\"columnheader\" scope=\"col\"{}>{}</th>",
            class(column),
            escaped(&header_words(column))
        );
    }
    out.push_str("</tr>\n</thead>\n");
    if table.rows.is_empty() {
        let _ = writeln!(
            out,
            "<tbody role=\"rowgroup\">\n<tr role=\"row\"><td role=\"cell\" colspan=\"{}\">none in this plan</td></tr>\n</tbody>",
            table.on_pages().len()
        );
    }
    let begins = beginnings(table);
    let mut rest = table.rows.as_slice();
    while let Some(first) = rest.first() {
        let together = rest.iter().take_while(|row| row.group == first.group).count();
        let (rows, others) = rest.split_at(together);
        rest = others;
        out.push_str("<tbody role=\"rowgroup\">\n");
        if let Some(group) = &first.group {
            let _ = writeln!(
                out,
                "<tr role=\"row\" class=\"group\"><th role=\"rowheader\" scope=\"rowgroup\" colspan=\"{}\">{}</th></tr>",
                table.on_pages().len(),
                escaped(group)
            );
        }
        for row in rows {
            self::row(&mut out, row, &begins, things);
        }
        out.push_str("</tbody>\n");
    }
    out + "</table>\n"
}

fn class(column: &TableColumn) -> &'static str {
    match column.set {
        ColumnSet::Number => " class=\"number\"",
        ColumnSet::Short => " class=\"short\"",
        ColumnSet::Words | ColumnSet::Box | ColumnSet::File => "",
    }
}

/// How the cells of each column of a table begin, but for what stands in them.
fn beginnings(table: &Table) -> Vec<String> {
    let begins = |(at, column): (usize, &TableColumn)| {
        let (class, label) = (class(column), escaped(&header_words(column)));
        match at {
            0 => format!("<th role=\"rowheader\" scope=\"row\"{class} data-label=\"{label}\""),
            _ => format!("<td role=\"cell\"{class} data-label=\"{label}\""),
        }
    };
    table.on_pages().iter().enumerate().map(begins).collect()
}

fn row(out: &mut String, row: &TableRow, begins: &[String], things: &Things<'_>) {
    let number = numbered(row);
    match number {
        Some(number) => {
            let _ = write!(out, "<tr role=\"row\" id=\"{number}\">");
        }
        None => out.push_str("<tr role=\"row\">"),
    }
    for (at, (cell, begins)) in row.cells.iter().zip(begins).enumerate() {
        out.push_str(begins);
        let is_empty = !matches!(cell, Cell::Box) && cell.shown().is_empty();
        out.push_str(if at > 0 && is_empty { " data-empty>" } else { ">" });
        match cell {
            Cell::Empty => {}
            // The row's own number leads nowhere: it is here.
            Cell::Words(text) if at == 0 && number.is_some() => escape(out, text),
            Cell::Words(text) => link(out, text, things),
            Cell::Number { shown, .. } => escape(out, shown),
            Cell::Page { of, shown } => match things.get(of.as_str()) {
                Some(page) => {
                    let _ = write!(out, "<a href=\"{page}\">");
                    escape(out, shown);
                    out.push_str("</a>");
                }
                None => escape(out, shown),
            },
            Cell::Colour { word, rgb: [r, g, b] } => {
                let _ = write!(
                    out,
                    "<span class=\"colour\"><span class=\"swatch\" style=\"background:#{r:02x}{g:02x}{b:02x}\"></span>{}</span>",
                    escaped(word)
                );
            }
            Cell::Box => out.push_str("<span class=\"box\" role=\"img\" aria-label=\"box to tick\"></span>"),
        }
        out.push_str(if at == 0 { "</th>" } else { "</td>" });
    }
    out.push_str("</tr>\n");
}
