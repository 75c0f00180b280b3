//! What joins nodes, and when.

use crate::{Circuit, ControlId, InputId, NodeId, Part};
use handbook::Spread;
use std::ops::Range;

/// What an edge is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EdgeKind {
    /// A length of rail.
    Rail,
    /// A soldered joint.
    SolderedJoint,
    /// A joiner left unsoldered.
    SlidingJoint,
    /// A feeder wire.
    Feeder,
    /// Where a wire taps a bus.
    Tap,
    /// A length of bus wire.
    BusWire,
    /// A wire to or from a contact, or a bond inside trackwork.
    Wire,
    /// A contact that moves with something.
    Contact,
    /// A blade that touches its stock rail.
    Blade,
    /// The inside of a supply or breaker.
    Source,
}

impl EdgeKind {
    /// Whether it opens by itself one day: what is pressed, crimped, plugged or switched.
    pub fn can_open(self) -> bool {
        use EdgeKind::{Blade, Contact, Feeder, SlidingJoint, Tap};
        matches!(self, SlidingJoint | Blade | Contact | Tap | Feeder)
    }
}

/// A position of a control.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Literal {
    /// The control.
    pub control: ControlId,
    /// Index into its positions.
    pub position: u8,
}

/// Positions that must all hold; empty means always.
pub type Guard = Vec<Literal>;

/// Two nodes joined, always or in some positions.
#[derive(Clone, Debug)]
pub struct Edge {
    /// One node.
    pub a: NodeId,
    /// The other.
    pub b: NodeId,
    /// When it is closed.
    pub guard: Guard,
    /// Whether it is taken out of the circuit: unplugged, left off or broken. It keeps its number and joins nothing then,
    /// whatever its guard says.
    pub removed: bool,
    /// Its resistance in ohms: as new and good, as usual, as aged.
    pub ohms: Spread<f64>,
    /// Its inductance in henries, least, usual, greatest: of a wire or rail half of that of the pair it is one of, of all else
    /// none.
    pub henries: Spread<f64>,
    /// What it is made of.
    pub kind: EdgeKind,
    /// What of the plan it is.
    pub part: Part,
    /// Its name in a builder's words: those of `part`. To be shown, never to be searched.
    pub name: String,
    /// The words of the plan it came from.
    pub span: Range<usize>,
    /// Which input its resistance comes from.
    pub input: InputId,
}

impl Edge {
    /// Whether it is closed in a setting (a position for each control; `None`: in no position).
    pub fn is_closed(&self, setting: &[Option<u8>]) -> bool {
        !self.removed && Circuit::holds(&self.guard, setting)
    }

    /// Whether it is closed in every setting.
    pub fn is_always_closed(&self) -> bool {
        !self.removed && self.guard.is_empty()
    }
}
