//! Plain line: rails cut at joints and gaps, with a node wherever something is wired to them.

use crate::builder::{Builder, SaidKind};
use crate::{EdgeKind, Part, Probe, RailLine, RailOwner, Segment, SegmentEnd, Spot, Stop};
use handbook::Spread;
use handbook::quantity::Quantity;
use plan::tables::{JointKind, RailSide};
use plan::{At, EndOf, Terminal, TrackEnd};
use std::collections::BTreeMap;
use std::ops::Range;

/// Places nearer than this are one place, in metres: a tenth of what a saw can do.
const SAME_PLACE: f64 = 1e-5;

/// Places of one rail where a wire ends, metres from the `from` end, and the words that say so.
type Wired = Vec<(f64, Range<usize>)>;

/// What stands at a place of a rail; the later the stronger.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum RailMark {
    /// Something is wired here.
    Wired,
    Soldered,
    Sliding,
    Gap,
}

impl From<JointKind> for RailMark {
    fn from(kind: JointKind) -> RailMark {
        match kind {
            JointKind::Soldered => RailMark::Soldered,
            JointKind::Sliding => RailMark::Sliding,
            JointKind::Gap => RailMark::Gap,
        }
    }
}

/// What a plan says stands on one rail, in any order: where, what, and the words that say so.
type Said = Vec<(f64, RailMark, Range<usize>)>;

/// Marks of one rail, by the number of their place.
type Marks = BTreeMap<usize, (f64, RailMark, Range<usize>)>;

/// The places of a track, in order: what lies nearer to each other than [`SAME_PLACE`], on either rail, is one place, the
/// ends of the track before all others. So equal places written in different units, or counted from the other end,
/// meet, and no sliver of rail lies between them.
struct TrackPlaces(Vec<f64>);

impl TrackPlaces {
    fn new(length: f64, said: &[Said; 2]) -> TrackPlaces {
        let inside = |x: &f64| *x > SAME_PLACE && *x < length - SAME_PLACE;
        let mut all: Vec<f64> = said.iter().flatten().map(|s| s.0).filter(inside).collect();
        all.sort_by(f64::total_cmp);
        let mut places = vec![0.0];
        for x in all {
            if places.last().is_none_or(|last| x - last > SAME_PLACE) {
                places.push(x);
            }
        }
        places.push(length);
        TrackPlaces(places)
    }

    /// The number of the place that something is at.
    fn number(&self, x: f64) -> usize {
        let next = self.0.partition_point(|&place| place < x).min(self.0.len() - 1);
        let before = next.saturating_sub(1);
        if next > 0 && x - self.0[before] <= self.0[next] - x { before } else { next }
    }

    /// The marks of one rail; of several at one place the strongest counts.
    fn marks(&self, said: Said) -> Marks {
        let mut marks = Marks::new();
        for (x, mark, span) in said {
            let number = self.number(x);
            let entry = marks.entry(number).or_insert_with(|| (self.0[number], mark, span.clone()));
            if mark > entry.1 {
                (entry.1, entry.2) = (mark, span);
            }
        }
        marks
    }
}

