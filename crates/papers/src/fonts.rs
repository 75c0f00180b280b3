//! The faces that pages are set in, and how wide words are in them.
//!
//! Widths are sums of the advances of the face's own tables, without kerning; the same sums place the glyphs, so that what is
//! measured here is what stands on the paper.

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};
use std::ops::Range;

/// Millimetres in a point (1/72 in).
pub const POINT: f64 = 25.4 / 72.0;
/// How far letters with accents reach above the line they stand on, as a part of the size. From the faces' own tables.
pub const ASCENT: f64 = 0.93;
/// How far they reach below it.
pub const DESCENT: f64 = 0.24;
/// Characters that are measured once and then looked up: letters and signs; dashes, arrows and the like.
const COMMON: [Range<u32>; 2] = [0..0x500, 0x2000..0x2700];

/// A face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// For reading.
    Regular,
    /// For titles and what must be seen.
    Bold,
    /// For tables that would not fit otherwise.
    Narrow,
    /// For the headers of such tables.
    NarrowBold,
}

impl Face {
    /// All of them.
    pub const ALL: [Face; 4] = [Face::Regular, Face::Bold, Face::Narrow, Face::NarrowBold];

    /// Its file.
    pub fn data(self) -> &'static [u8] {
        match self {
            Face::Regular => dejavu::sans::regular(),
            Face::Bold => dejavu::sans::bold(),
            Face::Narrow => dejavu::sans_condensed::regular(),
            Face::NarrowBold => dejavu::sans_condensed::bold(),
        }
    }
}

/// A glyph and its advance, as a part of the size.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Glyph {
    /// Its index in the face.
    pub id: u32,
    /// How far it moves on.
    pub advance: f32,
}

/// All faces, ready to measure.
pub struct Fonts {
    common: [[Vec<Glyph>; 2]; 4],
}

impl Default for Fonts {
    fn default() -> Fonts {
        Fonts::new()
    }
}

impl Fonts {
    /// Reads the faces.
    pub fn new() -> Fonts {
        let common = Face::ALL
            .map(|face| COMMON.map(|characters| looked_up(face, characters.map(|c| char::from_u32(c).unwrap_or(' ')))));
        Fonts { common }
    }

    /// The glyph of a character; that of an empty box where the face has none.
    pub fn glyph(&self, face: Face, character: char) -> Glyph {
        let [letters, signs] = &self.common[face as usize];
        let code = u32::from(character);
        let found = letters.get(code as usize).or_else(|| signs.get(code.checked_sub(COMMON[1].start)? as usize));
        match found {
            Some(glyph) => *glyph,
            None => looked_up(face, std::iter::once(character)).first().copied().unwrap_or_default(),
        }
    }

    /// How wide words are, in millimetres, at a size in points.
    pub fn width(&self, face: Face, size: f64, text: &str) -> f64 {
        let advances: f64 = text.chars().map(|c| f64::from(self.glyph(face, c).advance)).sum();
        advances * size * POINT
    }

    /// Words cut short with an ellipsis where they are wider than `width` millimetres.
    pub fn shortened(&self, face: Face, size: f64, text: &str, width: f64) -> String {
        if self.width(face, size, text) <= width {
            return text.to_owned();
        }
        let mut kept: String = text.to_owned();
        while kept.pop().is_some() {
            let candidate = format!("{}…", kept.trim_end());
            if self.width(face, size, &candidate) <= width {
                return candidate;
            }
        }
        String::new()
    }

    /// Words broken into lines of at most `width` millimetres: at spaces, behind what may end a line inside a word where a word
    /// is wider than a line, and anywhere where even that does not do.
    pub fn lines(&self, face: Face, size: f64, text: &str, width: f64) -> Vec<String> {
        // Most words fit as they are.
        let spaced = text.contains("  ") || text.starts_with(' ') || text.ends_with(' ');
        if !spaced && !text.contains(|c: char| c != ' ' && c.is_whitespace()) && self.width(face, size, text) <= width {
            return vec![text.to_owned()];
        }
        let space = self.width(face, size, " ");
        let mut lines = Vec::new();
        for paragraph in text.lines() {
            let mut line = String::new();
            let mut used = 0.0;
            for word in paragraph.split_whitespace() {
                for (piece, joined) in self.pieces(face, size, word, width) {
                    let wide = self.width(face, size, &piece);
                    let gap = if line.is_empty() || joined { 0.0 } else { space };
                    if !line.is_empty() && used + gap + wide > width + 1e-6 {
                        let number = if joined { None } else { number_of(&mut line, word) };
                        lines.push(std::mem::take(&mut line));
                        used = 0.0;
                        if let Some(number) = number {
                            let before = self.width(face, size, &number) + space;
                            if before + wide > width {
                                lines.push(number);
                            } else {
                                line = number + " ";
                                used = before;
                            }
                        }
                    } else if gap > 0.0 {
                        line.push(' ');
                        used += gap;
                    }
                    line.push_str(&piece);
                    used += wide;
                }
            }
            lines.push(line);
        }
        if lines.is_empty() {
            lines.push(String::new());
        }
        lines
    }

