//! A laid-out drawing as data: what lies where, and which thing of the circuit it is.
//!
//! Lengths are millimetres; x grows to the right, y downwards, as on a page. A frame says nothing of electricity: what a
//! layer shows is looked up by the [`circuit::EdgeId`] of a piece of rail.

pub use crate::line::Point;
use circuit::{EdgeId, NodeId, SegmentId};
use plan::Kind;
use plan::tables::RailSide;
use schedule::Number;

/// From where the layout is seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ViewSide {
    /// From above.
    #[default]
    Above,
    /// From below, by somebody who lies under it: left and right exchanged.
    Below,
}

/// A drawing, laid out.
#[derive(Clone, Debug, Default)]
pub struct Frame {
    /// The layout's name.
    pub name: String,
    /// From where it is seen.
    pub view: ViewSide,
    /// How much larger than laid out it is shown.
    pub scale: f64,
    /// How large its letters are at least, in millimetres of the sheet.
    pub letters: f64,
    /// The districts by their breakers' names; fewer than two are not shown.
    pub districts: Vec<String>,
    /// The ground under each track, tinted by its district.
    pub beds: Vec<Bed>,
    /// Pieces of rail, each once.
    pub rails: Vec<RailPiece>,
    /// What stands on rails.
    pub marks: Vec<Mark>,
    /// Where tracks end.
    pub endings: Vec<Ending>,
    /// Trackwork: where its middle lies.
    pub works: Vec<DrawnWork>,
    /// What lies under the table: runs of buses and ways of wires.
    pub runs: Vec<DrawnRun>,
    /// What is mounted under the table.
    pub devices: Vec<DrawnDevice>,
    /// The squares by which lists say where something is, where the drawing shows them.
    pub grid: Option<SquareGrid>,
    /// Words.
    pub labels: Vec<DrawnLabel>,
    /// Numbers and names for which there was no room; they are in the lists.
    pub left_out: Vec<String>,
    /// The sheets it is cut into.
    pub sheets: Vec<DrawnSheet>,
}

/// The ground of a track or route.
#[derive(Clone, Debug, PartialEq)]
pub struct Bed {
    /// Whose.
    pub segment: SegmentId,
    /// Its district, where it has one: an index into [`Frame::districts`].
    pub district: Option<usize>,
    /// Its centre line.
    pub points: Vec<Point>,
}

/// A piece of rail between two places where something is.
#[derive(Clone, Debug, PartialEq)]
pub struct RailPiece {
    /// The edge of the circuit that it is.
    pub edge: EdgeId,
    /// The segment along which it is drawn.
    pub segment: SegmentId,
    /// The rail of that segment.
    pub side: RailSide,
    /// The nodes at its ends, in the order of `points`.
    pub nodes: [NodeId; 2],
    /// Its line, along the segment.
    pub points: Vec<Point>,
}

/// What stands on a rail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkKind {
    /// An insulated gap.
    Gap,
    /// A feeder.
    Feeder,
    /// A wire from a contact or an output.
    Wire,
    /// A joint that slides.
    Sliding,
    /// A joint that is soldered.
    Soldered,
    /// A frog that a wire can feed.
    Frog,
}

/// Something at a place of a rail.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it is.
    pub kind: MarkKind,
    /// Where.
    pub at: Point,
    /// Away from the track it stands on.
    pub out: Point,
    /// Its number, where it has one.
    pub number: Option<Number>,
    /// Its edge; a gap has none.
    pub edge: Option<EdgeId>,
    /// Its nodes: both sides of a gap or joint; of all else the node of the rail, twice.
    pub nodes: [NodeId; 2],
    /// Whether it is inside trackwork, made so by its maker.
    pub inside: bool,
}

/// How a track ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EndingKind {
    /// At a stop.
    Buffer,
    /// It goes on, not on this plan.
    Beyond,
}

/// The end of a track.
#[derive(Clone, Debug, PartialEq)]
pub struct Ending {
    /// How.
    pub kind: EndingKind,
    /// Which track.
    pub track: usize,
    /// Where.
    pub at: Point,
    /// The direction out of the track.
    pub out: Point,
}

/// A piece of trackwork.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnWork {
    /// What it is.
    pub kind: Kind,
    /// Its index in the plan.
    pub index: usize,
    /// Its name.
    pub name: String,
    /// Where its middle lies.
    pub at: Point,
    /// The radius of a turntable's pit.
    pub pit: Option<f64>,
}

/// What runs under the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunKind {
    /// Both conductors of a bus, by its index.
    Bus(usize),
    /// Wires from one place to another.
    Wires,
}

/// A run under the table.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnRun {
    /// What it is.
    pub kind: RunKind,
    /// Its line, parted where words stand on it.
    pub pieces: Vec<Vec<Point>>,
}

/// Something under the table with its terminal strip.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnDevice {
    /// What it is.
    pub kind: Kind,
    /// Its index in the plan.
    pub index: usize,
    /// Its name.
    pub name: String,
    /// Where its middle is drawn.
    pub at: Point,
    /// The place it belongs to.
    pub of: Point,
    /// Its width and height.
    pub size: Point,
}

/// Squares over a whole drawing, columns by letters and rows by numbers. A mirrored drawing has the same squares at the same things.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SquareGrid {
    /// The outer corner of A1.
    pub origin: Point,
    /// How long their edges are.
    pub step: f64,
    /// Whether columns count from the right.
    pub turned: bool,
}

