//! What holds in every setting.
//!
//! A layout of 100 turnouts has 2¹⁰⁰ settings. None of them is tried: for each conductor and each
//! pole the exact condition under which they are joined is worked out as a decision diagram (see
//! [`network::reach`]), and every question is asked of those conditions. Answers come with a witness:
//! the smallest set of positions that shows the fault, and the path of the current.
//!
//! ```text
//! circuit ─ contract what is joined for good ─▶ conductors and switches ─ eliminate ─▶ live(c, pole)
//! segments ─ walk outwards ─▶ lined(place)            questions = Boolean algebra over both
//! ```

mod bridge;
mod conditions;
mod conductors;
mod culprit;
mod cycles;
mod dead;
mod districts;
mod idle_routes;
mod interlocking;
mod islands;
mod logic;
mod merges;
mod mid_throw;
mod neck;
mod order;
mod past_breaker;
mod path;
mod phase;
mod promise;
mod remainder;
mod reversing;
mod route_conditions;
mod run_through;
mod runs;
mod short;
mod single_failure;
mod spot;
mod state;
mod storage;
mod stretch;
mod stretches;

pub use bridge::Bridge;
pub use conditions::Conditions;
pub use conductors::Conductors;
pub use culprit::StorageCause;
pub use cycles::OddCycle;
pub use dead::{Dead, DeadPiece, DeadWhy};
pub use districts::JoinedDistricts;
pub use interlocking::{Exclusion, Interlocking, Unusable, interlocking};
pub use islands::islands;
pub use logic::TooComplex;
pub use mid_throw::{MidThrow, MidThrows};
pub use past_breaker::{Landing, PastBreaker};
pub use phase::WrongPhase;
pub use promise::{Promises, Zone};
pub use reversing::ReversingSection;
pub use route_conditions::RouteConditions;
pub use run_through::RunThrough;
pub use short::{PolePair, Short};
pub use single_failure::{SingleFailure, single_failures};
pub use storage::{Storage, StorageFault, StorageStanding, Stub};

use circuit::{Circuit, EdgeId, Literal, Neighbours, NodeId, PoleId};
use conductors::PoleConditions;
use logic::Logic;
use network::Condition;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use storage::StorageDemand;

/// Decision nodes one condition may need. A ladder of hundreds of turnouts needs some thousands.
const LARGEST_CONDITION: usize = 1 << 20;

/// Faults of one kind after which no more of that kind are looked for: whoever has that many fixes some and asks again.
pub const MOST_TOLD: usize = 100;

/// A minimal setting that shows a fault, and the way of the current in it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProofWitness {
    /// The positions that matter; whatever is not named may stand as it likes. What settles by itself is not named.
    pub setting: Vec<Literal>,
    /// Nodes along the way of the current, from pole to pole or from pole to place.
    pub nodes: Vec<NodeId>,
    /// Edges between them.
    pub edges: Vec<EdgeId>,
}

/// Everything proved of a circuit. Lists are empty where the proof holds in every setting.
#[derive(Clone, Debug, Default)]
pub struct Proof {
    /// Ways in which two poles can meet.
    pub shorts: Vec<Short>,
    /// Rails that can be live on a pole they are not meant for.
    pub wrong_phases: Vec<WrongPhase>,
    /// Rails that are dead, or both on one pole, under a train on a lined way.
    pub dead: Vec<Dead>,
    /// Gaps that a train on a lined way bridges while their sides disagree.
    pub bridges: Vec<Bridge>,
    /// For each of the circuit's gaps whether, in some setting without a short, poles that must not meet stand on its sides.
    pub apart: Vec<bool>,
    /// Breakers whose districts are joined.
    pub joined: Vec<JoinedDistricts>,
    /// Storage tracks that are live when they should not be, or not when they should.
    pub storage: Vec<StorageFault>,
    /// Stretches of storage tracks that were not judged, because they lie between trackwork and the first gap.
    pub stubs: Vec<Stub>,
    /// Pieces that are to blame for several storage faults each.
    pub storage_causes: Vec<StorageCause>,
    /// Sections whose phase changes so that a train can come back turned.
    pub reversing: Vec<ReversingSection>,
    /// Closed ways that come back with left and right exchanged, with no such section on them.
    pub odd_cycles: Vec<OddCycle>,
    /// Rails and frogs that are fed by a wire from behind another breaker than their own.
    pub past_breakers: Vec<PastBreaker>,
    /// For each trackwork, the breakers that a short there can trip.
    pub tripped_at: BTreeMap<(plan::Kind, usize), BTreeSet<usize>>,
    /// Routes that short when a train runs over them although they are not set.
    pub run_throughs: Vec<RunThrough>,
    /// Shorts that last while something moves. Nothing where that was too complex to ask, or where there are
    /// lasting shorts, which must go first.
    pub mid_throws: Option<MidThrows>,
    /// Kinds of fault that were not looked for to the end: [`MOST_TOLD`] were found, or on a long plan shorts must go first.
    pub cut_short: Vec<&'static str>,
    /// Where the plan promises power, and in which settings; nothing where something is shorted in every setting.
    pub promises: Promises,
    /// How much was looked at.
    pub counts: Counts,
}

