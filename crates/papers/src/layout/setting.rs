//! How words are set: their face, their size, and to which side.

use super::{Area, LEADING, SheetItem};
use crate::fonts::{ASCENT, DESCENT, Face, Fonts, POINT};

/// To which side words are set in their area.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WordsSide {
    /// From the left.
    Left,
    /// To the right.
    Right,
    /// In the middle.
    Middle,
}

/// How words are set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypeSetting {
    /// Their face.
    pub face: Face,
    /// Their size in points.
    pub size: f64,
    /// To which side.
    pub side: WordsSide,
    /// How light they are.
    pub grey: u8,
}

impl TypeSetting {
    /// Black, from the left.
    pub fn new(face: Face, size: f64) -> TypeSetting {
        TypeSetting { face, size, side: WordsSide::Left, grey: 0 }
    }

    /// Set to this side.
    pub fn to(self, side: WordsSide) -> TypeSetting {
        TypeSetting { side, ..self }
    }

    /// The height of a line, millimetres.
    pub fn line(&self) -> f64 {
        self.size * POINT * LEADING
    }
}

/// One line of words, in an area as high as the line.
pub fn words(fonts: &Fonts, setting: TypeSetting, text: &str, within: Area) -> SheetItem {
    let text = text.replace(char::is_control, " ");
    let width = fonts.width(setting.face, setting.size, &text);
    let x = match setting.side {
        WordsSide::Left => within.left,
        WordsSide::Right => within.right - width,
        WordsSide::Middle => (within.left + within.right - width) / 2.0,
    };
    let em = setting.size * POINT;
    let baseline = within.top + (within.height() - (ASCENT + DESCENT) * em) / 2.0 + ASCENT * em;
    SheetItem::Words {
        at: [x, baseline],
        size: setting.size,
        face: setting.face,
        text,
        grey: setting.grey,
        within,
        of: None,
    }
}
