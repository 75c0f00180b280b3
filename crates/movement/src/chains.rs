//! Chains of plain rail as they lie in a plan, and which of their soldered joints would have to slide.

use crate::least::{Chain, ChainEnd, ChainPlace, Stand};
use crate::runs::{Joint, RigidRuns, RunId};
use crate::season::{Movement, WidthFit};
use circuit::{Circuit, EdgeId, NodeId};
use plan::Plan;
use std::collections::BTreeMap;

/// Openings that have no room, and what gives it them.
#[derive(Clone, Debug, PartialEq)]
pub struct Relief {
    /// The openings without room: indices of places.
    pub tight: Vec<usize>,
    /// The fewest soldered joints that give them room when they are left to slide; none where no set of them does, or
    /// none was looked for.
    pub slides: Option<Vec<Joint>>,
    /// Whether all sets were looked through, so that fewer would not do, or none does.
    pub exact: bool,
}

/// How many sets of joints are tried around one run that branches.
const MOST_SETS: usize = 200;
/// How many edges those trials may look at, all together.
const MOST_WORK: usize = 2_000_000;

impl Movement {
    /// What gives room to the openings that have none. Along plain rail the set is the least there is, see
    /// [`Chain::least`]; around rail that branches sets of one and two joints are tried.
    ///
    /// A ring of plain rail is cut at one of its openings, and the rail beyond is there taken as it stands.
    pub fn reliefs(&self, plan: &Plan, circuit: &Circuit) -> Vec<Relief> {
        if self.places.iter().all(|p| p.leave.fit != WidthFit::None) {
            return Vec::new();
        }
        let walker = Walker::new(self);
        let mut reliefs = Vec::new();
        let mut settled = vec![false; self.places.len()];
        for laid in walker.chains() {
            let tight: Vec<usize> = laid.openings.iter().copied().filter(|&p| self.is_tight(p)).collect();
            if tight.is_empty() {
                continue;
            }
            let found = laid.chain.least();
            let exact = found.is_ok();
            let slides = found.unwrap_or(None);
            // Between two runs that branch, or where the plain rail can do nothing, the branching side may help.
            if slides.is_none() && tight.iter().any(|&p| self.branches(p)) {
                continue;
            }
            tight.iter().for_each(|&p| settled[p] = true);
            let joint = |place: usize| laid.soldered[place].clone();
            let slides = slides.map(|s| s.into_iter().filter_map(joint).collect());
            reliefs.push(Relief { tight, slides, exact });
        }
        let mut work = MOST_WORK;
        for run in 0..self.runs.list.len() {
            let touches = |p: &usize| self.runs.openings[*p].runs.contains(&run);
            let tight: Vec<usize> =
                (0..self.places.len()).filter(|p| !settled[*p] && self.is_tight(*p) && touches(p)).collect();
            let r = &self.runs.list[run];
            if tight.is_empty() || r.grows_from_its_middle() {
                continue;
            }
            tight.iter().for_each(|&p| settled[p] = true);
            reliefs.push(self.around(plan, circuit, tight, &mut work));
        }
        let left: Vec<usize> = (0..self.places.len()).filter(|&p| !settled[p] && self.is_tight(p)).collect();
        reliefs.extend(left.into_iter().map(|p| Relief { tight: vec![p], slides: None, exact: false }));
        reliefs
    }

    fn is_tight(&self, place: usize) -> bool {
        self.places[place].leave.fit == WidthFit::None
    }

    fn branches(&self, place: usize) -> bool {
        self.runs.openings[place].runs.iter().any(|&r| !self.runs.list[r].grows_from_its_middle())
    }

    /// Tries joints of the runs at these openings, one and then two of them.
    fn around(&self, plan: &Plan, circuit: &Circuit, tight: Vec<usize>, work: &mut usize) -> Relief {
        let mut runs: Vec<RunId> = tight.iter().flat_map(|&p| self.runs.openings[p].runs).collect();
        runs.sort_unstable();
        runs.dedup();
        let joints: Vec<Joint> = runs.iter().flat_map(|&r| self.runs.list[r].soldered.iter().cloned()).collect();
        let joints: Vec<Joint> = joints.into_iter().filter(|j| in_plain_line(circuit, j)).collect();
        let sets = joints.len() * (joints.len() + 1) / 2;
        let cost = sets.saturating_mul(circuit.edges.len());
        if sets > MOST_SETS || cost > *work {
            return Relief { tight, slides: None, exact: false };
        }
        *work -= cost;
        let singles = (0..joints.len()).map(|a| vec![a]);
        let pairs = (0..joints.len()).flat_map(|a| (a + 1..joints.len()).map(move |b| vec![a, b]));
        let known: BTreeMap<_, _> =
            self.runs.openings.iter().zip(0..).map(|(p, index)| (p.joint.nodes, index)).collect();
        let cured = singles.chain(pairs).find(|set| {
            let edges: Vec<EdgeId> = set.iter().filter_map(|&j| joints[j].edge).collect();
            self.cures(&RigidRuns::with_slides(plan, circuit, &edges), &known, &tight)
        });
        let exact = cured.is_some() || joints.len() <= 2;
        let slides = cured.map(|set| set.into_iter().map(|j| joints[j].clone()).collect());
        Relief { tight, slides, exact }
    }

