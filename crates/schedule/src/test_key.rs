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
}
