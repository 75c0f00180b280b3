//! Joints that are said twice, and not alike.

use super::{Check, unclear};
use crate::names::{EndOf, TrackEnd};
use crate::tables::{JointKind, RailSide, Track};
use crate::value::At;
use handbook::quantity::Quantity;
use std::ops::Range;

/// Places nearer than this are one, in metres.
const SAME_PLACE: f64 = 1e-5;

/// What a plan says one by one of a place on one rail.
struct Said {
    x: f64,
    kind: JointKind,
    span: Range<usize>,
}

impl Check<'_, '_> {
    /// One joint is of one kind, whoever says so.
    pub(super) fn joints(&mut self) {
        let plan = self.plan;
        for (index, track) in plan.track.iter().enumerate() {
            for side in [RailSide::Left, RailSide::Right] {
                self.on_one_rail(track, side);
            }
            for (end, text) in [(TrackEnd::From, &track.from), (TrackEnd::To, &track.to)] {
                // What a turnout says of its own ends goes before what a track says of all its joints.
                if let Ok(EndOf::Track(other, other_end)) = self.names.end(plan, &text.value)
                    && (index, end) < (other, other_end)
                {
                    self.joint_between((track, end), (&plan.track[other], other_end));
                }
            }
        }
    }

    /// Two joints at one place of one rail. What follows from `stock` gives way.
    fn on_one_rail(&mut self, track: &Track, side: RailSide) {
        let mut said = said(track, side);
        said.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.span.start.cmp(&b.span.start)));
        for pair in said.windows(2).filter(|p| p[1].x - p[0].x < SAME_PLACE && p[0].kind != p[1].kind) {
            self.tell_twice(&track.name.value, (pair[0].kind, &pair[0].span), (pair[1].kind, &pair[1].span));
        }
    }

    /// The joint between two tracks: what they say of that place, and else what they say of all their joints.
    fn joint_between(&mut self, (one, end): (&Track, TrackEnd), (other, other_end): (&Track, TrackEnd)) {
        let at_end = |track: &Track, end: TrackEnd, side: RailSide| {
            let x = if end == TrackEnd::From { 0.0 } else { track.length.value.si() };
            said(track, side).into_iter().find(|s| (s.x - x).abs() < SAME_PLACE)
        };
        let mut one_by_one = false;
        for side in [RailSide::Left, RailSide::Right] {
            // Tracks that meet with the same end of theirs see left and right exchanged.
            let across = if end == other_end { side.other() } else { side };
            let (mine, theirs) = (at_end(one, end, side), at_end(other, other_end, across));
            one_by_one |= mine.is_some() || theirs.is_some();
            if let (Some(mine), Some(theirs)) = (mine, theirs)
                && mine.kind != theirs.kind
            {
                self.tell_twice(&one.name.value, (mine.kind, &mine.span), (theirs.kind, &theirs.span));
                return;
            }
        }
        if !one_by_one {
            self.alike(one.joint.as_ref(), other.joint.as_ref(), &format!("{}.{}", one.name.value, end.word()));
        }
    }

    fn alike(&mut self, mine: Option<&At<JointKind>>, theirs: Option<&At<JointKind>>, place: &str) {
        if let (Some(mine), Some(theirs)) = (mine, theirs)
            && mine.value != theirs.value
        {
            self.tell_twice(place, (mine.value, &mine.span), (theirs.value, &theirs.span));
        }
    }

    fn tell_twice(&mut self, place: &str, one: (JointKind, &Range<usize>), other: (JointKind, &Range<usize>)) {
        let [first, second] = [one.0, other.0].map(JointKind::word);
        self.reader.tell(
            unclear("contradiction", format!("a joint of `{place}` is said to be `{first}` and `{second}`"))
                .at(other.1.clone(), format!("`{second}` here"))
                .also(one.1.clone(), format!("`{first}` here"))
                .help("one joint is of one kind: correct one of them"),
        );
    }
}

/// What a track says one by one of the joints of a rail.
fn said(track: &Track, side: RailSide) -> Vec<Said> {
    let on = |said: &Option<At<RailSide>>| said.as_ref().is_none_or(|s| s.value == side);
    let joints = track.joints.iter().filter(|j| on(&j.value.rail)).filter_map(|j| {
        let kind = j.value.kind.as_ref().or(track.joint.as_ref())?.value;
        Some(Said { x: j.value.at.value.si(), kind, span: j.span.clone() })
    });
    let spots = |list: &crate::value::List<crate::tables::RailSpot>, kind: JointKind| {
        let on_rail = list.iter().filter(|s| on(&s.value.rail));
        on_rail.map(|s| Said { x: s.value.at.value.si(), kind, span: s.span.clone() }).collect::<Vec<_>>()
    };
    let slides = spots(&track.slides, JointKind::Sliding);
    joints.chain(slides).chain(spots(&track.gaps, JointKind::Gap)).collect()
}
