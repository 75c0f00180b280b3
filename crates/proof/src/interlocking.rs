//! Which routes exclude each other: those that cannot be set, or not be live, at one time.
//!
//! For each route the condition is written down under which it is set and every stretch of it that can have power then has it; two
//! routes go together exactly if both conditions hold in some setting that there is and that is no short.

use crate::conductors::PoleConditions;
use crate::dead::intervals;
use crate::logic::{Logic, TooComplex};
use crate::route_conditions::RouteConditions;
use crate::{LARGEST_CONDITION, QueryContext, shorted};
use circuit::{Circuit, ControlId, Literal, RailOwner, SegmentId, Way};
use network::Condition;
use plan::Kind;
use std::cell::RefCell;
use std::collections::BTreeSet;

/// Why two routes exclude each other.
#[derive(Clone, Debug, PartialEq)]
pub enum Exclusion {
    /// Both run over this segment.
    Track(SegmentId),
    /// Both run over this piece of trackwork.
    Trackwork(Kind, usize),
    /// They need this in two positions: that of the first, and of the second.
    Position(ControlId, [u8; 2]),
    /// What they need never stands so together: the plan promises it, or trackwork cannot.
    NeverTogether,
    /// Set together they short a supply, whatever else is set.
    Short,
    /// While the other is set, this segment of the first (0) or the second (1) has power in no setting.
    Starved(usize, SegmentId),
    /// Each has power in some setting, and in none both have.
    NotBothLive,
}

/// Why a route can be used by itself in no setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unusable {
    /// Its positions never stand so together.
    CannotBeSet,
    /// Set, it shorts a supply.
    Shorted,
    /// None of it has power.
    NeverLive,
    /// Not all of it has power in one setting.
    NotWholeLive,
}

/// Which routes exclude each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Interlocking {
    /// For each route why it cannot be used at all.
    pub unusable: Vec<Option<Unusable>>,
    /// For each pair of usable routes, the first before the second, why they exclude each other: every reason that holds; nothing
    /// where they go together.
    pub pairs: Vec<([usize; 2], Vec<Exclusion>)>,
}

impl Interlocking {
    /// Why two routes exclude each other, in whichever order; none where one of them cannot be used, or they are one.
    pub fn between(&self, one: usize, other: usize) -> Option<&[Exclusion]> {
        let key = [one.min(other), one.max(other)];
        self.pairs.iter().find(|p| p.0 == key).map(|p| p.1.as_slice())
    }
}

/// A route, and when it is what it should be.
struct SetRoute {
    /// When it is set, less what is never set and what shorts a supply.
    set: Condition,
    /// When it is set and live throughout.
    live: Condition,
    /// The stretches that can be live then: their segments, and when they are.
    stretches: Vec<(SegmentId, Condition)>,
}

/// Which of some routes exclude each other.
///
/// # Errors
/// When a condition outgrows its limit.
pub fn interlocking(circuit: &Circuit, routes: &[&Way]) -> Result<Interlocking, TooComplex> {
    let logic = Logic::new(circuit, LARGEST_CONDITION)?;
    let reach = PoleConditions::from_circuit(circuit, &logic, &[])?;
    let walks = RouteConditions::new(circuit, &logic)?;
    let shorted = shorted(circuit, &logic, &reach)?;
    let (live_runs, lasting) = (RefCell::new(vec![None; walks.runs.count()]), BTreeSet::new());
    let neighbours = &circuit.neighbours();
    let q =
        QueryContext { circuit, neighbours, logic: &logic, lined: &walks, reach: &reach, shorted, lasting, live_runs };
    let mut found = Interlocking::default();
    let mut set_routes: Vec<Option<SetRoute>> = Vec::new();
    for way in routes {
        match set_route(&q, way)? {
            Ok(route) => {
                found.unusable.push(None);
                set_routes.push(Some(route));
            }
            Err(why) => {
                found.unusable.push(Some(why));
                set_routes.push(None);
            }
        }
    }
    for (i, one) in set_routes.iter().enumerate() {
        for (j, other) in set_routes.iter().enumerate().skip(i + 1) {
            if let (Some(one), Some(other)) = (one, other) {
                let mut why = track(circuit, [routes[i], routes[j]]);
                why.extend(together(&q, [routes[i], routes[j]], [one, other])?);
                found.pairs.push(([i, j], why));
            }
        }
    }
    Ok(found)
}

