//! Storage tracks: what their necks are, and whether they are live and dead when they should be.

use super::{Faults, Powered, Walked, Walker};
use circuit::{Circuit, Guard};
use proof::Storage;
use std::collections::BTreeSet;

impl Walker<'_> {
    /// The trackwork that a train from a track trails, at both its ends: of each piece the routes of which one must be set.
    pub fn neck(&self, track: usize) -> Vec<Vec<Guard>> {
        let mut neck = Vec::new();
        for end in 0..2 {
            let mut at = 2 * track + end;
            let mut own = Guard::new();
            let mut seen = BTreeSet::new();
            loop {
                let routes = &self.onward[at];
                let guards: Vec<Guard> = routes.iter().map(|r| self.circuit.segments[r / 2].guard.clone()).collect();
                let [next] = routes.as_slice() else {
                    // Where as many routes leave as there are positions, one always does.
                    let control = guards.first().and_then(|g| g.first()).map(|l| l.control);
                    let all = control.map_or(0, |c| self.circuit.controls[c].positions.len());
                    if guards.len() < all {
                        neck.push(guards);
                    }
                    break;
                };
                let against =
                    |l: &circuit::Literal| own.iter().any(|o| o.control == l.control && o.position != l.position);
                if !seen.insert(*next) || guards[0].iter().any(against) {
                    break;
                }
                own.extend(guards[0].iter().copied());
                if !guards[0].is_empty() {
                    neck.push(guards);
                }
                at = *next;
            }
        }
        neck
    }

    /// Whether all of a track's necks is set.
    pub fn neck_is_set(&self, track: usize, setting: &[Option<u8>]) -> bool {
        self.neck(track).iter().all(|piece| piece.iter().any(|guard| Circuit::holds(guard, setting)))
    }

    /// A storage track of a yard whose other tracks are all storage tracks.
    pub(super) fn storage(
        &self,
        track: usize,
        walked: &Walked,
        storage: Option<&Storage>,
        (positions, powered): (&[Option<u8>], Powered<'_>),
        found: &mut Faults,
    ) {
        let set = self.neck_is_set(track, positions);
        // The tracks of the yard join in at each piece, or lie on from there.
        let lined = storage.is_some_and(|s| s.policy(track) == Some(plan::tables::Live::Lined));
        for spot in self.spots.iter().filter(|s| s.segment == track && s.is_gap.is_none()) {
            let stub = spot.ends[1] - spot.ends[0] < 0.4;
            let live = powered(spot.conductors);
            match (lined, live) {
                (true, true) if !set && !stub => {
                    found.storage.insert((track, true));
                }
                (true, false) if set && self.can_be(walked, spot) => {
                    found.dead.insert(track);
                }
                (false, false) if !stub => {
                    found.storage.insert((track, false));
                }
                _ => {}
            }
        }
    }
}
