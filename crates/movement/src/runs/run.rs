//! Rail that moves as one, and its joints.

use circuit::{EdgeId, NodeId, SegmentId};
use handbook::rails::RailProfile;
use plan::tables::RailSide;
use std::ops::Range;

/// Rail that moves as one.
#[derive(Clone, Debug)]
pub struct Run {
    /// Metres of rail in it.
    pub length: f64,
    /// The coordinate of its still point.
    pub anchor: f64,
    /// The least and the greatest coordinate at which its rail is fast to the base; none where it is nowhere.
    pub held: Option<[f64; 2]>,
    /// Whether it closes on itself: what lies on its ring is not free to grow.
    pub closed: bool,
    /// Whether rail branches off in it, as in a turnout's.
    pub branched: bool,
    /// The rail that most of it is made of.
    pub rail: &'static RailProfile,
    /// The board that most of it lies on; none where that is the rest of the layout.
    pub board: Option<usize>,
    /// How many ends it has: where nothing but a gap, a sliding joint or the open goes on.
    pub ends: usize,
    /// Coordinates of its ends, the least and the greatest.
    pub reach: [f64; 2],
    /// Soldered joints of plain line in it.
    pub soldered: Vec<Joint>,
    /// One of its nodes, for its name.
    pub node: NodeId,
}

/// A joint of plain line.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// The track.
    pub track: SegmentId,
    /// Which rail.
    pub side: RailSide,
    /// Metres from the track's `from` end.
    pub x: f64,
    /// The node just before it and the node just behind it.
    pub nodes: [NodeId; 2],
    /// Its edge; none where it is a gap.
    pub edge: Option<EdgeId>,
    /// The words of the plan it came from.
    pub span: Range<usize>,
}

impl Run {
    pub(super) fn starting_at(node: NodeId, rail: &'static RailProfile) -> Run {
        let reach = [f64::INFINITY, f64::NEG_INFINITY];
        let soldered = Vec::new();
        Run {
            length: 0.0,
            anchor: 0.0,
            held: None,
            closed: false,
            branched: false,
            rail,
            board: None,
            ends: 0,
            reach,
            soldered,
            node,
        }
    }

    /// A node of it, with this many links.
    pub(super) fn reached(&mut self, coordinate: f64, links: u8) {
        self.reach = [self.reach[0].min(coordinate), self.reach[1].max(coordinate)];
        self.ends += usize::from(links < 2);
        self.branched |= links > 2;
    }

    /// Whether it is a line of rail with a free end on either side: it grows from its middle both ways.
    pub fn grows_from_its_middle(&self) -> bool {
        !self.branched && !self.closed && self.held.is_none()
    }

    /// How far a coordinate lies from where the rail is still, up the coordinate: from its still point, or from the nearest place
    /// at which it is fast. Between two of those nothing moves.
    pub fn from_still(&self, coordinate: f64) -> f64 {
        let [low, high] = self.held.filter(|_| !self.closed).unwrap_or([self.anchor; 2]);
        if coordinate > high { coordinate - high } else { (coordinate - low).min(0.0) }
    }
}