fn guard(way: &Way) -> Vec<Literal> {
    way.setting.iter().map(|(&control, &position)| Literal { control, position }).collect()
}

fn set_route(q: &QueryContext<'_>, way: &Way) -> Result<Result<SetRoute, Unusable>, TooComplex> {
    let legal = q.logic.restrict_to_legal(q.logic.guard(&guard(way))?)?;
    if legal.is_false() {
        return Ok(Err(Unusable::CannotBeSet));
    }
    let set = q.without_shorts(legal)?;
    if set.is_false() {
        return Ok(Err(Unusable::Shorted));
    }
    let (mut live, mut stretches) = (set, Vec::new());
    for &(segment, _) in &way.steps {
        for stretch in intervals(q, segment) {
            let powered = q.powered(stretch.nodes[0], stretch.nodes[1])?;
            // What has no power in any of these settings is no matter of the other route.
            if q.logic.and(set, powered)?.is_false() {
                continue;
            }
            live = q.logic.and(live, powered)?;
            stretches.push((segment, powered));
        }
    }
    Ok(match (stretches.is_empty(), live.is_false()) {
        (true, _) => Err(Unusable::NeverLive),
        (_, true) => Err(Unusable::NotWholeLive),
        _ => Ok(SetRoute { set, live, stretches }),
    })
}

/// What both run over.
fn track(circuit: &Circuit, [one, other]: [&Way; 2]) -> Vec<Exclusion> {
    let mut why = Vec::new();
    let mut trackwork = BTreeSet::new();
    for &(segment, _) in &one.steps {
        match &circuit.segments[segment].owner {
            RailOwner::Track(_) if other.steps.iter().any(|s| s.0 == segment) => why.push(Exclusion::Track(segment)),
            RailOwner::Track(_) => {}
            RailOwner::Work { kind, index, .. } => {
                let meets = other.steps.iter().any(|s| match &circuit.segments[s.0].owner {
                    RailOwner::Work { kind: k, index: i, .. } => (k, i) == (kind, index),
                    RailOwner::Track(_) => false,
                });
                if meets && trackwork.insert((*kind, *index)) {
                    why.push(Exclusion::Trackwork(*kind, *index));
                }
            }
        }
    }
    let both = one.setting.iter().filter_map(|(&c, &p)| Some((c, p, *other.setting.get(&c)?)));
    why.extend(both.filter(|&(_, p, o)| p != o).map(|(c, p, o)| Exclusion::Position(c, [p, o])));
    why
}

/// What keeps them from being set and live together, beside the track.
fn together(
    q: &QueryContext<'_>,
    ways: [&Way; 2],
    [one, other]: [&SetRoute; 2],
) -> Result<Option<Exclusion>, TooComplex> {
    let mut literals = guard(ways[0]);
    for literal in guard(ways[1]) {
        match literals.iter().find(|l| l.control == literal.control) {
            // Told already as a position.
            Some(known) if *known != literal => return Ok(None),
            Some(_) => {}
            None => literals.push(literal),
        }
    }
    if q.logic.restrict_to_legal(q.logic.guard(&literals)?)?.is_false() {
        return Ok(Some(Exclusion::NeverTogether));
    }
    let set = q.logic.and(one.set, other.set)?;
    if set.is_false() {
        return Ok(Some(Exclusion::Short));
    }
    if !q.logic.and(one.live, other.live)?.is_false() {
        return Ok(None);
    }
    for (which, route) in [one, other].into_iter().enumerate() {
        for &(segment, powered) in &route.stretches {
            if q.logic.and(set, powered)?.is_false() {
                return Ok(Some(Exclusion::Starved(which, segment)));
            }
        }
    }
    Ok(Some(Exclusion::NotBothLive))
}
