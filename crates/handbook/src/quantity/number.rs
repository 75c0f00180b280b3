//! Numbers as builders write them: decimals, exponents, fractions of an inch.

use std::ops::Range;

use super::QuantityKind;
use super::cursor::{TextCursor, is_sign};
use super::error::{QuantityError, quoted};

/// A number as written: its value and its place.
pub(super) struct ParsedNumber {
    pub(super) value: f64,
    pub(super) at: Range<usize>,
}

impl TextCursor<'_> {
    /// Reads a number without a sign.
    pub(super) fn number(&mut self) -> Result<ParsedNumber, QuantityError> {
        let start = self.at;
        let whole_digits = self.skip_digits();
        let mut plain = whole_digits > 0;
        let mut part_digits = 0;
        if self.peek() == Some('.') {
            self.at += 1;
            part_digits = self.skip_digits();
            plain = false;
        }
        if whole_digits + part_digits == 0 {
            self.at = start;
            return self.fraction_character().map_or_else(
                || {
                    let word = self.word_or_rest();
                    let message = format!(
                        "{} starts with a number, but {} stands here",
                        self.due.called,
                        quoted(&self.text[word.clone()])
                    );
                    Err(self.due.error(word, message))
                },
                |value| self.checked_fraction(start, value),
            );
        }
        if self.peek() == Some(',') {
            return Err(self.comma(start));
        }
        plain &= !self.skip_exponent();
        let written = start..self.at;
        // Digits, a point and an exponent are all that can stand here, and the standard library reads them all.
        let value: f64 = self.text[written.clone()].parse().unwrap_or(f64::NAN);
        if !value.is_finite() {
            return Err(self.due.too_large(self.text, written));
        }
        if plain && let Some(value) = self.fraction(start, value)? {
            return self.checked_fraction(start, value);
        }
        Ok(ParsedNumber { value, at: written })
    }

    /// `e3`, `E-3`: an exponent only if digits follow, else it is the start of a unit.
    fn skip_exponent(&mut self) -> bool {
        let start = self.at;
        if matches!(self.peek(), Some('e' | 'E')) {
            self.at += 1;
            if let Some(sign) = self.peek().filter(|&character| is_sign(character) && character.is_ascii()) {
                self.at += sign.len_utf8();
            }
            if self.skip_digits() > 0 {
                return true;
            }
        }
        self.at = start;
        false
    }

    /// What follows a whole number if it is (part of) a fraction: `1/2`, `3 1/4`, `3-1/4`, `3½`. `whole` has been read.
    fn fraction(&mut self, start: usize, whole: f64) -> Result<Option<f64>, QuantityError> {
        if let Some(under) = self.denominator(start)? {
            return Ok(Some(whole / under));
        }
        let behind_whole = self.at;
        self.skip_spaces();
        if behind_whole == self.at && self.peek() == Some('-') {
            self.at += 1;
        }
        if let Some(part) = self.fraction_character() {
            return Ok(Some(whole + part));
        }
        let part = self.at;
        if self.skip_digits() > 0 {
            let over: f64 = self.text[part..self.at].parse().unwrap_or(f64::NAN);
            if let Some(under) = self.denominator(part)? {
                return Ok(Some(whole + over / under));
            }
        }
        self.at = behind_whole;
        Ok(None)
    }

    fn denominator(&mut self, start: usize) -> Result<Option<f64>, QuantityError> {
        let mut behind = self.rest().chars();
        if !matches!(behind.next(), Some('/' | '\u{2044}')) || !behind.next().is_some_and(|c| c.is_ascii_digit()) {
            return Ok(None);
        }
        self.skip_while(|character| !character.is_ascii_digit());
        let digits = self.at;
        self.skip_digits();
        match self.text[digits..self.at].parse::<f64>() {
            Ok(under) if under > 0.0 => Ok(Some(under)),
            _ => Err(QuantityError {
                at: start..self.at,
                message: format!("{} divides by nothing", quoted(&self.text[start..self.at])),
                hint: "write a fraction such as `1/4`".into(),
            }),
        }
    }

    fn fraction_character(&mut self) -> Option<f64> {
        let character = self.peek()?;
        let value = fraction_value(character)?;
        self.at += character.len_utf8();
        Some(value)
    }

    fn checked_fraction(&self, start: usize, value: f64) -> Result<ParsedNumber, QuantityError> {
        let at = start..self.at;
        if self.due.kind != QuantityKind::Length {
            let message = format!("{} is a fraction, which only a length may be", quoted(&self.text[at.clone()]));
            return Err(QuantityError { at, message, hint: "write it with a decimal point, as in `0.25`".into() });
        }
        if !value.is_finite() {
            return Err(self.due.too_large(self.text, at));
        }
        Ok(ParsedNumber { value, at })
    }

    /// The error for a comma in a number; the reader stands at the comma.
    fn comma(&mut self, start: usize) -> QuantityError {
        let comma = self.at;
        self.skip_while(|character| character.is_ascii_digit() || matches!(character, ',' | '.'));
        let at = start..self.at;
        let (before, after) = (&self.text[start..comma], &self.text[comma + 1..self.at]);
        let mendable = before.len() + after.len() < 12 && !after.is_empty() && !after.contains([',', '.']);
        let hint = match (mendable, after.len()) {
            (true, 3) => {
                format!("write `{before}.{after}`, or `{before}{after}` if thousands are meant")
            }
            (true, _) => format!("write `{before}.{after}`"),
            _ => "write the decimals behind a point, as in `2.5`, and thousands without a mark".into(),
        };
        QuantityError { message: format!("{} has a comma in it", quoted(&self.text[at.clone()])), at, hint }
    }

    /// The word the reader stands at, for pointing at it.
    fn word_or_rest(&self) -> Range<usize> {
        let rest = self.rest();
        let length = rest.find(char::is_whitespace).unwrap_or(rest.len());
        self.at..self.at + length
    }
}

/// The value of a character that is a fraction by itself.
pub(super) fn fraction_value(character: char) -> Option<f64> {
    Some(match character {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}
