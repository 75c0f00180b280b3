//! Templates: drawings at true size, each on a sheet of its own; one that is larger than a sheet on several, with marks that
//! are laid upon each other.

use super::flow::Flow;
use super::ruler;
use super::setting::{TypeSetting, WordsSide};
use super::{Area, ElementKind, SheetItem};
use crate::fonts::Face;
use schedule::paper::Drawing;

/// How much two sheets of one template have in common, millimetres.
const OVERLAP: f64 = 12.0;

/// How a template is parted.
#[derive(Clone, Copy, Debug, PartialEq)]
struct TemplateParts {
    across: usize,
    down: usize,
    /// Width and height of one part.
    size: [f64; 2],
    /// How far the parts behind the first start before where they would.
    back: [f64; 2],
}

impl TemplateParts {
    /// A drawing on sheets with so much room.
    fn from_drawing(drawing: &Drawing, room: [f64; 2]) -> TemplateParts {
        let size = drawing.size;
        let count = |length: f64, room: f64| {
            if length <= room + 1e-6 { 1 } else { ((length - OVERLAP) / (room - OVERLAP)).ceil().max(1.0) as usize }
        };
        let counts = [count(size[0], room[0]), count(size[1], room[1])];
        let back = [0, 1].map(|axis| match drawing.whole {
            Some(whole) if counts[axis] > 1 => {
                moved_back(size[axis], room[axis], counts[axis], [whole[axis], whole[axis + 2]])
            }
            _ => 0.0,
        });
        TemplateParts { across: counts[0], down: counts[1], size: room, back }
    }

    fn count(&self) -> usize {
        self.across * self.down
    }

    /// Where a part starts in the drawing.
    fn start(&self, [column, row]: [usize; 2]) -> [f64; 2] {
        let along = |at: usize, axis: usize| (at as f64 * (self.size[axis] - OVERLAP) - self.back[axis]).max(0.0);
        [along(column, 0), along(row, 1)]
    }
}

/// How far all seams are moved back, so that none goes through what must stand whole: the least that does, as far as the sheets
/// leave it to choose.
fn moved_back(drawing: f64, room: f64, count: usize, [from, to]: [f64; 2]) -> f64 {
    /// Millimetres tried at a time.
    const STEP: f64 = 2.0;
    let slack = count as f64 * (room - OVERLAP) + OVERLAP - drawing;
    let is_whole = |back: f64| {
        (0..count).any(|part| {
            let start = (part as f64 * (room - OVERLAP) - back).max(0.0);
            start <= from.max(0.0) && to.min(drawing) <= start + room
        })
    };
    let steps = (slack / STEP).floor().max(0.0) as usize;
    (0..=steps).map(|step| step as f64 * STEP).find(|&back| is_whole(back)).unwrap_or(0.0)
}

