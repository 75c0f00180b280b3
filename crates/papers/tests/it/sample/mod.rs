//! Papers that try everything: long tables, very long words, nothing at all, signs of many scripts, drawings of every shape.
#![allow(dead_code)]

use papers::Binder;
use schedule::paper::{Block, Cell, ColumnSet, Drawing, Label, Paper, Table, TableColumn};
use schedule::{Choices, PageSize};

/// Each choice that changes how sheets are laid out.
pub fn all_choices() -> Vec<Choices> {
    let mut all = Vec::new();
    for page in [PageSize::A4, PageSize::Letter] {
        for large_print in [false, true] {
            all.push(Choices { page, large_print, ..Choices::default() });
        }
    }
    all
}

/// A binder of these papers.
pub fn binder(papers: Vec<Paper>, choices: Choices) -> Binder {
    Binder {
        layout: "Größe 7½ & Söhne <Ω>".to_owned(),
        revision: "0a1b2c3d".to_owned(),
        extent: "3 tracks, 1 turnout".to_owned(),
        cautions: vec!["Low voltage still starts fires: every wire must be protected.".to_owned()],
        choices,
        papers,
        ..Binder::default()
    }
}

/// A wire list of so many rows, in groups.
pub fn wire_list(rows: usize) -> Paper {
    let columns = vec![
        TableColumn::short("wire"),
        TableColumn::words("what it does"),
        TableColumn::words("from"),
        TableColumn::words("to"),
        TableColumn::words("colour"),
        TableColumn::number("size", "mm²"),
        TableColumn::number("cut", "mm"),
        TableColumn::boxes("done"),
        TableColumn::boxes("tested"),
    ];
    let mut table = Table::new("wire-list", columns);
    let colours = [("red", [200, 20, 20]), ("black", [20, 20, 20]), ("green/yellow", [90, 160, 40])];
    for n in 0..rows {
        let (word, rgb) = colours[n % 3];
        let cut = 180.0 + (n * 37 % 900) as f64;
        table.push(
            Some(format!("bundle {}, under road {}", n / 13 + 1, n / 13 % 40 + 1)),
            vec![
                Cell::words(format!("F-{}", n + 1)),
                Cell::words(format!("feeds the {} rail of road {}", ["left", "right"][n % 2], n % 40 + 1)),
                Cell::words(format!(
                    "road {} {} rail at {} mm",
                    n % 40 + 1,
                    ["left", "right"][n % 2],
                    90 + n * 7 % 2000
                )),
                Cell::words(format!("main bus.{} at {:.1} m", ["A", "B"][n % 2], n as f64 * 0.3 % 40.0)),
                Cell::Colour { word: word.to_owned(), rgb },
                Cell::Number { value: 0.5, shown: "0.5".to_owned() },
                Cell::Number { value: cut, shown: format!("{cut:.0}") },
                Cell::Box,
                Cell::Box,
            ],
        );
    }
    paper(
        "wire-list",
        "Wire list",
        vec![Block::Text("Each wire once, with both ends.".to_owned()), Block::Table(table)],
    )
}

