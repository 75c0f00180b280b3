//! Schematics on sheets of the binder, and what refers to what: wires, gaps and strips to pages and squares of drawings.

use drawing::{SchematicOwner, SchematicSheet, schematic_svg, schematics};
use plan::Kind;
use schedule::paper::{Block, Cell, ColumnSet, Drawing, Paper, Table, TableColumn};
use schedule::{Job, Number};
use std::collections::BTreeMap;

/// What margins take of the length of a sheet that lies.
const BESIDE: f64 = 20.5;
/// What margins, header, caption and the line below take of its width, and in large print.
const ABOVE_AND_BELOW: [f64; 2] = [67.0, 82.0];
/// The name of the paper.
pub const NAME: &str = "schematics";

/// Where things are drawn.
#[derive(Clone, Debug, Default)]
pub struct CrossReferences {
    /// Of each wire the schematic that shows it best, by the name of its drawing and as it is called.
    pub(crate) schematic: BTreeMap<Number, (String, String)>,
    /// Of each strip, by the words of its rows, the schematic of its device.
    pub(crate) strips: BTreeMap<String, String>,
    /// Of each number the squares where it ends.
    pub(crate) squares: BTreeMap<Number, String>,
    /// Of each strip its square.
    pub(crate) strip_squares: BTreeMap<String, String>,
}

/// Devices whose wires end at strips.
const WITH_STRIPS: [Kind; 7] =
    [Kind::Supply, Kind::Driver, Kind::Motor, Kind::Relay, Kind::Toggle, Kind::Reverser, Kind::Detector];

/// The schematics, and where on them each wire is.
pub(crate) fn paper(job: &Job<'_>, to: &mut CrossReferences) -> Option<Paper> {
    let [short, long] = job.choices.page.millimetres();
    let aside = ABOVE_AND_BELOW[usize::from(job.choices.large_print)];
    let sheets = schematics(job, [long - BESIDE, short - aside]);
    let count = sheets.len();
    let mut blocks = Vec::new();
    for (at, sheet) in sheets.iter().enumerate() {
        let name = if count == 1 { "schematic".to_owned() } else { format!("schematic-{}", at + 1) };
        let called = if count == 1 { "schematic".to_owned() } else { format!("sheet {}", at + 1) };
        let number = if count == 1 { String::new() } else { format!(", sheet {} of {count}", at + 1) };
        let caption = format!("Schematics{number}: {}", sheet.caption());
        let (svg, parts) = schematic_svg(sheet, &caption);
        refer(job, sheet, (&name, &called), to);
        blocks.push(Block::Drawing(Drawing { name, caption, svg, size: sheet.size, parts: Some(parts), whole: None }));
        blocks.push(Block::See(
            [("Wire list", "wire-list"), ("Terminal strips", "terminal-strips"), ("From below", "layout-from-below")]
                .map(|(words, named)| (words.to_owned(), named.to_owned()))
                .to_vec(),
        ));
    }
    if blocks.is_empty() {
        return None;
    }
    let paper = Paper::new(NAME, "Schematics", blocks);
    if !job.choices.large_print {
        return Some(paper);
    }
    // In letters for large print they would take a tenth of the binder: there they are drawings of their own.
    let words = format!(
        "The schematics are not in this binder of large print: they are the drawings schematic{}.svg beside it, to be shown or \
         printed as large as you like, and a page for the screen.",
        if count == 1 { String::new() } else { format!("-1 to schematic-{count}") }
    );
    Some(paper.with_print(vec![Block::Text(words)]))
}

/// How well a part shows a wire: a tree or a device better than the bus it comes from.
fn rank(of: SchematicOwner) -> usize {
    match of {
        SchematicOwner::Device(..) => 0,
        SchematicOwner::Tree(_) => 1,
        SchematicOwner::Bus(_) | SchematicOwner::Others => 2,
    }
}

