//! Routes without an end of the line, where all settings can be tried: in each, every track lies on one line that is set, and
//! that line is a route if nothing but what it sets itself stops it. Nothing depends on where one begins to look.

use super::{Onward, PartialWay, RouteEnd, WaySearch, slot};
use crate::{ControlId, SegmentId};
use plan::TrackEnd;
use std::collections::BTreeSet;

/// Settings times segments that are tried.
const MOST_WORK: usize = 1_000_000;

type Steps = Vec<(SegmentId, TrackEnd)>;

impl WaySearch<'_> {
    /// Adds all of them; false where there are too many settings to be tried.
    pub(super) fn in_every_setting(&mut self) -> bool {
        let circuit = self.circuit;
        let guards = circuit.segments.iter().flat_map(|s| &s.guard);
        let controls: Vec<ControlId> = guards.map(|l| l.control).collect::<BTreeSet<_>>().into_iter().collect();
        let positions = |c: &ControlId| circuit.controls[*c].positions.len();
        let settings = controls.iter().try_fold(1usize, |n, c| n.checked_mul(positions(c)));
        let Some(settings) = settings.filter(|n| n.saturating_mul(circuit.segments.len()) <= MOST_WORK) else {
            return false;
        };
        let mut known: BTreeSet<Steps> = BTreeSet::new();
        let mut setting = vec![None; circuit.controls.len()];
        for number in 0..settings {
            let mut rest = number;
            for control in &controls {
                setting[*control] = Some((rest % positions(control)) as u8);
                rest /= positions(control);
            }
            if !circuit.is_legal(&setting) {
                continue;
            }
            let mut on_one = vec![false; circuit.segments.len()];
            for track in 0..circuit.tracks {
                if on_one[track] {
                    continue;
                }
                let (line, circle) = self.line(track, &setting);
                line.iter().for_each(|step| on_one[step.0] = true);
                let back: Steps = line.iter().rev().map(|&(s, entered)| (s, entered.other())).collect();
                let line = if circle { line } else { line.min(back) };
                if known.insert(line.clone()) {
                    self.keep_if_route(&line, circle);
                }
                if self.found.len() >= self.limit || self.steps_left == 0 {
                    self.complete = false;
                    return true;
                }
            }
        }
        true
    }

    /// The line that a track lies on in a setting, and whether it is closed.
    fn line(&self, track: SegmentId, setting: &[Option<u8>]) -> (Steps, bool) {
        let first = (track, TrackEnd::From);
        let onward = |(segment, entered): (SegmentId, TrackEnd)| {
            let next = &self.circuit.segments[segment].ends[slot(entered.other())].next;
            next.iter().copied().find(|n| crate::Circuit::holds(&self.circuit.segments[n.0].guard, setting))
        };
        let mut line = vec![first];
        let mut on = BTreeSet::from([track]);
        let mut at = first;
        while let Some(next) = onward(at) {
            if next == first {
                return (line, true);
            }
            if !on.insert(next.0) {
                break;
            }
            line.push(next);
            at = next;
        }
        let mut before = Vec::new();
        let mut at = (track, TrackEnd::To);
        while let Some(next) = onward(at).filter(|next| on.insert(next.0)) {
            before.push((next.0, next.1.other()));
            at = next;
        }
        before.reverse();
        before.extend(line);
        (before, false)
    }

    fn keep_if_route(&mut self, line: &[(SegmentId, TrackEnd)], circle: bool) {
        let Some((&(segment, entered), rest)) = line.split_first() else { return };
        let mut walk = PartialWay::from(self.circuit, segment, entered);
        rest.iter().for_each(|&(segment, entered)| walk.step(segment, entered));
        let waits = |walk: &PartialWay<'_>| matches!(walk.onward(), Onward::Ends(RouteEnd::Waits));
        if circle {
            self.keep(&walk, [RouteEnd::Circle; 2]);
        } else if waits(&walk) && waits(&walk.turned_round()) {
            self.keep(&walk, [RouteEnd::Waits; 2]);
        }
    }
}
