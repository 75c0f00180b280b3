//! Plain track from one piece of trackwork to the next.

use crate::state::{SAME_PLACE, State, slot, state};
use circuit::{Circuit, SegmentId};
use std::collections::{BTreeMap, BTreeSet};

/// A run of at least this length has room for a train to stand and wait, in metres.
pub(crate) const ROOM: f64 = 0.4;
/// The tracks of a run from one of them on, each about to be left by an end, and whether its left rail is the right one of the
/// first. Round a circle each comes once.
fn walk(circuit: &Circuit, from: State) -> Vec<(State, bool)> {
    let mut walk = vec![(from, false)];
    let mut on = BTreeSet::from([from / 2]);
    while let Some(&(at, turned)) = walk.last() {
        match circuit.segments[at / 2].ends[at % 2].next.as_slice() {
            [(next, entered)] if *next < circuit.tracks && on.insert(*next) => {
                // Tracks that meet with the same end of theirs see left and right exchanged.
                walk.push((state(*next, 1 - slot(*entered)), turned != (at % 2 == slot(*entered))));
            }
            _ => break,
        }
    }
    walk
}

/// The runs of a circuit.
#[derive(Default)]
pub(crate) struct PlainRuns {
    /// For each track its run.
    of: Vec<usize>,
    /// For each run its tracks and its length in metres.
    list: Vec<(Vec<SegmentId>, f64)>,
    /// For each track and end, its last track in that direction, about to be left at the far end.
    far_end: Vec<State>,
    /// For each track and end, how far the run goes on behind that end, in metres.
    beyond: Vec<f64>,
    /// For each track and end, how far from the far end in that direction a train stops that waits there; none where it may
    /// come up to it.
    stops: Vec<Option<f64>>,
}

impl PlainRuns {
    pub(crate) fn from_circuit(circuit: &Circuit) -> PlainRuns {
        let mut runs = PlainRuns::default();
        let mut of: Vec<Option<usize>> = vec![None; circuit.tracks];
        for start in 0..circuit.tracks {
            if of[start].is_some() {
                continue;
            }
            let run = runs.list.len();
            of[start] = Some(run);
            let mut tracks = vec![start];
            let mut at = 0;
            while let Some(&track) = tracks.get(at) {
                for &(next, _) in circuit.segments[track].ends.iter().flat_map(|e| &e.next) {
                    if next < circuit.tracks && of[next].is_none() {
                        of[next] = Some(run);
                        tracks.push(next);
                    }
                }
                at += 1;
            }
            let length = tracks.iter().map(|&t| circuit.segments[t].length).sum();
            runs.list.push((tracks, length));
        }
        runs.of = of.into_iter().flatten().collect();
        let mut far_ends: Vec<Option<State>> = vec![None; 2 * circuit.tracks];
        runs.beyond = vec![0.0; 2 * circuit.tracks];
        let length = |state: State| circuit.segments[state / 2].length;
        for first in 0..2 * circuit.tracks {
            if far_ends[first].is_some() {
                continue;
            }
            let walk = walk(circuit, first);
            let Some(&(last, _)) = walk.last() else { continue };
            let is_circle = circuit.segments[last / 2].ends[last % 2].next.iter().any(|n| n.0 < circuit.tracks);
            let whole: f64 = walk.iter().map(|w| length(w.0)).sum();
            let mut before = last;
            let mut left = whole;
            for &(at, _) in &walk {
                left -= length(at);
                // Round a circle it goes on to the track before.
                far_ends[at] = Some(if is_circle { before } else { last });
                runs.beyond[at] = if is_circle { whole - length(at) } else { left.max(0.0) };
                before = at;
            }
        }
        // Each walk sets that of the track it starts from.
        runs.far_end = far_ends.into_iter().flatten().collect();
        let mut known: BTreeMap<State, Option<f64>> = BTreeMap::new();
        for at in 0..2 * circuit.tracks {
            let far_end = runs.far_end[at];
            let stop = *known.entry(far_end).or_insert_with(|| runs.stop(circuit, far_end));
            runs.stops.push(stop);
        }
        runs
    }

    /// How far from an end of a run that joins trackwork a train stops that waits there: before the last gap of the left or
    /// of the right rail, whichever it meets first, of those in the half next to the trackwork.
    fn stop(&self, circuit: &Circuit, far_end: State) -> Option<f64> {
        let joins_work = circuit.segments[far_end / 2].ends[far_end % 2].next.iter().any(|n| n.0 >= circuit.tracks);
        if !joins_work {
            return None;
        }
        let half = self.list[self.of[far_end / 2]].1 / 2.0;
        let mut last: [Option<f64>; 2] = [None; 2];
        let mut before = 0.0;
        // From the trackwork back into the run.
        for (at, turned) in walk(circuit, far_end ^ 1) {
            let s = &circuit.segments[at / 2];
            for gap in circuit.gaps_of(at / 2) {
                // The end it is entered by lies nearer to the trackwork.
                let out = before + if at % 2 == 1 { gap.x } else { s.length - gap.x };
                let rail = &mut last[if turned { gap.side.other() } else { gap.side }];
                if out < half - SAME_PLACE && rail.is_none_or(|known| out < known) {
                    *rail = Some(out);
                }
            }
            before += s.length;
        }
        last.into_iter().flatten().reduce(f64::max)
    }

    /// Whether a train that waits at an end of the run of a track, in the direction of an end of the track, stops before a
    /// place of the track.
    pub(crate) fn is_behind_stop(&self, circuit: &Circuit, (track, end): (SegmentId, usize), x: f64) -> bool {
        let Some(&Some(stop)) = self.stops.get(state(track, end)) else { return false };
        let own = if end == 1 { circuit.segments[track].length - x } else { x };
        own + self.beyond[state(track, end)] <= stop + SAME_PLACE
    }

    /// The run of a track; none of what is no track.
    pub(crate) fn run_of(&self, segment: SegmentId) -> Option<usize> {
        self.of.get(segment).copied()
    }

    /// How many there are.
    pub(crate) fn count(&self) -> usize {
        self.list.len()
    }

    /// The tracks of a run.
    pub(crate) fn tracks(&self, run: usize) -> &[SegmentId] {
        &self.list[run].0
    }

    /// Whether a train can stand and wait on the run of a track.
    pub(crate) fn has_room(&self, track: SegmentId) -> bool {
        self.list[self.of[track]].1 >= ROOM - SAME_PLACE
    }

    /// Where a run is left in the direction of an end of one of its tracks; of trackwork, that end itself.
    pub(crate) fn far_end(&self, segment: SegmentId, end: usize) -> State {
        self.far_end.get(state(segment, end)).copied().unwrap_or(state(segment, end))
    }
}
