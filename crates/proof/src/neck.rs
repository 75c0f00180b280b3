//! The necks of a storage track: the trackwork that must be set for it, end by end (docs/definitions.md, "Set for a storage
//! track").

use crate::TooComplex;
use crate::logic::Logic;
use crate::state::{State, slot, state};
use circuit::{Circuit, ControlId, Guard, Literal, RailOwner, SegmentId};
use network::Condition;
use plan::Kind;
use std::collections::{BTreeMap, BTreeSet};

/// A piece of trackwork of a neck.
struct NeckPiece {
    /// When a route leaves from where one comes to it.
    condition: Condition,
    /// The condition as positions that must all hold, where it is that.
    positions: Option<Guard>,
    /// The only route from there.
    route: Option<SegmentId>,
}

/// The trackwork that must be set for a train that leaves a track by an end, in order.
pub(crate) struct Neck(Vec<NeckPiece>);

impl Neck {
    pub(crate) fn find(circuit: &Circuit, logic: &Logic, (track, end): (SegmentId, usize)) -> Result<Neck, TooComplex> {
        let mut pieces = Vec::new();
        let mut at = state(track, end);
        let mut asked: BTreeMap<ControlId, u8> = BTreeMap::new();
        let mut passed: BTreeSet<(Kind, usize)> = BTreeSet::new();
        let mut walked: BTreeSet<State> = BTreeSet::new();
        // Round a circle of plain track one comes back to where one was.
        while walked.insert(at) {
            let routes = &circuit.segments[at / 2].ends[at % 2].next;
            let [(only, entered)] = routes.as_slice() else {
                // Where several routes leave, it is enough that one of them does.
                let mut condition = logic.never();
                for (route, _) in routes {
                    condition = logic.or(condition, logic.guard(&circuit.segments[*route].guard)?)?;
                }
                if !routes.is_empty() && !logic.is_certain(condition)? {
                    pieces.push(NeckPiece { condition, positions: None, route: None });
                }
                break;
            };
            let segment = &circuit.segments[*only];
            if let RailOwner::Work { kind, index, .. } = segment.owner {
                let contradicts = |l: &Literal| asked.get(&l.control).is_some_and(|&p| p != l.position);
                if !passed.insert((kind, index)) || segment.guard.iter().any(contradicts) {
                    break;
                }
                asked.extend(segment.guard.iter().map(|l| (l.control, l.position)));
                let condition = logic.guard(&segment.guard)?;
                if !logic.is_certain(condition)? {
                    pieces.push(NeckPiece { condition, positions: Some(segment.guard.clone()), route: Some(*only) });
                }
            }
            at = state(*only, 1 - slot(*entered));
        }
        Ok(Neck(pieces))
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// When all of it is set.
    pub(crate) fn set(&self, logic: &Logic) -> Result<Condition, TooComplex> {
        all_set(logic, &self.0)
    }

    /// When the part of it is set that separates its track from its neighbours: up to the last piece at which another one
    /// joins in, as `joins_in` says of the route over it; at least the first piece.
    pub(crate) fn separates(
        &self,
        logic: &Logic,
        mut joins_in: impl FnMut(SegmentId) -> bool,
    ) -> Result<Condition, TooComplex> {
        let last = self.0.iter().rposition(|piece| piece.route.is_some_and(&mut joins_in)).unwrap_or(0);
        all_set(logic, &self.0[..self.0.len().min(last + 1)])
    }
}

/// When all of some trackwork is set.
fn all_set(logic: &Logic, pieces: &[NeckPiece]) -> Result<Condition, TooComplex> {
    let mut positions = Guard::new();
    let mut all = logic.always();
    for piece in pieces {
        match &piece.positions {
            Some(own) => positions.extend(own),
            None => all = logic.and(all, piece.condition)?,
        }
    }
    // All positions at once: one after another, a long neck would be written down again at each step.
    logic.and(all, logic.guard(&positions)?)
}
