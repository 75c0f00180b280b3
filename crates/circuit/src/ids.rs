//! What tells one thing of a circuit from all others of its kind.

use crate::Circuit;
use plan::Pole;
use std::ops::{Index, IndexMut};

/// A number that tells one thing from all others in one kind of list, and from the numbers of every other kind. A list of
/// what such things have, one after the other, is indexed by it.
macro_rules! id {
    ($(#[doc = $doc:literal])* $name:ident($raw:ty)) => {
        $(#[doc = $doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name($raw);

        impl $name {
            /// That of the thing at a place in its list.
            pub const fn new(index: usize) -> $name {
                $name(index as $raw)
            }

            /// Its place in its list.
            pub const fn index(self) -> usize {
                self.0 as usize
            }

            /// Those of the first so many things, in order.
            pub fn all(count: usize) -> impl DoubleEndedIterator<Item = $name> + ExactSizeIterator + Clone {
                (0..count).map($name::new)
            }

            /// Each thing of a list with its own.
            pub fn each<T>(list: &[T]) -> impl DoubleEndedIterator<Item = ($name, &T)> + ExactSizeIterator + Clone {
                list.iter().enumerate().map(|(index, thing)| ($name::new(index), thing))
            }
        }

        /// For lists of another kind that are numbered alike.
        impl From<$name> for $raw {
            fn from(id: $name) -> $raw {
                id.0
            }
        }

        impl<T> Index<$name> for [T] {
            type Output = T;

            fn index(&self, id: $name) -> &T {
                &self[id.index()]
            }
        }

        impl<T> IndexMut<$name> for [T] {
            fn index_mut(&mut self, id: $name) -> &mut T {
                &mut self[id.index()]
            }
        }

        impl<T> Index<$name> for Vec<T> {
            type Output = T;

            fn index(&self, id: $name) -> &T {
                &self[id.index()]
            }
        }

        impl<T> IndexMut<$name> for Vec<T> {
            fn index_mut(&mut self, id: $name) -> &mut T {
                &mut self[id.index()]
            }
        }
    };
}

id! {
    /// Which control: of what has positions.
    ControlId(usize)
}

id! {
    /// Which node: of points of rail and wire.
    NodeId(u32)
}

id! {
    /// Which edge: of what joins nodes. As small as they come, since there are lists of very many.
    EdgeId(u32)
}

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
