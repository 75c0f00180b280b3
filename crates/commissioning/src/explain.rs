//! What a reading that is not well may mean: the mistakes whose reading it is nearest to.

use crate::test::{Test, WouldRead};

/// Mistakes that are told of one reading.
const MOST_TOLD: usize = 3;

/// The mistakes of a test on the side on which a reading is off, those first whose own reading is nearest to it; none where it is well.
pub fn explanations(test: &Test, reading: f64) -> Vec<&WouldRead> {
    if test.is_well(reading) || reading.is_nan() {
        return Vec::new();
    }
    let above = reading > test.passes[1];
    let off = |m: &&WouldRead| if above { m.reading > test.passes[1] } else { m.reading < test.passes[0] };
    let mut found: Vec<&WouldRead> = test.mistakes.iter().filter(off).collect();
    // By ratios: 20 for 10 is as far off as 5 for 10.
    let apart = |m: &WouldRead| match (m.reading.is_infinite(), reading.is_infinite()) {
        (true, true) => 0.0,
        (false, false) => ((m.reading.max(0.0) + FLOOR) / (reading.max(0.0) + FLOOR)).ln().abs(),
        _ => f64::INFINITY,
    };
    // What reads open is explained by what reads open alone.
    found.retain(|mistake| apart(mistake).is_finite());
    found.sort_by(|a, b| apart(a).total_cmp(&apart(b)));
    found.truncate(MOST_TOLD);
    found
}

/// Whether a reading is further off than any mistake would bring it: more than twice as much, or less than half.
pub fn beyond_mistakes(test: &Test, reading: f64) -> bool {
    let ratio = |m: &&WouldRead| (m.reading.max(0.0) + FLOOR) / (reading.max(0.0) + FLOOR);
    !explanations(test, reading).iter().any(|m| m.reading.is_infinite() || (0.5..=2.0).contains(&ratio(m)))
}

/// What keeps nothing apart from nothing: far less than any meter tells.
const FLOOR: f64 = 1e-3;
