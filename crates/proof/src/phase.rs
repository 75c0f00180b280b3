//! Is each rail, when live, only ever on the pole it is meant for?

use crate::dead::{Interval, intervals};
use crate::spot::Spot;
use crate::{MOST_TOLD, Questions, TooComplex, Witness};
use std::collections::BTreeSet;

/// A rail that can be live on the wrong pole of its supply.
#[derive(Clone, Debug, PartialEq)]
pub struct WrongPhase {
    /// The track.
    pub track: usize,
    /// Its rail: 0 left, 1 right.
    pub side: usize,
    /// The piece of it that is, metres from the `from` end.
    pub from: f64,
    /// End of that piece.
    pub to: f64,
    /// The pole it is meant to be on: 0 for A, 1 for B.
    pub meant: usize,
    /// A setting, and the path from the pole it should not be on.
    pub witness: Witness,
}

pub(crate) fn wrong_phases(q: &Questions<'_>) -> Result<Vec<WrongPhase>, TooComplex> {
    let mut found = Vec::new();
    for track in 0..q.circuit.tracks {
        if found.len() >= MOST_TOLD {
            break;
        }
        let along = intervals(q, track);
        for side in 0..2 {
            let Some((breaker, pole)) = q.circuit.meant[track][side] else { continue };
            let source = q.circuit.breakers[breaker].source;
            let meant = usize::from(pole == plan::Pole::B);
            let conductor = |interval: &Interval| q.reach.conductors.of[interval.nodes[side] as usize];
            let mut told = BTreeSet::new();
            for (first, interval) in along.iter().enumerate() {
                let node = interval.nodes[side];
                let wrong = q.live(node, source, 1 - meant);
                if wrong.is_false() || told.contains(&conductor(interval)) {
                    continue;
                }
                // Up to its gap a rail behind a frog takes the frog's phase, and a rail before a reversing section
                // that of the section: what matters is what a train meets.
                let spot = Spot::stretch(q.circuit, &q.lined.runs, track, (interval.from + interval.to) / 2.0);
                let wrong = q.settled(&q.under_train_where(&spot, wrong)?)?;
                if wrong.is_false() {
                    continue;
                }
                told.insert(conductor(interval));
                // The piece goes on over every joint and wire to where another conductor begins.
                let same = along[first..].iter().take_while(|i| conductor(i) == conductor(interval));
                found.push(WrongPhase {
                    track,
                    side,
                    from: interval.from,
                    to: same.last().map_or(interval.to, |i| i.to),
                    meant,
                    witness: q.witness_to(&wrong, node, source, 1 - meant),
                });
            }
        }
    }
    Ok(found)
}