impl Builder<'_> {
    pub(crate) fn tracks(&mut self, probes: &[Probe]) {
        let plan = self.plan;
        let mut wired: Vec<[Wired; 2]> = vec![Default::default(); plan.track.len()];
        for (text, terminal) in self.rail_terminals() {
            if let Terminal::Rail(rail, at) = terminal {
                wired[rail.track][rail.side].push((at.si(), text.span.clone()));
            }
        }
        for probe in probes {
            if let Some(track) = plan.track.get(probe.track) {
                for side in &mut wired[probe.track] {
                    side.push((probe.at, track.name.span.clone()));
                }
            }
        }
        for (index, wired) in wired.iter().enumerate() {
            self.track(index, wired);
        }
        self.circuit.tracks = plan.track.len();
    }

    fn track(&mut self, index: usize, wired: &[Wired; 2]) {
        let plan = self.plan;
        let track = &plan.track[index];
        let length = track.length.value.si();
        let of_track = self.joint_kind(track.joint.as_ref());
        let default_joint = RailMark::from(of_track.kind);
        // Where no table says what joins rails, what is only said to be joined is assumed.
        let unsaid = track.joints.iter().filter(|j| j.value.kind.is_none()).map(|j| j.span.start);
        let unsaid: Vec<usize> = unsaid.chain(track.stock.iter().map(|s| s.span.start)).collect();
        let assumed = |span: &Range<usize>| of_track.assumed && unsaid.contains(&span.start);
        let per_metre = match &track.rail_resistance {
            Some(said) => {
                let ohms = Spread::exactly(said.value.si());
                let words = crate::inputs::spread_per_length(self.plan.units(), ohms);
                let name = format!("rail resistance of {}, measured", track.name.value);
                let input = self.inputs.add(name, words, crate::Origin::Plan(said.span.clone()));
                crate::builder::PerMetre { ohms, input }
            }
            None => self.rail_ohms(track.rail.as_ref()),
        };
        let said = RailSide::ALL.map(|side| {
            let mut said = Said::new();
            let mut put = |x: f64, mark: RailMark, span: &Range<usize>| said.push((x, mark, span.clone()));
            let on = |said: &Option<At<RailSide>>| said.as_ref().is_none_or(|s| s.value == side);
            put(0.0, RailMark::Wired, &track.from.span);
            put(length, RailMark::Wired, &track.to.span);
            if let Some(stock) = &track.stock {
                let step = stock.value.si().max(0.01);
                let mut count = 1.0;
                while count * step < length - SAME_PLACE {
                    put(count * step, default_joint, &stock.span);
                    count += 1.0;
                }
            }
            for joint in track.joints.iter().filter(|j| on(&j.value.rail)) {
                let mark = joint.value.kind.as_ref().map_or(default_joint, |k| RailMark::from(k.value));
                put(joint.value.at.value.si(), mark, &joint.span);
            }
            for slide in track.slides.iter().filter(|s| on(&s.value.rail)) {
                put(slide.value.at.value.si(), RailMark::Sliding, &slide.span);
            }
            for gap in track.gaps.iter().filter(|g| on(&g.value.rail)) {
                put(gap.value.at.value.si(), RailMark::Gap, &gap.span);
            }
            for feeder in track.feeders.iter().filter(|f| on(&f.value.rail)) {
                put(feeder.value.at.value.si(), RailMark::Wired, &feeder.span);
            }
            for (x, span) in &wired[side] {
                put(*x, RailMark::Wired, span);
            }
            said
        });
        let places = TrackPlaces::new(length, &said);
        let [left, right] = said;
        let rails = [(RailSide::Left, left), (RailSide::Right, right)].map(|(side, said)| {
            let mut marks = places.marks(said);
            // A joint or gap written at the very end is the one with the neighbour, which is made once for both.
            let ends = [(TrackEnd::From, 0, &track.from), (TrackEnd::To, places.0.len() - 1, &track.to)];
            for (end, number, text) in ends {
                let Some(mark) = marks.get_mut(&number) else { continue };
                let said = assumed(&mark.2);
                let has_neighbour =
                    || matches!(self.names.end(plan, &text.value), Ok(EndOf::Track(..) | EndOf::Work(..)));
                let kind = match mark.1 {
                    RailMark::Soldered => JointKind::Soldered,
                    RailMark::Sliding => JointKind::Sliding,
                    // Where the plan has nothing beyond, the gap parts this rail from what is there.
                    RailMark::Gap if has_neighbour() => JointKind::Gap,
                    RailMark::Wired | RailMark::Gap => continue,
                };
                mark.1 = RailMark::Wired;
                let words = Some(mark.2.clone());
                self.end_joints.insert((index, end, side), SaidKind { kind, assumed: said, words, neighbour: None });
            }
            self.line(index, side, &marks, per_metre, &assumed)
        });
        self.circuit.segments.push(Segment {
            name: track.name.value.clone(),
            owner: RailOwner::Track(index),
            guard: Vec::new(),
            length,
            rails,
            ends: [SegmentEnd::default(), SegmentEnd::default()],
            span: track.name.span.clone(),
        });
        self.circuit.intended_pole.push([None, None]);
    }

    fn line(
        &mut self,
        track: usize,
        side: RailSide,
        marks: &Marks,
        rail: crate::builder::PerMetre,
        assumed: &dyn Fn(&Range<usize>) -> bool,
    ) -> RailLine {
        let name = &self.plan.track[track].name;
        let spot = |x: f64, behind: bool| Spot::Rail { track, side, x, behind };
        let mut line = RailLine::default();
        for (x, mark, span) in marks.values() {
            let shown = self.plan.units().metres(*x);
            let words = format!("{} {} rail at {shown}", name.value, side.word());
            let before = self.node(words.clone(), span, spot(*x, false));
            let joint = match mark {
                RailMark::Wired => None,
                RailMark::Soldered => Some(Some(EdgeKind::SolderedJoint)),
                RailMark::Sliding => Some(Some(EdgeKind::SlidingJoint)),
                RailMark::Gap => Some(None),
            };
            let after = match joint {
                None => before,
                Some(kind) => {
                    let after = self.node(words, span, spot(*x, true));
                    if let Some(kind) = kind {
                        let (ohms, input) = self.contact_ohms(kind);
                        let sliding = kind == EdgeKind::SlidingJoint;
                        let part = Part::Joint { track, side, x: *x, sliding };
                        let id = self.edge([before, after], kind, ohms, Vec::new(), input, part, span);
                        if assumed(span) {
                            self.circuit.assumed_joints.insert(id);
                        }
                    }
                    after
                }
            };
            if let Some(last) = line.stops.last() {
                let metres = x - last.x;
                let ohms = rail.ohms.map(|r| r * metres);
                let part = Part::Rail { track, side };
                let ends = [last.after, before];
                line.pieces.push(self.edge(ends, EdgeKind::Rail, ohms, Vec::new(), rail.input, part, span));
            }
            line.stops.push(Stop { x: *x, before, after });
        }
        line
    }
}
