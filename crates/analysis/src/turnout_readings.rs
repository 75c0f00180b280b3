//! Which wiring type a turnout in the hand is: a few ohmmeter readings that tell.
//!
//! The readings are not a table. They are looked for among all pairs of points in each position, and what each
//! type reads is worked out from what its template joins.

use circuit::trackwork::touch_points::{Loose, TouchPoint, WIRINGS};
use plan::tables::{Hand, Wiring};
use std::collections::BTreeMap;

/// So many readings are taken: more than are needed, so that one that went wrong shows.
pub const READINGS: usize = 6;

/// One reading: two points and a position. Where both points are the same, two places of that one point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TurnoutReading {
    /// Position of the turnout: 0 through, 1 diverging (a wye turnout: 0 left, 1 right).
    pub position: u8,
    /// The points on a right-hand turnout; see [`TurnoutReading::points`].
    points: [TouchPoint; 2],
}

impl TurnoutReading {
    /// The points to touch on a turnout of this hand. A left-hand turnout is the mirror image of a
    /// right-hand one, and a wye turnout is one whose through track is the left one.
    pub fn points(&self, hand: Hand) -> [TouchPoint; 2] {
        match hand {
            Hand::Left => {
                let mut mirrored = self.points.map(TouchPoint::mirrored);
                mirrored.sort();
                mirrored
            }
            Hand::Right | Hand::Wye => self.points,
        }
    }

    /// Whether a turnout reads joined here.
    pub fn reads(&self, wiring: Wiring, hand: Hand) -> bool {
        Loose::new(wiring, hand).joined(self.points(hand), self.position)
    }
}

/// The readings to take, and which of them would do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TurnoutReadings {
    /// The readings, in the order in which they are taken: the turnout is thrown once.
    pub readings: Vec<TurnoutReading>,
    /// The fewest of them that tell apart all that can be distinguished, as indices.
    pub enough: Vec<usize>,
}

/// What each type reads: one bit a type.
type Pattern = u32;

/// A type that readings fit, or nearly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WiringFit {
    /// The type.
    pub wiring: Wiring,
    /// Indices of the readings that it would read otherwise.
    pub otherwise: Vec<usize>,
}

impl TurnoutReadings {
    /// Looks for the readings: a smallest set that tells apart whatever can be distinguished, filled up to
    /// [`READINGS`] so that types differ in as many readings as can be.
    pub fn find() -> TurnoutReadings {
        let candidates = candidates();
        let patterns: Vec<Pattern> = candidates.keys().copied().collect();
        let distinct = classes(&patterns);
        let fewest = (0..=patterns.len()).find(|&n| any_of(&patterns, n, &|set| classes(set) == distinct));
        let size = READINGS.min(patterns.len());
        let mut best: Option<(Vec<usize>, Vec<Pattern>)> = None;
        for_each_of(&patterns, size, &mut |set| {
            let tells = |part: &[Pattern]| classes(part) == distinct;
            if fewest.is_none_or(|n| !any_of(set, n, &tells)) {
                return;
            }
            let apart = differences(set);
            if best.as_ref().is_none_or(|(least, _)| apart > *least) {
                best = Some((apart, set.to_vec()));
            }
        });
        let chosen = best.map(|b| b.1).unwrap_or_default();
        let mut readings: Vec<TurnoutReading> = chosen.iter().map(|p| candidates[p]).collect();
        readings.sort();
        let pattern_of: Vec<Pattern> = readings.iter().map(|r| pattern(*r)).collect();
        let mut enough = Vec::new();
        for_each_of(&pattern_of, fewest.unwrap_or(0), &mut |set| {
            if enough.is_empty() && classes(set) == distinct {
                enough = set.iter().filter_map(|p| pattern_of.iter().position(|q| q == p)).collect();
            }
        });
        TurnoutReadings { readings, enough }
    }

    /// What a type reads, reading by reading: true for joined.
    pub fn expected(&self, wiring: Wiring) -> Vec<bool> {
        self.readings.iter().map(|r| r.reads(wiring, Hand::Right)).collect()
    }

    /// Types that read the same as this one, whatever is touched: with nothing wired they cannot be distinguished.
    pub fn alike(&self, wiring: Wiring) -> Vec<Wiring> {
        let bit = |w: Wiring| WIRINGS.iter().position(|x| *x == w).unwrap_or(0);
        let patterns: Vec<Pattern> = candidates().into_keys().collect();
        let same = |other: Wiring| patterns.iter().all(|p| p >> bit(wiring) & 1 == p >> bit(other) & 1);
        WIRINGS.into_iter().filter(|&w| w != wiring && same(w)).collect()
    }

    /// Every type with the readings it would read otherwise, the best fit first. `None` is a reading not taken.
    pub fn fits(&self, taken: &[Option<bool>]) -> Vec<WiringFit> {
        let mut fits: Vec<WiringFit> = WIRINGS
            .into_iter()
            .map(|wiring| {
                let expected = self.expected(wiring);
                let differs = |i: &usize| taken.get(*i).copied().flatten().is_some_and(|t| t != expected[*i]);
                WiringFit { wiring, otherwise: (0..expected.len()).filter(differs).collect() }
            })
            .collect();
        fits.sort_by_key(|f| f.otherwise.len());
        fits
    }
}

fn pattern(reading: TurnoutReading) -> Pattern {
    let bit = |(i, w): (usize, Wiring)| Pattern::from(reading.reads(w, Hand::Right)) << i;
    WIRINGS.into_iter().enumerate().map(bit).sum()
}

