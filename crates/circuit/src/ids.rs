//! What tells one thing of a circuit from all others of its kind.

use crate::{Circuit, NodeId};
use plan::Pole;

/// A pole of a root supply: which conductor something is on, whatever breaker or bus it comes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PoleId {
    /// Index of the source.
    pub source: usize,
    /// Which of its two poles.
    pub pole: Pole,
}

impl PoleId {
    /// Both poles of a source, A first.
    pub fn both(source: usize) -> [PoleId; 2] {
        Pole::ALL.map(|pole| PoleId { source, pole })
    }

    /// The other pole of the same source.
    pub fn other(self) -> PoleId {
        PoleId { pole: self.pole.other(), ..self }
    }

    /// Its terminal.
    ///
    /// # Panics
    /// When the circuit has no such source.
    pub fn node(self, circuit: &Circuit) -> NodeId {
        circuit.sources[self.source].node[self.pole]
    }
}

/// A pole behind a breaker: what a rail is meant to be on. Two breakers behind one source have different ones, the same
/// [`PoleId`] though they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BreakerPole {
    /// Index of the breaker.
    pub breaker: usize,
    /// Which of its two poles.
    pub pole: Pole,
}

impl Circuit {
    /// The poles of all sources, in order.
    pub fn poles(&self) -> impl Iterator<Item = PoleId> + use<> {
        (0..self.sources.len()).flat_map(PoleId::both)
    }

    /// The pole of a source that a breaker's pole is.
    ///
    /// # Panics
    /// When there is no such breaker.
    pub fn source_pole(&self, meant: BreakerPole) -> PoleId {
        PoleId { source: self.breakers[meant.breaker].source, pole: meant.pole }
    }
}
