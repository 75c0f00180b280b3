//! What the engines say of a plan.
//!
//! [`Analysis::of`] builds the circuit of a plan; every question of a builder is a method of it: figures of all tracks, routes,
//! profiles, traces, the year's gaps, lengths, netlists, addresses. An engine runs once, for the first question that needs it.
//! Nothing here finds fault (that is `review`) and nothing prints (that is `report`).

pub mod addresses;
pub mod contact_currents;
pub mod feeds;
pub mod figures;
pub mod filters;
pub mod frog_rails;
pub mod lengths_table;
pub mod linkage_words;
mod load_case;
pub mod motor_power;
mod netlist;
pub mod noticed;
pub mod numbers;
pub mod season_table;
pub mod season_words;
mod settings;
pub mod sources;
pub mod throwing;
pub mod trace;
mod track_line;
pub mod turnout_readings;
pub mod turnout_wired;
mod way_choice;
mod way_lines;
pub mod way_piece;
pub mod way_profile;
pub mod ways_table;
pub mod words;

pub use contact_currents::contact_currents;
pub use figures::{Figures, TrackLine};
pub use load_case::LoadCase;
pub use netlist::{NetlistError, netlist_at_first};
pub use settings::{SettingError, positions as setting_positions};
pub use trace::{TraceError, joined_poles};
pub use way_choice::WayError;
pub use words::BadReference;

use circuit::Circuit;
use circuit::ways::Ways;
use finding::{Edit, Lines};
use handbook::quantity::Quantity;
use movement::clearance::Clearance;
use movement::{Movement, NotTold};
use plan::{Kind, Names, Plan};
use proof::{Promises, Proof, SingleFailure, Storage};
use std::borrow::Cow;
use std::sync::OnceLock;

/// Edges from which on engines run side by side.
const LONG: usize = 1_000;

/// Ways beyond this many are not listed and not calculated one by one.
pub const MOST_WAYS: usize = 500;

/// What the engines say of a plan. Each runs once, when the first question needs it.
pub struct Analysis<'p> {
    /// The plan's text; behind what the builder wrote stand the tables that composites stand for.
    pub text: &'p str,
    /// The plan.
    pub plan: &'p Plan,
    /// Its names.
    pub names: &'p Names,
    /// Its circuit.
    pub circuit: Circuit,
    ways: OnceLock<Ways>,
    proof: OnceLock<Result<Proof, Unproved>>,
    figures: OnceLock<Option<Figures>>,
    clearances: OnceLock<Vec<Clearance>>,
    failures: OnceLock<Vec<SingleFailure>>,
    openings: OnceLock<Vec<electrics::TrackFailure>>,
    movement: OnceLock<Result<Movement, NotTold>>,
}

/// Why nothing could be proved.
#[derive(Clone, Debug)]
pub enum Unproved {
    /// Its conditions outgrew their limit.
    TooComplex(usize),
}

