//! Is each storage track live exactly when the policy says?

use crate::{Questions, TooComplex, Witness};
use circuit::{Circuit, Literal, NodeId};
use plan::TrackEnd;
use plan::tables::Live;

/// The tracks where trains wait, and when each is to be live.
#[derive(Clone, Debug, PartialEq)]
pub struct Storage {
    /// Indices of tracks.
    pub tracks: Vec<usize>,
    /// When they are to be live.
    pub live: Live,
}

/// A storage track that breaks the policy.
#[derive(Clone, Debug, PartialEq)]
pub struct StorageFault {
    /// The track.
    pub track: usize,
    /// Whether it is live when it should be dead (else dead when it should be live).
    pub live: bool,
    /// A setting in which it is.
    pub setting: Vec<Literal>,
    /// Where live: the paths that feed its left and its right rail.
    pub paths: Vec<Witness>,
    /// Where live: for each rail, whether it is fed in every setting in which the track should be dead.
    pub always_fed: [bool; 2],
    /// The stretch of track that was looked at, metres from its `from` end.
    pub stretch: [f64; 2],
}

pub(crate) fn faults(q: &Questions<'_>, storage: &Storage) -> Result<Vec<StorageFault>, TooComplex> {
    let mut found = Vec::new();
    for &track in &storage.tracks {
        let Some((stretch, nodes)) = standing(q.circuit, track) else { continue };
        let live = q.powered(nodes[0], nodes[1])?;
        let due = match storage.live {
            Live::Lined | Live::BothEndsAgree => q.lined.over(q.logic, track)?,
            Live::EitherEnd => {
                let from = q.lined.out_of(q.logic, track, TrackEnd::From)?;
                let to = q.lined.out_of(q.logic, track, TrackEnd::To)?;
                // A stop at one end is no way out: there only the other end counts.
                match (from.is_true(), to.is_true()) {
                    (true, false) => to,
                    (false, true) => from,
                    _ => q.logic.or(&from, &to)?,
                }
            }
            Live::Always => q.logic.always(),
            Live::ByHand => continue,
        };
        let wrongly_live = q.without_shorts(q.logic.and_not(&live, &due)?)?;
        if !wrongly_live.is_false() {
            let setting = q.logic.without_settling(q.logic.smallest(&wrongly_live));
            let not_due = q.logic.and_not(&q.logic.always(), &due)?;
            let mut always_fed = [false; 2];
            for (side, slot) in always_fed.iter_mut().enumerate() {
                *slot = q.logic.and_not(&not_due, &q.on_any(nodes[side])?)?.is_false();
            }
            let paths = nodes.iter().map(|&node| feeding(q, &setting, node)).collect();
            found.push(StorageFault { track, live: true, setting, paths, always_fed, stretch });
        }
        // Dead on a lined way is told as such; here it counts only where the policy asks for more.
        let missing = match storage.live {
            Live::Lined | Live::BothEndsAgree => q.logic.never(),
            _ => {
                let not_live = q.logic.and_not(&due, &live)?;
                q.without_shorts(q.logic.and_not(&not_live, &q.lined.over(q.logic, track)?)?)?
            }
        };
        if !missing.is_false() {
            found.push(StorageFault {
                track,
                live: false,
                setting: q.logic.without_settling(q.logic.smallest(&missing)),
                paths: Vec::new(),
                always_fed: [false; 2],
                stretch,
            });
        }
    }
    Ok(found)
}

/// Whether a track is live where a train stands on it, when some positions are set and all others may be any.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// In none of those settings.
    Never,
    /// In all of them.
    Always,
    /// In some.
    Depends,
}

/// That answer for a track; settings in which a supply is shorted are left out.
pub(crate) fn standing_live(q: &Questions<'_>, track: usize, set: &[Literal]) -> Result<Standing, TooComplex> {
    let Some((_, [left, right])) = standing(q.circuit, track) else { return Ok(Standing::Never) };
    let possible = q.without_shorts(q.logic.and(&q.logic.always(), &q.logic.guard(set)?)?)?;
    let powered = q.powered(left, right)?;
    let never = q.logic.and(&possible, &powered)?.is_false();
    let always = q.logic.and_not(&possible, &powered)?.is_false();
    Ok(if never {
        Standing::Never
    } else if always {
        Standing::Always
    } else {
        Standing::Depends
    })
}

/// Where a train stands: the longest stretch over which neither rail is cut, and a node of each rail.
fn standing(circuit: &Circuit, track: usize) -> Option<([f64; 2], [NodeId; 2])> {
    let segment = circuit.segments.get(track)?;
    let mut cuts: Vec<f64> = vec![0.0, segment.length];
    cuts.extend(circuit.gaps_of(track).iter().map(|g| g.x));
    cuts.sort_by(f64::total_cmp);
    let longest = cuts.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))?;
    let middle = (longest[0] + longest[1]) / 2.0;
    let left = crate::dead::node_at(&segment.rails[0], middle)?;
    let right = crate::dead::node_at(&segment.rails[1], middle)?;
    Some(([longest[0], longest[1]], [left, right]))
}

/// The shortest path from any pole to a node in a setting.
fn feeding(q: &Questions<'_>, setting: &[Literal], node: NodeId) -> Witness {
    let poles = q.poles_of(node).map(|(source, pole)| q.circuit.sources[source].node[pole]);
    poles
        .map(|pole| crate::path::witness((q.circuit, q.neighbours), setting.to_vec(), pole, node))
        .filter(|w| !w.nodes.is_empty())
        .min_by_key(|w| w.edges.len())
        .unwrap_or_default()
}
