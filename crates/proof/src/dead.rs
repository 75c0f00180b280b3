//! For every way a train can be lined: is every rail under it live, on opposite poles, throughout?

use crate::conductors::PoleConditions;
use crate::idle_routes::IdleRoutes;
use crate::spot::GapOrStretch;
use crate::state::SAME_PLACE;
use crate::storage::StorageDemand;
use crate::stretches::{in_stub, node_at};
use crate::{MOST_TOLD, ProofWitness, QueryContext, Storage, TooComplex};
use circuit::{Literal, NodeId, SegmentId};
use network::Condition;
use plan::tables::{Live, RailSide};
use std::collections::{BTreeMap, BTreeSet};

/// A stretch of one rail that is one conductor.
#[derive(Clone, Debug, PartialEq)]
pub struct DeadPiece {
    /// On which segment.
    pub segment: SegmentId,
    /// On which rail.
    pub side: RailSide,
    /// Where it begins, metres from the segment's start.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

/// Why a train would not move.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DeadWhy {
    /// This rail is joined to no pole in any setting.
    NeverFed,
    /// This rail is joined to no pole in the witness setting.
    NotFed,
    /// Both rails are on the same pole in the witness setting.
    SamePole,
}

/// Rail that is dead under a train on a lined way.
#[derive(Clone, Debug, PartialEq)]
pub struct Dead {
    /// Why.
    pub why: DeadWhy,
    /// The pieces, all of one conductor (for [`DeadWhy::SamePole`]: of one pair of conductors), as met
    /// along the segments.
    pub pieces: Vec<DeadPiece>,
    /// A setting in which a train is lined over the first piece.
    pub setting: Vec<Literal>,
    /// For [`DeadWhy::SamePole`], the paths from the pole to both rails.
    pub paths: Vec<ProofWitness>,
}

/// Two conductors side by side under a train.
pub(crate) struct Interval {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) nodes: [NodeId; 2],
}