impl<'p> Analysis<'p> {
    /// Builds the circuit of a plan that was read without errors.
    pub fn of(text: &'p str, plan: &'p Plan, names: &'p Names) -> Analysis<'p> {
        Analysis::of_circuit((text, plan, names), Circuit::from_plan(plan, names))
    }

    /// The same of a circuit that is there already.
    pub fn of_circuit((text, plan, names): (&'p str, &'p Plan, &'p Names), circuit: Circuit) -> Analysis<'p> {
        Analysis {
            text: names.expansion.whole(text),
            plan,
            names,
            circuit,
            ways: OnceLock::new(),
            proof: OnceLock::new(),
            figures: OnceLock::new(),
            clearances: OnceLock::new(),
            failures: OnceLock::new(),
            openings: OnceLock::new(),
            movement: OnceLock::new(),
        }
    }

    /// The same of a circuit that is proved already.
    pub fn of_proved(
        plan: (&'p str, &'p Plan, &'p Names),
        circuit: Circuit,
        proof: Result<Proof, Unproved>,
    ) -> Analysis<'p> {
        Analysis { proof: OnceLock::from(proof), ..Analysis::of_circuit(plan, circuit) }
    }

    /// What the builder wrote, without the tables that composites stand for.
    pub fn written_text(&self) -> &'p str {
        self.names.expansion.own(self.text)
    }

    /// The lines of the text, for telling places of the plan: what a composite stands for is on the composite's lines.
    pub fn lines(&self) -> Lines<'p> {
        Lines::new(self.text).with_origins(self.names.expansion.origins())
    }

    /// What the builder would have written after some edits of [`Analysis::text`]; none where they cannot be made there.
    pub fn text_after(&self, edits: &[Edit]) -> Option<String> {
        finding::apply(self.written_text(), &self.names.expansion.written(edits)?).ok()
    }

    /// Works out what every review asks of a long plan, on two cores: what does not ask for each other side by side. On a short one
    /// it takes less time than to share it out.
    pub fn run_ahead(&self) {
        if self.circuit.edges.len() < LONG {
            return;
        }
        self.ways();
        std::thread::scope(|scope| {
            scope.spawn(|| {
                self.failures();
                self.clearances();
                let _ = self.movement();
            });
            self.figures();
        });
    }

    /// Ways a train can be lined.
    pub fn ways(&self) -> &Ways {
        self.ways.get_or_init(|| circuit::ways::ways(&self.circuit, MOST_WAYS))
    }

    /// What was proved.
    ///
    /// # Errors
    /// Why nothing could be.
    pub fn proof(&self) -> Result<&Proof, &Unproved> {
        self.proof.get_or_init(|| prove(self.plan, self.names, &self.circuit)).as_ref()
    }

    /// Where the plan promises power, and in which settings; where it could not be proved, where only.
    pub fn promises(&self) -> Cow<'_, Promises> {
        match self.proof() {
            Ok(proof) => Cow::Borrowed(&proof.promises),
            Err(_) => Cow::Owned(Promises::unknown(&self.circuit)),
        }
    }

    /// The numbers, where the layout feeds anything at all.
    pub fn figures(&self) -> Option<&Figures> {
        let figures = || figures::figures(self.plan, &self.circuit, self.ways(), &self.promises());
        self.figures.get_or_init(figures).as_ref()
    }

    /// The numbers, where nothing more is asked.
    pub fn into_figures(self) -> Option<Figures> {
        self.figures();
        self.figures.into_inner().flatten()
    }

    /// Where the tracks behind each turnout are clear of each other.
    pub fn clearances(&self) -> &[Clearance] {
        self.clearances.get_or_init(|| movement::clearance::clearances(self.plan, &self.circuit))
    }

    /// What goes dead on the ways when one joint, contact, tap or feeder opens, the worst first.
    pub fn failures(&self) -> &[SingleFailure] {
        self.failures.get_or_init(|| {
            let ways = self.ways();
            proof::single_failures(&self.circuit, &ways.list[..ways_failed(&self.circuit, ways)])
        })
    }

    /// What the worst of them leaves of each track that stays fed, where a short may then not trip its breaker.
    pub fn openings(&self) -> &[electrics::TrackFailure] {
        let openings = || self.figures().map(|f| figures::openings(&self.circuit, f)).unwrap_or_default();
        self.openings.get_or_init(openings)
    }

    /// What rail and base do over the year.
    ///
    /// # Errors
    /// What the plan does not tell of it.
    pub fn movement(&self) -> Result<&Movement, &NotTold> {
        self.movement.get_or_init(|| movement::movement(self.plan, &self.circuit)).as_ref()
    }

    /// What the builder calls the layout.
    pub fn layout(&self) -> String {
        self.plan.layout.as_ref().map_or_else(String::new, |l| l.value.name.value.clone())
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

/// The storage policies of a plan: its storage tracks, each with its own.
pub fn storage(plan: &Plan, names: &Names) -> Option<Storage> {
    if plan.storage.is_empty() {
        return None;
    }
    let all = plan.storage.iter().flat_map(|policy| policy.value.tracks.iter().map(|t| (t, policy.value.live.value)));
    let track = |text: &plan::At<String>| names.get(&text.value).filter(|f| f.0 == Kind::Track).map(|f| f.1);
    let (tracks, live) = all.filter_map(|(text, live)| Some((track(text)?, live))).unzip();
    let pick_ups = plan.train.iter().filter_map(|t| Some(t.pick_up.as_ref()?.value.si()));
    Some(Storage { tracks, live, pick_up: pick_ups.reduce(f64::min) })
}
