//! Closed ways that come back with left and right exchanged.

use crate::stretch::StretchGraph;
use circuit::{Circuit, SegmentId};
use std::collections::{BTreeSet, VecDeque};

/// A closed way that comes back with left and right exchanged, with no section on it that changes its phase.
#[derive(Clone, Debug, PartialEq)]
pub struct OddCycle {
    /// The segments it leads over, in order.
    pub segments: Vec<SegmentId>,
    /// Whether a section of it is gapped at both ends, both rails: then what it lacks is a phase that changes.
    pub gapped: bool,
    /// Plain line on it between one trackwork and the next: tracks, and their length together in metres. The
    /// longest first.
    pub candidates: Vec<(Vec<usize>, f64)>,
}

/// More of them than this are not told one by one.
const MOST_CYCLES: usize = 8;

/// Links that close a walk over an odd number of exchanges of left and right, one for each independent such walk.
pub(crate) fn odd_links(track: &StretchGraph, without: &BTreeSet<usize>) -> Vec<usize> {
    // Colours from a walk over a spanning forest; a link whose ends' colours do not fit closes an odd walk.
    let mut colour: Vec<Option<bool>> = vec![None; track.stretches.len()];
    for start in 0..track.stretches.len() {
        if colour[start].is_some() || without.contains(&start) {
            continue;
        }
        colour[start] = Some(false);
        let mut stack = vec![start];
        while let Some(at) = stack.pop() {
            for (link, _, other, _) in track.beyond(at) {
                if colour[other].is_none() && !without.contains(&other) {
                    colour[other] = colour[at].map(|c| c ^ track.links[link].odd());
                    stack.push(other);
                }
            }
        }
    }
    let odd = |link: &usize| {
        let link = &track.links[*link];
        match link.ends.map(|e| colour[e.0]) {
            [Some(one), Some(other)] => (one ^ other) != link.odd(),
            _ => false,
        }
    };
    (0..track.links.len()).filter(odd).collect()
}

/// The shortest odd closed walk over a stretch: stretches, and the link from each to the next.
pub(crate) fn shortest_odd(
    track: &StretchGraph,
    start: usize,
    without: &BTreeSet<usize>,
) -> Option<Vec<(usize, usize)>> {
    // In the double cover, each stretch stands once for each number of changes met so far, even or odd.
    let mut came: Vec<[Option<(usize, usize, usize)>; 2]> = vec![[None; 2]; track.stretches.len()];
    let mut queue = VecDeque::from([(start, 0)]);
    while let Some((at, parity)) = queue.pop_front() {
        for (link, _, other, _) in track.beyond(at) {
            let then = parity ^ usize::from(track.links[link].odd());
            if without.contains(&other) || (other, then) == (start, 0) || came[other][then].is_some() {
                continue;
            }
            came[other][then] = Some((at, parity, link));
            if (other, then) == (start, 1) {
                let mut walk = Vec::new();
                let mut here = (start, 1);
                while here != (start, 0) {
                    let (before, parity, link) = came[here.0][here.1]?;
                    walk.push((before, link));
                    here = (before, parity);
                }
                walk.reverse();
                return Some(walk);
            }
            queue.push_back((other, then));
        }
    }
    None
}

/// The segments of a walk, each once where it is met several times in a row.
pub(crate) fn segments(track: &StretchGraph, walk: &[(usize, usize)]) -> Vec<SegmentId> {
    let mut segments: Vec<SegmentId> = walk.iter().map(|&(s, _)| track.stretches[s].segment).collect();
    segments.dedup();
    if segments.len() > 1 && segments.first() == segments.last() {
        segments.pop();
    }
    segments
}

/// Independent odd cycles of what is left of the track without some stretches.
pub(crate) fn odd_cycles(circuit: &Circuit, track: &StretchGraph, without: &BTreeSet<usize>) -> Vec<OddCycle> {
    let mut without = without.clone();
    let mut found = Vec::new();
    while found.len() < MOST_CYCLES {
        let starts: BTreeSet<usize> = odd_links(track, &without).iter().map(|&l| track.links[l].ends[0].0).collect();
        let walks = starts.iter().filter_map(|&s| shortest_odd(track, s, &without));
        let Some(walk) = walks.min_by_key(Vec::len) else { break };
        let segments = segments(track, &walk);
        let candidates = candidates(circuit, &segments);
        // Taken out where it could be fixed, so that the next one found is another one.
        let cut = candidates.first().and_then(|c| c.0.first().copied()).or(segments.first().copied());
        without.extend((0..track.stretches.len()).filter(|&s| Some(track.stretches[s].segment) == cut));
        found.push(OddCycle { gapped: gapped(track, &walk), segments, candidates });
    }
    found
}

/// Whether both rails are gapped twice on the way round.
fn gapped(track: &StretchGraph, walk: &[(usize, usize)]) -> bool {
    let mut parity = false;
    let mut counts = [0usize; 2];
    for &(stretch, link) in walk {
        let link = &track.links[link];
        // Sides as the walk's first stretch has them.
        let turned = if link.ends[0].0 == stretch { parity } else { parity ^ link.odd() };
        for (side, count) in counts.iter_mut().enumerate() {
            *count += usize::from(link.gaps[side ^ usize::from(turned)].is_some());
        }
        parity ^= link.odd();
    }
    counts.iter().all(|&c| c >= 2)
}

/// Runs of plain line on a cycle, the longest first.
fn candidates(circuit: &Circuit, segments: &[SegmentId]) -> Vec<(Vec<usize>, f64)> {
    // Starting behind trackwork, so that no run is cut in two where the list begins.
    let start = segments.iter().position(|&s| s >= circuit.tracks).unwrap_or(0);
    let mut runs: Vec<(Vec<usize>, f64)> = vec![(Vec::new(), 0.0)];
    for &segment in segments[start..].iter().chain(&segments[..start]) {
        if segment >= circuit.tracks {
            runs.push((Vec::new(), 0.0));
        } else if let Some(run) = runs.last_mut() {
            run.0.push(segment);
            run.1 += circuit.segments[segment].length;
        }
    }
    runs.retain(|r| !r.0.is_empty());
    runs.sort_by(|a, b| b.1.total_cmp(&a.1));
    runs
}
