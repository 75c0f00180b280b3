//! The ruler that tells whether a sheet came out of the printer at its true size.

use super::flow::Flow;
use super::setting::{TypeSetting, WordsSide};
use super::{Area, SheetItem};
use crate::fonts::Face;

/// How high it is with its words, millimetres.
pub const HEIGHT: f64 = 20.0;
/// Its scale of millimetres.
const METRIC: f64 = 100.0;
/// Its scale of inches.
const INCHES: f64 = 4.0;
/// What stands beside it.
pub const WORDS: &str = "print at 100 %, measure this";

impl Flow<'_> {
    /// The check ruler at the foot of the sheet: 100 mm above its line, 4 in below.
    pub(super) fn ruler(&mut self) {
        let left = self.body.left + 1.0;
        let y = self.body.bottom - HEIGHT / 2.0;
        let mut line = |from, to, width| self.put(SheetItem::Line { from, to, width, grey: 0, dashed: false });
        line([left, y], [left + INCHES * 25.4, y], 0.2);
        for step in 0..=20 {
            let x = left + METRIC * f64::from(step) / 20.0;
            line([x, y - if step % 2 == 0 { 3.2 } else { 1.8 }], [x, y], 0.2);
        }
        for step in 0..=16 {
            let x = left + INCHES * 25.4 * f64::from(step) / 16.0;
            line([x, y], [x, y + if step % 4 == 0 { 3.2 } else { 1.8 }], 0.2);
        }
        let setting = TypeSetting::new(Face::Regular, self.kind.small);
        let mut say = |x: f64, top: f64, words: &str| {
            let within = Area::at([x - 12.0, top], [24.0, setting.line()]);
            self.put_words(setting.to(WordsSide::Middle), words, within);
        };
        say(left + METRIC / 2.0, y - 3.4 - setting.line(), "50 mm");
        say(left + METRIC, y - 3.4 - setting.line(), "100 mm");
        say(left + INCHES * 12.7, y + 3.4, "2 in");
        say(left + INCHES * 25.4, y + 3.4, "4 in");
        let start = left + INCHES * 25.4 + 12.0;
        let words = TypeSetting::new(Face::Bold, self.kind.small);
        let width = self.body.right - start;
        let lines = self.fonts.lines(words.face, words.size, WORDS, width);
        let top = y - lines.len() as f64 * words.line() / 2.0;
        for (n, text) in lines.iter().enumerate() {
            let within = Area::at([start, top + n as f64 * words.line()], [width, words.line()]);
            self.put_words(words, text, within);
        }
    }
}
