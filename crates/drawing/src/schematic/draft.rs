//! One part of a schematic while it is drawn: rows of wires from a symbol in the middle to words at the left and the right.

use super::nets::{DrawnContact, Nets};
use super::sheet::{
    Conductor, Junction, NamedEnd, Pin, SchematicBlock, SchematicOwner, SchematicSheet, SchematicWords, Symbol,
    SymbolKind,
};
use crate::frame::Point;
use crate::words;
use circuit::{EdgeId, NodeId};
use schedule::Number;

/// From row to row, in letters.
pub(crate) const PITCH: f64 = 1.42;
/// How high a title is, in letters.
pub(crate) const TITLE: f64 = 1.7;
/// The width of a symbol, in letters.
const SYMBOL: f64 = 4.4;
/// Between one symbol and the next below it, in rows.
const BETWEEN: f64 = 0.35;
/// How far above its line the base of a wire's number stands, in letters.
const LIFT: f64 = 0.32;
/// How far left of its common a link from above comes down, with what is free beside it, in letters.
const ASIDE: f64 = 1.1;
/// How far below the middle of a row its base line is, in letters.
const MIDDLE: f64 = 0.36;

/// What is free beside the words of a wire and what it leads to, at the left and at the right, stubs of pins included, in letters.
const FREE: [f64; 2] = [3.3, 2.3];

/// To which side of a symbol wires go.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum WireSide {
    Left,
    Right,
}

impl WireSide {
    /// Away from the symbol.
    pub(crate) fn out(self) -> f64 {
        if self == WireSide::Left { -1.0 } else { 1.0 }
    }
}

/// A wire that is drawn from a pin: which one, which of its ends is here, and the word of the terminal.
#[derive(Clone)]
pub(crate) struct Drop {
    pub(crate) wire: usize,
    pub(crate) end: usize,
    pub(crate) word: String,
}

/// Where the pins of a contact lie.
pub(crate) struct PlacedContact {
    pub(crate) common: Point,
    pub(crate) throws: Vec<Point>,
}

/// A part of a schematic.
pub(crate) struct Draft<'n, 'j> {
    pub(crate) nets: &'n Nets<'j>,
    pub(crate) sheet: SchematicSheet,
    /// The size of its letters.
    pub(crate) em: f64,
    /// Left edge, both sides of the symbols, right edge.
    pub(crate) x: [f64; 4],
    /// How far down it is filled.
    pub(crate) y: f64,
    /// How far down the line to the next contact leads across.
    pub(crate) link_row: f64,
    /// How wide the widest words above the wires are, at the left and at the right of what is being drawn: what the wires lead to stands
    /// behind that, so that rows of different widths keep apart.
    pub(crate) over: [f64; 2],
}

impl<'n, 'j> Draft<'n, 'j> {
    pub(crate) fn new(nets: &'n Nets<'j>, of: SchematicOwner, title: &str, (em, width): (f64, f64)) -> Draft<'n, 'j> {
        // Words of throws stand at the right, so that there is more room.
        let left = (width - SYMBOL * em) * 0.45;
        let x = [0.0, left, left + SYMBOL * em, width];
        let sheet = SchematicSheet { letters: em, ..SchematicSheet::default() };
        let mut draft = Draft { nets, sheet, em, x, y: 0.0, link_row: 0.0, over: [0.0; 2] };
        draft.sheet.blocks.push(SchematicBlock { of, area: [0.0, 0.0, width, 0.0], title: title.to_owned() });
        for line in wrapped(title, (em, true), width) {
            draft.y += TITLE * em;
            draft.words([0.0, draft.y - 0.5 * em], &line, true, None);
        }
        draft
    }

    pub(crate) fn pitch(&self) -> f64 {
        PITCH * self.em
    }

    /// What was drawn, with its height.
    pub(crate) fn done(mut self) -> SchematicSheet {
        let lowest = self.sheet.words.iter().map(|words| words.area(self.em)[3]).fold(self.y + 0.3 * self.em, f64::max);
        if let Some(block) = self.sheet.blocks.first_mut() {
            block.area[3] = lowest;
        }
        self.sheet.size = [self.x[3], lowest];
        self.sheet
    }

