//! The words of a dump, one at a time.

use super::VcdError;
use std::io::{self, Read};
use std::ops::Range;

/// Bytes of a word that are kept. Levels of wide signals may be longer and are not needed; nothing else may.
pub(super) const LONGEST: usize = 1_024;

/// Bytes that are read at a time.
const CHUNK: usize = 1 << 16;

/// Words parted by blanks, with their lines. A word is a part of what was read, and nothing is copied but what lies across the end
/// of a chunk.
pub(super) struct WordReader<R> {
    reader: R,
    chunk: Vec<u8>,
    /// Where in the chunk reading has come to, and where what was read ends.
    at: usize,
    end: usize,
    /// The line that reading has come to.
    come_to: u64,
    /// The line the word began on.
    line: u64,
    /// Where in the chunk the word lies.
    word: Range<usize>,
    /// Whether the word was longer than what is kept of it.
    pub cut: bool,
}

impl<R: Read> WordReader<R> {
    pub fn new(reader: R) -> WordReader<R> {
        WordReader { reader, chunk: vec![0; CHUNK], at: 0, end: 0, come_to: 1, line: 1, word: 0..0, cut: false }
    }

    /// What most lines of a dump are, a time and a level of one signal, each on a line of its own: the time's digits, the level,
    /// and how many bytes both take. None where anything else follows or the chunk ends within; nothing is consumed.
    #[inline]
    pub fn time_and_level(&self, code: &[u8]) -> Option<(&[u8], u8, usize)> {
        let rest = self.chunk.get(self.at..self.end)?.strip_prefix(b"\n#")?;
        let digits = first_blank(rest)?;
        let [b'\n', level, behind @ ..] = rest.get(digits..)? else { return None };
        let next = behind.strip_prefix(code)?.first()?;
        (*next == b'\n').then_some((rest.get(..digits)?, *level, 2 + digits + 2 + code.len()))
    }

    /// Goes on past such a time and level.
    #[inline]
    pub fn pass(&mut self, bytes: usize) {
        self.at += bytes;
        self.come_to += 2;
        self.line = self.come_to;
    }

    /// Goes on to the next word; false at the end of the file.
    #[inline]
    pub fn advance(&mut self) -> io::Result<bool> {
        self.cut = false;
        self.word = 0..0;
        loop {
            let rest = self.chunk.get(self.at..self.end).unwrap_or(&[]);
            let mut skipped = 0;
            while let Some(&byte) = rest.get(skipped)
                && is_blank(byte)
            {
                self.come_to += u64::from(byte == b'\n');
                skipped += 1;
            }
            self.at += skipped;
            if skipped < rest.len() {
                break;
            }
            if !self.fill()? {
                return Ok(false);
            }
        }
        self.line = self.come_to;
        let mut scanned = 0;
        loop {
            let rest = self.chunk.get(self.at + scanned..self.end).unwrap_or(&[]);
            // The blank behind a word stays, so that its line end is counted with the next one.
            let found = first_blank(rest);
            let length = scanned + found.unwrap_or(rest.len());
            let kept = length.min(LONGEST);
            self.cut |= kept < length;
            if found.is_some() {
                self.word = self.at..self.at + kept;
                self.at += length;
                return Ok(true);
            }
            // Of a word that goes on in the next chunk only what is kept goes with it.
            self.end = self.at + kept;
            scanned = kept;
            if !self.fill()? {
                self.word = self.at..self.end;
                self.at = self.end;
                return Ok(true);
            }
        }
    }

    /// Puts what is left to the front of the chunk and reads on behind it; false at the end of the file.
    #[cold]
    fn fill(&mut self) -> io::Result<bool> {
        self.chunk.copy_within(self.at..self.end, 0);
        (self.at, self.end) = (0, self.end - self.at);
        loop {
            match self.reader.read(self.chunk.get_mut(self.end..).unwrap_or(&mut [])) {
                Ok(read) => {
                    self.end += read;
                    return Ok(read > 0);
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }

    #[inline]
    pub fn word(&self) -> &[u8] {
        self.chunk.get(self.word.clone()).unwrap_or(&[])
    }

    /// The word as text; what is no text is made visible.
    pub fn text(&self) -> String {
        shown(self.word())
    }

    /// The line of the word.
    pub fn line(&self) -> u64 {
        self.line
    }

    /// An error at the word.
    pub fn error(&self, what: impl Into<String>, mend: &'static str) -> VcdError {
        VcdError::Line { line: self.line, what: what.into(), fix: mend }
    }

    /// Goes on to the next word, which must be there and whole.
    pub fn next_word(&mut self, what: &str) -> Result<&[u8], VcdError> {
        if !self.advance()? {
            return Err(VcdError::Line {
                line: self.come_to,
                what: format!("the file ends where {what} is due"),
                fix: "the file was cut off; capture or copy it again",
            });
        }
        if self.cut {
            return Err(self.error(
                format!("a word of more than {LONGEST} characters where {what} is due"),
                "this is no value-change dump, or a damaged one",
            ));
        }
        Ok(self.word())
    }

    /// Goes on past the next `$end`.
    pub fn past_end(&mut self, what: &str) -> Result<(), VcdError> {
        loop {
            if !self.advance()? {
                return Err(VcdError::Line {
                    line: self.come_to,
                    what: format!("the file ends inside {what}"),
                    fix: "the file was cut off, or an `$end` is missing",
                });
            }
            if self.word() == b"$end" {
                return Ok(());
            }
        }
    }
}

/// Whether a byte parts words. Almost none does, and one comparison tells.
#[inline]
fn is_blank(byte: u8) -> bool {
    byte <= b' ' && byte.is_ascii_whitespace()
}

/// Where the first blank is. Eight bytes at a time: of bytes below 0x21 the subtraction sets the top bit, and the lowest such
/// bit is never set by a borrow.
#[inline]
fn first_blank(bytes: &[u8]) -> Option<usize> {
    const EACH: u64 = u64::MAX / 255;
    let mut from = 0;
    while let Some(eight) = bytes.get(from..).and_then(<[u8]>::first_chunk) {
        let eight = u64::from_le_bytes(*eight);
        let low = eight.wrapping_sub(0x21 * EACH) & !eight & (0x80 * EACH);
        if low == 0 {
            from += 8;
            continue;
        }
        from += low.trailing_zeros() as usize / 8;
        if bytes.get(from).copied().is_some_and(is_blank) {
            return Some(from);
        }
        from += 1;
    }
    bytes.get(from..)?.iter().position(|&byte| is_blank(byte)).map(|at| from + at)
}

/// Bytes as text for a message, the first few of them.
pub(super) fn shown(bytes: &[u8]) -> String {
    const FEW: usize = 40;
    let text = String::from_utf8_lossy(bytes.get(..FEW).unwrap_or(bytes));
    if bytes.len() > FEW { format!("{text}…") } else { text.into_owned() }
}
