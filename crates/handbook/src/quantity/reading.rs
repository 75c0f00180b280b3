//! From text to quantity. Never panics, whatever the text, and takes time in proportion to its length.

use std::ops::Range;

use super::cursor::{TextCursor, is_sign};
use super::error::{ExpectedQuantity, QuantityError, quoted, without_article};
use super::number::{ParsedNumber, fraction_value};
use super::units::{LONGEST_UNIT, UnitFactor, look_up};
use super::{Quantity, QuantityKind};

/// Reads a quantity: a number and a unit of its kind. A length may be a sum in falling units (`10 ft 6 in`) and may
/// hold fractions (`3 1/4 in`); a sign may stand in front.
///
/// # Errors
/// If the text is empty, has no number or no unit, has a unit of another kind or an unknown one, a decimal comma, a
/// number too large, or anything left over. A bare number errs too, and the hint names the units that would do.
///
/// ```
/// use handbook::quantity::{Amps, Metres, parse};
/// assert_eq!(parse::<Amps>("250 mA"), Ok(Amps(0.25)));
/// let error = parse::<Metres>("3 A").expect_err("amps are no length");
/// assert_eq!(error.message, "a length is due here, but `A` is a unit of current");
/// ```
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, QuantityError> {
    read(text, ExpectedQuantity::from_kind(Q::KIND)).map(Q::from_si)
}

/// The SI value of what is due, see [`parse`].
pub(crate) fn read(text: &str, due: ExpectedQuantity) -> Result<f64, QuantityError> {
    let mut reader = TextCursor { text, at: 0, due };
    reader.skip_spaces();
    let start = reader.at;
    if reader.rest().is_empty() {
        return Err(due.error(0..text.len(), format!("{} is due here, but nothing is written", due.called)));
    }
    let sign = reader.sign()?;
    let mut total = 0.0;
    let mut last: Option<(f64, &str)> = None;
    loop {
        let number = reader.number()?;
        reader.skip_spaces();
        let (unit, at) = match last {
            // `10'6`: behind feet written with their mark, inches need none.
            Some((factor, "'" | "\u{2019}" | "\u{2032}")) if reader.rest().is_empty() => {
                (UnitFactor { kind: due.kind, factor: factor / 12.0, shift: 0.0 }, reader.at..reader.at)
            }
            _ => reader.unit(&number)?,
        };
        let written = &text[at.clone()];
        if let Some((factor, before)) = last.filter(|&(factor, _)| unit.factor >= factor) {
            let message = if unit.factor == factor {
                format!("{} stands here twice", quoted(before))
            } else {
                format!("{} is larger than the {} before it", quoted(written), quoted(before))
            };
            return Err(QuantityError { at, message, hint: "write the larger unit first, as in `10 ft 6 in`".into() });
        }
        last = Some((unit.factor, written));
        total += (sign * number.value - unit.shift) * unit.factor;
        reader.skip_between_parts();
        if reader.rest().is_empty() {
            break;
        }
        reader.check_that_a_sum_goes_on()?;
    }
    let whole = start..text.trim_end().len();
    if !total.is_finite() {
        return Err(due.too_large(text, whole));
    }
    if due.kind == QuantityKind::Temperature && total < -273.15 - 1e-9 {
        let message = format!("{} is below absolute zero", quoted(&text[whole.clone()]));
        return Err(due.error(whole, message));
    }
    Ok(total)
}

