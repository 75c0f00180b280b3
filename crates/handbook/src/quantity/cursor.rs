//! A place in a text that is read from its start to its end.

use super::error::ExpectedQuantity;

/// A place in a text, and what the text should be.
pub(super) struct TextCursor<'text> {
    pub(super) text: &'text str,
    pub(super) at: usize,
    pub(super) due: ExpectedQuantity,
}

impl<'text> TextCursor<'text> {
    pub(super) fn rest(&self) -> &'text str {
        &self.text[self.at..]
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    pub(super) fn skip_spaces(&mut self) {
        self.skip_while(char::is_whitespace);
    }

    pub(super) fn skip_while(&mut self, wanted: impl Fn(char) -> bool) {
        let rest = self.rest();
        self.at += rest.find(|character| !wanted(character)).unwrap_or(rest.len());
    }

    pub(super) fn skip_digits(&mut self) -> usize {
        let start = self.at;
        self.skip_while(|character| character.is_ascii_digit());
        self.at - start
    }
}

/// Whether a character is a sign of a number.
pub(super) fn is_sign(character: char) -> bool {
    matches!(character, '+' | '-' | '\u{2212}')
}