/// Where a short that is there in every setting was cut to ask on, `uncut` is the circuit as it is: what only that cut
/// leaves without power is not told, and opposite poles that meet are reported as the short. A storage track is asked only
/// where its policy wants it live; one that is live by hand is dead only where no switch makes it live.
pub(crate) fn dead(
    q: &QueryContext<'_>,
    uncut: Option<&PoleConditions>,
    storage: Option<(&Storage, &StorageDemand)>,
) -> Result<Vec<Dead>, TooComplex> {
    // By the conductor at fault, so that each cause is reported once.
    let mut by_rail: BTreeMap<(DeadWhy, u32, u32), Dead> = BTreeMap::new();
    let conductor = |node: NodeId| q.reach.conductors.of[node];
    let mut idle_routes: Option<IdleRoutes> = None;
    for segment in 0..q.circuit.segments.len() {
        if by_rail.len() >= MOST_TOLD {
            break;
        }
        for interval in intervals(q, segment) {
            let powered = q.powered(interval.nodes[0], interval.nodes[1])?;
            if let Some(uncut) = uncut
                && on_lasting(q, uncut, &interval)
            {
                never_fed(q, uncut, (segment, &interval), &mut by_rail)?;
                continue;
            }
            if powered.is_true() {
                continue;
            }
            let middle = (interval.from + interval.to) / 2.0;
            let spot = GapOrStretch::stretch(q.circuit, &q.lined.runs, segment, middle);
            let unpowered = q.logic.not(powered)?;
            let policy = storage.and_then(|(storage, due)| Some((storage.policy(segment)?, due.live(segment)?)));
            let dead = match policy {
                // Where the policy does not want power, none is missed; where it asks for more than that trains can run, it is
                // told as a fault of the policy.
                Some((Live::Always | Live::EitherEnd, _)) if !in_stub(q.circuit, segment, middle) => continue,
                Some((Live::Lined | Live::BothEndsAgree | Live::Always | Live::EitherEnd, must_live)) => {
                    q.settled(q.logic.and(q.train_where(&spot, unpowered)?, must_live)?)?
                }
                Some((Live::ByHand, _)) => {
                    let dead = q.settled(q.train_where(&spot, unpowered)?)?;
                    q.logic.forall_switched(q.circuit, dead)?
                }
                // What gets power in no setting is reported wherever a train can be, moving or not.
                None if gets_power_never(q, uncut, (&interval, powered))? => {
                    q.settled(q.train_where(&spot, unpowered)?)?
                }
                None => {
                    let there = q.train_where(&spot, unpowered)?;
                    let moving =
                        if there.is_false() { there } else { q.settled(q.logic.and(there, q.gets_power(segment)?)?)? };
                    if !moving.is_false() || there.is_false() || uncut.is_some() {
                        moving
                    } else {
                        // No train moves there. It was switched off, or the route next to it never has power.
                        let idle = match &idle_routes {
                            Some(known) => known,
                            None => idle_routes.insert(IdleRoutes::new(q)?),
                        };
                        q.settled(q.logic.and(there, idle.when(q, segment))?)?
                    }
                }
            };
            if dead.is_false() {
                continue;
            }
            let mut rail_dead = false;
            for side in RailSide::ALL {
                let mut fed = q.on_any(interval.nodes[side])?;
                if let Some(uncut) = uncut {
                    fed = q.logic.or(fed, q.on_any_of(uncut, interval.nodes[side])?)?;
                }
                let unfed = q.logic.and_not(dead, fed)?;
                if unfed.is_false() {
                    continue;
                }
                rail_dead = true;
                let why = if fed.is_false() { DeadWhy::NeverFed } else { DeadWhy::NotFed };
                let piece = DeadPiece { segment, side, from: interval.from, to: interval.to };
                let key = (why, conductor(interval.nodes[side]), 0);
                add(&mut by_rail, key, piece, || Dead {
                    why,
                    pieces: Vec::new(),
                    setting: q.logic.without_settling(q.logic.shortest_cube(unfed)),
                    paths: Vec::new(),
                });
            }
            if rail_dead || uncut.is_some() {
                continue;
            }
            let (a, b) = (conductor(interval.nodes[0]), conductor(interval.nodes[1]));
            let key = (DeadWhy::SamePole, a.min(b), a.max(b));
            let piece = DeadPiece { segment, side: RailSide::Left, from: interval.from, to: interval.to };
            add(&mut by_rail, key, piece, || same_pole(q, dead, &interval));
        }
    }
    let mut found: Vec<Dead> = by_rail.into_values().collect();
    found.sort_by(|x, y| {
        let key = |d: &Dead| d.pieces.first().map_or((0, 0.0, RailSide::Left), |p| (p.segment, p.from, p.side));
        let (x, y) = (key(x), key(y));
        x.0.cmp(&y.0).then(x.1.total_cmp(&y.1)).then(x.2.cmp(&y.2))
    });
    Ok(found)
}

/// Whether a stretch is to be fed by a source that is shorted in every setting, or by none.
fn on_lasting(q: &QueryContext<'_>, uncut: &PoleConditions, interval: &Interval) -> bool {
    let mut sources = interval.nodes.iter().flat_map(|&node| uncut.live_from(node)).map(|l| l.0.source).peekable();
    sources.peek().is_none() || sources.any(|source| q.lasting.contains(&source))
}

/// Of such a stretch only that rail is reported as dead that nothing feeds in any setting: all else depends on where one thinks the
/// short cut.
fn never_fed(
    q: &QueryContext<'_>,
    uncut: &PoleConditions,
    (segment, interval): (SegmentId, &Interval),
    by_rail: &mut BTreeMap<(DeadWhy, u32, u32), Dead>,
) -> Result<(), TooComplex> {
    let spot = GapOrStretch::stretch(q.circuit, &q.lined.runs, segment, (interval.from + interval.to) / 2.0);
    let there = q.logic.restrict_to_legal(q.train_where(&spot, q.logic.always())?)?;
    for (side, node) in RailSide::ALL.into_iter().zip(interval.nodes) {
        if there.is_false() || !q.on_any_of(uncut, node)?.is_false() {
            continue;
        }
        let piece = DeadPiece { segment, side, from: interval.from, to: interval.to };
        add(by_rail, (DeadWhy::NeverFed, q.reach.conductors.of[node], 0), piece, || Dead {
            why: DeadWhy::NeverFed,
            pieces: Vec::new(),
            setting: q.logic.without_settling(q.logic.shortest_cube(there)),
            paths: Vec::new(),
        });
    }
    Ok(())
}