/// How much a proof looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Things with positions.
    pub controls: usize,
    /// Pieces that are one conductor for good.
    pub conductors: usize,
    /// Decision nodes of the largest condition.
    pub largest_condition: usize,
    /// Decision nodes of all conditions that were written down: of being joined to poles, and of trains being lined.
    pub decision_nodes: usize,
    /// Steps taken: joins of conditions while conductors were eliminated, and states of trains that were looked at.
    pub steps: usize,
}

/// Proves a circuit, or tells where it is too complex to be proved.
///
/// `storage` names the tracks (by index) where trains wait, and the policy for all of them.
///
/// # Errors
/// When a condition outgrows its limit; nothing is known then, and nothing may be called proved.
pub fn prove(circuit: &Circuit, storage: Option<&Storage>) -> Result<Proof, TooComplex> {
    let logic = Logic::new(circuit, LARGEST_CONDITION)?;
    let lined = RouteConditions::new(circuit, &logic)?;
    let short::Shorts { found, more: more_shorts, to_ask: reach, uncut } = short::shorts(circuit, &logic)?;
    let mut proof = Proof { shorts: found, ..Proof::default() };
    proof.counts = Counts {
        controls: circuit.controls.len(),
        conductors: reach.conductors.count,
        largest_condition: reach.largest(),
        ..Counts::default()
    };
    let shorted = shorted(circuit, &logic, &reach)?;
    let neighbours = &circuit.neighbours();
    let live_runs = RefCell::new(vec![None; lined.runs.count()]);
    let always = proof.shorts.iter().filter(|s| uncut.is_some() && s.always());
    let lasting: BTreeSet<usize> = always.flat_map(|s| s.poles.map(|p| p.source)).collect();
    let questions =
        QueryContext { circuit, neighbours, logic: &logic, lined: &lined, reach: &reach, shorted, lasting, live_runs };
    proof.wrong_phases = phase::wrong_phases(&questions)?;
    (proof.bridges, proof.apart) = bridge::bridges(&questions)?;
    let due = storage.map(|storage| StorageDemand::new(&questions, storage)).transpose()?;
    let policy = storage.zip(due.as_ref());
    proof.dead = dead::dead(&questions, uncut.as_ref(), policy)?;
    proof.joined = districts::joined(&questions)?;
    if uncut.is_none() {
        proof.promises = Promises::new(&questions, policy)?;
    }
    if let Some((storage, due)) = policy {
        proof.storage = storage::faults(&questions, storage, due)?;
        proof.stubs = storage::stubs(circuit, storage);
    }
    if proof.shorts.is_empty() {
        if let Some(policy) = policy {
            proof.storage_causes = culprit::causes(&questions, policy, &proof.storage, proof.dead.len())?;
        }
        // Its circuit has more controls than the plan: where only this grows too large, the rest holds all the same.
        proof.mid_throws = mid_throw::mid_throws(circuit, LARGEST_CONDITION).ok();
    }
    let reversing = reversing::reversing(&questions, &proof.bridges)?;
    if uncut.is_some() {
        // Nothing is proved of a supply that is shorted in every setting; what is reported beside the short is what the plan's
        // words say: all else would depend on where one thinks the short cut.
        let shorted = &questions.lasting;
        let is_shorted = |track: usize| {
            circuit.intended_pole[track]
                .iter()
                .any(|m| m.is_none_or(|m| shorted.contains(&circuit.source_pole(m).source)))
        };
        proof.wrong_phases.retain(|w| !is_shorted(w.track));
        proof.wrong_phases.extend(phase::fed_wrongly(&questions).into_iter().filter(|w| is_shorted(w.track)));
        proof.bridges.retain(|b| b.poles.iter().all(|p| !shorted.contains(&p.source)));
        proof.storage.retain(|s| !is_shorted(s.track));
    }
    proof.reversing = reversing.sections;
    proof.odd_cycles = reversing.cycles;
    proof.past_breakers = past_breaker::past_breakers(&questions)?;
    proof.tripped_at = past_breaker::tripped_at(circuit, &logic)?;
    proof.run_throughs = run_through::run_through(&questions)?;
    let many = [
        ("rails on another conductor", proof.wrong_phases.len()),
        ("gaps whose sides disagree", proof.bridges.len()),
        ("dead rails", proof.dead.len()),
        ("districts that are joined", proof.joined.len()),
        ("wires from another district", proof.past_breakers.len()),
    ];
    proof.cut_short = many.into_iter().filter(|m| m.1 >= MOST_TOLD).map(|m| m.0).collect();
    proof.cut_short.extend(more_shorts.then_some("shorts"));
    proof.counts.decision_nodes = reach.decision_nodes() + lined.decision_nodes(&logic);
    proof.counts.steps = reach.steps() + lined.steps();
    Ok(proof)
}