    /// A word in pieces no wider than a line, each with whether it follows the one before without a space.
    fn pieces(&self, face: Face, size: f64, word: &str, width: f64) -> Vec<(String, bool)> {
        if self.width(face, size, word) <= width {
            return vec![(word.to_owned(), false)];
        }
        let mut pieces: Vec<(String, bool)> = Vec::new();
        let mut piece = String::new();
        let mut used = 0.0;
        for character in word.chars() {
            let wide = f64::from(self.glyph(face, character).advance) * size * POINT;
            if !piece.is_empty() && used + wide > width {
                // A break behind punctuation reads better, where it does not leave the line half empty.
                let better = piece.rfind(['-', '/', '.', ':', '_', ',', '+']).map(|at| at + 1);
                let rest = match better.filter(|at| *at * 2 > piece.len() && *at < piece.len()) {
                    Some(at) => piece.split_off(at),
                    None => String::new(),
                };
                used = self.width(face, size, &rest);
                pieces.push((std::mem::replace(&mut piece, rest), !pieces.is_empty()));
            }
            piece.push(character);
            used += wide;
        }
        pieces.push((piece, !pieces.is_empty()));
        pieces
    }
}

/// Units that stay on the line of their number.
const UNITS: [&str; 20] =
    ["mm", "m", "cm", "in", "ft", "mm²", "V", "A", "mV", "mA", "Ω", "mΩ", "kΩ", "MΩ", "W", "J", "mJ", "s", "ms", "%"];

/// Takes the number off the end of a line that has something before it, where the word that comes next is its unit.
fn number_of(line: &mut String, next: &str) -> Option<String> {
    let unit = next.trim_end_matches([',', ';', '.', ':', ')']);
    let at = line.rfind(' ').filter(|_| UNITS.contains(&unit) && line.ends_with(|c: char| c.is_ascii_digit()))?;
    let number = line[at + 1..].to_owned();
    line.truncate(at);
    Some(number)
}

fn looked_up(face: Face, characters: impl Iterator<Item = char>) -> Vec<Glyph> {
    let Ok(font) = FontRef::new(face.data()) else { return Vec::new() };
    let (map, metrics) = (font.charmap(), font.glyph_metrics(Size::unscaled(), LocationRef::default()));
    let per_em = f32::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em);
    let glyph = |character: char| {
        // What prints nothing takes the place of a space.
        let character = if character.is_control() { ' ' } else { character };
        let id = map.map(character).unwrap_or_default();
        Glyph { id: id.to_u32(), advance: metrics.advance_width(id).unwrap_or_default() / per_em }
    };
    characters.map(glyph).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_faces_tables() {
        // DejaVu Sans 2.37, its `hmtx` table, units of 1/2048 em: space 651, zero 1303, capital W 2025.
        let fonts = Fonts::new();
        for (text, units) in [(" ", 651.0), ("0", 1303.0), ("W", 2025.0), ("0W 0", 5282.0)] {
            let width = fonts.width(Face::Regular, 10.0, text);
            assert!((width - units / 2048.0 * 10.0 * POINT).abs() < 1e-4, "{text:?} is {width} mm");
        }
    }

    #[test]
    fn lines_hold_all_words_and_none_is_too_wide() {
        let fonts = Fonts::new();
        let text =
            "Weichenlaterne-übergangs/klemmleistenverbindung.rückseite Ω 2.5 mm² and more words, a b c\nnext ß µ";
        for width in [8.0, 15.0, 33.0, 120.0] {
            let lines = fonts.lines(Face::Regular, 9.0, text, width);
            let glued: String = lines.concat().split_whitespace().collect();
            assert_eq!(glued, text.split_whitespace().collect::<String>());
            for line in &lines {
                assert!(fonts.width(Face::Regular, 9.0, line) <= width + 1e-6, "{line:?} is wider than {width} mm");
            }
        }
    }

    #[test]
    fn a_unit_stays_with_its_number() {
        let fonts = Fonts::new();
        let text = "both sides of road 3 right rail at 1.86 m, 12.5 mV";
        for width in 20..90 {
            let lines = fonts.lines(Face::Regular, 9.0, text, f64::from(width));
            assert_eq!(lines.join(" "), text);
            let parted = lines.iter().any(|line| line.starts_with("m,") || line.starts_with("mV"));
            assert!(!parted, "{width} mm: {lines:?}");
        }
    }

    #[test]
    fn what_the_papers_write_has_glyphs() {
        let fonts = Fonts::new();
        for face in Face::ALL {
            for character in "AZaz09 Ωµ²³ßäöüÅé°±×–—…·½¼⅛√≤≥→←▶☐✓−\u{a0}".chars()
            {
                assert_ne!(fonts.glyph(face, character).id, 0, "{face:?} has no {character:?}");
            }
        }
    }
}
