//! What a test is recognised by from one plan to the next.

use crate::items::KeyPoint;
use crate::things::ThingId;

/// What a test is recognised by.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TestKey {
    /// What is looked at, and how: `cold gap`.
    pub(crate) what: String,
    /// Where; in no order, since probes may be exchanged.
    pub(crate) ends: Vec<KeyPoint>,
    /// What is not as at first: whose control, and which position of which of its controls.
    pub(crate) set: Vec<(Option<ThingId>, String)>,
}

impl TestKey {
    pub(crate) fn in_order(mut self) -> TestKey {
        self.ends.sort();
        self.set.sort();
        self
    }

    pub(crate) fn renumbered(mut self, to: &[Option<usize>]) -> TestKey {
        for end in &mut self.ends {
            end.thing = end.thing.map(|t| t.renumbered(to));
        }
        for (thing, _) in &mut self.set {
            *thing = thing.map(|t| t.renumbered(to));
        }
        self.in_order()
    }

    /// The same wherever on its things it looks.
    pub(crate) fn anywhere(&self) -> TestKey {
        let ends = self.ends.iter().map(|end| KeyPoint { place: None, ..end.clone() });
        TestKey { ends: ends.collect(), ..self.clone() }.in_order()
    }

    /// How far two that are the same anywhere are apart, in hundredths of a millimetre.
    pub(crate) fn distance(&self, other: &TestKey) -> i64 {
        let place = |end: &KeyPoint| end.place.unwrap_or_default();
        let ends = self.ends.iter().zip(&other.ends);
        ends.map(|(one, other)| place(one).saturating_sub(place(other)).saturating_abs()).fold(0, i64::saturating_add)
    }

    /// The same told apart from others of the same kind, places and positions, by a count.
    pub fn counted(mut self, count: usize) -> TestKey {
        self.what = format!("{} {count}", self.what);
        self
    }
}
