//! The network in one setting at one age, with wires pulled or not: driven once for each pair of probes, never again for a fault.
//!
//! A changed conductance is a rank-one update (Sherman and Morrison 1950), some at once one of that rank (Woodbury): with `v` the
//! volts across the changed places for an ampere through the probes and `T` what an ampere through one of them puts across the
//! others, `x = (diag(1/Δg) + T)⁻¹·v`; the probes then read `R − vᵀ·x`, and volts elsewhere fall by `T·x`.

use crate::dense;
use crate::wiring::{Change, LEAK, Slot, Wiring};
use circuit::{EdgeId, NodeId};
use network::{BadConductance, Factor, SelectedInverse, set_root};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Siemens of a wire that is pulled. Less than what else leaks: forty of them side by side must still read open.
const PULLED: f64 = 1e-8;

/// Volts of every node for an ampere into one node and out of another.
pub type Volts = Rc<Vec<f64>>;

/// The network in one setting at one age.
pub struct Base {
    /// Siemens of every place.
    pub siemens: Vec<f64>,
    ends: Vec<[u32; 2]>,
    factor: Factor,
    inverse: SelectedInverse,
    driven: RefCell<BTreeMap<[u32; 2], Volts>>,
}

impl Base {
    /// With these conductances.
    ///
    /// # Errors
    /// When a value is no conductance.
    pub fn new(wiring: &Wiring, siemens: Vec<f64>) -> Result<Base, BadConductance> {
        let ends: Vec<[u32; 2]> = wiring.ends.iter().map(|e| e.map(u32::from)).collect();
        // Each island leaks to ground at one node, so that everything has a potential and a fault may join islands.
        let nodes = wiring.circuit.nodes.len();
        let mut parent: Vec<u32> = (0..nodes as u32).collect();
        for (end, _) in ends.iter().zip(&siemens).filter(|(_, siemens)| **siemens > 0.0) {
            let [a, b] = end.map(|node| set_root(&mut parent, node));
            parent[a.max(b) as usize] = a.min(b);
        }
        let leak = |node: u32| if parent[node as usize] == node { LEAK } else { 0.0 };
        let to_ground: Vec<f64> = (0..nodes as u32).map(leak).collect();
        let factor = Factor::new(wiring.pattern(), &siemens, &to_ground)?;
        let inverse = factor.selected_inverse();
        Ok(Base { siemens, ends, factor, inverse, driven: RefCell::default() })
    }

    fn drive(&self, pair: [u32; 2]) -> Volts {
        if let Some(volts) = self.driven.borrow().get(&pair) {
            return volts.clone();
        }
        let mut volts = vec![0.0; self.factor.pattern().node_count()];
        volts[pair[0] as usize] += 1.0;
        volts[pair[1] as usize] -= 1.0;
        self.factor.solve(&mut volts);
        let volts = Rc::new(volts);
        self.driven.borrow_mut().insert(pair, volts.clone());
        volts
    }
}

/// The same with some wires pulled.
pub struct State {
    base: Rc<Base>,
    pulled: Vec<Change>,
    columns: Vec<Volts>,
    /// `(diag(1/Δg) + T)⁻¹` of what is pulled.
    inverse: Vec<f64>,
    driven: RefCell<BTreeMap<[u32; 2], Volts>>,
}

impl State {
    /// With these wires pulled.
    pub fn new(base: Rc<Base>, pulled: impl IntoIterator<Item = EdgeId>) -> State {
        let closed = pulled.into_iter().map(EdgeId::index).filter(|&slot| base.siemens[slot] > 0.0);
        let pulled: Vec<Change> = closed.map(|slot| Change { slot, siemens: PULLED - base.siemens[slot] }).collect();
        let columns: Vec<Volts> = pulled.iter().map(|change| base.drive(base.ends[change.slot])).collect();
        let n = pulled.len();
        let mut matrix = vec![0.0; n * n];
        for (i, change) in pulled.iter().enumerate() {
            for (j, column) in columns.iter().enumerate() {
                matrix[i * n + j] = across(column, base.ends[change.slot]);
            }
            matrix[i * n + i] = self_resistance(&base, change.slot) + 1.0 / change.siemens;
        }
        let mut inverse = vec![0.0; n * n];
        for j in 0..n {
            let (mut m, mut column) = (matrix.clone(), vec![0.0; n]);
            column[j] = 1.0;
            if dense::solve(&mut m, &mut column) {
                (0..n).for_each(|i| inverse[i * n + j] = column[i]);
            }
        }
        State { base, pulled, columns, inverse, driven: RefCell::default() }
    }

    /// Siemens of a place.
    pub fn siemens(&self, slot: Slot) -> f64 {
        if self.pulled.iter().any(|change| change.slot == slot) { 0.0 } else { self.base.siemens[slot] }
    }

    /// What a fault changes here.
    pub(crate) fn changes(&self, wiring: &Wiring, fault: crate::Fault) -> Vec<Change> {
        let mut changes = wiring.changes(fault, &self.base.siemens);
        // Who pulled it has taken the fault out with it; a wire on the wrong conductor is off there too.
        if changes.iter().any(|change| self.pulled.iter().any(|pulled| pulled.slot == change.slot)) {
            let edges = wiring.circuit.edges.len();
            changes.retain(|change| change.slot < edges && !self.pulled.iter().any(|p| p.slot == change.slot));
        }
        changes
    }

