//! The block below a drawing: its title, what its signs mean, and what its rails show.

use super::{Look, MARGIN, Pen, TITLE, WordAnchor, symbol};
use crate::frame::{Frame, Mark, MarkKind, ViewSide};
use circuit::NodeId;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use text::xml::number as n;

/// From line to line.
const LINE: f64 = 4.4;
/// The height of letters.
const SIZE: f64 = 2.4;

/// Title and legend of a sheet.
pub(crate) fn title_block(pen: &mut Pen, frame: &Frame, sheet: usize, look: &Look<'_>) {
    let page = &frame.sheets[sheet];
    let [width, height] = page.size;
    let top = height - MARGIN - TITLE + 3.0;
    let _ =
        writeln!(pen.out, "<path class=\"frame\" d=\"M{} {}L{} {}\"/>", n(MARGIN), n(top), n(width - MARGIN), n(top));
    let view = match frame.view {
        ViewSide::Above => "seen from above",
        ViewSide::Below => "seen from BELOW, left and right exchanged",
    };
    let mut row = LegendRow { x: width - MARGIN, y: top + 4.6 };
    signs(pen, frame, &mut row);
    let room = row.x - MARGIN - 4.0;
    let size = (room / crate::words::width(&frame.name, 1.0).max(1.0)).clamp(1.8, 3.6);
    pen.words(size, [MARGIN, top + 5.2], (WordAnchor::Start, true), "", &frame.name);
    let mut row = LegendRow { x: width - MARGIN, y: top + 4.6 + LINE };
    districts(pen, frame, &mut row);
    let sheets = format!("{view}; sheet {} of {}; not to scale", sheet + 1, frame.sheets.len());
    pen.words(SIZE, [MARGIN, row.y], (WordAnchor::Start, false), "", &sheets);
    let Some(layer) = look.layer else { return };
    let mut row = LegendRow { x: width - MARGIN, y: top + 4.6 + 3.0 * LINE };
    let words: f64 = layer.classes.iter().map(|c| crate::words::width(&c.says, 1.0)).sum();
    let room = width - 2.0 * MARGIN - 18.0 * layer.classes.len() as f64;
    let class_size = (room / words.max(1.0)).clamp(1.5, SIZE);
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
    let size = ((width - 2.0 * MARGIN) / crate::words::width(&layer.title, 1.0).max(1.0)).clamp(1.6, SIZE);
    pen.words(size, [MARGIN, top + 4.6 + 2.0 * LINE], (WordAnchor::Start, false), "", &layer.title);
}

/// A row of the legend, filled from its right end.
struct LegendRow {
    x: f64,
    y: f64,
}

impl LegendRow {
    fn words(&mut self, pen: &mut Pen, words: &str) {
        self.sized(pen, SIZE, words);
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