/// Whether a stretch has no power in any setting. While something can be shorted, it may be the short that takes it: then only
/// if one of its rails is joined to no pole at all.
fn gets_power_never(
    q: &QueryContext<'_>,
    uncut: Option<&PoleConditions>,
    (interval, powered): (&Interval, Condition),
) -> Result<bool, TooComplex> {
    let fed = |reach: &PoleConditions, node: NodeId| !reach.live_from(node).iter().all(|l| l.1.is_false());
    let never = |node: NodeId| !fed(q.reach, node) && !uncut.is_some_and(|uncut| fed(uncut, node));
    let shorted = uncut.is_some() || !q.shorted.is_false();
    Ok(interval.nodes.iter().any(|&n| never(n)) || (!shorted && q.logic.restrict_to_legal(powered)?.is_false()))
}

fn same_pole(q: &QueryContext<'_>, dead: Condition, interval: &Interval) -> Dead {
    let setting = q.logic.shortest_cube(dead);
    let positions = crate::path::positions(q.circuit, &setting, true);
    let mut paths = Vec::new();
    let way = (q.circuit, q.neighbours);
    for pole in q.poles_of(interval.nodes[0]) {
        let from = pole.node(q.circuit);
        let to = |node| crate::path::shortest(way, &positions, [from, node], &BTreeSet::new()).is_some();
        if to(interval.nodes[0]) && to(interval.nodes[1]) {
            paths = interval.nodes.map(|node| crate::path::witness(way, setting.clone(), from, node)).to_vec();
            break;
        }
    }
    Dead { why: DeadWhy::SamePole, pieces: Vec::new(), setting: q.logic.without_settling(setting), paths }
}

fn add(
    found: &mut BTreeMap<(DeadWhy, u32, u32), Dead>,
    key: (DeadWhy, u32, u32),
    piece: DeadPiece,
    new: impl FnOnce() -> Dead,
) {
    let dead = found.entry(key).or_insert_with(new);
    match dead.pieces.last_mut() {
        Some(last)
            if (last.segment, last.side) == (piece.segment, piece.side) && (last.to - piece.from).abs() < 1e-9 =>
        {
            last.to = piece.to;
        }
        _ => dead.pieces.push(piece),
    }
}

/// The stretches of a segment over which both rails keep their conductors, and that no gap cuts.
pub(crate) fn intervals(q: &QueryContext<'_>, segment: SegmentId) -> Vec<Interval> {
    let s = &q.circuit.segments[segment];
    let gaps = q.circuit.gaps_of(segment);
    let cut = |x: f64| gaps.iter().any(|g| (g.x - x).abs() < SAME_PLACE);
    let mut places: Vec<f64> = s.rails.iter().flat_map(|line| line.stops.iter().map(|stop| stop.x)).collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let conductor = |node: NodeId| q.reach.conductors.of[node];
    let mut found: Vec<Interval> = Vec::new();
    for ends in places.windows(2) {
        let middle = (ends[0] + ends[1]) / 2.0;
        let (Some(left), Some(right)) = (node_at(&s.rails[0], middle), node_at(&s.rails[1], middle)) else {
            continue;
        };
        match found.last_mut() {
            Some(last)
                if conductor(last.nodes[0]) == conductor(left)
                    && conductor(last.nodes[1]) == conductor(right)
                    && !cut(ends[0]) =>
            {
                last.to = ends[1];
            }
            _ => found.push(Interval { from: ends[0], to: ends[1], nodes: [left, right] }),
        }
    }
    found
}
