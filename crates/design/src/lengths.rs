//! Lengths in the units the builder measures in, as the plan and the questions show them.

use crate::answers::Answers;
use handbook::quantity::{Metres, Units, parse};

impl Answers {
    /// The units that the builder measures in.
    pub(crate) fn units(&self) -> Units {
        if self.imperial { Units::Imperial } else { Units::Metric }
    }

    /// The same with every length as the plan will have it in words.
    pub(crate) fn as_written(&self) -> Answers {
        let as_written = |length: Metres| parse(&words_of(self, length)).unwrap_or(length);
        Answers {
            length: as_written(self.length),
            lengths: self.lengths.iter().copied().map(as_written).collect(),
            centres: as_written(self.centres),
            lead: as_written(self.lead),
            ..self.clone()
        }
    }
}

/// Lengths of roads as one says them: `6 × 2.4 m, 3 × 2.1 m`.
pub(crate) fn list_of(answers: &Answers) -> String {
    let mut groups: Vec<(usize, String)> = Vec::new();
    for &length in &answers.lengths {
        let words = words_of(answers, length);
        match groups.last_mut() {
            Some((count, last)) if *last == words => *count += 1,
            _ => groups.push((1, words)),
        }
    }
    let group =
        |(count, words): &(usize, String)| if *count == 1 { words.clone() } else { format!("{count} × {words}") };
    groups.iter().map(group).collect::<Vec<_>>().join(", ")
}

/// A length as the plan writes it.
pub(crate) fn length(answers: &Answers, metres: f64) -> String {
    words_of(answers, Metres(metres))
}

/// A length in the units the builder measures in, to a millimetre or a sixteenth of an inch.
pub(crate) fn words_of(answers: &Answers, length: Metres) -> String {
    answers.units().written(length.0)
}