/// One reading for each pattern that tells anything, the first of those alike.
fn candidates() -> BTreeMap<Pattern, TurnoutReading> {
    let all: Pattern = (1 << WIRINGS.len()) - 1;
    let mut found = BTreeMap::new();
    for position in [0, 1] {
        for (i, &one) in TouchPoint::ALL.iter().enumerate() {
            for &other in &TouchPoint::ALL[i..] {
                let reading = TurnoutReading { position, points: [one, other] };
                let pattern = pattern(reading);
                if pattern != 0 && pattern != all {
                    found.entry(pattern).or_insert(reading);
                }
            }
        }
    }
    found
}

/// Into how many classes readings part the types.
fn classes(patterns: &[Pattern]) -> usize {
    let mut words: Vec<Vec<bool>> = (0..WIRINGS.len()).map(|w| word(patterns, w)).collect();
    words.sort_unstable();
    words.dedup();
    words.len()
}

fn word(patterns: &[Pattern], wiring: usize) -> Vec<bool> {
    patterns.iter().map(|p| p >> wiring & 1 == 1).collect()
}

/// In how many readings each two types that differ at all do differ, fewest first.
fn differences(patterns: &[Pattern]) -> Vec<usize> {
    let words: Vec<Vec<bool>> = (0..WIRINGS.len()).map(|w| word(patterns, w)).collect();
    let mut all = Vec::new();
    for (i, one) in words.iter().enumerate() {
        for other in &words[i + 1..] {
            all.push(one.iter().zip(other).filter(|(a, b)| a != b).count());
        }
    }
    all.retain(|&d| d > 0);
    all.sort_unstable();
    all
}

/// Calls with every choice of so many, in order.
fn for_each_of(of: &[Pattern], size: usize, call: &mut dyn FnMut(&[Pattern])) {
    fn go(rest: &[Pattern], size: usize, chosen: &mut Vec<Pattern>, call: &mut dyn FnMut(&[Pattern])) {
        if size == 0 {
            return call(chosen);
        }
        for (i, &p) in rest.iter().enumerate() {
            if rest.len() - i < size {
                return;
            }
            chosen.push(p);
            go(&rest[i + 1..], size - 1, chosen, call);
            chosen.pop();
        }
    }
    go(of, size, &mut Vec::new(), call);
}

fn any_of(of: &[Pattern], size: usize, holds: &dyn Fn(&[Pattern]) -> bool) -> bool {
    let mut any = false;
    for_each_of(of, size, &mut |set| any = any || holds(set));
    any
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn six_readings_thrown_once() {
        let test = TurnoutReadings::find();
        assert_eq!(test.readings.len(), 6);
        assert!(test.readings.is_sorted_by_key(|r| r.position), "{:?}", test.readings);
    }

    /// With nothing wired an assisted turnout is a routed one and an unfed one is a bonded one; all else can
    /// be distinguished. So seven types are five, and two readings part only four.
    #[test]
    fn the_fewest_readings_are_three() {
        let test = TurnoutReadings::find();
        assert_eq!(test.enough.len(), 3, "{test:?}");
        let alike: Vec<Vec<Wiring>> = WIRINGS.iter().map(|&w| test.alike(w)).collect();
        use Wiring::{LiveAssisted, LiveBonded, LiveRouted, LiveUnfed};
        let none = Vec::new;
        let pairs = [none(), none(), none(), vec![LiveAssisted], vec![LiveRouted], vec![LiveUnfed], vec![LiveBonded]];
        assert_eq!(alike, pairs);
    }

    #[test]
    fn readings_lead_back_to_their_type_or_its_twin() {
        let test = TurnoutReadings::find();
        for wiring in WIRINGS {
            let taken: Vec<Option<bool>> = test.expected(wiring).into_iter().map(Some).collect();
            let mut fitting: Vec<Wiring> =
                test.fits(&taken).into_iter().filter(|f| f.otherwise.is_empty()).map(|f| f.wiring).collect();
            let mut due = test.alike(wiring);
            due.push(wiring);
            due.sort();
            fitting.sort();
            assert_eq!(fitting, due, "{wiring:?}");
            // The fewest readings alone must do it too.
            let few: Vec<Option<bool>> =
                taken.iter().enumerate().map(|(i, t)| t.filter(|_| test.enough.contains(&i))).collect();
            let fitting = test.fits(&few).into_iter().filter(|f| f.otherwise.is_empty()).count();
            assert_eq!(fitting, due.len(), "{wiring:?} by {:?}", test.enough);
        }
    }

    #[test]
    fn readings_are_the_same_for_either_hand() {
        for reading in TurnoutReadings::find().readings {
            for wiring in WIRINGS {
                assert_eq!(
                    reading.reads(wiring, Hand::Left),
                    reading.reads(wiring, Hand::Right),
                    "{reading:?} {wiring:?}"
                );
                assert_eq!(
                    reading.reads(wiring, Hand::Wye),
                    reading.reads(wiring, Hand::Right),
                    "{reading:?} {wiring:?}"
                );
            }
        }
    }

    /// One wrong reading must never make a live frog of a plastic one.
    #[test]
    fn a_slip_does_not_turn_a_live_type_into_an_insulated_one() {
        let test = TurnoutReadings::find();
        let live = |w: Wiring| w.word().starts_with("live");
        for wiring in WIRINGS {
            for slip in 0..test.readings.len() {
                let mut taken: Vec<Option<bool>> = test.expected(wiring).into_iter().map(Some).collect();
                taken[slip] = taken[slip].map(|t| !t);
                for fit in test.fits(&taken).into_iter().filter(|f| f.otherwise.is_empty()) {
                    assert_eq!(live(fit.wiring), live(wiring), "reading {slip} of {wiring:?}");
                }
            }
        }
    }
}