impl SquareGrid {
    /// The column and the row of a place, from 0.
    pub fn square(&self, at: Point) -> [usize; 2] {
        let across = if self.turned { self.origin[0] - at[0] } else { at[0] - self.origin[0] };
        [across, at[1] - self.origin[1]].map(|off| (off / self.step).floor().max(0.0) as usize)
    }

    /// The name of the square at a place: `C4`.
    pub fn name(&self, at: Point) -> String {
        let [column, row] = self.square(at);
        format!("{}{}", crate::words::letters_of(column), row + 1)
    }

    /// Left and right of a column.
    pub(crate) fn column(&self, column: usize) -> [f64; 2] {
        let [from, to] = [column, column + 1].map(|c| c as f64 * self.step);
        if self.turned {
            [self.origin[0] - to, self.origin[0] - from]
        } else {
            [self.origin[0] + from, self.origin[0] + to]
        }
    }

    /// Top and bottom of a row.
    pub(crate) fn row(&self, row: usize) -> [f64; 2] {
        [row, row + 1].map(|r| self.origin[1] + r as f64 * self.step)
    }
}

/// What words belong to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LabelOwner {
    /// A mark, by its index.
    Mark(usize),
    /// Trackwork, by its index.
    Work(usize),
    /// A track of the plan.
    Track(usize),
    /// Where a track goes beyond, by the index of its ending.
    Ending(usize),
    /// A device under the table, by its index.
    Device(usize),
    /// A run under the table, by its index.
    Run(usize),
    /// A column or row of squares, at the edge.
    Square,
}

/// Words on the drawing. They stand around the middle of their box.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnLabel {
    /// Whose they are.
    pub of: LabelOwner,
    /// The words.
    pub text: String,
    /// The height of their letters.
    pub size: f64,
    /// The middle of their box.
    pub at: Point,
    /// Width and height of their box, with room to spare in any usual face.
    pub extent: Point,
    /// A thin line to what they belong to, where that is not beside them.
    pub leader: Option<[Point; 2]>,
    /// The sheet they stand on.
    pub sheet: usize,
}

/// Left, top, right and bottom.
pub type Area = [f64; 4];

/// A sheet of the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnSheet {
    /// Its size on paper, in millimetres.
    pub size: Point,
    /// The part of the drawing it shows.
    pub window: Area,
    /// Where the drawing is cut: the same letters stand at the other side of the cut.
    pub cuts: Vec<SheetCut>,
}

/// A place where a track goes on on another sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetCut {
    /// Its letters.
    pub letters: String,
    /// Where.
    pub at: Point,
    /// Out of the sheet.
    pub out: Point,
    /// The sheet where it goes on, from 0.
    pub to: usize,
}

impl DrawnLabel {
    /// Its box.
    pub fn area(&self) -> Area {
        let [x, y] = self.at;
        let [w, h] = self.extent;
        [x - w / 2.0, y - h / 2.0, x + w / 2.0, y + h / 2.0]
    }
}

impl Frame {
    /// The same drawing seen from the other side: every place mirrored on an upright axis, so that the drawing's left
    /// edge is its right one. Words stand upright at their mirrored places.
    #[must_use]
    pub fn mirrored(&self) -> Frame {
        let mut frame = self.clone();
        let [left, right] = self
            .sheets
            .iter()
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[l, r], s| [l.min(s.window[0]), r.max(s.window[2])]);
        let sum = if left <= right { left + right } else { 0.0 };
        let place = |p: &mut Point| p[0] = sum - p[0];
        let way = |p: &mut Point| p[0] = -p[0];
        frame.view = if self.view == ViewSide::Above { ViewSide::Below } else { ViewSide::Above };
        frame.beds.iter_mut().flat_map(|b| &mut b.points).for_each(place);
        frame.rails.iter_mut().flat_map(|r| &mut r.points).for_each(place);
        for mark in &mut frame.marks {
            place(&mut mark.at);
            way(&mut mark.out);
        }
        for ending in &mut frame.endings {
            place(&mut ending.at);
            way(&mut ending.out);
        }
        frame.works.iter_mut().for_each(|w| place(&mut w.at));
        frame.runs.iter_mut().flat_map(|r| r.pieces.iter_mut().flatten()).for_each(place);
        for device in &mut frame.devices {
            place(&mut device.at);
            place(&mut device.of);
        }
        if let Some(grid) = &mut frame.grid {
            place(&mut grid.origin);
            grid.turned = !grid.turned;
        }
        for label in &mut frame.labels {
            place(&mut label.at);
            label.leader.iter_mut().flatten().for_each(place);
        }
        for sheet in &mut frame.sheets {
            let [l, t, r, b] = sheet.window;
            sheet.window = [sum - r, t, sum - l, b];
            for cut in &mut sheet.cuts {
                place(&mut cut.at);
                way(&mut cut.out);
            }
        }
        frame
    }
}

impl Frame {
    /// Exchanges up and down: layouts are worked out with y upwards, and drawn with y downwards.
    pub(crate) fn flip_y(&mut self) {
        let flip = |p: &mut Point| p[1] = 0.0 - p[1];
        self.beds.iter_mut().flat_map(|b| &mut b.points).for_each(flip);
        self.rails.iter_mut().flat_map(|r| &mut r.points).for_each(flip);
        self.marks.iter_mut().for_each(|m| [&mut m.at, &mut m.out].into_iter().for_each(flip));
        self.endings.iter_mut().for_each(|e| [&mut e.at, &mut e.out].into_iter().for_each(flip));
        self.works.iter_mut().for_each(|w| flip(&mut w.at));
    }
}