    /// Ends of a place.
    pub(crate) fn ends(&self, slot: Slot) -> [u32; 2] {
        self.base.ends[slot]
    }

    /// Volts of every node for an ampere into one node and out of another.
    pub fn drive(&self, pair: [NodeId; 2]) -> Volts {
        self.drive_nodes(pair.map(u32::from))
    }

    /// The same for an ampere through a place.
    pub fn column(&self, slot: Slot) -> Volts {
        self.drive_nodes(self.base.ends[slot])
    }

    fn drive_nodes(&self, pair: [u32; 2]) -> Volts {
        if self.pulled.is_empty() {
            return self.base.drive(pair);
        }
        if let Some(volts) = self.driven.borrow().get(&pair) {
            return volts.clone();
        }
        let mut volts = (*self.base.drive(pair)).clone();
        let x = self.shares(&volts);
        for (column, x) in self.columns.iter().zip(x) {
            if x != 0.0 {
                volts.iter_mut().zip(&**column).for_each(|(volts, column)| *volts -= x * column);
            }
        }
        let volts = Rc::new(volts);
        self.driven.borrow_mut().insert(pair, volts.clone());
        volts
    }

    fn shares(&self, volts: &[f64]) -> Vec<f64> {
        let n = self.pulled.len();
        let over: Vec<f64> = self.pulled.iter().map(|change| across(volts, self.base.ends[change.slot])).collect();
        (0..n).map(|i| (0..n).map(|j| self.inverse[i * n + j] * over[j]).sum()).collect()
    }

    /// Resistance between the ends of a place, from the selected inverse and the columns of what is pulled.
    pub fn between(&self, slot: Slot) -> f64 {
        let n = self.pulled.len();
        let own: Vec<f64> = self.columns.iter().map(|column| across(column, self.base.ends[slot])).collect();
        let mut ohms = self_resistance(&self.base, slot);
        for i in 0..n {
            for j in 0..n {
                ohms -= own[i] * self.inverse[i * n + j] * own[j];
            }
        }
        ohms
    }
}

fn self_resistance(base: &Base, slot: Slot) -> f64 {
    let ohms = base.inverse.resistance_between_ends(slot);
    if ohms.is_finite() { ohms } else { 2.0 / LEAK }
}

/// Volts between the ends of a place.
pub(crate) fn across(volts: &[f64], ends: [u32; 2]) -> f64 {
    volts[ends[0] as usize] - volts[ends[1] as usize]
}

/// A measurement in a state: what it reads, and the volts everywhere while it is read.
pub struct Response {
    /// The state it is read in.
    pub state: Rc<State>,
    /// Volts for an ampere through where the current goes.
    pub force: Volts,
    /// The same through where the probes are.
    pub sense: Volts,
    /// What it reads in ohms, without a fault.
    pub ohms: f64,
}

/// What a measurement reads with some changes.
pub struct Changed {
    /// In ohms.
    pub ohms: f64,
    /// What is subtracted of the columns of the changed places: for the current, and for the probes.
    pub shares: [Vec<f64>; 2],
}

impl Response {
    /// Of a measurement.
    pub fn new(state: Rc<State>, force: [NodeId; 2], sense: [NodeId; 2]) -> Response {
        let volts = state.drive(force);
        let sense_volts = if sense == force { volts.clone() } else { state.drive(sense) };
        let ohms = across(&volts, sense.map(u32::from));
        Response { state, force: volts, sense: sense_volts, ohms }
    }

    /// Whether there are volts to speak of across a place while it is read.
    pub(crate) fn reaches(&self, slot: Slot) -> bool {
        let ends = self.state.ends(slot);
        (across(&self.force, ends) * across(&self.sense, ends)).abs() > 1e-14
    }

    /// What it reads with one conductance changed, from the resistance between the ends of that place alone.
    pub fn with_one(&self, change: Change, between: f64) -> f64 {
        let ends = self.state.ends(change.slot);
        let (force, sense) = (across(&self.force, ends), across(&self.sense, ends));
        self.ohms - force * sense / (1.0 / change.siemens + between)
    }

    /// What it reads with some changed.
    pub fn with(&self, changes: &[Change]) -> Changed {
        let n = changes.len();
        let over = |volts: &[f64]| -> Vec<f64> {
            changes.iter().map(|change| across(volts, self.state.ends(change.slot))).collect()
        };
        let (force, sense) = (over(&self.force), over(&self.sense));
        let mut matrix = vec![0.0; n * n];
        for (i, change) in changes.iter().enumerate() {
            if n > 1 {
                let column = self.state.column(change.slot);
                for (j, other) in changes.iter().enumerate() {
                    matrix[j * n + i] = across(&column, self.state.ends(other.slot));
                }
            }
            matrix[i * n + i] = self.state.between(change.slot) + 1.0 / change.siemens;
        }
        let mut x = force;
        let mut m = matrix.clone();
        if !dense::solve(&mut m, &mut x) {
            x.fill(0.0);
        }
        let ohms = self.ohms - sense.iter().zip(&x).map(|(v, x)| v * x).sum::<f64>();
        let mut y = sense;
        if !dense::solve(&mut matrix, &mut y) {
            y.fill(0.0);
        }
        Changed { ohms, shares: [x, y] }
    }
}
