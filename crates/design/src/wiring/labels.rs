//! What each rail and each conductor of trackwork must be fed with: a pole for good, or one that follows a control.

use super::sketch::{ConductorId, Sketch};
use circuit::{ControlId, Guard, SegmentId};
use plan::Pole;
use plan::tables::RailSide;
use plan::{Kind, TrackEnd};
use std::collections::BTreeMap;

/// A pole of what feeds a district.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Feed {
    /// Index of the district.
    pub(crate) district: usize,
    pub(crate) pole: Pole,
}

/// What something must be fed with.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Label {
    /// One pole for good.
    Fixed(Feed),
    /// In each position of a control the pole named, if any is due.
    Switched { control: ControlId, feeds: Vec<Option<Feed>> },
    /// An output of a reverser of its own.
    Reversed { section: usize, pole: Pole },
    /// What the contacts of a yard, or a toggle, hand to one track alone.
    Own { group: usize, tree: usize, track: usize, pole: Pole },
}

impl Label {
    /// Whether one conductor can be both.
    pub(crate) fn agrees(&self, other: &Label) -> bool {
        match (self, other) {
            (Label::Switched { control: a, feeds: of_a }, Label::Switched { control: b, feeds: of_b }) => {
                a == b && of_a.iter().zip(of_b).all(|(x, y)| x.is_none() || y.is_none() || x == y)
            }
            _ => self == other,
        }
    }
}

/// A demand on a conductor: while these positions hold, this pole.
pub(crate) type Demand = (Guard, Feed);

/// The label that meets some demands; `None` where nothing is asked, an error where no one control decides.
pub(crate) fn label_of(sketch: &Sketch<'_>, demands: &[Demand]) -> Result<Option<Label>, ()> {
    let Some((_, first)) = demands.first() else { return Ok(None) };
    if demands.iter().all(|(_, feed)| feed == first) {
        return Ok(Some(Label::Fixed(*first)));
    }
    let mut controls: Vec<ControlId> = demands.iter().flat_map(|(guard, _)| guard.iter().map(|l| l.control)).collect();
    controls.sort_unstable();
    controls.dedup();
    for control in controls {
        let positions = sketch.circuit.controls[control].positions.len();
        let mut feeds: Vec<Option<Feed>> = vec![None; positions];
        let mut consistent = true;
        for (guard, feed) in demands {
            let asked = guard.iter().find(|l| l.control == control).map(|l| usize::from(l.position));
            for (position, known) in feeds.iter_mut().enumerate() {
                if asked.is_none_or(|a| a == position) {
                    consistent &= known.is_none_or(|k| k == *feed);
                    *known = Some(*feed);
                }
            }
        }
        if consistent {
            return Ok(Some(Label::Switched { control, feeds }));
        }
    }
    Err(())
}

/// The pole of a rail of a segment whose left rail is on B (`crossed`) or A.
pub(crate) fn pole_of(crossed: bool, side: RailSide) -> Pole {
    if crossed == (side == RailSide::Left) { Pole::B } else { Pole::A }
}

/// The labels of all conductors of trackwork, by what trains over its routes ask for; `crossed` and `district` are of segments.
///
/// # Errors
/// With the trackwork that no one control can feed.
pub(crate) fn of_trackwork(
    sketch: &Sketch<'_>,
    crossed: &[bool],
    district: &[usize],
) -> Result<BTreeMap<ConductorId, Label>, (Kind, usize)> {
    let mut demands: BTreeMap<ConductorId, (Vec<Demand>, SegmentId)> = BTreeMap::new();
    for route in sketch.routes() {
        let segment = &sketch.circuit.segments[route];
        for side in RailSide::ALL {
            let feed = Feed { district: district[route], pole: pole_of(crossed[route], side) };
            for stop in &segment.rails[side].stops {
                for node in [stop.before, stop.after] {
                    let entry = demands.entry(sketch.conductor(node)).or_insert_with(|| (Vec::new(), route));
                    entry.0.push((segment.guard.clone(), feed));
                }
            }
        }
    }
    let mut labels = BTreeMap::new();
    for (conductor, (demands, route)) in demands {
        match label_of(sketch, &demands) {
            Ok(Some(label)) => {
                labels.insert(conductor, label);
            }
            Ok(None) => {}
            Err(()) => return Err(sketch.work_of(route).unwrap_or((Kind::Turnout, 0))),
        }
    }
    Ok(labels)
}

/// What the routes at the ends of a track ask of its left rail: a demand for each, as if it were fed by A or B of a district.
pub(crate) fn demands_at(
    sketch: &Sketch<'_>,
    at: super::sketch::RunEnd,
    crossed: &[bool],
    district: usize,
) -> Vec<Demand> {
    let routes = sketch.routes_at(at).into_iter();
    let demand = |(route, by): (SegmentId, TrackEnd)| {
        let exchanged = crossed[route] != (by == at.end);
        let feed = Feed { district, pole: pole_of(exchanged, RailSide::Left) };
        (sketch.circuit.segments[route].guard.clone(), feed)
    };
    routes.map(demand).collect()
}
