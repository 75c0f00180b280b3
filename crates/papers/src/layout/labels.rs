//! Labels to cut out, in rows between broken lines.

use super::flow::Flow;
use super::setting::TypeSetting;
use super::{Area, ElementKind, SheetItem};
use crate::fonts::Face;
use schedule::paper::Label;

/// How wide a label is, millimetres, before it takes its share of what is left; and in large print.
const WIDTH: [f64; 2] = [36.0, 58.0];
/// The size of its number, and of what it says, in points; and in large print.
const SIZES: [(f64, f64); 2] = [(10.0, 8.0), (15.0, 14.0)];
/// What is free inside a label.
const INSET: f64 = 0.9;

impl Flow<'_> {
    pub(super) fn labels(&mut self, labels: &[Label]) {
        let large = usize::from(self.kind.large);
        let across = (self.body.width() / WIDTH[large]).floor().max(1.0) as usize;
        let width = self.body.width() / across as f64;
        let (number, says) = SIZES[large];
        let number = TypeSetting::new(Face::Bold, number);
        let says = TypeSetting::new(Face::Regular, says);
        let inner = width - 2.0 * INSET;
        let mut is_first_row = true;
        for row in labels.chunks(across) {
            let broken: Vec<[Vec<String>; 2]> = row
                .iter()
                .map(|label| {
                    [(number, &label.number), (says, &label.says)]
                        .map(|(set, text)| self.fonts.lines(set.face, set.size, text, inner))
                })
                .collect();
            let high = |[number_lines, says_lines]: &[Vec<String>; 2]| {
                number_lines.len() as f64 * number.line() + says_lines.len() as f64 * says.line()
            };
            let height = broken.iter().map(high).fold(0.0, f64::max) + 2.0 * INSET;
            is_first_row |= !self.fits(height) && !self.is_fresh();
            self.make_room(height);
            if is_first_row {
                self.cut([self.body.left, self.y], [self.body.right, self.y]);
            }
            is_first_row = false;
            for (at, label) in broken.iter().enumerate() {
                let left = self.body.left + at as f64 * width;
                let mut top = self.y + INSET;
                let around = self.open(ElementKind::Paragraph);
                for (lines, setting) in label.iter().zip([number, says]) {
                    for line in lines {
                        let within = Area::at([left + INSET, top], [inner, setting.line()]);
                        self.put_words(setting, line, within);
                        top += setting.line();
                    }
                }
                self.close(around);
            }
            let bottom = self.y + height;
            for at in 0..=row.len() {
                let x = self.body.left + at as f64 * width;
                self.cut([x, self.y], [x, bottom]);
            }
            self.cut([self.body.left, bottom], [self.body.right, bottom]);
            self.y = bottom;
        }
        self.y += 3.0;
    }

    /// A line to cut along.
    fn cut(&mut self, from: [f64; 2], to: [f64; 2]) {
        self.put(SheetItem::Line { from, to, width: 0.12, grey: 110, dashed: true });
    }
}
