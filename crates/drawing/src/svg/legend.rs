//! The block below a drawing: its title, what its signs mean, and what its rails show.

use super::{Look, Pen, SCREEN_LETTERS, WordAnchor, is_printed, margin, symbol, title_height};
use crate::frame::{Frame, Mark, MarkKind, ViewSide};
use circuit::NodeId;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use text::xml::number as n;

/// From line to line.
pub(crate) fn line(frame: &Frame) -> f64 {
    frame.letters * 4.4 / SCREEN_LETTERS
}

/// Title and legend of a sheet.
pub(crate) fn title_block(pen: &mut Pen, frame: &Frame, sheet: usize, look: &Look<'_>) {
    let page = &frame.sheets[sheet];
    let [width, height] = page.size;
    let (letters, line, margin) = (frame.letters, line(frame), margin(frame));
    let top = height - margin - title_height(frame) + 3.0;
    let _ =
        writeln!(pen.out, "<path class=\"frame\" d=\"M{} {}L{} {}\"/>", n(margin), n(top), n(width - margin), n(top));
    let view = match frame.view {
        ViewSide::Above => "seen from above",
        ViewSide::Below => "seen from BELOW, left and right exchanged",
    };
    let mut row = LegendRow { x: width - margin, y: top + 0.2 + line, size: letters };
    signs(pen, frame, &mut row);
    let sheets = format!("{view}; sheet {} of {}; not to scale", sheet + 1, frame.sheets.len());
    if is_printed(frame) {
        printed_title(pen, frame, (width, top), &sheets);
        return;
    }
    let room = row.x - margin - 4.0;
    let size = (room / crate::words::width(&frame.name, 1.0).max(1.0)).clamp(1.8, 3.6);
    pen.words(size, [margin, top + 5.2], (WordAnchor::Start, true), "", &frame.name);
    let mut row = LegendRow { x: width - margin, y: top + 0.2 + 2.0 * line, size: letters };
    districts(pen, frame, &mut row);
    pen.words(SCREEN_LETTERS, [margin, row.y], (WordAnchor::Start, false), "", &sheets);
    let Some(layer) = look.layer else { return };
    let mut row = LegendRow { x: width - margin, y: top + 0.2 + 4.0 * line, size: letters };
    let words: f64 = layer.classes.iter().map(|c| crate::words::width(&c.says, 1.0)).sum();
    let room = width - 2.0 * margin - 18.0 * layer.classes.len() as f64;
    let class_size = (room / words.max(1.0)).clamp(1.5, SCREEN_LETTERS);
    for (index, class) in layer.classes.iter().enumerate().rev() {
        row.sized(pen, class_size, &class.says);
        row.x -= 13.0;
        let _ = writeln!(
            pen.out,
            "<path class=\"rail {}-{index}\" d=\"M{} {}h12\"/>",
            layer.name,
            n(row.x),
            n(row.y - 0.8)
        );
        row.x -= 5.0;
    }
    let size = ((width - 2.0 * margin) / crate::words::width(&layer.title, 1.0).max(1.0)).clamp(1.6, SCREEN_LETTERS);
    pen.words(size, [margin, top + 0.2 + 3.0 * line], (WordAnchor::Start, false), "", &layer.title);
}

/// On paper, whose letters must not be small: the signs in a row, below them the title, below that the districts.
fn printed_title(pen: &mut Pen, frame: &Frame, (width, top): (f64, f64), sheets: &str) {
    let (letters, line, margin) = (frame.letters, line(frame), margin(frame));
    let room = width - 2.0 * margin - crate::words::width(sheets, letters) - 4.0;
    let mut name = frame.name.clone();
    let mut kept = frame.name.clone();
    while crate::words::width(&name, letters) > room && kept.pop().is_some() {
        name = format!("{}…", kept.trim_end());
    }
    let y = top + 0.2 + 2.0 * line;
    pen.words(letters, [margin, y], (WordAnchor::Start, true), "", &name);
    let x = width - margin - crate::words::width(sheets, letters);
    pen.words(letters, [x, y], (WordAnchor::Start, false), "", sheets);
    let mut row = LegendRow { x: width - margin, y: y + line, size: letters };
    districts(pen, frame, &mut row);
}

/// A row of the legend, filled from its right end.
struct LegendRow {
    x: f64,
    y: f64,
    size: f64,
}

impl LegendRow {
    fn words(&mut self, pen: &mut Pen, words: &str) {
        self.sized(pen, self.size, words);
    }

    fn sized(&mut self, pen: &mut Pen, size: f64, words: &str) {
        self.x -= crate::words::width(words, size);
        pen.words(size, [self.x, self.y], (WordAnchor::Start, false), "", words);
    }
}

fn signs(pen: &mut Pen, frame: &Frame, row: &mut LegendRow) {
    let there: BTreeSet<MarkKind> = frame.marks.iter().map(|m| m.kind).collect();
    for kind in there.into_iter().rev() {
        let words = match kind {
            MarkKind::Gap => "gap",
            MarkKind::Feeder => "feeder",
            MarkKind::Wire => "wire from a contact",
            MarkKind::Sliding => "sliding joint",
            MarkKind::Soldered => "soldered joint",
            MarkKind::Frog => "live frog",
        };
        row.words(pen, words);
        row.x -= 5.0;
        let at = [row.x + 2.5, row.y - 0.8 + if matches!(kind, MarkKind::Feeder | MarkKind::Wire) { 0.8 } else { 0.0 }];
        let rail = |from: f64, to: f64| {
            format!("<path class=\"rail\" d=\"M{} {}h{}\"/>\n", n(at[0] + from), n(at[1]), n(to - from))
        };
        match kind {
            MarkKind::Gap => pen.out.push_str(&(rail(-2.3, -0.55) + &rail(0.55, 2.3))),
            MarkKind::Frog => {}
            _ => pen.out.push_str(&rail(-2.3, 2.3)),
        }
        let mark = Mark {
            kind,
            at,
            out: [0.0, -1.0],
            number: None,
            edge: None,
            nodes: [NodeId::new(0), NodeId::new(0)],
            inside: false,
        };
        pen.out.push_str(&symbol(&mark));
        row.x -= 4.0;
    }
}

fn districts(pen: &mut Pen, frame: &Frame, row: &mut LegendRow) {
    if frame.districts.len() < 2 {
        return;
    }
    let there: BTreeSet<usize> = frame.beds.iter().filter_map(|b| b.district).collect();
    for district in there.into_iter().rev().take(8) {
        row.words(pen, &format!("{} {}", crate::words::district_sign(district), frame.districts[district]));
        row.x -= 8.0;
        let tint = super::tint(district);
        let _ = writeln!(
            pen.out,
            "<path class=\"bed\" style=\"stroke:{tint};stroke-width:3.2\" d=\"M{} {}h7\"/>",
            n(row.x),
            n(row.y - 0.8)
        );
        row.x -= 4.0;
    }
}
