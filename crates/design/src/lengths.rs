//! Lengths in the units the builder measures in, as the plan and the questions show them.

use crate::answers::Answers;
use handbook::quantity::{Metres, parse, show_length};

impl Answers {
    /// The same with every length as the plan will have it in words.
    pub(crate) fn as_written(&self) -> Answers {
        let as_written = |length: Metres| parse(&words_of(self, length)).unwrap_or(length);
        Answers {
            length: as_written(self.length),
            centres: as_written(self.centres),
            lead: as_written(self.lead),
            ..self.clone()
        }
    }
}

/// A length as the plan writes it.
pub(crate) fn length(answers: &Answers, metres: f64) -> String {
    words_of(answers, Metres(metres))
}

/// A length in the units the builder measures in, to a millimetre or a sixteenth of an inch.
pub(crate) fn words_of(answers: &Answers, length: Metres) -> String {
    if !answers.imperial {
        return show_length(Metres((length.0 * 1e3).round() / 1e3));
    }
    let sixteenths = (length.0 / 0.0254 * 16.0).round() as u64;
    let (feet, rest) = (sixteenths / 192, sixteenths % 192);
    let inches = match (rest / 16, rest % 16) {
        (whole, 0) => format!("{whole} in"),
        (whole, part) => {
            let by = 16 / gcd(part);
            let part = part / gcd(part);
            if whole == 0 { format!("{part}/{by} in") } else { format!("{whole} {part}/{by} in") }
        }
    };
    match (feet, rest) {
        (0, _) => inches,
        (feet, 0) => format!("{feet} ft"),
        (feet, _) => format!("{feet} ft {inches}"),
    }
}

/// The greatest common divisor with 16.
fn gcd(part: u64) -> u64 {
    1 << part.trailing_zeros().min(4)
}
