//! The words of a dump, one at a time.

use super::VcdError;
use std::io::{self, BufRead};

/// Bytes of a word that are kept. Levels of wide signals may be longer and are not needed; nothing else may.
pub(super) const LONGEST: usize = 1_024;

/// Words parted by blanks, with their lines.
pub(super) struct Words<R> {
    reader: R,
    /// The line that reading has come to.
    come_to: u64,
    /// The line the word began on.
    line: u64,
    word: Vec<u8>,
    /// Whether the word was longer than what is kept of it.
    pub cut: bool,
}

impl<R: BufRead> Words<R> {
    pub fn new(reader: R) -> Words<R> {
        Words { reader, come_to: 1, line: 1, word: Vec::with_capacity(LONGEST), cut: false }
    }

    /// Goes on to the next word; false at the end of the file.
    pub fn advance(&mut self) -> io::Result<bool> {
        self.word.clear();
        self.cut = false;
        loop {
            let buffer = match self.reader.fill_buf() {
                Ok(buffer) => buffer,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            if buffer.is_empty() {
                return Ok(!self.word.is_empty());
            }
            let mut used = 0;
            if self.word.is_empty() {
                while let Some(&byte) = buffer.get(used)
                    && byte.is_ascii_whitespace()
                {
                    self.come_to += u64::from(byte == b'\n');
                    used += 1;
                }
                self.line = self.come_to;
            }
            let rest = buffer.get(used..).unwrap_or(&[]);
            let length = rest.iter().position(u8::is_ascii_whitespace).unwrap_or(rest.len());
            let kept = length.min(LONGEST - self.word.len());
            self.cut |= kept < length;
            self.word.extend_from_slice(rest.get(..kept).unwrap_or(&[]));
            // The blank behind a word stays, so that its line end is counted with the next one.
            let ended = length < rest.len() && !self.word.is_empty();
            self.reader.consume(used + length);
            if ended {
                return Ok(true);
            }
        }
    }

    pub fn word(&self) -> &[u8] {
        &self.word
    }

    /// The word as text; what is no text is made visible.
    pub fn text(&self) -> String {
        shown(&self.word)
    }

    /// The line of the word.
    pub fn line(&self) -> u64 {
        self.line
    }

    /// An error at the word.
    pub fn error(&self, what: impl Into<String>, mend: &'static str) -> VcdError {
        VcdError::Line { line: self.line, what: what.into(), mend }
    }

    /// Goes on to the next word, which must be there and whole.
    pub fn next_word(&mut self, what: &str) -> Result<&[u8], VcdError> {
        if !self.advance()? {
            return Err(VcdError::Line {
                line: self.come_to,
                what: format!("the file ends where {what} is due"),
                mend: "the file was cut off; capture or copy it again",
            });
        }
        if self.cut {
            return Err(self.error(
                format!("a word of more than {LONGEST} characters where {what} is due"),
                "this is no value-change dump, or a damaged one",
            ));
        }
        Ok(&self.word)
    }

    /// Goes on past the next `$end`.
    pub fn past_end(&mut self, what: &str) -> Result<(), VcdError> {
        loop {
            if !self.advance()? {
                return Err(VcdError::Line {
                    line: self.come_to,
                    what: format!("the file ends inside {what}"),
                    mend: "the file was cut off, or an `$end` is missing",
                });
            }
            if self.word() == b"$end" {
                return Ok(());
            }
        }
    }
}

/// Bytes as text for a message, the first few of them.
pub(super) fn shown(bytes: &[u8]) -> String {
    const FEW: usize = 40;
    let text = String::from_utf8_lossy(bytes.get(..FEW).unwrap_or(bytes));
    if bytes.len() > FEW { format!("{text}…") } else { text.into_owned() }
}
