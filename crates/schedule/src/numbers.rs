//! The number of each wire, gap and joint: one number for one thing on every paper, drawing and label.

use circuit::{Circuit, EdgeId, EdgeKind, NodeId};
use std::collections::BTreeMap;
use std::fmt;

/// What is numbered; each class has a letter and counts from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// A feeder, rail to bus: F.
    Feeder,
    /// A wire to or from a contact: W.
    Wire,
    /// A conductor of a bus, or a lead from a supply: B.
    Bus,
    /// An insulated gap: G.
    Gap,
    /// A joint, soldered or sliding: J.
    Joint,
}

/// The number of one thing: `F12`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Number {
    /// What it is.
    pub class: Class,
    /// Its count, from 1.
    pub count: u32,
}

impl Class {
    /// Its letter.
    pub fn letter(self) -> char {
        match self {
            Class::Feeder => 'F',
            Class::Wire => 'W',
            Class::Bus => 'B',
            Class::Gap => 'G',
            Class::Joint => 'J',
        }
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.class.letter(), self.count)
    }
}

/// The numbers of a circuit's wires, gaps and joints.
#[derive(Clone, Debug, Default)]
pub struct Numbers {
    edges: BTreeMap<EdgeId, Number>,
    gaps: BTreeMap<(NodeId, NodeId), Number>,
}

impl Numbers {
    /// Numbers in the order of the plan.
    pub fn fresh(circuit: &Circuit) -> Numbers {
        let mut numbers = Numbers::default();
        let mut counts: BTreeMap<Class, u32> = BTreeMap::new();
        let mut next = |class| {
            let count = counts.entry(class).or_default();
            *count += 1;
            Number { class, count: *count }
        };
        for (id, edge) in circuit.edges.iter().enumerate() {
            let class = match edge.kind {
                EdgeKind::Feeder => Class::Feeder,
                EdgeKind::Wire => Class::Wire,
                EdgeKind::SolderedJoint | EdgeKind::SlidingJoint => Class::Joint,
                _ => continue,
            };
            numbers.edges.insert(id as EdgeId, next(class));
        }
        for gap in &circuit.gaps {
            let key = (gap.before.min(gap.after), gap.before.max(gap.after));
            numbers.gaps.entry(key).or_insert_with(|| next(Class::Gap));
        }
        numbers
    }

    /// The number of a wire or joint by its edge; none of what has no number, such as rail.
    pub fn of_edge(&self, edge: EdgeId) -> Option<Number> {
        self.edges.get(&edge).copied()
    }

    /// The number of the gap between two nodes, whichever way they are named.
    pub fn of_gap(&self, before: NodeId, after: NodeId) -> Option<Number> {
        self.gaps.get(&(before.min(after), before.max(after))).copied()
    }
}
