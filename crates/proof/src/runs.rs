//! Plain track from one piece of trackwork to the next.

use crate::lined::{State, slot, state};
use circuit::{Circuit, SegmentId};

/// A run of at least this length has room for a train to stand and wait, in metres.
pub(crate) const ROOM: f64 = 0.4;
/// Lengths that differ by less are the same, in metres.
const SAME_LENGTH: f64 = 1e-6;

/// The runs of a circuit.
pub(crate) struct Runs {
    /// For each track its run.
    of: Vec<usize>,
    /// For each run its tracks and its length in metres.
    list: Vec<(Vec<SegmentId>, f64)>,
    /// For each track and end, its last track in that direction, about to be left at the far end.
    far_end: Vec<State>,
}

impl Runs {
    pub(crate) fn of(circuit: &Circuit) -> Runs {
        let mut runs = Runs { of: vec![usize::MAX; circuit.tracks], list: Vec::new(), far_end: Vec::new() };
        for start in 0..circuit.tracks {
            if runs.of[start] != usize::MAX {
                continue;
            }
            let run = runs.list.len();
            runs.of[start] = run;
            let mut tracks = vec![start];
            let mut at = 0;
            while let Some(&track) = tracks.get(at) {
                for &(next, _) in circuit.segments[track].ends.iter().flat_map(|e| &e.next) {
                    if next < circuit.tracks && runs.of[next] == usize::MAX {
                        runs.of[next] = run;
                        tracks.push(next);
                    }
                }
                at += 1;
            }
            let length = tracks.iter().map(|&t| circuit.segments[t].length).sum();
            runs.list.push((tracks, length));
        }
        for track in 0..circuit.tracks {
            for end in 0..2 {
                let mut at = state(track, end);
                // Round a circle one comes back to where one was.
                for _ in 0..circuit.tracks {
                    match circuit.segments[at / 2].ends[at % 2].next.as_slice() {
                        [(next, entered)] if *next < circuit.tracks => at = state(*next, 1 - slot(*entered)),
                        _ => break,
                    }
                }
                runs.far_end.push(at);
            }
        }
        runs
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
        self.list[self.of[track]].1 >= ROOM - SAME_LENGTH
    }

    /// Where a run is left in the direction of an end of one of its tracks; of trackwork, that end itself.
    pub(crate) fn far_end(&self, segment: SegmentId, end: usize) -> State {
        self.far_end.get(state(segment, end)).copied().unwrap_or(state(segment, end))
    }
}
