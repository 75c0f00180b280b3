//! What can be wrong with a text, in words for the builder.

use std::fmt;
use std::ops::Range;

use super::QuantityKind;
use super::units::{UnitFactor, nearest};

/// Why a text is not the quantity that is due, where, and how to fix it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// The bad part, in bytes of the text; always on character borders and within the text.
    pub at: Range<usize>,
    /// What is wrong, in one line without a full stop: "a length is due here, but `A` is a unit of current".
    pub message: String,
    /// What would do instead.
    pub hint: String,
}

impl fmt::Display for QuantityError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}; {}", self.message, self.hint)
    }
}

impl std::error::Error for QuantityError {}

/// What a text should be, and how the errors call it.
#[derive(Clone, Copy)]
pub(crate) struct ExpectedQuantity {
    pub(crate) kind: QuantityKind,
    /// With its article: "a length".
    pub(crate) called: &'static str,
    /// The units the hints name, best first.
    pub(crate) units: &'static [&'static str],
    /// The examples the hints give.
    pub(crate) examples: &'static str,
}

impl ExpectedQuantity {
    pub(super) fn from_kind(kind: QuantityKind) -> Self {
        Self { kind, called: kind.with_article(), units: kind.units(), examples: kind.examples() }
    }

    /// An error whose hint names the units that would do.
    pub(crate) fn error(&self, at: Range<usize>, message: String) -> QuantityError {
        QuantityError { at, message, hint: self.units_that_would_do() }
    }

    pub(super) fn wrong_kind(&self, unit: UnitFactor, written: &str, at: Range<usize>) -> QuantityError {
        let (written, kind) = (quoted(written), unit.kind.name());
        self.error(at, format!("{} is due here, but {written} is a unit of {kind}", self.called))
    }

    pub(super) fn unknown_unit(&self, written: &str, at: Range<usize>) -> QuantityError {
        let mut hint = self.units_that_would_do();
        if let Some(near) = nearest(written, self.kind) {
            hint = format!("did you mean `{near}`? {hint}");
        }
        let message = format!("{} is due here, but {} is no unit known here", self.called, quoted(written));
        QuantityError { at, message, hint }
    }

    pub(super) fn too_large(&self, text: &str, at: Range<usize>) -> QuantityError {
        let message = format!("{} is too large a number", quoted(&text[at.clone()]));
        QuantityError { at, message, hint: format!("for example {}", self.examples) }
    }

    fn units_that_would_do(&self) -> String {
        let units: Vec<String> = self.units.iter().map(|unit| format!("`{unit}`")).collect();
        format!("units that would do: {}; for example {}", units.join(", "), self.examples)
    }
}

/// "length" of "a length".
pub(super) fn without_article(called: &'static str) -> &'static str {
    called.split_once(' ').map_or(called, |(_, name)| name)
}

/// The text in backticks, cut short if long, with control characters made visible.
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 24;
    let mut shown = String::from("`");
    for (index, character) in text.chars().enumerate() {
        if index == LONGEST {
            shown.push('…');
            break;
        }
        match character {
            '\'' | '"' | '\\' => shown.push(character),
            other => shown.extend(other.escape_debug()),
        }
    }
    shown.push('`');
    shown
}
