//! Where a plan promises power, and in which settings: what numbers are asked of.
//!
//! A zone is a stretch of a segment that no gap cuts. Its condition holds in the settings in which a train can be there, its
//! two rails are on opposite poles of one supply, nothing is shorted and, on a storage track, the policy wants it live
//! (docs/definitions.md, "Numbers").

use crate::logic::Digits;
use crate::remainder::Remainder;
use crate::spot::GapOrStretch;
use crate::storage::StorageDemand;
use crate::stretches::stretches;
use crate::{QueryContext, Storage, TooComplex};
use circuit::{Circuit, ControlId, SegmentId};
use network::{Condition, Decision};
use plan::tables::Live;
use std::collections::BTreeMap;

/// Decision nodes that all conditions together may take; what is beyond is known only as far as bounds go.
const MOST_NODES: usize = 2_000_000;

/// A stretch of a segment that no gap cuts.
#[derive(Clone, Debug)]
pub struct Zone {
    /// The segment.
    pub segment: SegmentId,
    /// Where it begins, metres from the segment's start.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// When the plan promises power there; none on a plan so long that this was not worked out.
    condition: Option<Condition>,
}

impl Zone {
    /// Whether it is known in which settings the plan promises power there.
    pub fn is_known(&self) -> bool {
        self.condition.is_some()
    }
}

/// Where a plan promises power.
#[derive(Clone, Debug, Default)]
pub struct Promises {
    digits: Digits,
    /// The nodes of all zones' conditions, what follows a node before it.
    nodes: Vec<Decision>,
    zones: Vec<Zone>,
}

impl Promises {
    pub(crate) fn new(
        q: &QueryContext<'_>,
        policy: Option<(&Storage, &StorageDemand)>,
    ) -> Result<Promises, TooComplex> {
        let mut zones = Vec::new();
        let clean = q.without_shorts(q.logic.always())?;
        let mut left = MOST_NODES;
        for segment in 0..q.circuit.segments.len() {
            for ([from, to], [one, other]) in stretches(q.circuit, segment) {
                let mut condition = None;
                if left > 0 {
                    let powered = q.logic.and(q.powered(one, other)?, clean)?;
                    let spot = GapOrStretch::stretch(q.circuit, &q.lined.runs, segment, (from + to) / 2.0);
                    let mut all = q.train_where(&spot, powered)?;
                    if let Some((storage, due)) = policy
                        && storage.policy(segment) != Some(Live::ByHand)
                        && let Some(must_live) = due.live(segment)
                    {
                        all = q.logic.and(all, must_live)?;
                    }
                    left = left.saturating_sub(q.logic.diagrams.size(all));
                    condition = Some(all);
                }
                zones.push(Zone { segment, from, to, condition });
            }
        }
        let known: Vec<Condition> = zones.iter().filter_map(|z| z.condition).collect();
        let (nodes, known) = q.logic.diagrams.written_out(&known);
        for (zone, written) in zones.iter_mut().filter(|z| z.is_known()).zip(known) {
            zone.condition = Some(written);
        }
        Ok(Promises { digits: q.logic.digits.clone(), nodes, zones })
    }

    /// The zones of a circuit of which nothing is known but where they are.
    pub fn unknown(circuit: &Circuit) -> Promises {
        let of_segment = |segment: SegmentId| {
            let zone = move |([from, to], _): ([f64; 2], _)| Zone { segment, from, to, condition: None };
            stretches(circuit, segment).into_iter().map(zone)
        };
        let zones = (0..circuit.segments.len()).flat_map(of_segment).collect();
        Promises { zones, ..Promises::default() }
    }

    /// All zones, those of a segment together and in order.
    pub fn zones(&self) -> &[Zone] {
        &self.zones
    }

    /// Whether power is promised to a zone in a full setting, a position for each control; never where that is not known.
    pub fn holds(&self, zone: usize, setting: &[u8]) -> bool {
        {
            let Some(mut at) = self.zones[zone].condition else { return false };
            while let Some(Decision { variable, low, high }) = at.asks(&self.nodes) {
                at = if self.digits.digit(variable, setting) { high } else { low };
            }
            at.is_true()
        }
    }

    /// The positions that controls have in every setting in which power is promised to a zone, if all of `given` hold; none
    /// where there is no such setting.
    pub fn implied(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<Option<u8>>> {
        let forced = self.given(zone, given)?.forced();
        let mut implied = given.to_vec();
        let mut positions: BTreeMap<ControlId, (usize, u8)> = BTreeMap::new();
        for (variable, value) in forced {
            let known = positions.entry(self.digits.control_of[variable.index()]).or_default();
            known.0 += 1;
            known.1 |= if value { self.digits.worth[variable.index()] } else { 0 };
        }
        for (control, (digits, position)) in positions {
            if digits == self.digits.of_control[control].len() {
                implied[control] = Some(position);
            }
        }
        Some(implied)
    }

    /// A full setting in which power is promised to a zone and all of `given` hold; none where there is none.
    pub fn complete(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<u8>> {
        let way = self.given(zone, given)?.first_way();
        let mut setting: Vec<u8> = given.iter().map(|p| p.unwrap_or(0)).collect();
        for (variable, _) in way.into_iter().filter(|w| w.1) {
            setting[self.digits.control_of[variable.index()]] |= self.digits.worth[variable.index()];
        }
        Some(setting)
    }

    /// How many positions each control has.
    pub fn positions(&self) -> &[u8] {
        &self.digits.positions
    }

    /// What is left of a zone's condition with some positions given; none where it never holds with them.
    fn given(&self, zone: usize, given: &[Option<u8>]) -> Option<Remainder> {
        let condition = self.zones[zone].condition?;
        Remainder::of(&self.nodes, condition, |variable| {
            let position = given[self.digits.control_of[variable.index()]]?;
            Some(position & self.digits.worth[variable.index()] != 0)
        })
    }
}
