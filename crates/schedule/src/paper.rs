//! A paper as data: headings, words, cautions, tables and drawings. It knows no page and no file format; the renderers
//! (binder, web page, CSV, workbook) know no wire.

use std::borrow::Cow;
use std::collections::BTreeMap;

/// One paper of the binder.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// Its name in file names and links, in kebab-case: `wire-list`.
    pub name: Cow<'static, str>,
    /// Its title: `Wire list`.
    pub title: String,
    /// What stands on it, in order: as it is read on a screen, and what the files of tables hold.
    pub blocks: Vec<Block>,
    /// The same set for print, where that is denser: rows that are alike drawn together, what a band above them says left out
    /// of them. Whatever must be built stands in both.
    pub printed: Option<Vec<Block>>,
    /// Whether it is printed in a booklet of its own, and not in the binder.
    pub apart: bool,
}

impl Paper {
    /// A paper that is printed as it is read on a screen.
    pub fn new(name: impl Into<Cow<'static, str>>, title: impl Into<String>, blocks: Vec<Block>) -> Paper {
        Paper { name: name.into(), title: title.into(), blocks, printed: None, apart: false }
    }

    /// The same with another setting for print.
    pub fn with_print(self, blocks: Vec<Block>) -> Paper {
        Paper { printed: Some(blocks), ..self }
    }

    /// The same in a booklet of its own.
    pub fn apart(self) -> Paper {
        Paper { apart: true, ..self }
    }

    /// What stands on its printed sheets.
    pub fn on_sheets(&self) -> &[Block] {
        self.printed.as_deref().unwrap_or(&self.blocks)
    }

    /// Whether anything of it is printed in the binder: a sheet that says only that nothing is on it is none.
    pub fn is_printed(&self) -> bool {
        if self.apart {
            return false;
        }
        let blocks = self.on_sheets();
        let holds = |block: &Block| match block {
            Block::Table(table) => !table.rows.is_empty() && !table.on_pages().is_empty(),
            Block::Labels(labels) => !labels.is_empty(),
            Block::Drawing(_) | Block::Template(_) | Block::Caution(_) => true,
            Block::Heading(_) | Block::Text(_) | Block::See(_) | Block::NewPage => false,
        };
        let only_words = !blocks.is_empty() && blocks.iter().all(|b| matches!(b, Block::Heading(_) | Block::Text(_)));
        only_words || blocks.iter().any(holds)
    }

    /// Its tables.
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        self.blocks.iter().filter_map(|block| if let Block::Table(table) = block { Some(table) } else { None })
    }
}

/// A piece of a paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading inside the paper.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A caution, shown where it belongs and never left out.
    Caution(String),
    /// A table.
    Table(Table),
    /// A drawing, scaled to the page's width where it is wider, never otherwise.
    Drawing(Drawing),
    /// A drawing at true size. It stands on a page of its own with a check ruler, and is never scaled.
    Template(Drawing),
    /// Where else there is something about it: words, and the name of the paper or drawing whose page is told behind them.
    See(Vec<(String, String)>),
    /// Labels to cut out.
    Labels(Vec<Label>),
    /// What follows starts on a new page.
    NewPage,
}

/// A table. Its rows all have as many cells as there are columns.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Its name in file names, in kebab-case; unlike that of every other table of the plan's papers.
    pub name: Cow<'static, str>,
    /// What it is about, where the heading before it does not say.
    pub caption: Option<String>,
    /// Its columns.
    pub columns: Vec<TableColumn>,
    /// Its rows.
    pub rows: Vec<TableRow>,
    /// Of groups the name of the drawing that shows them, whose page is told beside the group's words.
    pub see: BTreeMap<String, String>,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct TableColumn {
    /// Its title on paper: `cut`.
    pub title: Cow<'static, str>,
    /// The unit of its numbers, where it holds numbers: `mm`.
    pub unit: Option<Cow<'static, str>>,
    /// How its cells are set.
    pub set: ColumnSet,
}

/// How the cells of a column are set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnSet {
    /// Words, from the left; they wrap.
    Words,
    /// Short words that do not wrap, such as the numbers of wires.
    Short,
    /// Numbers, to the right.
    Number,
    /// A box to tick, or to write a reading into.
    Box,
    /// Words for programs, such as the name a reading is kept by: in the files of tables, not on pages. Such columns stand behind
    /// all others.
    File,
}

/// A row of a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TableRow {
    /// The group it belongs to, where the table has groups; rows of a group stand together, under its words.
    pub group: Option<String>,
    /// Its cells.
    pub cells: Vec<Cell>,
}

