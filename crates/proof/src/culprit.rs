//! One cause behind several storage faults: a single wire, contact or piece of rail that, parted, fixes all of them.

use crate::conductors::PoleConditions;
use crate::path::suspicion;
use crate::storage::{Storage, StorageDemand, StorageFault};
use crate::{QueryContext, TooComplex, dead, storage};
use circuit::{EdgeId, EdgeKind};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// How many pieces are tried before the faults are reported one by one.
const MOST_TRIES: usize = 12;

/// A piece that is to blame for several storage faults.
#[derive(Clone, Debug, PartialEq)]
pub struct StorageCause {
    /// The piece.
    pub edge: EdgeId,
    /// The faults that go when it is parted, by their index.
    pub faults: Vec<usize>,
}

/// Pieces of which parting a single one fixes several faults and makes no new one.
pub(crate) fn causes(
    q: &QueryContext<'_>,
    (policy, due): (&Storage, &StorageDemand),
    faults: &[StorageFault],
    dead_before: usize,
) -> Result<Vec<StorageCause>, TooComplex> {
    let mut left: BTreeSet<usize> = (0..faults.len()).filter(|&f| faults[f].live).collect();
    let mut found = Vec::new();
    let mut tries = 0;
    let mut tried = BTreeSet::new();
    while left.len() > 1 && tries < MOST_TRIES {
        let Some(edge) = most_shared(q, faults, &left, &tried) else { break };
        tried.insert(edge);
        tries += 1;
        let reach = PoleConditions::from_circuit(q.circuit, q.logic, &[edge])?;
        let shorted = crate::shorted(q.circuit, q.logic, &reach)?;
        let live_runs = RefCell::new(vec![None; q.lined.runs.count()]);
        let parted = QueryContext { reach: &reach, shorted, live_runs, lasting: BTreeSet::new(), ..*q };
        let after = storage::faults(&parted, policy, due)?;
        let same = |fault: &StorageFault| after.iter().any(|f| (f.track, f.live) == (fault.track, fault.live));
        let new = after.iter().any(|f| !faults.iter().any(|old| (old.track, old.live) == (f.track, f.live)));
        let fixed: Vec<usize> = left.iter().copied().filter(|&f| !same(&faults[f])).collect();
        if fixed.len() > 1 && !new && dead::dead(&parted, None, Some((policy, due)))?.len() <= dead_before {
            fixed.iter().for_each(|f| {
                left.remove(f);
            });
            found.push(StorageCause { edge, faults: fixed });
        }
    }
    Ok(found)
}

/// The piece on the paths of most faults, of several the most suspect one.
fn most_shared(
    q: &QueryContext<'_>,
    faults: &[StorageFault],
    left: &BTreeSet<usize>,
    tried: &BTreeSet<EdgeId>,
) -> Option<EdgeId> {
    let mut count: BTreeMap<EdgeId, usize> = BTreeMap::new();
    for &fault in left {
        let edges: BTreeSet<EdgeId> = faults[fault].paths.iter().flat_map(|p| p.edges.iter().copied()).collect();
        edges.into_iter().for_each(|e| *count.entry(e).or_default() += 1);
    }
    let kind = |e: EdgeId| q.circuit.edges[e].kind;
    let plumbing = |e: EdgeId| matches!(kind(e), EdgeKind::BusWire | EdgeKind::Source | EdgeKind::Tap);
    let open = count.into_iter().filter(|&(e, n)| n > 1 && !plumbing(e) && !tried.contains(&e));
    open.max_by_key(|&(e, n)| (n, suspicion(kind(e)), std::cmp::Reverse(e))).map(|(e, _)| e)
}
