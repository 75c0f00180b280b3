//! Places in the plan's text and the index that turns them into lines and columns.

use std::ops::Range;

/// A stretch of the plan's text, in bytes; an empty one is a point between two characters.
///
/// A place may be wrong for the text it is used with (too far, or in the middle of a character): whatever reads it
/// clamps it first, so it can be carried about without care.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    /// First byte, and the byte after the last.
    pub span: Range<usize>,
}

impl Place {
    /// The place that covers these bytes.
    pub fn new(span: Range<usize>) -> Place {
        Place { span }
    }

    /// The point just before the byte at `offset`.
    pub fn point(offset: usize) -> Place {
        Place { span: offset..offset }
    }

    /// The smallest place that covers both.
    pub fn and(&self, other: &Place) -> Place {
        Place { span: self.span.start.min(other.span.start)..self.span.end.max(other.span.end) }
    }

    /// The bytes of `source` this place really covers: inside the text, on character boundaries, never reversed.
    /// A character that is covered in part is covered whole.
    pub fn clamped(&self, source: &str) -> Range<usize> {
        let mut start = self.span.start.min(source.len());
        while !source.is_char_boundary(start) {
            start -= 1;
        }
        if self.span.end <= self.span.start {
            return start..start;
        }
        let mut end = self.span.end.min(source.len()).max(start);
        while !source.is_char_boundary(end) {
            end += 1;
        }
        start..end
    }

    /// The words at this place.
    pub fn text<'s>(&self, source: &'s str) -> &'s str {
        &source[self.clamped(source)]
    }

    /// Line and column where the place begins, both counted from 1, the column in characters.
    ///
    /// Reads the text from its start; use [`Lines`] where many places are asked for.
    pub fn line_column(&self, source: &str) -> (usize, usize) {
        let before = &source[..self.clamped(source).start];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        let line = before.bytes().filter(|&byte| byte == b'\n').count() + 1;
        let line_text = if line == 1 { without_mark(before) } else { &before[line_start..] };
        (line, line_text.chars().count() + 1)
    }
}

impl From<Range<usize>> for Place {
    fn from(span: Range<usize>) -> Place {
        Place { span }
    }
}

/// The byte order mark some editors put at the start of a file. Editors do not show or count it, nor do we.
const BYTE_ORDER_MARK: char = '\u{feff}';

fn without_mark(text: &str) -> &str {
    text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text)
}

/// A text and where its lines begin, read once, so that every later question costs a search in a short list.
///
/// Lines end at a line feed; a carriage return before it belongs to the line break. Lines are numbered from 1.
#[derive(Clone, Debug)]
pub struct Lines<'s> {
    source: &'s str,
    /// Byte offset at which each line begins; the first is 0.
    starts: Vec<usize>,
    /// Characters that begin before byte `k * STRIDE`, so that a column in a very long line is not counted from its start.
    characters: Vec<usize>,
    /// Of stretches that were written out of something else, where they start and where that stands.
    origins: Vec<(usize, usize)>,
}

/// Bytes between two entries of the character count.
const STRIDE: usize = 1024;

impl<'s> Lines<'s> {
    /// Reads the text once.
    pub fn new(source: &'s str) -> Lines<'s> {
        let bytes = source.as_bytes();
        let mut starts = vec![0];
        starts.extend(bytes.iter().enumerate().filter(|&(_, &byte)| byte == b'\n').map(|(at, _)| at + 1));
        let mut characters = vec![0];
        let mut seen = 0;
        for stretch in bytes.chunks(STRIDE) {
            seen += character_starts(stretch);
            characters.push(seen);
        }
        Lines { source, starts, characters, origins: Vec::new() }
    }

    /// Takes offsets from the first of these on to be where they come from: of each stretch its start, and the byte it comes from.
    #[must_use]
    pub fn with_origins(mut self, origins: Vec<(usize, usize)>) -> Lines<'s> {
        self.origins = origins;
        self
    }

    /// The text itself.
    pub fn source(&self) -> &'s str {
        self.source
    }

    /// How many lines there are; an empty text has one.
    pub fn count(&self) -> usize {
        self.starts.len()
    }

    /// The line, counted from 1, that the byte at `offset` is on; offsets past the end are on the last line.
    pub fn line_at(&self, offset: usize) -> usize {
        let stretch = self.origins.partition_point(|(start, _)| *start <= offset);
        let offset = stretch.checked_sub(1).map_or(offset, |at| self.origins[at].1);
        self.starts.partition_point(|&start| start <= offset)
    }

    /// Line and column of a byte, both counted from 1, the column in characters. The offset is clamped.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let offset = Place::point(offset).clamped(self.source).start;
        let line = self.line_at(offset);
        let mut column = self.characters_before(offset) - self.characters_before(self.starts[line - 1]) + 1;
        if line == 1 && offset > 0 && self.source.starts_with(BYTE_ORDER_MARK) {
            column -= 1;
        }
        (line, column)
    }

    /// The bytes of a line without its line break and without a byte order mark; empty at the end for a line there is not.
    pub fn range(&self, line: usize) -> Range<usize> {
        let Some(&start) = line.checked_sub(1).and_then(|index| self.starts.get(index)) else {
            return self.source.len()..self.source.len();
        };
        let end = self.starts.get(line).map_or(self.source.len(), |&next| next - 1);
        let text = &self.source[start..end];
        let marked = if line == 1 { text.len() - without_mark(text).len() } else { 0 };
        let returned = usize::from(line < self.count() && text.ends_with('\r'));
        start + marked..end - returned
    }

    /// The text of a line without its line break.
    pub fn text(&self, line: usize) -> &'s str {
        &self.source[self.range(line)]
    }

    /// Characters that begin before this offset, which is on a character boundary.
    fn characters_before(&self, offset: usize) -> usize {
        let entry = offset / STRIDE;
        self.characters[entry] + character_starts(&self.source.as_bytes()[entry * STRIDE..offset])
    }
}