/// For each of some sets of positions, whether there is no setting in which all of them hold: what a plan promises never to set,
/// and what trackwork cannot do, is left out.
///
/// # Errors
/// As [`prove`].
pub fn impossible(circuit: &Circuit, sets: &[Vec<Literal>]) -> Result<Vec<bool>, TooComplex> {
    let logic = Logic::new(circuit, LARGEST_CONDITION)?;
    let never = |set: &Vec<Literal>| Ok(logic.restrict_to_legal(logic.guard(set)?)?.is_false());
    sets.iter().map(never).collect()
}

/// What every question works from.
struct QueryContext<'c> {
    circuit: &'c Circuit,
    neighbours: &'c Neighbours,
    logic: &'c Logic,
    lined: &'c RouteConditions,
    reach: &'c PoleConditions,
    /// When any supply is shorted.
    shorted: Condition,
    /// Sources that are shorted in every setting, where the conditions are those with that cut.
    lasting: BTreeSet<usize>,
    /// For each run when it gets power, as far as that has been asked for.
    live_runs: RefCell<Vec<Option<Condition>>>,
}

/// When the poles of any source meet, other than for good.
fn shorted(circuit: &Circuit, logic: &Logic, reach: &PoleConditions) -> Result<Condition, TooComplex> {
    let mut any = logic.never();
    for source in (0..circuit.sources.len()).filter(|&s| !reach.merged(s)) {
        any = logic.or(any, reach.own_meet(source))?;
    }
    Ok(any)
}

impl QueryContext<'_> {
    /// When a node is on a source's pole.
    fn live(&self, node: NodeId, pole: PoleId) -> Condition {
        self.reach.live(node, pole)
    }

    /// The poles that a node can ever be on.
    fn poles_of(&self, node: NodeId) -> impl Iterator<Item = PoleId> {
        self.reach.live_from(node).into_iter().map(|l| l.0)
    }

    /// When a node is on any pole of any source.
    fn on_any(&self, node: NodeId) -> Result<Condition, TooComplex> {
        self.on_any_of(self.reach, node)
    }

    /// When a node is on any pole of any source, by other conditions.
    fn on_any_of(&self, reach: &PoleConditions, node: NodeId) -> Result<Condition, TooComplex> {
        let mut any = self.logic.never();
        for (_, live) in reach.live_from(node) {
            any = self.logic.or(any, live)?;
        }
        Ok(any)
    }

    /// When two nodes are on opposite poles of one source: what a train between them runs on.
    fn powered(&self, one: NodeId, other: NodeId) -> Result<Condition, TooComplex> {
        let mut any = self.logic.never();
        for (pole, live) in self.reach.live_from(one) {
            let both = self.logic.and(live, self.live(other, pole.other()))?;
            any = self.logic.or(any, both)?;
        }
        Ok(any)
    }

    /// A condition less the settings that there are not, and less those in which a supply is shorted: those are reported as
    /// shorts, and nothing else about them is worth knowing.
    fn without_shorts(&self, condition: Condition) -> Result<Condition, TooComplex> {
        self.logic.and_not(self.logic.restrict_to_legal(condition)?, self.shorted)
    }

    /// When something that happens under a train is a fault, less the settings that there are not and those that are
    /// shorted: where controls settle by themselves, only if it is one (or a short) whichever way they do.
    fn settled(&self, condition: Condition) -> Result<Condition, TooComplex> {
        if condition.is_false() {
            return Ok(condition);
        }
        let bad = self.logic.or(condition, self.shorted)?;
        let fault = self.logic.forall_automatic(bad)?;
        let shorted = self.logic.forall_automatic(self.shorted)?;
        self.logic.and_not(self.logic.restrict_to_legal(fault)?, shorted)
    }

    /// A witness for a condition, with the path from a pole to a node.
    fn witness_to(&self, condition: Condition, node: NodeId, pole: PoleId) -> ProofWitness {
        let setting = self.logic.shortest_cube(condition);
        let witness = path::witness((self.circuit, self.neighbours), setting, pole.node(self.circuit), node);
        self.logic.without_automatic_controls(witness)
    }
}