impl TextCursor<'_> {
    /// Skips what may stand between the parts of a length: space, a comma (`4 ft, 6 in`), `and`, a dash right between them (`10'-6"`).
    fn skip_between_parts(&mut self) {
        let dash = self.rest().starts_with('-');
        self.skip_spaces();
        let rest = self.rest();
        let behind = match (dash, rest) {
            (true, _) => rest.strip_prefix('-'),
            _ => rest.strip_prefix(',').or_else(|| rest.strip_prefix("and ")).map(str::trim_start),
        };
        let part = behind.filter(|part| part.starts_with(|c: char| c.is_ascii_digit() || fraction_value(c).is_some()));
        if let Some(part) = part.filter(|_| self.due.kind == QuantityKind::Length) {
            self.at = self.text.len() - part.len();
        }
    }

    /// Reads a sign if there is one: −1 or +1.
    fn sign(&mut self) -> Result<f64, QuantityError> {
        let Some(sign) = self.peek().filter(|&character| is_sign(character)) else {
            return Ok(1.0);
        };
        let at = self.at..self.at + sign.len_utf8();
        self.at = at.end;
        self.skip_spaces();
        if self.rest().is_empty() {
            return Err(self.due.error(at, format!("a number is due after {}", quoted(&sign.to_string()))));
        }
        Ok(if sign == '+' { 1.0 } else { -1.0 })
    }

    /// Reads the unit behind `number`: the longest run of up to three words that is one (`sq mm`, `Ω / m`).
    fn unit(&mut self, number: &ParsedNumber) -> Result<(UnitFactor, Range<usize>), QuantityError> {
        let start = self.at;
        let mut ends = Vec::with_capacity(3);
        while ends.len() < 3 && self.at - start <= LONGEST_UNIT {
            self.skip_spaces();
            if !self.skip_unit_word() {
                break;
            }
            ends.push(self.at);
        }
        let Some(&first) = ends.first() else {
            let written = quoted(&self.text[number.at.clone()]);
            let message = format!("{} is due here, but {written} has no unit", self.due.called);
            return Err(self.due.error(number.at.clone(), message));
        };
        for &end in ends.iter().rev() {
            let written = &self.text[start..end];
            if let Some(unit) = look_up(written).or_else(|| look_up(written.strip_suffix('.')?)) {
                self.at = end;
                return if unit.kind == self.due.kind {
                    Ok((unit, start..end))
                } else {
                    Err(self.due.wrong_kind(unit, written, start..end))
                };
            }
        }
        Err(self.due.unknown_unit(&self.text[start..first], start..first))
    }

    /// Skips one word of a unit: anything up to a space, a digit or a sign; a closing `2` (`mm2`) belongs to it.
    fn skip_unit_word(&mut self) -> bool {
        let start = self.at;
        let rest = self.rest();
        let mut characters = rest.char_indices().peekable();
        let mut length = rest.len();
        while let Some((index, character)) = characters.next() {
            let next = characters.peek().map(|&(_, next)| next);
            let point_of_number = character == '.' && next.is_some_and(|next| next.is_ascii_digit());
            let comma = character == ',' && next.is_none_or(char::is_whitespace);
            let ends = character.is_whitespace() || character.is_ascii_digit() || is_sign(character) || comma;
            if ends || point_of_number || fraction_value(character).is_some() {
                let word = &rest[..index];
                let square = character == '2'
                    && word.ends_with(|last: char| last.is_alphabetic() || last == '^')
                    && next.is_none_or(|next| !next.is_alphanumeric() && next != '.');
                length = if square { index + 1 } else { index };
                break;
            }
        }
        self.at += length;
        self.at > start
    }

    /// What may follow a number and its unit: for a length another number, for all else nothing.
    fn check_that_a_sum_goes_on(&self) -> Result<(), QuantityError> {
        let next = self.peek().unwrap_or(' ');
        let number_next = next.is_ascii_digit() || next == '.' || fraction_value(next).is_some();
        if self.due.kind == QuantityKind::Length && number_next {
            return Ok(());
        }
        let at = self.at..self.text.trim_end().len();
        let left = quoted(&self.text[at.clone()]);
        if self.due.kind == QuantityKind::Length && is_sign(next) {
            let sign = self.at..self.at + next.len_utf8();
            return Err(QuantityError {
                at: sign,
                message: "only the first part of a length may have a sign".into(),
                hint: "write the parts side by side, as in `10 ft 6 in`".into(),
            });
        }
        let message = format!("{left} is left over behind the {}", without_article(self.due.called));
        Err(QuantityError {
            at,
            message,
            hint: format!("write {} alone, for example {}", self.due.called, self.due.examples),
        })
    }
}
