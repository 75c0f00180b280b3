//! Is each storage track live exactly when the policy says?

use crate::merges::Merges;
use crate::neck::Neck;
use crate::runs::ROOM;
use crate::state::SAME_PLACE;
use crate::stretches::{is_stub, stretches};
use crate::{ProofWitness, QueryContext, TooComplex};
use circuit::{Circuit, Literal, NodeId};
use network::Condition;
use plan::tables::Live;
use std::collections::BTreeSet;

/// The tracks where trains wait, and when each is to be live.
#[derive(Clone, Debug, PartialEq)]
pub struct Storage {
    /// Indices of tracks.
    pub tracks: Vec<usize>,
    /// When each of them is to be live, in the same order.
    pub live: Vec<Live>,
    /// The shortest wheelbase over which a train picks up current, in metres, where any train says it.
    pub pick_up: Option<f64>,
}

impl Storage {
    /// The policy of a track; none of what is no storage track.
    pub fn policy(&self, track: usize) -> Option<Live> {
        let place = self.tracks.iter().position(|t| *t == track)?;
        self.live.get(place).copied()
    }
}

/// A storage track that breaks the policy.
#[derive(Clone, Debug, PartialEq)]
pub struct StorageFault {
    /// The track.
    pub track: usize,
    /// Whether it is live when it should be dead (else dead when it should be live).
    pub live: bool,
    /// A setting in which it is.
    pub setting: Vec<Literal>,
    /// Where live: the paths that feed its left and its right rail.
    pub paths: Vec<ProofWitness>,
    /// Where live: for each rail, whether it is fed in every setting in which the track should be dead.
    pub always_fed: [bool; 2],
    /// The longest stretch of it that does, metres from its `from` end.
    pub stretch: [f64; 2],
    /// Whether every stretch that was judged does.
    pub whole: bool,
}

/// A stretch at which no storage track is judged: between trackwork and the first gap behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stub {
    /// The track.
    pub track: usize,
    /// From where to where, metres from its `from` end.
    pub stretch: [f64; 2],
}

/// When the policy wants each storage track live, and when it must be dead.
pub(crate) struct StorageDemand {
    /// By track: must be live.
    live: Vec<(usize, Condition)>,
    /// Must be dead.
    dead: Vec<Condition>,
}

impl StorageDemand {
    pub(crate) fn new(q: &QueryContext<'_>, storage: &Storage) -> Result<StorageDemand, TooComplex> {
        let logic = q.logic;
        let stored: BTreeSet<usize> = storage.tracks.iter().copied().collect();
        let mut merges = Merges::new(q.circuit, &q.lined.runs);
        let mut due = StorageDemand { live: Vec::new(), dead: Vec::new() };
        for (&track, &policy) in storage.tracks.iter().zip(&storage.live) {
            let is_neighbour = |other: usize| other != track && stored.contains(&other);
            let (mut all_open, mut any_open) = (logic.always(), logic.never());
            let (mut any_shut, mut all_shut) = (logic.never(), logic.always());
            let mut necks = 0;
            for end in 0..2 {
                let neck = Neck::find(q.circuit, logic, (track, end))?;
                if neck.is_empty() {
                    continue;
                }
                necks += 1;
                let open = neck.set(logic)?;
                let own = neck.separates(logic, |route| merges.neighbour(route, &is_neighbour))?;
                let shut = logic.not(own)?;
                (all_open, any_open) = (logic.and(all_open, open)?, logic.or(any_open, open)?);
                (all_shut, any_shut) = (logic.and(all_shut, shut)?, logic.or(any_shut, shut)?);
            }
            let (live, dead) = match policy {
                Live::ByHand => (logic.never(), logic.never()),
                _ if necks == 0 => (logic.always(), logic.never()),
                Live::Always => (logic.always(), logic.never()),
                Live::Lined | Live::BothEndsAgree => (all_open, any_shut),
                Live::EitherEnd => (any_open, all_shut),
            };
            due.live.push((track, live));
            due.dead.push(dead);
        }
        Ok(due)
    }

    /// When a track must be live; none of what is no storage track.
    pub(crate) fn live(&self, track: usize) -> Option<Condition> {
        self.live.iter().find(|d| d.0 == track).map(|d| d.1)
    }
}

