//! Where a plan promises power, and in which settings: what numbers are asked of.
//!
//! A zone is a stretch of a segment that no gap cuts. Its condition holds in the settings in which a train can be there, its
//! two rails are on opposite poles of one supply, nothing is shorted and, on a storage track, the policy wants it live
//! (docs/definitions.md, "Numbers").

use crate::logic::Digits;
use crate::spot::GapOrStretch;
use crate::storage::StorageDemand;
use crate::stretches::stretches;
use crate::{QueryContext, Storage, TooComplex};
use biodivine_lib_bdd::Bdd;
use circuit::{Circuit, ControlId, SegmentId};
use plan::tables::Live;
use std::collections::BTreeSet;

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
    condition: Option<Bdd>,
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
    zones: Vec<Zone>,
}

impl Promises {
    pub(crate) fn new(
        q: &QueryContext<'_>,
        policy: Option<(&Storage, &StorageDemand)>,
    ) -> Result<Promises, TooComplex> {
        let mut promises = Promises { digits: q.logic.digits.clone(), zones: Vec::new() };
        let clean = q.without_shorts(q.logic.always())?;
        let mut left = MOST_NODES;
        for segment in 0..q.circuit.segments.len() {
            for ([from, to], [one, other]) in stretches(q.circuit, segment) {
                let mut condition = None;
                if left > 0 {
                    let powered = q.logic.and(&q.powered(one, other)?, &clean)?;
                    let spot = GapOrStretch::stretch(q.circuit, &q.lined.runs, segment, (from + to) / 2.0);
                    let mut all = q.train_where(&spot, &powered)?;
                    if let Some((storage, due)) = policy
                        && storage.live != Live::ByHand
                        && let Some(must_live) = due.live(segment)
                    {
                        all = q.logic.and(&all, must_live)?;
                    }
                    left = left.saturating_sub(all.size());
                    condition = Some(all);
                }
                promises.zones.push(Zone { segment, from, to, condition });
            }
        }
        Ok(promises)
    }

    /// The zones of a circuit of which nothing is known but where they are.
    pub fn unknown(circuit: &Circuit) -> Promises {
        let of_segment = |segment: SegmentId| {
            let zone = move |([from, to], _): ([f64; 2], _)| Zone { segment, from, to, condition: None };
            stretches(circuit, segment).into_iter().map(zone)
        };
        Promises { digits: Digits::default(), zones: (0..circuit.segments.len()).flat_map(of_segment).collect() }
    }

    /// All zones, those of a segment together and in order.
    pub fn zones(&self) -> &[Zone] {
        &self.zones
    }

    /// Whether power is promised to a zone in a full setting, a position for each control; never where that is not known.
    pub fn holds(&self, zone: usize, setting: &[u8]) -> bool {
        self.zones[zone].condition.as_ref().is_some_and(|c| self.digits.value(c, setting))
    }

    /// The positions that controls have in every setting in which power is promised to a zone, if all of `given` hold; none
    /// where there is no such setting.
    pub fn implied(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<Option<u8>>> {
        let condition = self.given(zone, given)?;
        let mut implied = given.to_vec();
        let named: BTreeSet<ControlId> =
            condition.support_set().into_iter().map(|v| self.digits.control_of[v.to_index()]).collect();
        for control in named {
            let mut position = 0;
            let digits = self.digits.of_control[control].iter().map(|&variable| {
                let [low, high] = [false, true].map(|value| !condition.var_restrict(variable, value).is_false());
                position |= if high { self.digits.worth[variable.to_index()] } else { 0 };
                low != high
            });
            if digits.fold(true, |all, one| all & one) {
                implied[control] = Some(position);
            }
        }
        Some(implied)
    }

    /// A full setting in which power is promised to a zone and all of `given` hold; none where there is none.
    pub fn complete(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<u8>> {
        let condition = self.given(zone, given)?;
        let mut setting: Vec<u8> = given.iter().map(|p| p.unwrap_or(0)).collect();
        let mut at = condition.root_pointer();
        while !at.is_terminal() {
            let (low, variable) = (condition.low_link_of(at), condition.var_of(at).to_index());
            at = if low.is_zero() {
                setting[self.digits.control_of[variable]] |= self.digits.worth[variable];
                condition.high_link_of(at)
            } else {
                low
            };
        }
        Some(setting)
    }

    /// How many positions each control has.
    pub fn positions(&self) -> &[u8] {
        &self.digits.positions
    }

    /// A zone's condition with some positions given; none where it never holds with them.
    fn given(&self, zone: usize, given: &[Option<u8>]) -> Option<Bdd> {
        let condition = self.zones[zone].condition.as_ref()?;
        let mut values = Vec::new();
        for (control, position) in ControlId::each(given) {
            let Some(position) = position else { continue };
            let digit = |&v: &biodivine_lib_bdd::BddVariable| (v, position & self.digits.worth[v.to_index()] != 0);
            values.extend(self.digits.of_control[control].iter().map(digit));
        }
        let restricted = condition.restrict(&values);
        (!restricted.is_false()).then_some(restricted)
    }
}
