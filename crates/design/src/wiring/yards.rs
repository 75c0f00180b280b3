//! Tracks that are to be live only at times: the trackwork that decides, and trees of contacts that copy it.

use super::sketch::{RunEnd, RunId, Sketch};
use circuit::{ControlId, Literal, SegmentId};
use plan::TrackEnd;
use plan::tables::{Live, Wiring};
use plan::{EndOf, Kind};
use std::collections::{BTreeMap, BTreeSet};

/// What feeds the switched rail of some tracks at one throat: a change-over contact for each turnout, in the shape of the track.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum TreeNode {
    /// A contact of what has this control, and what each of its positions leads to.
    Contact { control: ControlId, to: BTreeMap<u8, TreeNode> },
    /// A storage track.
    Track(RunId),
}

impl TreeNode {
    /// The most contacts that lie in a row.
    pub(crate) fn depth(&self) -> usize {
        match self {
            TreeNode::Contact { to, .. } => 1 + to.values().map(TreeNode::depth).max().unwrap_or(0),
            TreeNode::Track(_) => 0,
        }
    }

    /// The controls that the tracks' power depends on.
    pub(crate) fn controls(&self, all: &mut BTreeSet<ControlId>) {
        if let TreeNode::Contact { control, to } = self {
            all.insert(*control);
            to.values().for_each(|node| node.controls(all));
        }
    }

    /// Its tracks.
    pub(crate) fn tracks(&self, all: &mut Vec<RunId>) {
        match self {
            TreeNode::Contact { to, .. } => to.values().for_each(|node| node.tracks(all)),
            TreeNode::Track(run) => all.push(*run),
        }
    }
}

/// Storage tracks of one policy.
#[derive(Clone, Debug)]
pub(crate) struct Yard {
    pub(crate) live: Live,
    pub(crate) runs: Vec<RunId>,
    /// The trees, one for each throat.
    pub(crate) trees: Vec<TreeNode>,
    /// For each throat the runs behind its first turnout that nothing but this yard hangs on, where its tracks could be fed over the
    /// frogs alone; none where they could not.
    pub(crate) hung: Option<BTreeSet<RunId>>,
    /// The turnouts of the throat whose points lie on hung runs, each with that run's end.
    pub(crate) inner: Vec<(usize, RunEnd)>,
}

/// The way from a storage track to the trackwork that decides whether it is set: literals from the outermost on, and what was passed.
struct Neck {
    literals: Vec<Literal>,
    passed: Vec<(SegmentId, Option<RunEnd>)>,
}

fn neck(sketch: &Sketch<'_>, start: RunEnd) -> Option<Neck> {
    let mut found = Neck { literals: Vec::new(), passed: Vec::new() };
    let (mut at, mut works) = (sketch.line_end(start)?, BTreeSet::new());
    loop {
        let routes = sketch.routes_at(at);
        let [(route, by)] = routes[..] else { break };
        if !works.insert(sketch.work_of(route)?) {
            break;
        }
        let segment = &sketch.circuit.segments[route];
        found.literals.extend(segment.guard.iter().copied());
        let far = &segment.ends[usize::from(by == TrackEnd::From)].next;
        let onward = match far.as_slice() {
            [(track, end)] if *track < sketch.circuit.tracks => Some(RunEnd { track: *track, end: *end }),
            _ => None,
        };
        found.passed.push((route, onward));
        let Some(next) = onward else { break };
        let far = RunEnd { track: next.track, end: next.end.other() };
        let Some(end) = sketch.line_end(far) else { break };
        at = end;
    }
    found.literals.reverse();
    (!found.literals.is_empty()).then_some(found)
}

/// The yards of a plan.
pub(crate) fn yards(sketch: &Sketch<'_>) -> Vec<Yard> {
    let mut found = Vec::new();
    for policy in sketch.plan.storage.iter() {
        let policy = &policy.value;
        let named = policy.tracks.iter().filter_map(|name| match sketch.names.get(&name.value) {
            Some((Kind::Track, index)) => Some(sketch.run_of[index]),
            _ => None,
        });
        let mut runs: Vec<RunId> = named.collect();
        runs.sort_unstable();
        runs.dedup();
        found.extend(of_policy(sketch, policy.live.value, &runs));
    }
    found
}