/// A cell of a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Cell {
    /// Nothing is to be said.
    #[default]
    Empty,
    /// Words.
    Words(String),
    /// A number in its column's unit, and as it is shown.
    Number {
        /// Its value.
        value: f64,
        /// How it is shown, without the unit.
        shown: String,
    },
    /// A wire's colour: always as a word, and as a swatch where the form can show one.
    Colour {
        /// The word.
        word: String,
        /// Red, green, blue.
        rgb: [u8; 3],
    },
    /// A box to tick or to write into.
    Box,
    /// The page of a drawing; where there are no pages, what the drawing is called.
    Page {
        /// The drawing, by its name.
        of: String,
        /// What it is called: `sheet 2`.
        shown: String,
    },
}

/// A drawing as SVG text, with its size on paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Its name in file names, in kebab-case.
    pub name: String,
    /// What it shows, for who cannot see it and for the line under it.
    pub caption: String,
    /// The SVG, whose `width` and `height` are in millimetres.
    pub svg: String,
    /// Its width and height on paper, in millimetres.
    pub size: [f64; 2],
    /// The same in two parts, for who sets words faster than a renderer of SVG does.
    pub parts: Option<DrawingParts>,
    /// Left, top, right and bottom in millimetres of what must stand whole on one sheet where the drawing takes several.
    pub whole: Option<[f64; 4]>,
}

/// A drawing and its words apart from each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrawingParts {
    /// The SVG without its words.
    pub bare: String,
    /// Its words, which stand above all else.
    pub letters: Vec<Letters>,
    /// Where the numbers of things stand on it, which lead to their rows.
    pub links: Vec<DrawnLink>,
}

/// The number of a thing on a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnLink {
    /// Left, top, right and bottom in millimetres of the drawing.
    pub area: [f64; 4],
    /// The number: `W-12`.
    pub number: String,
}

/// One line of words on a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Letters {
    /// Where the line they stand on starts, or has its middle, in millimetres from the left and the top of the drawing.
    pub at: [f64; 2],
    /// Whether that place is the middle.
    pub middle: bool,
    /// The size of type in millimetres.
    pub size: f64,
    /// Whether they are bold.
    pub bold: bool,
    /// What they say.
    pub text: String,
}

/// A label for one end of a wire, or for a strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// What stands large on it: `F-12`.
    pub number: String,
    /// What stands small under it: `dock 1 left @ 400 mm`.
    pub says: String,
}

impl Table {
    /// A table without rows.
    pub fn new(name: impl Into<Cow<'static, str>>, columns: Vec<TableColumn>) -> Table {
        Table { name: name.into(), caption: None, columns, rows: Vec::new(), see: BTreeMap::new() }
    }

    /// Adds a row; `group` as in [`TableRow`].
    ///
    /// # Panics
    /// When it has not as many cells as there are columns: that is our fault.
    pub fn push(&mut self, group: Option<String>, cells: Vec<Cell>) {
        assert_eq!(cells.len(), self.columns.len(), "cells of table {}", self.name);
        self.rows.push(TableRow { group, cells });
    }

    /// The columns that stand on pages.
    pub fn on_pages(&self) -> &[TableColumn] {
        let shown = self.columns.iter().take_while(|column| column.set != ColumnSet::File).count();
        &self.columns[..shown]
    }
}

impl TableColumn {
    /// A column of words.
    pub fn words(title: &'static str) -> TableColumn {
        TableColumn { title: title.into(), unit: None, set: ColumnSet::Words }
    }

    /// A column of short words.
    pub fn short(title: &'static str) -> TableColumn {
        TableColumn { title: title.into(), unit: None, set: ColumnSet::Short }
    }

    /// A column of numbers in a unit.
    pub fn number(title: &'static str, unit: &'static str) -> TableColumn {
        TableColumn { title: title.into(), unit: Some(unit.into()), set: ColumnSet::Number }
    }

    /// A column of words that stand in the files of tables only.
    pub fn of_files(title: &'static str) -> TableColumn {
        TableColumn { title: title.into(), unit: None, set: ColumnSet::File }
    }

    /// A column of boxes.
    pub fn boxes(title: &'static str) -> TableColumn {
        TableColumn { title: title.into(), unit: None, set: ColumnSet::Box }
    }
}

impl Cell {
    /// Words.
    pub fn words(text: impl Into<String>) -> Cell {
        Cell::Words(text.into())
    }

    /// What stands in it, in words.
    pub fn shown(&self) -> &str {
        match self {
            Cell::Empty | Cell::Box => "",
            Cell::Words(text)
            | Cell::Number { shown: text, .. }
            | Cell::Colour { word: text, .. }
            | Cell::Page { shown: text, .. } => text,
        }
    }
}
