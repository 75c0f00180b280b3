//! What the engines say of a plan.
//!
//! [`Analysis::of`] proves the circuit of a plan and works out its numbers, once; every question of a builder is asked of it:
//! figures of all tracks, routes, profiles, traces, the year's gaps, lengths, linkages, addresses. Nothing here finds fault
//! (that is `review`) and nothing prints (that is `report`).

pub mod addresses;
pub mod contact_currents;
pub mod feeds;
pub mod figures;
pub mod filters;
pub mod lengths_table;
pub mod linkage_words;
mod netlist;
pub mod noticed;
pub mod numbers;
pub mod season_table;
pub mod season_words;
mod settings;
pub mod throwing;
pub mod trace;
mod track_line;
pub mod turnout_readings;
pub mod turnout_wired;
mod way_choice;
pub mod way_piece;
pub mod way_profile;
pub mod ways_table;
pub mod words;

pub use contact_currents::contact_currents;
pub use figures::Figures;
pub use netlist::{netlist, netlist_at_first};
pub use settings::positions as setting_positions;
pub use trace::joined_poles;

use circuit::Circuit;
use circuit::ways::Ways;
use handbook::quantity::Quantity;
use movement::clearance::Clearance;
use movement::{Movement, NotTold};
use plan::{Kind, Names, Plan};
use proof::{Promises, Proof, SingleFailure, Storage};
use std::borrow::Cow;

/// Ways beyond this many are not listed and not calculated one by one.
pub const MOST_WAYS: usize = 500;

/// What the engines say of a plan: they run once, and every question is asked of this.
pub struct Analysis<'p> {
    /// The plan's text.
    pub text: &'p str,
    /// The plan.
    pub plan: &'p Plan,
    /// Its names.
    pub names: &'p Names,
    /// Its circuit.
    pub circuit: Circuit,
    /// Ways a train can be lined.
    pub ways: Ways,
    /// What was proved, or why nothing could be.
    pub proof: Result<Proof, Unproved>,
    /// The numbers, where the layout feeds anything at all.
    pub figures: Option<Figures>,
    /// Where the tracks behind each turnout are clear of each other.
    pub clearances: Vec<Clearance>,
    /// What goes dead on the ways when one joint, contact, tap or feeder opens, the worst first.
    pub failures: Vec<SingleFailure>,
    /// What the worst of them leaves of each track that stays fed.
    pub openings: Vec<electrics::TrackFailure>,
    /// What rail and base do over the year, or what the plan does not tell of it.
    pub movement: Result<Movement, NotTold>,
}

/// Why nothing could be proved.
#[derive(Clone, Debug)]
pub enum Unproved {
    /// Its conditions outgrew their limit.
    TooComplex(usize),
}

impl<'p> Analysis<'p> {
    /// Builds the circuit of a plan that was read without errors, proves it and works out its numbers.
    pub fn of(text: &'p str, plan: &'p Plan, names: &'p Names) -> Analysis<'p> {
        let circuit = Circuit::from_plan(plan, names);
        let proof = prove(plan, names, &circuit);
        Analysis::of_proved((text, plan, names), circuit, proof)
    }

    /// The same of a circuit that is proved already.
    pub fn of_proved(
        (text, plan, names): (&'p str, &'p Plan, &'p Names),
        circuit: Circuit,
        proof: Result<Proof, Unproved>,
    ) -> Analysis<'p> {
        let ways = circuit::ways::ways(&circuit, MOST_WAYS);
        let figures = figures::figures(plan, &circuit, &ways, &promises(&circuit, &proof));
        let failures = proof::single_failures(&circuit, &ways.list[..ways_failed(&circuit, &ways)]);
        let openings = figures.as_ref().map(|f| figures::openings(&circuit, f)).unwrap_or_default();
        let clearances = movement::clearance::clearances(plan, &circuit);
        let movement = movement::movement(plan, &circuit);
        Analysis { text, plan, names, circuit, ways, proof, figures, clearances, failures, openings, movement }
    }
}

/// Whether a circuit is so large that what costs a solve for each of its edges or tracks is left out.
pub fn is_large(circuit: &Circuit) -> bool {
    circuit.edges.len() > 20_000
}

/// On how many of the ways single failures are tried: each is a walk over the whole circuit.
pub fn ways_failed(circuit: &Circuit, ways: &Ways) -> usize {
    ways.list.len().min(1 + numbers::MOST_WORK / circuit.edges.len().max(1))
}

/// Proves a plan's circuit with its storage policy.
///
/// # Errors
/// When a condition outgrows its limit.
pub fn prove(plan: &Plan, names: &Names, circuit: &Circuit) -> Result<Proof, Unproved> {
    proof::prove(circuit, storage(plan, names).as_ref()).map_err(|e| Unproved::TooComplex(e.limit))
}

/// Where a plan promises power, and in which settings; where it could not be proved, where only.
pub fn promises<'p>(circuit: &Circuit, proof: &'p Result<Proof, Unproved>) -> Cow<'p, Promises> {
    match proof {
        Ok(proof) => Cow::Borrowed(&proof.promises),
        Err(_) => Cow::Owned(Promises::unknown(circuit)),
    }
}

/// The storage policy of a plan.
pub fn storage(plan: &Plan, names: &Names) -> Option<Storage> {
    let storage = &plan.storage.as_ref()?.value;
    let tracks = storage
        .tracks
        .iter()
        .filter_map(|text| names.get(&text.value).filter(|f| f.0 == Kind::Track).map(|f| f.1))
        .collect();
    let pick_ups = plan.train.iter().filter_map(|t| Some(t.pick_up.as_ref()?.value.si()));
    Some(Storage { tracks, live: storage.live.value, pick_up: pick_ups.reduce(f64::min) })
}
