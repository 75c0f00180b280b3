//! Which bus each part of the track hangs on, and where it runs along that.

use super::places::distances;
use super::sketch::Sketch;
use circuit::SegmentId;
use handbook::quantity::Quantity;
use handbook::quantity::Units;
use plan::tables::{Supply, SupplyKind};
use plan::{At, Kind, Pole, Terminal};
use std::collections::{BTreeMap, VecDeque};

/// A bus and what hangs on it.
#[derive(Clone, Debug)]
pub(crate) struct District {
    pub(crate) bus: String,
    pub(crate) supply: String,
    /// The length of the bus, metres.
    pub(crate) length: f64,
    /// Whether the bus is not in the plan yet.
    pub(crate) is_new: bool,
}

/// All districts.
#[derive(Clone, Debug)]
pub(crate) struct Districts {
    pub(crate) list: Vec<District>,
    /// The district of each segment.
    pub(crate) of_segment: Vec<usize>,
    /// For each track where its ends lie along its bus, where it is to run along one.
    along: Vec<Option<[f64; 2]>>,
    /// What the plan says of phases: of each track whether its left rail is on B.
    pub(crate) wanted: BTreeMap<SegmentId, bool>,
}

/// What is left of a bus beyond the last track, metres.
const BEYOND: f64 = 0.2;

impl Districts {
    /// None where no supply feeds track.
    pub(crate) fn new(sketch: &Sketch<'_>) -> Option<Districts> {
        let plan = sketch.plan;
        let (distances, longest) = distances(sketch);
        let mut list: Vec<District> = Vec::new();
        let mut said: BTreeMap<SegmentId, usize> = BTreeMap::new();
        let mut wanted = BTreeMap::new();
        let bus_of = |text: &Option<At<String>>| match sketch.names.terminal(plan, &text.as_ref()?.value).ok()? {
            Terminal::Bus(bus, pole, _) => Some((bus, pole)),
            _ => None,
        };
        let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
        for (index, track) in plan.track.iter().enumerate() {
            let [left, right] = [bus_of(&track.left), bus_of(&track.right)];
            let crossed = left.map(|(_, p)| p == Pole::B).or(right.map(|(_, p)| p == Pole::A));
            wanted.extend(crossed.map(|crossed| (index, crossed)));
            let along = track.along.as_ref().map(|a| &a.value.bus.value);
            let along = along.and_then(|bus| sketch.names.of_kind(bus, &[Kind::Bus]).ok()).map(|b| b.1);
            let Some(bus) = left.or(right).map(|b| b.0).or(along) else { continue };
            let number = *numbers.entry(bus).or_insert_with(|| {
                list.push(existing(plan, bus));
                list.len() - 1
            });
            said.insert(index, number);
        }
        if list.is_empty() {
            let feeds_track = |bus: &plan::tables::Bus| {
                let supply = bus.supply.as_ref().and_then(|s| plan.supply.iter().find(|t| t.name.value == s.value));
                supply.is_some_and(is_for_track)
            };
            match plan.bus.iter().position(feeds_track) {
                Some(bus) => list.push(existing(plan, bus)),
                None => {
                    let for_track = || plan.supply.iter().filter(|s| is_for_track(s));
                    let supply = for_track().find(|s| s.behind.is_none()).or_else(|| for_track().next())?;
                    let name = ["track bus", "main bus", "layout bus"].into_iter();
                    let mut names = name.map(str::to_owned).chain((2..).map(|n| format!("track bus {n}")));
                    let bus = names.find(|name| sketch.names.get(name).is_none())?;
                    let step = if plan.units() == Units::Imperial { 0.1524 } else { 0.1 };
                    let length = ((longest + BEYOND) / step).ceil() * step;
                    list.push(District { bus, supply: supply.name.value.clone(), length, is_new: true });
                }
            }
        }
        // What is not said hangs on what is nearest.
        let segments = &sketch.circuit.segments;
        let mut of_segment: Vec<Option<usize>> = vec![None; segments.len()];
        let mut open: VecDeque<SegmentId> = VecDeque::new();
        for (&track, &district) in &said {
            of_segment[track] = Some(district);
            open.push_back(track);
        }
        while let Some(at) = open.pop_front() {
            for &(next, _) in segments[at].ends.iter().flat_map(|e| &e.next) {
                if of_segment[next].is_none() {
                    of_segment[next] = of_segment[at];
                    open.push_back(next);
                }
            }
        }
        let mut of_segment: Vec<usize> = of_segment.into_iter().map(|d| d.unwrap_or(0)).collect();
        one_for_each_work(sketch, &mut of_segment);
        let along = (0..plan.track.len()).map(|track| {
            let district = &list[of_segment[track]];
            let fits = distances[track].iter().all(|&x| x <= district.length);
            (fits && plan.track[track].along.is_none()).then_some(distances[track])
        });
        let along = along.collect();
        Some(Districts { list, of_segment, along, wanted })
    }

    /// Where the ends of a track lie along its bus, metres.
    pub(crate) fn along(&self, track: usize) -> Option<[f64; 2]> {
        self.along[track]
    }
}

/// Routes of one piece of trackwork share rails, so they are of one district; those of a crossing are two.
fn one_for_each_work(sketch: &Sketch<'_>, of_segment: &mut [usize]) {
    let mut first: BTreeMap<(Kind, usize), usize> = BTreeMap::new();
    for (route, district) in of_segment.iter_mut().enumerate().skip(sketch.circuit.tracks) {
        let Some(work) = sketch.work_of(route).filter(|w| w.0 != Kind::Crossing) else { continue };
        *district = *first.entry(work).or_insert(*district);
    }
}

fn existing(plan: &plan::Plan, bus: usize) -> District {
    let table = &plan.bus[bus];
    let supply = table.supply.as_ref().map_or_else(String::new, |s| s.value.clone());
    District { bus: table.name.value.clone(), supply, length: table.length.value.si(), is_new: false }
}

/// Whether a supply feeds track and not motors.
pub(crate) fn is_for_track(supply: &Supply) -> bool {
    supply.kind.as_ref().is_none_or(|k| matches!(k.value, SupplyKind::Booster | SupplyKind::SubBreaker))
}