    /// Words from a place on; their width.
    pub(crate) fn words(&mut self, at: Point, text: &str, bold: bool, number: Option<Number>) -> f64 {
        let width = measured(text, self.em, bold);
        self.sheet.words.push(SchematicWords { at, text: text.to_owned(), bold, number, width });
        width
    }

    pub(crate) fn line(&mut self, number: Option<Number>, edges: &[EdgeId], points: &[Point]) {
        let line = Conductor { number, edges: edges.to_vec(), points: points.to_vec(), block: 0 };
        self.sheet.lines.push(line);
    }

    /// A line within one node.
    pub(crate) fn link(&mut self, points: &[Point]) {
        self.line(None, &[], points);
    }

    pub(crate) fn dot(&mut self, node: NodeId, at: Point) {
        self.sheet.dots.push(Junction { node, at });
    }

    pub(crate) fn symbol(&mut self, kind: SymbolKind, pins: Vec<Pin>, edges: Vec<EdgeId>) {
        let around = |i: usize| {
            let of = pins.iter().map(|pin| pin.at[i]);
            of.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], v| [low.min(v), high.max(v)])
        };
        let ([l, r], [t, b]) = (around(0), around(1));
        let aside = 0.7 * self.em;
        let (l, r) = if kind == SymbolKind::Breaker {
            (l - aside, r + aside)
        } else if l < r {
            (l, r)
        } else {
            (l.min(self.x[1]), r.max(self.x[2]))
        };
        let round = matches!(kind, SymbolKind::Motor | SymbolKind::Source | SymbolKind::SourceWithBreaker);
        let more = if round {
            1.1
        } else if matches!(kind, SymbolKind::Contact { .. } | SymbolKind::Breaker) {
            0.25
        } else {
            0.7
        } * self.em;
        self.sheet.symbols.push(Symbol { kind, area: [l, t - more, r, b + more], pins, edges, block: 0 });
    }

    /// All wires at a node, but one of them, for a pin with this word.
    pub(crate) fn drops(&self, node: NodeId, word: &str, but: &[usize]) -> Vec<Drop> {
        let all = self.nets.wires_at(node).iter().filter(|(wire, _)| !but.contains(wire));
        all.map(|&(wire, end)| Drop { wire, end, word: word.to_owned() }).collect()
    }

    /// Draws the wires of a pin away from the symbol, one below the other; how many rows they take. Where `last`, the pin is at the last of
    /// them and the others stand above it.
    pub(crate) fn pin(&mut self, side: WireSide, node: NodeId, at: Point, drops: &[Drop]) -> usize {
        let (em, pitch) = (self.em, self.pitch());
        let spine = at[0] + side.out() * if drops.len() > 1 { 0.9 * em } else { 0.0 };
        let mut rows = 0;
        for (count, drop) in drops.iter().enumerate() {
            let y = at[1] + rows as f64 * pitch;
            if count > 0 {
                let above = y - self.far_rows(side, &drops[count - 1]) as f64 * pitch;
                self.link(&[[spine, above], [spine, y]]);
            }
            if drops.len() > 1 && count + 1 < drops.len() {
                self.dot(node, [spine, y]);
            }
            rows += self.wire_row(side, [spine, y], drop);
        }
        if drops.len() > 1 {
            self.link(&[at, [spine, at[1]]]);
        }
        rows
    }

    /// The words above a wire.
    fn label(&self, drop: &Drop) -> String {
        let wire = &self.nets.wires[drop.wire];
        if drop.word.is_empty() { wire.label.clone() } else { format!("{} · {}", drop.word, wire.label) }
    }

    /// Makes room for the words above these wires.
    pub(crate) fn make_room<'d>(&mut self, side: WireSide, drops: impl IntoIterator<Item = &'d Drop>) {
        let widest = drops.into_iter().map(|drop| measured(&self.label(drop), self.em, false)).fold(0.0, f64::max);
        self.over[usize::from(side == WireSide::Right)] = widest;
    }

    /// Where a wire leads, in lines that have room beside the labels.
    fn far_lines(&self, side: WireSide, drop: &Drop) -> Vec<String> {
        let wire = &self.nets.wires[drop.wire];
        let right = usize::from(side == WireSide::Right);
        let whole = [self.x[1] - self.x[0], self.x[3] - self.x[2]][right];
        let room = (whole - self.over[right] - FREE[right] * self.em).max(5.0 * self.em);
        wrapped(&wire.words[1 - drop.end], (self.em, false), room)
    }

    /// How many rows a wire takes.
    pub(crate) fn far_rows(&self, side: WireSide, drop: &Drop) -> usize {
        self.far_lines(side, drop).len()
    }

    /// A wire from a place to words that say where it leads; how many rows it takes.
    pub(crate) fn wire_row(&mut self, side: WireSide, from: Point, drop: &Drop) -> usize {
        let em = self.em;
        let label = self.label(drop);
        let lines = self.far_lines(side, drop);
        let wide = lines.iter().map(|line| measured(line, em, false)).fold(0.0, f64::max);
        let over = measured(&label, em, false);
        let (number, edges, node) = {
            let wire = &self.nets.wires[drop.wire];
            (wire.number, wire.edges.clone(), wire.nodes[1 - drop.end])
        };
        let far = match side {
            WireSide::Left => self.x[0] + wide + 0.4 * em,
            WireSide::Right => from[0].max(self.x[2] + 0.9 * em) + self.over[1] + 0.9 * em,
        };
        let above = match side {
            WireSide::Left => from[0] - over - 0.4 * em,
            WireSide::Right => from[0] + 0.4 * em,
        };
        self.words([above, from[1] - LIFT * em], &label, false, Some(number));
        let mut edges = edges;
        if drop.end == 1 {
            edges.reverse();
        }
        self.line(Some(number), &edges, &[from, [far, from[1]]]);
        self.sheet.ends.push(NamedEnd { node, at: [far, from[1]] });
        let rows = lines.len();
        for (row, line) in lines.iter().enumerate() {
            let x = if side == WireSide::Left { self.x[0] } else { far + 0.4 * em };
            self.words([x, from[1] + MIDDLE * em + row as f64 * self.pitch()], line, false, None);
        }
        rows
    }

    /// A contact with the wires of all its pins but one wire; its name stands before it.
    pub(crate) fn contact(&mut self, contact: &DrawnContact, order: &[usize], but: &[usize]) -> PlacedContact {
        let (kind, index, count) = contact.id;
        let name = format!("{}.{}", self.nets.places.name(kind, index), count + 1);
        let pins: Vec<(NodeId, &str)> = contact.throws.iter().map(|t| (t.node, t.word)).collect();
        let edges = contact.throws.iter().map(|t| t.edge).collect();
        let rests = pins.iter().position(|p| matches!(p.1, "through" | "left" | "off")).unwrap_or(0);
        self.changeover(&name, contact.common, &pins, (order, rests), edges, but)
    }

    /// A contact: its common at the left, its throws at the right in this order, the last one level with the common.
    pub(crate) fn changeover(
        &mut self,
        name: &str,
        common: NodeId,
        throws: &[(NodeId, &str)],
        (order, rests): (&[usize], usize),
        edges: Vec<EdgeId>,
        but: &[usize],
    ) -> PlacedContact {
        let (em, pitch) = (self.em, self.pitch());
        // What comes from above reaches the common beside its pin: all else begins left of there.
        let linked = self.nets.wires_at(common).iter().any(|(wire, _)| but.contains(wire));
        self.y += if linked { 0.0 } else { BETWEEN * pitch };
        let right: Vec<Drop> = throws.iter().flat_map(|throw| self.drops(throw.0, throw.1, but)).collect();
        self.make_room(WireSide::Right, &right);
        let left = self.drops(common, "", but);
        self.make_room(WireSide::Left, &left);
        let mut y = self.y + pitch;
        let mut placed = vec![[self.x[2], y]; throws.len()];
        if throws.len() < 2 {
            y += pitch;
        }
        let mut level = y;
        let mut bottom = y;
        for (count, &which) in order.iter().enumerate() {
            let (node, word) = throws[which];
            let at = [self.x[2], y];
            placed[which] = at;
            level = if count + 1 == order.len() { y } else { level };
            let drops = self.drops(node, word, but);
            let rows = self.pin(WireSide::Right, node, at, &drops).max(1);
            if self.nets.wires_at(node).is_empty() {
                self.words([at[0] + 0.4 * em, y - LIFT * em], &format!("{word}, no wire"), false, None);
            }
            bottom = y + (rows - 1) as f64 * pitch;
            y += rows as f64 * pitch;
        }
        // Between the rows, so that the blade is seen to slope.
        let level = if throws.len() > 1 { level - 0.5 * pitch } else { level };
        let at = [self.x[1], level];
        let drops = left;
        let aside = if linked { ASIDE * em } else { 0.0 };
        let from = [at[0] - aside, level];
        if linked && !drops.is_empty() {
            self.link(&[at, from]);
        }
        let rows = self.pin(WireSide::Left, common, from, &drops).max(1);
        bottom = bottom.max(level + (rows - 1) as f64 * pitch);
        let wide = measured(name, em, false);
        self.words([from[0] - wide - 0.4 * em, level - pitch], name, false, None);
        let mut pins = vec![Pin { node: common, at }];
        pins.extend(throws.iter().zip(&placed).map(|(throw, &at)| Pin { node: throw.0, at }));
        self.symbol(SymbolKind::Contact { rests: rests + 1 }, pins, edges);
        self.y = bottom;
        PlacedContact { common: at, throws: placed }
    }
}

