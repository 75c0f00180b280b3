//! A schematic as data: symbols with their pins, the lines between them, the words beside them; each with the node or the edges of the
//! circuit that it is, so that the net list can be read back off the drawing.

use crate::frame::{Area, Point};
use circuit::{EdgeId, NodeId};
use plan::Kind;
use schedule::Number;

/// A sheet of schematics. Lengths are millimetres, y downwards.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SchematicSheet {
    /// Its size.
    pub size: Point,
    /// How large its letters are, millimetres.
    pub letters: f64,
    /// What is drawn on it.
    pub blocks: Vec<SchematicBlock>,
    /// The symbols.
    pub symbols: Vec<Symbol>,
    /// The lines.
    pub lines: Vec<Conductor>,
    /// Where a line ends at words that name what it is joined to.
    pub ends: Vec<NamedEnd>,
    /// Where lines are joined: a dot.
    pub dots: Vec<Junction>,
    /// The words.
    pub words: Vec<SchematicWords>,
}

/// What a part of a schematic shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SchematicOwner {
    /// A bus with what feeds it and all that taps it.
    Bus(usize),
    /// Contacts that are joined with each other, by their place in the list of such trees.
    Tree(usize),
    /// A motor, relay, toggle, driver, reverser or detector with its wires.
    Device(Kind, usize),
    /// Wires that belong to none of these.
    Others,
}

/// A part of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SchematicBlock {
    /// What it shows; a long one has several parts.
    pub of: SchematicOwner,
    /// Where.
    pub area: Area,
    /// Its title.
    pub title: String,
}

/// The symbols, after IEC 60617: contact (07-02-01), change-over contact (07-02-04), coil (07-15-01), circuit-breaker (07-13-05), diode
/// (05-03-01), motor and source as circles with a letter (06-04-01). Drawn from memory of the standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SymbolKind {
    /// A contact: its first pin is the common, the others its throws; drawn on the throw at this pin.
    Contact {
        /// The pin of the throw on which it rests.
        rests: usize,
    },
    /// A motor: a circle with an M.
    Motor,
    /// The coil of a relay.
    Coil,
    /// The same with a diode at its first pin, its band to the coil.
    CoilBehindDiode,
    /// A supply: a circle with a G.
    Source,
    /// The same with a circuit-breaker in its first pin.
    SourceWithBreaker,
    /// A pole of a circuit-breaker.
    Breaker,
    /// Whatever has its inside elsewhere: a box.
    Device,
    /// Diodes that keep some volts, as in a detector.
    Diode,
    /// A resistor.
    Resistor,
}

/// A symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct Symbol {
    /// What it is.
    pub kind: SymbolKind,
    /// Where it lies, pins included.
    pub area: Area,
    /// Its pins.
    pub pins: Vec<Pin>,
    /// The edges of the circuit that are inside it.
    pub edges: Vec<EdgeId>,
    /// The block it is of.
    pub block: usize,
}

/// A pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pin {
    /// The node of the circuit that it is.
    pub node: NodeId,
    /// Where a line is joined to it.
    pub at: Point,
}

/// A line.
#[derive(Clone, Debug, PartialEq)]
pub struct Conductor {
    /// The number of the wire that it is; none of a line that only joins what is one point of the circuit.
    pub number: Option<Number>,
    /// The edges of the circuit that it is, in order from its first end to its last; none of a line within one node.
    pub edges: Vec<EdgeId>,
    /// Its corners.
    pub points: Vec<Point>,
    /// The block it is of.
    pub block: usize,
}

/// The end of a line at words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NamedEnd {
    /// The node that the words name.
    pub node: NodeId,
    /// Where the line ends.
    pub at: Point,
}

/// A dot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Junction {
    /// The node.
    pub node: NodeId,
    /// Where.
    pub at: Point,
}

/// Words on a schematic.
#[derive(Clone, Debug, PartialEq)]
pub struct SchematicWords {
    /// Where their base line starts.
    pub at: Point,
    /// What they say.
    pub text: String,
    /// Whether they are a title.
    pub bold: bool,
    /// The wire whose number they are.
    pub number: Option<Number>,
    /// How wide they are at most, millimetres.
    pub width: f64,
}

/// How far letters reach above and below their base line, as a part of their size.
pub(crate) const REACH: [f64; 2] = [0.8, 0.24];

impl SchematicWords {
    /// What they cover, in letters of a size.
    pub fn area(&self, letters: f64) -> Area {
        let [x, y] = self.at;
        [x, y - REACH[0] * letters, x + self.width, y + REACH[1] * letters]
    }
}

impl SchematicSheet {
    /// Puts what is drawn on another sheet onto this one, moved.
    pub(crate) fn take(&mut self, other: SchematicSheet, [dx, dy]: Point) {
        let moved = |p: Point| [p[0] + dx, p[1] + dy];
        let area = |a: Area| [a[0] + dx, a[1] + dy, a[2] + dx, a[3] + dy];
        let first = self.blocks.len();
        self.blocks.extend(other.blocks.into_iter().map(|b| SchematicBlock { area: area(b.area), ..b }));
        for mut symbol in other.symbols {
            symbol.area = area(symbol.area);
            symbol.block += first;
            symbol.pins.iter_mut().for_each(|pin| pin.at = moved(pin.at));
            self.symbols.push(symbol);
        }
        for mut line in other.lines {
            line.block += first;
            line.points.iter_mut().for_each(|p| *p = moved(*p));
            self.lines.push(line);
        }
        self.ends.extend(other.ends.into_iter().map(|e| NamedEnd { at: moved(e.at), ..e }));
        self.dots.extend(other.dots.into_iter().map(|d| Junction { at: moved(d.at), ..d }));
        self.words.extend(other.words.into_iter().map(|w| SchematicWords { at: moved(w.at), ..w }));
    }
}
