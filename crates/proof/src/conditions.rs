//! The conditions of a circuit as they are, for whoever wants to compare or ask on.

use crate::conductors::PoleConditions;
use crate::logic::{Logic, TooComplex};
use crate::neck::Neck;
use crate::storage::{self, StorageStanding};
use crate::{LARGEST_CONDITION, QueryContext, RouteConditions, shorted};
use circuit::{Circuit, Literal, Neighbours, NodeId, PoleId};
use network::Condition;
use std::cell::RefCell;
use std::collections::BTreeSet;

/// The exact conditions of a circuit, for whoever wants to compare or ask on.
pub struct Conditions<'c> {
    circuit: &'c Circuit,
    logic: Logic,
    neighbours: Neighbours,
    reach: PoleConditions,
    shorted: Condition,
    walks: RouteConditions,
    /// For each segment.
    routes: Vec<Condition>,
}

impl<'c> Conditions<'c> {
    /// Works them out.
    ///
    /// # Errors
    /// As [`crate::prove`].
    pub fn from_circuit(circuit: &'c Circuit) -> Result<Self, TooComplex> {
        let logic = Logic::new(circuit, LARGEST_CONDITION)?;
        let reach = PoleConditions::from_circuit(circuit, &logic, &[])?;
        let walks = RouteConditions::new(circuit, &logic)?;
        let lined = (0..circuit.segments.len()).map(|s| walks.over(&logic, s)).collect::<Result<_, _>>()?;
        let shorted = shorted(circuit, &logic, &reach)?;
        Ok(Conditions { circuit, logic, neighbours: circuit.neighbours(), reach, shorted, walks, routes: lined })
    }

    /// The circuit whose conditions they are.
    pub fn circuit(&self) -> &'c Circuit {
        self.circuit
    }

    /// Whether a node is joined to a source's pole in a full setting, over no other pole.
    pub fn live(&self, node: NodeId, pole: PoleId, setting: &[u8]) -> bool {
        self.logic.value(self.reach.live(node, pole), setting)
    }

    /// Whether a node can be joined to a source's pole in any setting, over no other pole.
    pub fn can_be_live(&self, node: NodeId, pole: PoleId) -> bool {
        !self.reach.live(node, pole).is_false()
    }

    /// Whether a node is on a pole in some setting that there can be, and on none in another.
    ///
    /// # Errors
    /// As [`crate::prove`].
    pub fn can_be_switched_off(&self, node: NodeId) -> Result<bool, TooComplex> {
        let mut live = self.logic.never();
        for pole in self.circuit.poles() {
            live = self.logic.or(live, self.reach.live(node, pole))?;
        }
        Ok(!self.logic.restrict_to_legal(live)?.is_false() && !self.logic.is_certain(live)?)
    }

    /// Positions under which a node is joined to a source's pole although some trackwork of a track's necks stands against
    /// it; none where there are no such.
    ///
    /// # Errors
    /// As [`crate::prove`].
    pub fn can_be_live_shut(
        &self,
        node: NodeId,
        pole: PoleId,
        track: usize,
    ) -> Result<Option<Vec<Literal>>, TooComplex> {
        let mut set = self.logic.always();
        for end in 0..2 {
            set = self.logic.and(set, Neck::find(self.circuit, &self.logic, (track, end))?.set(&self.logic)?)?;
        }
        let both = self.logic.and_not(self.reach.live(node, pole), set)?;
        Ok((!both.is_false()).then(|| self.logic.shortest_cube(both)))
    }

    /// Whether the two poles of a source meet in a full setting, over no other pole.
    pub fn shorted(&self, source: usize, setting: &[u8]) -> bool {
        self.reach.merged(source) || self.logic.value(self.reach.own_meet(source), setting)
    }

    /// Whether a train can be on a segment in a full setting.
    pub fn is_route_set(&self, segment: usize, setting: &[u8]) -> bool {
        self.logic.value(self.routes[segment], setting)
    }

    /// Whether a track is live where a train stands on it, with some positions set and all others any.
    ///
    /// # Errors
    /// As [`crate::prove`].
    pub fn standing(&self, track: usize, pick_up: Option<f64>, set: &[Literal]) -> Result<StorageStanding, TooComplex> {
        let Conditions { circuit, logic, neighbours, reach, walks: lined, .. } = self;
        let (live_runs, lasting) = (RefCell::new(vec![None; lined.runs.count()]), BTreeSet::new());
        let questions =
            QueryContext { circuit, neighbours, logic, lined, reach, shorted: self.shorted, lasting, live_runs };
        storage::standing_live(&questions, track, pick_up, set)
    }

    /// In how many of all settings that there are the poles of a source meet.
    ///
    /// # Errors
    /// As [`crate::prove`].
    pub fn shorted_settings(&self, source: usize) -> Result<f64, TooComplex> {
        Ok(self.logic.diagrams.settings(self.logic.restrict_to_legal(self.reach.own_meet(source))?))
    }
}