impl Draft<'_, '_> {
    /// How high a contact will be, at the most.
    pub(crate) fn contact_height(&mut self, contact: &DrawnContact) -> f64 {
        let right: Vec<Vec<Drop>> =
            contact.throws.iter().map(|throw| self.drops(throw.node, throw.word, &[])).collect();
        let left = self.drops(contact.common, "", &[]);
        self.make_room(WireSide::Right, right.iter().flatten());
        self.make_room(WireSide::Left, &left);
        let rows = |side: WireSide, drops: &[Drop]| -> usize {
            drops.iter().map(|drop| self.far_rows(side, drop)).sum::<usize>().max(1)
        };
        let right: usize = right.iter().map(|drops| rows(WireSide::Right, drops)).sum();
        let left = rows(WireSide::Left, &left) + contact.throws.len().saturating_sub(1);
        (BETWEEN + right.max(left).max(2) as f64 + 0.5) * self.pitch()
    }
}

/// The width of words, millimetres.
pub(crate) fn measured(text: &str, em: f64, bold: bool) -> f64 {
    if bold { words::width(text, em) } else { words::plain_width(text, em) }
}

/// Words in lines of a width: parted at spaces, but for a number and its unit, and where one word is longer, within it.
pub(crate) fn wrapped(text: &str, (em, bold): (f64, bool), room: f64) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text::wrap::kept_together(text) {
        let last = lines.len() - 1;
        let joined = if lines[last].is_empty() { word.to_owned() } else { format!("{} {word}", lines[last]) };
        if measured(&joined, em, bold) <= room {
            lines[last] = joined;
            continue;
        }
        if !lines[last].is_empty() {
            lines.push(String::new());
        }
        for letter in word.chars() {
            let last = lines.len() - 1;
            let longer = format!("{}{letter}", lines[last]);
            if measured(&longer, em, bold) > room && !lines[last].is_empty() {
                lines.push(letter.to_string());
            } else {
                lines[last] = longer;
            }
        }
    }
    lines
}