impl Flow<'_> {
    fn caption_setting(&self) -> TypeSetting {
        TypeSetting::new(Face::Bold, self.kind.body)
    }

    fn numbered_setting(&self) -> TypeSetting {
        TypeSetting::new(Face::Regular, self.kind.body)
    }

    /// The area left for a template, between its caption and the ruler.
    fn room(&self, drawing: &Drawing, lying: bool) -> Area {
        let body = self.body_of(lying);
        let setting = self.caption_setting();
        let high = |setting: TypeSetting, words: &str| {
            self.fonts.lines(setting.face, setting.size, words, body.width()).len() as f64 * setting.line()
        };
        // Room for the number of the sheet is left on all of them.
        let above = high(setting, &drawing.caption) + high(self.numbered_setting(), &numbered(88, 88));
        Area { top: body.top + above + 1.5, bottom: body.bottom - ruler::HEIGHT - 1.5, ..body }
    }

    fn parts(&self, drawing: &Drawing, lying: bool) -> TemplateParts {
        let room = self.room(drawing, lying);
        TemplateParts::from_drawing(drawing, [room.width(), room.height()])
    }

    /// Whether a template needs fewer sheets when they lie.
    pub(super) fn template_lies(&self, drawing: &Drawing) -> bool {
        self.parts(drawing, true).count() < self.parts(drawing, false).count()
    }

    pub(super) fn template(&mut self, drawing: &Drawing) {
        let lying = self.template_lies(drawing);
        let (room, parts) = (self.room(drawing, lying), self.parts(drawing, lying));
        let index = self.layout.drawing(drawing);
        for row in 0..parts.down {
            for column in 0..parts.across {
                if !self.is_fresh() || self.lying != lying {
                    self.sheet(lying);
                }
                let number = row * parts.across + column + 1;
                self.template_words(drawing, number, parts.count());
                let start = parts.start([column, row]);
                // What fits on one sheet stands in its middle.
                let spare = [0, 1].map(|axis| {
                    let alone = [parts.across, parts.down][axis] == 1;
                    let room = parts.size[axis] - drawing.size[axis];
                    if alone { room.max(0.0) / 2.0 } else { 0.0 }
                });
                let at = [room.left + spare[0] - start[0], room.top + spare[1] - start[1]];
                let around = self.open(ElementKind::Figure(drawing.caption.clone()));
                self.put(SheetItem::Drawing { index, at, size: drawing.size, clip: room, of: self.element });
                // Marks and ruler are for hands with scissors.
                self.close(None);
                self.marks(drawing, &parts, [column, row], at, room);
                self.ruler();
                self.close(around);
                self.y = self.body.bottom;
            }
        }
    }

    fn template_words(&mut self, drawing: &Drawing, number: usize, of: usize) {
        let setting = self.caption_setting();
        let before = self.y;
        self.paragraph(setting, &drawing.caption, 0.0);
        if of > 1 {
            self.paragraph(self.numbered_setting(), &numbered(number, of), 0.0);
        }
        self.y = before;
    }

    /// Crosses where this part meets the parts beside it, and the lines to cut along. `at` is where the drawing's corner is.
    fn marks(&mut self, drawing: &Drawing, parts: &TemplateParts, place: [usize; 2], at: [f64; 2], room: Area) {
        let counts = [parts.across, parts.down];
        for axis in 0..2 {
            let other = 1 - axis;
            for side in 0..2 {
                // The seam before this part, or the one behind it.
                let seam = place[axis] + side;
                if seam == 0 || seam >= counts[axis] {
                    continue;
                }
                let mut far = [0; 2];
                far[axis] = seam;
                let middle = parts.start(far)[axis] + OVERLAP / 2.0 + at[axis];
                let along = parts.start(place)[other];
                let end = (along + parts.size[other]).min(drawing.size[other]);
                for (n, part) in [0.2, 0.8].into_iter().enumerate() {
                    let mut cross = [0.0; 2];
                    cross[axis] = middle;
                    cross[other] = along + part * (end - along) + at[other];
                    self.cross(cross, &mark_name(axis, seam, place[other], n), room);
                }
                if side == 0 {
                    let line = |t: f64| if axis == 0 { [middle, t] } else { [t, middle] };
                    let (from, to) = if axis == 0 { (room.top, room.bottom) } else { (room.left, room.right) };
                    self.put(SheetItem::Line { from: line(from), to: line(to), width: 0.12, grey: 110, dashed: true });
                }
            }
        }
    }

    fn cross(&mut self, [x, y]: [f64; 2], name: &str, room: Area) {
        for [dx, dy] in [[4.0, 0.0], [0.0, 4.0]] {
            let (from, to) = ([x - dx, y - dy], [x + dx, y + dy]);
            self.put(SheetItem::Line { from, to, width: 0.2, grey: 0, dashed: false });
        }
        let setting = TypeSetting::new(Face::Bold, self.kind.small);
        // Beside the cross, on the side where there is room.
        let (left, side) = if x + 8.8 <= room.right { (x + 0.8, WordsSide::Left) } else { (x - 8.8, WordsSide::Right) };
        let top = if y + 0.5 + setting.line() <= room.bottom { y + 0.5 } else { y - 0.5 - setting.line() };
        self.put_words(setting.to(side), name, Area::at([left, top], [8.0, setting.line()]));
    }
}

/// What stands on each sheet of a template that has several.
fn numbered(number: usize, of: usize) -> String {
    format!("sheet {number} of {of} of this template: lay the crosses of like letters upon each other")
}

/// The name of a mark, the same on both sheets that show it: `A1`, `B1`.
fn mark_name(axis: usize, seam: usize, row: usize, n: usize) -> String {
    let letter = char::from(b'A' + ((axis * 13 + (seam - 1) * 2 + n) % 26) as u8);
    format!("{letter}{}", row + 1)
}