/// The tracks of a policy, apart where nothing joins their throats.
fn of_policy(sketch: &Sketch<'_>, live: Live, runs: &[RunId]) -> Vec<Yard> {
    if matches!(live, Live::Always | Live::ByHand) {
        return vec![Yard { live, runs: runs.to_vec(), trees: Vec::new(), hung: None, inner: Vec::new() }];
    }
    let mut necks: Vec<(RunId, Neck)> = Vec::new();
    for &run in runs {
        for end in sketch.runs[run].ends.into_iter().flatten() {
            necks.extend(neck(sketch, end).map(|n| (run, n)));
        }
    }
    // Tries, by the control they begin with.
    let mut roots: Vec<(TreeNode, Vec<usize>)> = Vec::new();
    for (number, (run, neck)) in necks.iter().enumerate() {
        let first = neck.literals[0].control;
        let place =
            roots.iter().position(|(node, _)| matches!(node, TreeNode::Contact { control, .. } if *control == first));
        let place = place.unwrap_or_else(|| {
            roots.push((TreeNode::Contact { control: first, to: BTreeMap::new() }, Vec::new()));
            roots.len() - 1
        });
        roots[place].1.push(number);
        insert(&mut roots[place].0, &neck.literals, *run);
    }
    let trees: Vec<(TreeNode, Vec<usize>)> = roots.into_iter().map(|(node, necks)| (trimmed(node), necks)).collect();
    // Throats that share a track are one yard.
    let mut yards: Vec<Yard> = Vec::new();
    let mut left: Vec<usize> = (0..trees.len()).collect();
    while let Some(first) = left.first().copied() {
        left.remove(0);
        let mut members = vec![first];
        let mut own = BTreeSet::new();
        let tracks = |tree: usize| {
            let mut all = Vec::new();
            trees[tree].0.tracks(&mut all);
            all
        };
        own.extend(tracks(first));
        while let Some(place) = left.iter().position(|&t| tracks(t).iter().any(|r| own.contains(r))) {
            let more = left.remove(place);
            own.extend(tracks(more));
            members.push(more);
        }
        let inner_and_hung = match members[..] {
            [only] => hung(sketch, &own, &trees[only].1.iter().map(|&n| &necks[n].1).collect::<Vec<_>>()),
            _ => None,
        };
        let (hung, inner) = inner_and_hung.map_or((None, Vec::new()), |(h, i)| (Some(h), i));
        yards.push(Yard {
            live,
            runs: own.into_iter().collect(),
            trees: members.into_iter().map(|t| trees[t].0.clone()).collect(),
            hung,
            inner,
        });
    }
    yards
}

fn insert(node: &mut TreeNode, literals: &[Literal], run: RunId) {
    let TreeNode::Contact { to, .. } = node else { return };
    let [literal, rest @ ..] = literals else { return };
    match rest {
        [] => {
            to.insert(literal.position, TreeNode::Track(run));
        }
        [next, ..] => {
            let fresh = || TreeNode::Contact { control: next.control, to: BTreeMap::new() };
            insert(to.entry(literal.position).or_insert_with(fresh), rest, run);
        }
    }
}

/// Without the outermost contacts that decide nothing between the tracks.
fn trimmed(mut node: TreeNode) -> TreeNode {
    loop {
        let TreeNode::Contact { to, .. } = &node else { return node };
        match to.values().next() {
            Some(inner @ TreeNode::Contact { .. }) if to.len() == 1 => node = inner.clone(),
            _ => return node,
        }
    }
}

/// Runs that hang on frogs, and the turnouts whose points lie on them, each with that run's end.
type Hung = (BTreeSet<RunId>, Vec<(usize, RunEnd)>);

/// The runs that hang on a throat of live frogs with nothing else behind it: all rail there may take its power over the frogs, and is
/// dead where they say so. With the turnouts whose points lie on such runs.
fn hung(sketch: &Sketch<'_>, tracks: &BTreeSet<RunId>, necks: &[&Neck]) -> Option<Hung> {
    // How many necks pass each turnout, outermost first.
    let mut passed: BTreeMap<usize, BTreeSet<TrackEnd>> = BTreeMap::new();
    let mut inner = Vec::new();
    let mut runs: BTreeSet<RunId> = tracks.clone();
    let mut legs: BTreeMap<usize, BTreeSet<SegmentId>> = BTreeMap::new();
    for neck in necks {
        for (route, _) in &neck.passed {
            let (Kind::Turnout, turnout) = sketch.work_of(*route)? else { return None };
            legs.entry(turnout).or_default().insert(*route);
            passed.entry(turnout).or_default();
        }
    }
    for neck in necks {
        let pieces = &neck.passed;
        // The first turnout of the throat is the outermost one at which tracks part; beyond it nothing is the yard's.
        let parts =
            |route: &SegmentId| sketch.work_of(*route).is_some_and(|(_, t)| legs.get(&t).is_some_and(|l| l.len() > 1));
        let outermost = pieces.iter().rposition(|(route, _)| parts(route))?;
        for (place, (route, onward)) in pieces[..=outermost].iter().enumerate() {
            let (_, turnout) = sketch.work_of(*route)?;
            let live = [Wiring::LiveBonded, Wiring::LiveAssisted, Wiring::LiveRouted];
            if !live.contains(&sketch.plan.turnout[turnout].wiring.value) || legs[&turnout].len() < 2 {
                return None;
            }
            let Some(end) = onward else { continue };
            if place < outermost {
                runs.insert(sketch.run_of[end.track]);
                inner.push((turnout, *end));
            }
        }
    }
    for &track in tracks {
        let ends = sketch.runs[track].ends?;
        let leads = |end: &RunEnd| sketch.line_end(*end).is_some_and(|far| !sketch.routes_at(far).is_empty());
        if ends.iter().filter(|e| leads(e)).count() != 1 {
            return None;
        }
        // Nothing may hang on it further on.
        let open = ends.iter().find(|e| !leads(e))?;
        let table = &sketch.plan.track[open.track];
        let text = if open.end == TrackEnd::From { &table.from } else { &table.to };
        if !matches!(sketch.names.end(sketch.plan, &text.value), Ok(EndOf::Buffer | EndOf::Beyond)) {
            return None;
        }
    }
    inner.sort_unstable();
    inner.dedup();
    // A branch of the throat that holds a train of its own is no storage track, and must stay live.
    let branches_have_room = runs.difference(tracks).any(|&run| sketch.runs[run].has_room());
    (!branches_have_room).then_some((runs, inner))
}
