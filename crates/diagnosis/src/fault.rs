//! What may be wrong.

use circuit::{EdgeId, NodeId};

/// Ohms that a bad joint may have too much: ten and three steps to a decade, 0.03 to 30 Ω.
pub const TOO_MUCH: [f64; 10] = [0.03, 0.065, 0.14, 0.3, 0.65, 1.4, 3.0, 6.5, 14.0, 30.0];
/// Within a step the excess may lie anywhere: the standard deviation of its logarithm.
pub const STEP_SPREAD: f64 = 0.222;

/// A thing that can be at fault: what ranking is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Element {
    /// A joint, feeder, tap, wire, contact, blade or run of a bus.
    Edge(EdgeId),
    /// A gap, by its nodes before and behind it.
    Gap(NodeId, NodeId),
    /// Two wires or throws that may be exchanged.
    Pair(EdgeId, EdgeId),
    /// A tap that may be on the other conductor of its bus.
    Conductor(EdgeId),
}

/// One thing that is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fault {
    /// It does not conduct.
    Open(EdgeId),
    /// It resists too much, by this step of [`TOO_MUCH`].
    More(EdgeId, u8),
    /// A gap's sides touch.
    Bridged(NodeId, NodeId),
    /// Two wires, or the throws of a contact, are exchanged.
    Exchanged(EdgeId, EdgeId),
    /// A tap is on the other conductor, by the node it should be on and the one it is on.
    OtherConductor {
        /// The tap.
        tap: EdgeId,
        /// Where it is now.
        at: NodeId,
    },
}

impl Fault {
    /// The thing at fault.
    pub fn element(&self) -> Element {
        match *self {
            Fault::Open(edge) | Fault::More(edge, _) => Element::Edge(edge),
            Fault::Bridged(a, b) => Element::Gap(a, b),
            Fault::Exchanged(one, other) => Element::Pair(one, other),
            Fault::OtherConductor { tap, .. } => Element::Conductor(tap),
        }
    }
}
