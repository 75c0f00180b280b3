//! Which ways are reckoned with, where there are too many for all of them.
//!
//! A way is reckoned on the whole circuit, and a long plan has many ways: both together grow with the square of the
//! plan. Beyond a limit only some are reckoned, and one setting more in which every switched thing is open. By
//! Rayleigh's law (more closed edges never raise a resistance) no place that is fed in it is worse off on any way,
//! so that what it gives stands in for all the ways left out.

use circuit::{Circuit, Way, Ways};
use electrics::{Demand, Failed, Figures};
use plan::TrackEnd;
use std::collections::{BTreeMap, BTreeSet};

/// Ways times edges that are reckoned.
pub(crate) const MOST_WORK: usize = 600_000;

/// The ways that are reckoned.
pub(crate) struct Reckoned {
    /// The ways, and last the setting in which everything is open where not all ways are here.
    pub(crate) list: Vec<Way>,
    /// For each of them its index among all ways; none for the setting in which everything is open.
    pub(crate) of: Vec<Option<usize>>,
}

impl Reckoned {
    /// Chooses ways and reckons them.
    pub(crate) fn of(circuit: &Circuit, ways: &Ways, demand: &Demand) -> Result<(Reckoned, Figures), Failed> {
        Reckoned::within(circuit, ways, demand, MOST_WORK)
    }

    fn within(circuit: &Circuit, ways: &Ways, demand: &Demand, work: usize) -> Result<(Reckoned, Figures), Failed> {
        let most = (work / circuit.edges.len().max(1)).max(1);
        let reckoned = if ways.complete && ways.list.len() <= most {
            Reckoned { list: ways.list.clone(), of: (0..ways.list.len()).map(Some).collect() }
        } else {
            let open = all_open(circuit);
            let bound = electrics::figures(circuit, std::slice::from_ref(&open), demand)?;
            let chosen = choose(circuit, ways, &bound, most);
            let mut list: Vec<Way> = chosen.iter().map(|&way| ways.list[way].clone()).collect();
            list.push(open);
            Reckoned { list, of: chosen.into_iter().map(Some).chain([None]).collect() }
        };
        let figures = electrics::figures(circuit, &reckoned.list, demand)?;
        Ok((reckoned, figures))
    }

    /// How many ways are reckoned.
    pub(crate) fn ways(&self) -> usize {
        self.of.iter().flatten().count()
    }
}

/// No way, but every track with everything open that a position closes.
fn all_open(circuit: &Circuit) -> Way {
    let steps = (0..circuit.tracks).map(|track| (track, TrackEnd::From)).collect();
    Way { name: "any way, with every contact open".to_owned(), steps, setting: BTreeMap::new(), ends_in_loop: false }
}

/// Ways over the tracks that are fed by contacts alone, and over the worst of the others.
fn choose(circuit: &Circuit, ways: &Ways, bound: &Figures, most: usize) -> Vec<usize> {
    let mut first_over: Vec<Option<usize>> = vec![None; circuit.tracks];
    for (index, way) in ways.list.iter().enumerate() {
        for &(segment, _) in &way.steps {
            if let Some(slot) = first_over.get_mut(segment) {
                slot.get_or_insert(index);
            }
        }
    }
    let left = |track: usize| bound.tracks[track].extremes.map_or(f64::MIN, |e| e.volts.typical.amount);
    let mut tracks: Vec<usize> = (0..circuit.tracks).collect();
    tracks.sort_by(|&a, &b| left(a).total_cmp(&left(b)));
    let mut chosen = BTreeSet::new();
    let mut over = vec![false; circuit.segments.len()];
    for track in tracks {
        if chosen.len() >= most {
            break;
        }
        if let Some(way) = first_over[track].filter(|_| !over[track]) {
            chosen.insert(way);
            ways.list[way].steps.iter().for_each(|&(segment, _)| over[segment] = true);
        }
    }
    chosen.into_iter().collect()
}