/// Words that fit nowhere, signs of many scripts, cells without anything, a cell longer than a sheet, a table without rows.
pub fn awkward() -> Paper {
    let long = "Weichenlaternenanschlussklemmleistenverbindungsleitungsdurchführung".repeat(3);
    let columns = vec![
        TableColumn::short("no."),
        TableColumn::words("words"),
        TableColumn { set: ColumnSet::Box, ..TableColumn::number("reading", "Ω") },
        TableColumn::number("value", "µF"),
        TableColumn::words("=more"),
    ];
    let mut table = Table::new("awkward-words", columns);
    let rows = [
        ("F-1", long.clone(), "ß"),
        ("F-2", "Ω µ ² ³ ß Å ½ ± × → ← ≤ ≥ √ – — … “q” Ж ж λ".to_owned(), "=1+1"),
        ("G-2", "see F-1, F-2 and G-2".to_owned(), "+SUM(A1)"),
        ("F-3", "one word after another ".repeat(420), "-5 V"),
        ("F-4", String::new(), "@x"),
        ("F-5", "two\nlines, \"quoted\", comma\tand tab".to_owned(), "שלום ไทย 漢字 e\u{301}"),
        ("F-6", "<script>alert('x')</script> & co".to_owned(), "a b"),
    ];
    for (number, words, more) in rows {
        let value = Cell::Number { value: 0.047, shown: "0.047".to_owned() };
        table.push(None, vec![Cell::words(number), Cell::words(words), Cell::Box, value, Cell::words(more)]);
    }
    let mut wide =
        Table::new("many-columns", (0..16).map(|_| TableColumn::words("column-with-a-long-title")).collect());
    wide.push(None, (0..16).map(|n| Cell::words(format!("value-{n} and words"))).collect());
    paper(
        "awkward",
        "Awkward words, and a title so long that it does not fit on one line of a sheet whatever its size may be",
        vec![
            Block::Caution(long),
            Block::Caution("eye protection at the cutting disc ".repeat(200)),
            Block::Table(table),
            Block::Heading("A table without rows".to_owned()),
            Block::Table(Table::new("nothing", vec![TableColumn::short("wire"), TableColumn::words("what it does")])),
            Block::NewPage,
            Block::NewPage,
            Block::Heading("More columns than a sheet has room for".to_owned()),
            Block::Table(wide),
        ],
    )
}

/// Drawings narrower and wider than a sheet, higher than one, and at true size: 100 mm, and 620 mm by 430 mm.
pub fn drawings() -> Paper {
    let blocks = vec![
        Block::Heading("Narrow".to_owned()),
        Block::Drawing(drawing("narrow", 90.0, 40.0)),
        Block::Heading("Wide".to_owned()),
        Block::Drawing(drawing("wide", 700.0, 120.0)),
        Block::Heading("High".to_owned()),
        Block::Drawing(drawing("high", 120.0, 900.0)),
        Block::Text("What follows a drawing.".to_owned()),
        Block::Template(drawing("true-size", 120.0, 60.0)),
        Block::Template(drawing("larger-than-a-sheet", 620.0, 430.0)),
    ];
    paper("drawings", "Drawings and templates", blocks)
}

/// Labels, one of them with far too much to say.
pub fn labels() -> Paper {
    let label = |n: usize| Label { number: format!("F-{n}"), says: format!("dock {n} left @ {} mm", n * 40) };
    let mut labels: Vec<Label> = (1..=150).map(label).collect();
    labels[7].says = "a place that takes many words to tell, Weichenlaternenanschlussklemmleiste ".repeat(3);
    paper("labels", "Labels", vec![Block::Text("Cut along the broken lines.".to_owned()), Block::Labels(labels)])
}

/// All of them.
pub fn everything() -> Vec<Paper> {
    vec![wire_list(90), awkward(), drawings(), labels()]
}

/// A frame with a cross, and a bar of exactly 100 mm in the middle.
pub fn drawing(name: &str, width: f64, height: f64) -> Drawing {
    let (x, y) = (width / 2.0 - 50.0, height / 2.0);
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n\
         <rect x=\"0.5\" y=\"0.5\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.5\"/>\n\
         <path d=\"M0 0L{width} {height}M0 {height}L{width} 0\" stroke=\"#999\" stroke-width=\"0.2\"/>\n\
         <rect x=\"{x}\" y=\"{y}\" width=\"100\" height=\"2\" fill=\"#f0f\"/>\n\
         <text x=\"5\" y=\"8\" font-size=\"5\">{name} Größe Ω</text>\n</svg>\n",
        width - 1.0,
        height - 1.0,
    );
    Drawing {
        name: name.to_owned(),
        caption: format!("A frame of {width} mm by {height} mm"),
        svg,
        size: [width, height],
        parts: None,
        whole: None,
    }
}

fn paper(name: &'static str, title: &str, blocks: Vec<Block>) -> Paper {
    Paper::new(name, title, blocks)
}
