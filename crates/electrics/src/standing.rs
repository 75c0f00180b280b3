//! What trains that stand elsewhere take from a place.
//!
//! By superposition: one ampere drawn at the place of a standing train lifts every node by a potential of its own, found
//! with one solve; a train elsewhere misses the difference of its two rails', times what the standing one draws. Between
//! two stops of a rail that changes along a straight line, so that the sum with the loop resistance's parabola is a
//! parabola again and its worst place is known exactly.

use crate::{Parabola, Resistances};
use circuit::SegmentId;

/// A train that stands on a segment and draws current, at the segment's worst place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandingTrain {
    /// Where it stands.
    pub segment: SegmentId,
    /// What it draws, in amperes.
    pub amps: f64,
}

/// What standing trains take, in one setting and at one level.
pub struct StandingDrop<'r> {
    resistances: &'r Resistances<'r>,
    /// For each train that has power under it: where it stands, and by how many volts it lifts each node.
    lifted: Vec<(SegmentId, Vec<f64>)>,
}

impl Resistances<'_> {
    /// What these trains take, each at the worst place of its segment. Where that has no power they take none.
    pub fn taken(&self, standing: &[StandingTrain]) -> StandingDrop<'_> {
        let lifted = standing.iter().filter_map(|train| {
            let worst = self.profile(train.segment).worst()?;
            let mut volts = self.grid.lifted(&worst.place)?;
            volts.iter_mut().for_each(|v| *v *= train.amps);
            Some((train.segment, volts))
        });
        StandingDrop { resistances: self, lifted: lifted.collect() }
    }
}

impl StandingDrop<'_> {
    /// Volts that are missing along a segment, one line for each piece of its profile; nothing at all where no train takes
    /// any. A train that stands on the segment itself is left out: it is in the way of the one that is asked for.
    pub fn along(&self, segment: SegmentId) -> Vec<Parabola> {
        let grid = self.resistances.grid;
        let others = || self.lifted.iter().filter(|(on, _)| *on != segment);
        if others().next().is_none() {
            return Vec::new();
        }
        let difference = self.resistances.profile_with(segment, |side, ends, _| {
            let sign = [1.0, -1.0][side];
            let at = |node| others().map(|(_, volts)| sign * volts[grid.network_node(node) as usize]).sum::<f64>();
            let [start, end] = ends.map(at);
            Parabola { start, end, bow: 0.0 }
        });
        // Which of the rails is on pole A only turns the sign.
        let upright = |line: Parabola| {
            let sign = if line.start + line.end < 0.0 { -1.0 } else { 1.0 };
            Parabola { start: sign * line.start, end: sign * line.end, bow: 0.0 }
        };
        // Where there is no power nothing is missing.
        difference.pieces.iter().map(|piece| piece.loop_ohms.map_or(Parabola::NOTHING, upright)).collect()
    }
}
