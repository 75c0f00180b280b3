//! Schematics: each bus with what feeds it and taps it, the contact trees, each motor with its driver, contacts and frog, every wire with
//! its number. Several stand on a sheet.
//!
//! ```text
//! wires by nodes ─▶ parts, one below the other ─▶ columns of sheets = SchematicSheet ─▶ SVG
//! nets              bus, tree, device: draft      here                                  svg
//! ```
//!
//! Lines know which edges of the circuit they are and pins which node, so that the net list is read back off the drawing (a test).

mod bus;
mod device;
mod draft;
mod nets;
mod sheet;
mod svg;
mod tree;

pub use sheet::{
    Conductor, Junction, NamedEnd, Pin, SchematicBlock, SchematicOwner, SchematicSheet, SchematicWords, Symbol,
    SymbolKind,
};
pub use svg::schematic_svg;

use crate::LETTERS;
use crate::frame::Point;
use circuit::EdgeId;
use nets::Nets;
use plan::Kind;
use schedule::Job;
use std::collections::BTreeSet;

/// What is free between two columns, in letters.
const GUTTER: f64 = 2.0;
/// What is free below a part, in letters.
const BELOW: f64 = 0.7;
/// The narrowest column that can be read, in letters; where a sheet is narrower it has one column all the same.
const NARROWEST: f64 = 44.0;
/// No part starts where less than this share of a column is left.
const LEAST_LEFT: f64 = 0.2;

/// The contacts of each contact tree, in the order of their numbers: motor, relay or toggle, which one, which of its contacts.
pub fn contact_trees(job: &Job<'_>) -> Vec<Vec<(Kind, usize, usize)>> {
    let nets = Nets::new(job);
    tree::trees(&nets).iter().map(|tree| tree.contacts().map(|at| nets.contacts[at].id).collect()).collect()
}

/// The schematics of a plan on sheets of at most so many millimetres by so many.
pub fn schematics(job: &Job<'_>, size: Point) -> Vec<SchematicSheet> {
    let nets = Nets::new(job);
    let em = LETTERS[usize::from(job.choices.large_print)];
    let columns = ((size[0] + GUTTER * em) / ((NARROWEST + GUTTER) * em)).floor().max(1.0);
    let width = (size[0] - (columns - 1.0) * GUTTER * em) / columns;
    let mut packing = Packing { sheets: Vec::new(), size, columns: columns as usize, width, em, filled: Vec::new() };
    let with = (em, width);
    for bus in 0..nets.plan.bus.len() {
        packing.put(|room| bus::drawn(&nets, bus, with, room));
    }
    let trees = tree::trees(&nets);
    for (index, tree) in trees.iter().enumerate() {
        packing.put(|room| tree.drawn(&nets, index, with, room));
    }
    let plan = nets.plan;
    let devices = [
        (Kind::Motor, plan.motor.len()),
        (Kind::Relay, plan.relay.len()),
        (Kind::Toggle, plan.toggle.len()),
        (Kind::Driver, plan.driver.len()),
        (Kind::Reverser, plan.reverser.len()),
        (Kind::Detector, plan.detector.len()),
    ];
    for (kind, count) in devices {
        for index in 0..count {
            packing.put(|room| device::drawn(&nets, &trees, (kind, index), (with, room)));
        }
    }
    let lines = packing.sheets.iter().flat_map(|sheet| &sheet.lines);
    let drawn: BTreeSet<EdgeId> = lines.flat_map(|line| line.edges.iter().copied()).collect();
    packing.put(|room| device::others(&nets, &drawn, with, room));
    packing.done()
}

/// Parts in columns of sheets.
struct Packing {
    sheets: Vec<SchematicSheet>,
    size: Point,
    /// How many columns a sheet has, and how wide they are.
    columns: usize,
    width: f64,
    em: f64,
    /// How far down each column is filled, those of all sheets one after the other.
    filled: Vec<f64>,
}

impl Packing {
    /// Puts something that is drawn in parts where there is room: whole into the first column that has enough (first fit), or where it is
    /// longer than a column, into what is left of the last one and on into new ones.
    fn put(&mut self, drawn: impl Fn([f64; 2]) -> Vec<SchematicSheet>) {
        let whole = self.size[1];
        let mut parts = drawn([whole, whole]);
        if parts.len() == 1 {
            let high = parts[0].size[1];
            let column = self.filled.iter().position(|filled| filled + high <= whole + 1e-6);
            self.place(parts.remove(0), column);
            return;
        }
        let left = self.filled.last().map_or(0.0, |filled| whole - filled);
        if left > LEAST_LEFT * whole {
            parts = drawn([left, whole]);
        }
        for part in parts {
            let last = self.filled.len().checked_sub(1);
            let column = last.filter(|&last| self.filled[last] + part.size[1] <= whole + 1e-6);
            self.place(part, column);
        }
    }

    /// Puts a part at the foot of a column, or into a new one.
    fn place(&mut self, part: SchematicSheet, column: Option<usize>) {
        let column = column.unwrap_or_else(|| {
            self.filled.push(0.0);
            self.filled.len() - 1
        });
        let sheet = column / self.columns;
        if sheet >= self.sheets.len() {
            let empty = SchematicSheet { letters: self.em, size: self.size, ..SchematicSheet::default() };
            self.sheets.push(empty);
        }
        let x = (column % self.columns) as f64 * (self.width + GUTTER * self.em);
        let high = part.size[1];
        self.sheets[sheet].take(part, [x, self.filled[column]]);
        self.filled[column] += high + BELOW * self.em;
    }

    /// The sheets, the last no higher than it has to be.
    fn done(mut self) -> Vec<SchematicSheet> {
        if let Some(last) = self.sheets.last_mut() {
            let bottom = last.blocks.iter().map(|block| block.area[3]).fold(0.0, f64::max);
            last.size[1] = (bottom + 1.0).min(self.size[1]);
        }
        self.sheets
    }
}

impl SchematicSheet {
    /// What it shows, in a line: the titles of its first and last part.
    pub fn caption(&self) -> String {
        let words = |block: &SchematicBlock| block.title.split([',', ':', ';']).next().unwrap_or_default().to_owned();
        match (self.blocks.first(), self.blocks.last()) {
            (Some(first), Some(last)) if self.blocks.len() > 1 => format!("{} to {}", words(first), words(last)),
            (Some(only), _) => words(only),
            _ => String::new(),
        }
    }
}