pub(crate) fn faults(
    q: &QueryContext<'_>,
    storage: &Storage,
    due: &StorageDemand,
) -> Result<Vec<StorageFault>, TooComplex> {
    let mut found = Vec::new();
    for ((&(track, must_live), &must_die), &policy) in due.live.iter().zip(&due.dead).zip(&storage.live) {
        if policy == Live::ByHand {
            continue;
        }
        let judged = judged(q.circuit, track, storage.pick_up);
        let mut live_faults = Vec::new();
        let mut dead_faults = Vec::new();
        for (stretch, nodes) in &judged {
            let live = q.powered(nodes[0], nodes[1])?;
            let wrongly_live = q.without_shorts(q.logic.and(live, must_die)?)?;
            if !wrongly_live.is_false() {
                live_faults.push((*stretch, *nodes, wrongly_live));
            }
            // With the other policies that is reported as dead rail.
            if policy == Live::Always || policy == Live::EitherEnd {
                let missing = q.without_shorts(q.logic.and_not(must_live, live)?)?;
                if !missing.is_false() {
                    dead_faults.push((*stretch, *nodes, missing));
                }
            }
        }
        let longest = |faults: &[([f64; 2], [NodeId; 2], Condition)]| {
            let length = |f: &&([f64; 2], [NodeId; 2], Condition)| f.0[1] - f.0[0];
            faults.iter().max_by(|a, b| length(a).total_cmp(&length(b))).cloned()
        };
        if let Some((stretch, nodes, condition)) = longest(&live_faults) {
            let setting = q.logic.without_settling(q.logic.shortest_cube(condition));
            let mut always_fed = [false; 2];
            for (side, slot) in always_fed.iter_mut().enumerate() {
                *slot = q.logic.and_not(must_die, q.on_any(nodes[side])?)?.is_false();
            }
            let paths = nodes.iter().map(|&node| feeding(q, &setting, node)).collect();
            let whole = live_faults.len() == judged.len();
            found.push(StorageFault { track, live: true, setting, paths, always_fed, stretch, whole });
        }
        if let Some((stretch, _, condition)) = longest(&dead_faults) {
            found.push(StorageFault {
                track,
                live: false,
                setting: q.logic.without_settling(q.logic.shortest_cube(condition)),
                paths: Vec::new(),
                always_fed: [false; 2],
                stretch,
                whole: dead_faults.len() == judged.len(),
            });
        }
    }
    Ok(found)
}

/// Whether a track is live where a train stands on it, when some positions are set and all others may be any.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StorageStanding {
    /// In none of those settings.
    Never,
    /// In all of them, all along.
    Always,
    /// In some, or along some of it.
    Depends,
}

/// That answer for a track; settings in which a supply is shorted are left out.
pub(crate) fn standing_live(
    q: &QueryContext<'_>,
    track: usize,
    pick_up: Option<f64>,
    set: &[Literal],
) -> Result<StorageStanding, TooComplex> {
    let possible = q.without_shorts(q.logic.and(q.logic.always(), q.logic.guard(set)?)?)?;
    let (mut some, mut all) = (q.logic.never(), q.logic.always());
    for (_, [left, right]) in judged(q.circuit, track, pick_up) {
        let powered = q.powered(left, right)?;
        (some, all) = (q.logic.or(some, powered)?, q.logic.and(all, powered)?);
    }
    let never = q.logic.and(possible, some)?.is_false();
    let always = q.logic.and_not(possible, all)?.is_false();
    Ok(if never {
        StorageStanding::Never
    } else if always {
        StorageStanding::Always
    } else {
        StorageStanding::Depends
    })
}

/// The stretches on which a storage track is judged: where a train can stand and, if that is nowhere, the longest.
fn judged(circuit: &Circuit, track: usize, pick_up: Option<f64>) -> Vec<([f64; 2], [NodeId; 2])> {
    let all = stretches(circuit, track);
    let least = pick_up.unwrap_or(ROOM).min(ROOM);
    let length = |s: &([f64; 2], [NodeId; 2])| s.0[1] - s.0[0];
    let judged: Vec<_> =
        all.iter().filter(|s| length(s) >= least - SAME_PLACE && !is_stub(circuit, track, s.0)).copied().collect();
    if !judged.is_empty() {
        return judged;
    }
    let longest = |of: &mut dyn Iterator<Item = ([f64; 2], [NodeId; 2])>| {
        of.max_by(|a, b| length(a).total_cmp(&length(b)).then(b.0[0].total_cmp(&a.0[0])))
    };
    let others = longest(&mut all.iter().filter(|s| !is_stub(circuit, track, s.0)).copied());
    others.or_else(|| longest(&mut all.iter().copied())).into_iter().collect()
}

/// The stubs at which the storage tracks are not judged although a train could stand there or its wheels reach them.
pub(crate) fn stubs(circuit: &Circuit, storage: &Storage) -> Vec<Stub> {
    let of_track = |&track: &usize| {
        let stubs = stretches(circuit, track).into_iter().filter(move |s| is_stub(circuit, track, s.0));
        stubs.map(move |s| Stub { track, stretch: s.0 })
    };
    storage.tracks.iter().flat_map(of_track).collect()
}

/// The shortest path from any pole to a node in a setting.
fn feeding(q: &QueryContext<'_>, setting: &[Literal], node: NodeId) -> ProofWitness {
    let poles = q.poles_of(node).map(|pole| pole.node(q.circuit));
    poles
        .map(|pole| crate::path::witness((q.circuit, q.neighbours), setting.to_vec(), pole, node))
        .filter(|w| !w.nodes.is_empty())
        .min_by_key(|w| w.edges.len())
        .unwrap_or_default()
}
