//! A hunt that is under way: what was seen and read, and what follows.

use crate::hunt_readings::{self, ReadingRow};
use diagnosis::{Advice, Hunt, Kit, Pairs, Ranking, Refused, Wording};

/// What is known, and what to measure next.
pub struct Shown {
    pub ranking: Ranking,
    pub advice: Vec<Advice>,
}

/// A hunt that is under way.
pub struct Session<'s, 'j, 'p> {
    pub hunt: Hunt,
    pub wording: &'s Wording<'j, 'p>,
    pub pairs: Pairs,
    pub kit: Kit,
    pub most: usize,
    /// Rows that were given or typed, as they are kept.
    pub rows: Vec<ReadingRow>,
}

impl Session<'_, '_, '_> {
    /// Takes what somebody saw, and says what was understood.
    pub fn see(&mut self, words: &str) -> Result<String, String> {
        let seen = diagnosis::symptom_words::symptoms(&self.hunt, words).map_err(|e| e.to_string())?;
        let understood = diagnosis::symptom_words::understood(&self.hunt, &seen);
        for observation in seen {
            self.hunt.observe(observation).map_err(|e| e.to_string())?;
        }
        Ok(understood)
    }

    /// Takes the last reading back, if there is one.
    pub fn take_back(&mut self) -> Option<ReadingRow> {
        let row = self.rows.pop()?;
        self.hunt.take_back();
        Some(row)
    }

    /// Takes a row of readings.
    pub fn take(&mut self, row: ReadingRow) -> Result<(), String> {
        let observation = hunt_readings::observation(self.wording, &self.hunt, &row).map_err(|e| e.to_string())?;
        self.hunt.observe(observation).map_err(|e| e.to_string())?;
        self.rows.push(row);
        Ok(())
    }

    /// What is known now, and what to measure next.
    pub fn shown(&mut self) -> Result<Shown, Refused> {
        let ranking = self.hunt.rank();
        let advice = self.hunt.next(&self.pairs, &ranking)?;
        Ok(Shown { ranking, advice })
    }
}
