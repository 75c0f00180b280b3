//! Papers laid out on sheets: boxes, lines and words at places in millimetres, from the left and the top of the sheet.
//!
//! Nothing here knows a file format; nothing here draws. What stands where is decided once, and every word is given the
//! area it must stay in, so that a test can ask whether it does.

mod blocks;
mod columns;
mod flow;
mod front;
mod headers;
mod labels;
mod narrow;
mod references;
mod ruler;
mod setting;
mod structure;
mod table;
mod template;
mod whole;

pub use structure::{Element, ElementKind};
pub use whole::lay_out;

use crate::fonts::Face;
use schedule::PageSize;
use schedule::paper::DrawingParts;
use std::collections::BTreeMap;

/// A rectangle on a sheet, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Its left edge.
    pub left: f64,
    /// Its upper edge.
    pub top: f64,
    /// Its right edge.
    pub right: f64,
    /// Its lower edge.
    pub bottom: f64,
}

impl Area {
    /// By its corner and its size.
    pub fn at([left, top]: [f64; 2], [width, height]: [f64; 2]) -> Area {
        Area { left, top, right: left + width, bottom: top + height }
    }

    /// Its width.
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Its height.
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Whether another lies in it, a hundredth of a millimetre forgiven.
    pub fn holds(&self, other: &Area) -> bool {
        let near = 0.01;
        other.left >= self.left - near
            && other.top >= self.top - near
            && other.right <= self.right + near
            && other.bottom <= self.bottom + near
    }
}

/// Where a link leads.
#[derive(Clone, Debug, PartialEq)]
pub enum Target {
    /// To the start of a paper, by its index.
    Paper(usize),
    /// To the row of a table that tells of the thing with this number.
    Thing(String),
    /// To the paper or drawing of this name. The words before such a link are the number of its page.
    Named(String),
}

/// Something on a sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetItem {
    /// Words on one line.
    Words {
        /// Where the line they stand on starts.
        at: [f64; 2],
        /// Their size in points.
        size: f64,
        /// Their face.
        face: Face,
        /// What they say.
        text: String,
        /// How light they are: 0 is black.
        grey: u8,
        /// What they must not leave.
        within: Area,
        /// The element they are of, by its index; none of what only decorates a sheet.
        of: Option<usize>,
    },
    /// A straight line.
    Line {
        /// One end.
        from: [f64; 2],
        /// The other.
        to: [f64; 2],
        /// How thick it is.
        width: f64,
        /// How light it is: 0 is black.
        grey: u8,
        /// Whether it is broken.
        dashed: bool,
    },
    /// A rectangle.
    Box {
        /// Where.
        area: Area,
        /// How thick its edge is, where it has one; the edge runs on the inside.
        edge: Option<f64>,
        /// What fills it.
        fill: Option<[u8; 3]>,
        /// The element it is of, where something is ticked or written there.
        of: Option<usize>,
    },
    /// A drawing, or a part of it.
    Drawing {
        /// Its index among the drawings of the layout.
        index: usize,
        /// Where its corner would be.
        at: [f64; 2],
        /// Its whole size on paper.
        size: [f64; 2],
        /// The part of the sheet in which it is shown.
        clip: Area,
        /// The element it is of.
        of: Option<usize>,
    },
    /// An area that leads elsewhere when it is touched on a screen.
    Link {
        /// Where.
        area: Area,
        /// Where to.
        to: Target,
        /// The element it is of.
        of: Option<usize>,
    },
}

/// A sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidSheet {
    /// Width and height, millimetres.
    pub size: [f64; 2],
    /// The papers that stand on it, by their indices, in order; none on the front.
    pub papers: Vec<usize>,
    /// What stands on it.
    pub items: Vec<SheetItem>,
}

/// A place that outlines and links lead to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrintedPlace {
    /// The index of its sheet.
    pub sheet: usize,
    /// How far down, millimetres.
    pub y: f64,
}

/// A heading of the outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Heading {
    /// What it says.
    pub words: String,
    /// Whether it is a paper's title, not a heading inside one.
    pub title: bool,
    /// Where it stands.
    pub place: PrintedPlace,
}

/// Sheets, and what leads to where on them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layout {
    /// The sheets, in order.
    pub sheets: Vec<LaidSheet>,
    /// The drawings on them: SVG texts, without those words that are set apart.
    pub drawings: Vec<DrawingParts>,
    /// The outline.
    pub headings: Vec<Heading>,
    /// Where the row of each numbered thing is.
    pub things: BTreeMap<String, PrintedPlace>,
    /// Where the papers and drawings of these names are.
    pub named: BTreeMap<String, PrintedPlace>,
    /// What is what.
    pub elements: Vec<Element>,
    /// Where each paper that is printed starts, by its index.
    pub papers: BTreeMap<usize, PrintedPlace>,
}

/// Sizes of type in points, and what follows from them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Type {
    /// Paragraphs.
    pub body: f64,
    /// Tables.
    pub table: f64,
    /// Headings inside a paper.
    pub heading: f64,
    /// Titles of papers.
    pub title: f64,
    /// Headers, footers, captions.
    pub small: f64,
    /// Edge of a box to tick, millimetres.
    pub tick: f64,
    /// Whether it is large print.
    pub large: bool,
}

impl Type {
    /// Usual, or large print: nothing smaller than 14 points (common practice for large and clear print, no source). Usual print
    /// has 9 points in tables and nothing smaller than [`SMALLEST`].
    pub fn new(large_print: bool) -> Type {
        if large_print {
            Type { body: 14.0, table: 14.0, heading: 16.0, title: 20.0, small: 14.0, tick: 5.4, large: true }
        } else {
            Type { body: 9.0, table: 9.0, heading: 11.0, title: 14.0, small: 8.0, tick: 3.4, large: false }
        }
    }
}

/// The smallest letters there are on any sheet in usual print, and in large print, in points.
pub const SMALLEST: [f64; 2] = [8.0, 14.0];
/// How far apart lines are, as a part of the size.
pub const LEADING: f64 = 1.17;
/// The margin at the edge that is punched: ISO 838 has the middle of its holes, 6 mm wide, 12 mm from the edge.
const BINDING: f64 = 20.0;
/// The other margins.
const MARGIN: f64 = 10.0;
/// What the foot of a sheet takes.
const FOOT: f64 = 7.0;

/// The size of a sheet, and the area of it that papers fill below their header. An upright sheet is punched at its left; one
/// that lies, turned into the binder, at its top.
pub fn frame(page: PageSize, lying: bool, header: f64) -> ([f64; 2], Area) {
    let [width, height] = page.millimetres();
    if lying {
        let body = Area { left: MARGIN, top: BINDING + header, right: height - MARGIN, bottom: width - MARGIN - FOOT };
        ([height, width], body)
    } else {
        let body = Area { left: BINDING, top: MARGIN + header, right: width - MARGIN, bottom: height - MARGIN - FOOT };
        ([width, height], body)
    }
}

/// The title of a column with the unit of its numbers: `cut (mm)`.
pub fn header_words(column: &schedule::paper::TableColumn) -> String {
    columns::header(column)
}