fn refer(job: &Job<'_>, sheet: &SchematicSheet, (name, called): (&str, &str), to: &mut CrossReferences) {
    let ranked = |worst: usize| sheet.lines.iter().filter(move |line| rank(sheet.blocks[line.block].of) <= worst);
    for worst in 0..3 {
        for number in ranked(worst).filter_map(|line| line.number) {
            to.schematic.entry(number).or_insert_with(|| (name.to_owned(), called.to_owned()));
        }
    }
    let plan = job.facts.plan;
    let places = schedule::places::PlaceNames::new(&job.facts.circuit, plan, job.choices.units);
    let mut strip = |kind: Kind, index: usize| {
        to.strips.entry(strip_words(places.name(kind, index))).or_insert_with(|| name.to_owned());
    };
    for block in &sheet.blocks {
        match block.of {
            SchematicOwner::Device(kind, index) if WITH_STRIPS.contains(&kind) => strip(kind, index),
            SchematicOwner::Bus(bus) => {
                let supply = plan.bus[bus].supply.as_ref().and_then(|text| job.facts.names.get(&text.value));
                supply.into_iter().for_each(|(kind, index)| strip(kind, index));
            }
            _ => {}
        }
    }
}

/// What the rows of a strip stand under.
pub(crate) fn strip_words(name: &str) -> String {
    format!("strip at {name}")
}

/// Writes into the tables of wires, feeders, gaps and strips where on drawings each row is.
pub(crate) fn write(papers: &mut [Paper], to: &CrossReferences, large_print: bool) {
    for paper in papers {
        let says = match (paper.name.as_ref(), large_print) {
            ("wire-list", false) => Some(
                "p.: page of the schematic that shows the wire. sq.: square of the layout drawings where it starts.",
            ),
            ("wire-list", true) | ("gaps-and-joints", _) => Some("sq.: square of the layout drawings."),
            _ => None,
        };
        if let (Some(says), Some(printed)) = (says, paper.printed.as_mut()) {
            let at = printed.iter().position(|block| matches!(block, Block::Table(_))).unwrap_or(0);
            printed.insert(at, Block::Text(says.to_owned()));
        }
        let form = if large_print { Form::LargePrint } else { Form::Print };
        let printed = paper.printed.iter_mut().flatten().map(|block| (block, form));
        for (block, form) in paper.blocks.iter_mut().map(|block| (block, Form::Screen)).chain(printed) {
            let Block::Table(table) = block else { continue };
            match table.name.as_ref() {
                "wires" => numbered(table, to, (form, form != Form::LargePrint)),
                "gaps" => numbered(table, to, (form, false)),
                "strips" => strips(table, to, form != Form::LargePrint),
                _ => {}
            }
        }
    }
}

/// In which form a table is written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Screen,
    /// On sheets, where the columns are narrow and name the square alone where a thing begins.
    Print,
    /// The same, without pages of schematics.
    LargePrint,
}

/// Adds columns to a table whose rows begin with numbers, before its boxes.
fn numbered(table: &mut Table, to: &CrossReferences, (form, page): (Form, bool)) {
    let titles = if form == Form::Screen { ["page", "square"] } else { ["p.", "sq."] };
    let boxes = |column: &TableColumn| matches!(column.set, ColumnSet::Box | ColumnSet::File);
    let at = table.columns.iter().position(boxes).unwrap_or(table.columns.len());
    let squares = !to.squares.is_empty();
    if squares {
        table.columns.insert(at, TableColumn::short(titles[1]));
    }
    if page {
        table.columns.insert(at, TableColumn::short(titles[0]));
    }
    for row in &mut table.rows {
        let number: Option<Number> = row.cells.first().and_then(|cell| cell.shown().parse().ok());
        if squares {
            let square = number.and_then(|number| to.squares.get(&number)).map(String::as_str);
            let first = |square: &str| square.split(' ').next().unwrap_or_default().to_owned();
            let square = square.map(|square| if form == Form::Screen { square.to_owned() } else { first(square) });
            row.cells.insert(at, square.map_or(Cell::Empty, Cell::words));
        }
        if page {
            let drawn = number.and_then(|number| to.schematic.get(&number));
            let cell = |(of, shown): &(String, String)| Cell::Page { of: of.clone(), shown: shown.clone() };
            row.cells.insert(at, drawn.map_or(Cell::Empty, cell));
        }
    }
}

fn strips(table: &mut Table, to: &CrossReferences, page: bool) {
    for row in &mut table.rows {
        let Some(words) = row.group.clone() else { continue };
        let squared = match to.strip_squares.get(&words) {
            Some(square) => format!("{words}, square {square}"),
            None => words.clone(),
        };
        if let Some(drawing) = to.strips.get(&words).filter(|_| page) {
            table.see.insert(squared.clone(), drawing.clone());
        }
        row.group = Some(squared);
    }
}
