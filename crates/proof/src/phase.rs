//! Is each rail, when live, only ever on the pole it is meant for?

use crate::dead::{Interval, intervals};
use crate::spot::GapOrStretch;
use crate::{MOST_TOLD, ProofWitness, QueryContext, TooComplex};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, PoleId};
use plan::tables::RailSide;
use std::collections::{BTreeMap, BTreeSet};

/// A rail that can be live on the wrong pole of its supply.
#[derive(Clone, Debug, PartialEq)]
pub struct WrongPhase {
    /// The track.
    pub track: usize,
    /// Which rail.
    pub side: RailSide,
    /// The piece of it that is, metres from the `from` end.
    pub from: f64,
    /// End of that piece.
    pub to: f64,
    /// The pole it is meant to be on.
    pub meant: PoleId,
    /// A setting, and the path from the pole it should not be on.
    pub witness: ProofWitness,
}

pub(crate) fn wrong_phases(q: &QueryContext<'_>) -> Result<Vec<WrongPhase>, TooComplex> {
    let mut found = Vec::new();
    for track in 0..q.circuit.tracks {
        if found.len() >= MOST_TOLD {
            break;
        }
        let along = intervals(q, track);
        for side in RailSide::ALL {
            let Some(meant) = q.circuit.intended_pole[track][side] else { continue };
            let meant = q.circuit.source_pole(meant);
            let conductor = |interval: &Interval| q.reach.conductors.of[interval.nodes[side]];
            let mut reported = BTreeSet::new();
            for (first, interval) in along.iter().enumerate() {
                let node = interval.nodes[side];
                let wrong = q.live(node, meant.other());
                if wrong.is_false() || reported.contains(&conductor(interval)) {
                    continue;
                }
                // Up to its gap a rail behind a frog takes the frog's phase, and a rail before a reversing section
                // that of the section: what matters is what a train meets.
                let spot = GapOrStretch::stretch(q.circuit, &q.lined.runs, track, (interval.from + interval.to) / 2.0);
                let wrong = q.settled(q.under_train_where(&spot, wrong)?)?;
                if wrong.is_false() {
                    continue;
                }
                reported.insert(conductor(interval));
                // The piece goes on over every joint and wire to where another conductor begins.
                let same = along[first..].iter().take_while(|i| conductor(i) == conductor(interval));
                found.push(WrongPhase {
                    track,
                    side,
                    from: interval.from,
                    to: same.last().map_or(interval.to, |i| i.to),
                    meant,
                    witness: q.witness_to(wrong, node, meant.other()),
                });
            }
        }
    }
    Ok(found)
}

/// A feeder that ends on a rail that the plan means to be on the other pole of its supply.
pub(crate) struct Misplaced {
    pub(crate) feeder: EdgeId,
    rail: NodeId,
    track: usize,
    side: RailSide,
    meant: PoleId,
}

/// Feeders that are joined for good to the pole that their rail should not be on, by the plan's own words: what each lands on,
/// and what the rail belongs to.
pub(crate) fn misplaced(circuit: &Circuit) -> Vec<Misplaced> {
    let mut meant: BTreeMap<NodeId, (usize, RailSide, PoleId)> = BTreeMap::new();
    for track in 0..circuit.tracks {
        for side in RailSide::ALL {
            let Some(pole) = circuit.intended_pole[track][side] else { continue };
            for node in circuit.rail_nodes(track, side) {
                meant.insert(node, (track, side, circuit.source_pole(pole)));
            }
        }
    }
    let on = circuit.on_bus();
    let mut found = Vec::new();
    for (feeder, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| e.kind == EdgeKind::Feeder) {
        for (rail, far) in [(edge.a, edge.b), (edge.b, edge.a)] {
            let Some(&(track, side, meant)) = meant.get(&rail) else { continue };
            if on.get(&far) == Some(&meant.other()) {
                found.push(Misplaced { feeder, rail, track, side, meant });
            }
        }
    }
    found
}

/// Where something is shorted in every setting, rail that is on the wrong pole by a feeder of its own. What the short makes of
/// other rail depends on where one thinks it cut, and is not told.
pub(crate) fn fed_wrongly(q: &QueryContext<'_>) -> Vec<WrongPhase> {
    let mut found: Vec<WrongPhase> = Vec::new();
    for wrong in misplaced(q.circuit) {
        let Misplaced { rail, track, side, meant, .. } = wrong;
        let conductor = |node: NodeId| q.reach.conductors.of[node];
        let along = intervals(q, track);
        let mut same = along.iter().filter(|i| conductor(i.nodes[side]) == conductor(rail));
        let Some(first) = same.next() else { continue };
        let to = same.next_back().unwrap_or(first).to;
        if found.iter().any(|w| (w.track, w.side) == (track, side) && w.from == first.from) {
            continue;
        }
        let from = meant.other().node(q.circuit);
        let witness = crate::path::witness((q.circuit, q.neighbours), Vec::new(), from, rail);
        found.push(WrongPhase { track, side, from: first.from, to, meant, witness });
    }
    found.sort_by(|a, b| (a.track, a.side).cmp(&(b.track, b.side)).then(a.from.total_cmp(&b.from)));
    found
}