    /// Whether with other runs these openings have room and no others have lost it.
    fn cures(&self, runs: &RigidRuns, known: &BTreeMap<[NodeId; 2], usize>, tight: &[usize]) -> bool {
        runs.openings.iter().all(|rail_opening| {
            let swing: f64 =
                (0..2).map(|e| self.swing_of(&runs.list[rail_opening.runs[e]]) * rail_opening.reach[e]).sum();
            match known.get(&rail_opening.joint.nodes) {
                Some(&p) => swing <= self.places[p].room() || (self.is_tight(p) && !tight.contains(&p)),
                None => swing <= self.may_open(),
            }
        })
    }

    /// The most a joint that slides may open.
    fn may_open(&self) -> f64 {
        self.places.first().map_or(f64::INFINITY, |p| p.allowed_width[1])
    }
}

fn in_plain_line(circuit: &Circuit, joint: &Joint) -> bool {
    let stops = &circuit.segments[joint.track].rails[joint.side].stops;
    stops.iter().any(|s| [s.before, s.after] == joint.nodes)
}

/// A chain as it lies in the plan.
struct PlannedChain {
    chain: Chain,
    /// The openings in it and at its ends.
    openings: Vec<usize>,
    /// The soldered joint at each place of the chain, where there is one.
    soldered: Vec<Option<Joint>>,
}

/// One end of a run: the low one of its coordinate, or the high one.
type RunEnd = (RunId, usize);

struct Walker<'m> {
    movement: &'m Movement,
    /// For each end of each run that is plain rail: the opening there, and what lies beyond it.
    beyond: Vec<[Option<(usize, RunEnd)>; 2]>,
}

impl<'m> Walker<'m> {
    fn new(movement: &'m Movement) -> Walker<'m> {
        let runs = &movement.runs;
        let mut beyond = vec![[None, None]; runs.list.len()];
        for (index, rail_opening) in runs.openings.iter().enumerate() {
            let ends = [0, 1].map(|e| {
                let up = runs.from_anchor(rail_opening.joint.nodes[e]).is_some_and(|(_, up)| up > 0.0);
                (rail_opening.runs[e], usize::from(up))
            });
            for e in 0..2 {
                beyond[ends[e].0][ends[e].1] = Some((index, ends[1 - e]));
            }
        }
        Walker { movement, beyond }
    }

    /// Whether a run is plain rail from end to end, with soldered joints in plain line only.
    fn is_plain(&self, run: RunId) -> bool {
        let r = &self.movement.runs.list[run];
        r.grows_from_its_middle() && r.ends == 2
    }

    fn chains(&self) -> Vec<PlannedChain> {
        let mut seen = vec![false; self.beyond.len()];
        let mut chains = Vec::new();
        for run in 0..self.beyond.len() {
            if seen[run] || !self.is_plain(run) {
                continue;
            }
            // Back to where the plain rail starts, or once round.
            let mut first = (run, 0);
            while let Some((_, there)) = self.beyond[first.0][first.1] {
                if !self.is_plain(there.0) || there.0 == run {
                    break;
                }
                first = (there.0, 1 - there.1);
            }
            chains.push(self.chain(first, &mut seen));
        }
        chains
    }

    fn chain(&self, first: RunEnd, seen: &mut [bool]) -> PlannedChain {
        let runs = &self.movement.runs;
        let mut laid = PlannedChain {
            chain: Chain { length: 0.0, swing: 0.0, places: Vec::new(), ends: [ChainEnd::Free; 2] },
            openings: Vec::new(),
            soldered: Vec::new(),
        };
        laid.chain.ends[0] = self.end(first, &mut laid.openings);
        let mut here = first;
        loop {
            let (run, entered) = here;
            let r = &runs.list[run];
            seen[run] = true;
            laid.chain.swing = laid.chain.swing.max(self.movement.swing_of(r));
            let mut joints: Vec<(f64, &Joint)> = r
                .soldered
                .iter()
                .filter_map(|joint| {
                    let (_, up) = runs.from_anchor(joint.nodes[0])?;
                    let coordinate = r.anchor + up;
                    let along = if entered == 0 { coordinate - r.reach[0] } else { r.reach[1] - coordinate };
                    Some((laid.chain.length + along, joint))
                })
                .collect();
            joints.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (x, joint) in joints {
                laid.chain.places.push(ChainPlace { x, stand: Stand::Soldered, room: self.movement.may_open() });
                laid.soldered.push(Some(joint.clone()));
            }
            laid.chain.length += r.reach[1] - r.reach[0];
            let out = (run, 1 - entered);
            match self.beyond[out.0][out.1] {
                Some((opening, there)) if self.is_plain(there.0) && !seen[there.0] => {
                    let room = self.movement.places[opening].room();
                    laid.chain.places.push(ChainPlace { x: laid.chain.length, stand: Stand::Parts, room });
                    laid.soldered.push(None);
                    laid.openings.push(opening);
                    here = there;
                }
                _ => {
                    laid.chain.ends[1] = self.end(out, &mut laid.openings);
                    return laid;
                }
            }
        }
    }

    /// How a chain ends at an end of a run.
    fn end(&self, end: RunEnd, openings: &mut Vec<usize>) -> ChainEnd {
        let Some((opening, there)) = self.beyond[end.0][end.1] else { return ChainEnd::Free };
        let rail_opening = &self.movement.runs.openings[opening];
        let theirs = usize::from(rail_opening.runs[1] == there.0);
        let taken = self.movement.swing_of(&self.movement.runs.list[there.0]) * rail_opening.reach[theirs];
        openings.push(opening);
        ChainEnd::Against { room: self.movement.places[opening].room(), taken }
    }
}