/// How many of these bytes are the first of a character.
fn character_starts(bytes: &[u8]) -> usize {
    bytes.iter().filter(|&&byte| byte & 0xc0 != 0x80).count()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    fn check(source: &str, offset: usize, expected: (usize, usize)) {
        assert_eq!(Place::point(offset).line_column(source), expected, "{source:?} at {offset}");
        assert_eq!(Lines::new(source).line_column(offset), expected, "{source:?} at {offset}, by index");
    }

    #[test]
    fn lines_and_columns_count_from_one_in_characters() {
        check("", 0, (1, 1));
        check("ab\ncd", 0, (1, 1));
        check("ab\ncd", 2, (1, 3));
        check("ab\ncd", 3, (2, 1));
        check("ab\ncd\n", 6, (3, 1));
        check("Ω = Ω", 7, (1, 6));
        check("\ttrack", 1, (1, 2));
        check("ab\r\ncd", 4, (2, 1));
        // Past the end, and in the middle of a character.
        check("ab", 99, (1, 3));
        check("aΩb", 2, (1, 2));
    }

    #[test]
    fn byte_order_mark_takes_no_column() {
        check("\u{feff}[layout]", 0, (1, 1));
        check("\u{feff}[layout]", 3, (1, 1));
        check("\u{feff}[layout]", 4, (1, 2));
        check("\u{feff}\nname", 4, (2, 1));
        assert_eq!(Lines::new("\u{feff}[layout]\n").text(1), "[layout]");
    }

    #[test]
    fn line_texts_leave_the_break_out() {
        let lines = Lines::new("one\r\n\r\nthree\rstill\r\nfour\r");
        assert_eq!(lines.count(), 4);
        assert_eq!((1..=4).map(|line| lines.text(line)).collect::<Vec<_>>(), ["one", "", "three\rstill", "four\r"]);
        assert_eq!(lines.text(0), "");
        assert_eq!(lines.text(5), "");
    }

    #[test]
    fn clamping_covers_whole_characters_inside_the_text() {
        let source = "aΩb";
        assert_eq!(Place::new(2..2).clamped(source), 1..1);
        assert_eq!(Place::new(2..3).clamped(source), 1..3);
        assert_eq!(Place::new(1..2).clamped(source), 1..3);
        #[allow(clippy::reversed_empty_ranges)]
        let reversed = Place::new(3..1);
        assert_eq!(reversed.clamped(source), 3..3);
        assert_eq!(Place::new(9..usize::MAX).clamped(source), 4..4);
        assert_eq!(Place::new(0..1).text(source), "a");
        assert_eq!(Place::new(0..1).and(&Place::new(3..4)), Place::new(0..4));
    }

    #[test]
    fn columns_far_into_a_long_line_use_the_count() {
        let source = format!("x\n{}", "Ω".repeat(10 * STRIDE));
        let lines = Lines::new(&source);
        assert_eq!(lines.line_column(2 + 2 * 9 * STRIDE), (2, 9 * STRIDE + 1));
        // One entry for each stretch and one for the start: what is counted again is never longer than a stretch.
        assert_eq!(lines.characters.len(), source.len().div_ceil(STRIDE) + 1);
    }

    proptest! {
        #[test]
        fn index_agrees_with_counting(source in "[a\u{feff}\r\nΩ🚂\t]{0,40}", offset in 0usize..200) {
            let place = Place::point(offset);
            prop_assert_eq!(Lines::new(&source).line_column(offset), place.line_column(&source));
        }

        #[test]
        fn lines_put_together_give_the_text(source in "[a\r\nΩ]{0,40}") {
            let lines = Lines::new(&source);
            let joined = (1..=lines.count()).map(|line| lines.text(line)).collect::<Vec<_>>().join("\n");
            prop_assert_eq!(joined, source.replace("\r\n", "\n"));
        }

        #[test]
        fn clamped_is_always_sliceable(source in "\\PC{0,20}", start in any::<usize>(), end in any::<usize>(),
                                       near in 0usize..80, nearer in 0usize..80) {
            for place in [Place::new(start..end), Place::new(near..nearer)] {
                prop_assert!(source.get(place.clamped(&source)).is_some());
            }
        }
    }
}
