//! A plan's rails over the year: what each gap and each joint that slides does from the day of laying to the coldest and
//! the hottest air.

use crate::climate::{ClimateOfPart, HeldBy, air_of};
use crate::force::end_movement;
use crate::growth::{Air, Mismatch};
use crate::runs::{RailOpening, RigidRuns, Run, RunId};
use circuit::Circuit;
use handbook::Spread;
use handbook::limits::{INSULATED_GAP, LARGEST_GAP, SMALLEST_GAP};
use handbook::materials;
use handbook::quantity::{Metres, Quantity};
use plan::tables::Climate;
use plan::{At, Plan};
use std::ops::Range;

/// What a plan does not tell, so that nothing can be said of its movement: keys as they stand in a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotTold {
    /// Such as "`coldest` under `[room]`"; at least one.
    pub missing: Vec<&'static str>,
}

/// A value that the plan does not give.
#[derive(Clone, Debug, PartialEq)]
pub struct AssumedValue {
    /// What it is.
    pub what: &'static str,
    /// What stands in for it.
    pub value: String,
    /// Where that comes from.
    pub source: &'static str,
}

/// The coldest and the hottest air, as indices.
pub const CLIMATE_CASES: [&str; 2] = ["coldest", "hottest"];

/// What a gap or sliding joint does over the year. Lengths in metres.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningOverYear {
    /// Whether it insulates; else it slides.
    pub is_gap: bool,
    /// How wide it is left on the day.
    pub left: f64,
    /// The words that say so; none where it is the default.
    pub left_said: Option<Range<usize>>,
    /// By how much it closes from the day to the coldest and to the hottest air; negative where it opens.
    pub closes: [Spread<f64>; 2],
    /// The least width it may come to, and the greatest.
    pub allowed_width: [f64; 2],
    /// How wide to leave it on the day.
    pub leave: Leave,
}

/// How a width comes to lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OpeningVerdict {
    /// Neither too narrow nor too wide at any time, with the whole band of what is not known.
    Well,
    /// So for usual values, not for the whole band.
    Usually,
    /// It closes, or comes nearer than may be.
    Closes,
    /// It opens too far.
    Opens,
}

/// How wide to leave a gap or sliding joint on the day it is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leave {
    /// The width, metres.
    pub width: f64,
    /// The least and the greatest that will do; where nothing does, the least is the greater.
    pub window: [f64; 2],
    /// How sure it is.
    pub fit: WidthFit,
}

/// Whether there is a width that does at all times.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WidthFit {
    /// There is, with the whole band of what is not known.
    Sure,
    /// There is for usual values, not for the whole band.
    Usual,
    /// There is none: left wide enough not to close, it opens too far.
    None,
}

impl OpeningOverYear {
    /// The greatest it closes by from the day on, nothing if it never does.
    pub fn most_closing(&self) -> Spread<f64> {
        greatest(&self.closes)
    }

    /// The greatest it opens by.
    pub fn most_opening(&self) -> Spread<f64> {
        greatest(&self.closes.map(|c| c.times(-1.0)))
    }

    /// Its width in the coldest and in the hottest air when left so wide on the day; less than nothing where the rails
    /// press on each other.
    pub fn widths(&self, left: f64) -> [Spread<f64>; 2] {
        self.closes.map(|closes| Spread::exactly(left).minus(closes))
    }

    /// What becomes of it when left as wide as `left` on the day.
    pub fn verdict(&self, left: f64) -> OpeningVerdict {
        let holds = |of: fn(&Spread<f64>) -> f64| {
            let narrow = left - of(&self.most_closing()) < self.allowed_width[0] - 1e-9;
            let wide = left + of(&self.most_opening()) > self.allowed_width[1] + 1e-9;
            if narrow {
                Err(OpeningVerdict::Closes)
            } else if wide {
                Err(OpeningVerdict::Opens)
            } else {
                Ok(())
            }
        };
        match (holds(|s| s.typical), holds(|s| s.high)) {
            (Err(verdict), _) => verdict,
            (_, Err(_)) => OpeningVerdict::Usually,
            _ => OpeningVerdict::Well,
        }
    }

    /// The widths on the day between which it neither closes nor opens too far, for usual values.
    pub fn usual_window(&self) -> [f64; 2] {
        [self.allowed_width[0] + self.most_closing().typical, self.allowed_width[1] - self.most_opening().typical]
    }

    /// The air in which it is narrowest, and that in which it is widest; see [`CLIMATE_CASES`].
    pub fn narrow_and_wide(&self) -> [usize; 2] {
        let hot_closes = self.closes[1].typical >= self.closes[0].typical;
        if hot_closes { [1, 0] } else { [0, 1] }
    }

    /// How much its width changes over the year, usually.
    pub fn swing(&self) -> f64 {
        self.most_closing().typical + self.most_opening().typical
    }

    /// How much it may change.
    pub fn room(&self) -> f64 {
        self.allowed_width[1] - self.allowed_width[0]
    }
}

/// What moves in a plan.
#[derive(Clone, Debug)]
pub struct Movement {
    /// Air and base of what stands on no board.
    pub rest: ClimateOfPart,
    /// Air and base of each board of the plan.
    pub boards: Vec<ClimateOfPart>,
    /// The rails.
    pub runs: RigidRuns,
    /// The movement of each of `runs.partings`.
    pub places: Vec<OpeningOverYear>,
    /// What is not in the plan.
    pub defaults: Vec<AssumedValue>,
    /// For each run that is part of a ring, the widths left in it for each metre of its rail.
    pub(crate) ring_slack: Vec<Option<f64>>,
}

/// The movement of a plan that was read without errors.
///
/// # Errors
/// What the plan does not tell of the year.
pub fn movement(plan: &Plan, circuit: &Circuit) -> Result<Movement, NotTold> {
    movement_from(plan, circuit, None)
}

/// The same, gaps and joints being made in other air than that of the day of laying.
///
/// # Errors
/// As [`movement`].
pub fn movement_from(plan: &Plan, circuit: &Circuit, day: Option<Air>) -> Result<Movement, NotTold> {
    let room = plan.room.as_ref().map(|r| &r.value);
    let air = |said: Option<&At<Climate>>| said.map(air_of);
    let laid = day.or(air(room.and_then(|r| r.laid.as_ref())));
    let coldest = air(room.and_then(|r| r.coldest.as_ref()));
    let hottest = air(room.and_then(|r| r.hottest.as_ref()));
    let said = plan.base.as_ref().map(|b| &b.value);
    let base = said.and_then(|b| materials::base_material(&b.material.value));
    let (Some(laid), Some(coldest), Some(hottest), Some(base)) = (laid, coldest, hottest, base) else {
        let keys = [
            ("`laid` under `[room]`", laid.is_none()),
            ("`coldest` under `[room]`", coldest.is_none()),
            ("`hottest` under `[room]`", hottest.is_none()),
            ("`material` under `[base]`", base.is_none()),
        ];
        return Err(NotTold { missing: keys.into_iter().filter(|k| k.1).map(|k| k.0).collect() });
    };
    let held = said.map(|b| HeldBy::new(b.fixing.as_ref(), b.grip.as_ref(), b.sideways.as_ref()));
    let rest = ClimateOfPart::new(base, held.unwrap_or_default(), [laid, coldest, hottest]);
    let on_boards = |rest: &ClimateOfPart| plan.board.iter().map(|b| rest.on_board(b, day)).collect::<Option<Vec<_>>>();
    let Some((boards, rest)) = rest.and_then(|rest| Some((on_boards(&rest)?, rest))) else {
        return Err(NotTold { missing: vec!["air that wood can be in under `[room]` or a board"] });
    };
    let mut movement = Movement {
        rest,
        boards,
        runs: RigidRuns::from_circuit(plan, circuit),
        places: Vec::new(),
        defaults: Vec::new(),
        ring_slack: Vec::new(),
    };
    movement.places(plan);
    movement.ring_slack = vec![None; movement.runs.list.len()];
    if movement.boards.iter().chain([&movement.rest]).any(|part| part.held.can_tell_buckling()) {
        movement.rings(&RigidRuns::shut(plan, circuit));
    }
    Ok(movement)
}

impl Movement {
    fn places(&mut self, plan: &Plan) {
        let units = plan.units();
        let limits = plan.limits.as_ref().map(|l| &l.value);
        let said = |value: Option<&At<Metres>>| value.map(|v| v.value.si());
        let smallest = said(limits.and_then(|l| l.smallest_gap.as_ref()));
        let largest = said(limits.and_then(|l| l.largest_gap.as_ref()));
        let layout = plan.layout.as_ref().and_then(|l| l.value.gap_width.as_ref());
        let widths = plan.said_widths();
        let mut by_default = false;
        let places = self.runs.openings.iter().map(|rail_opening| {
            let is_gap = rail_opening.joint.edge.is_none();
            let width = widths.get(&rail_opening.joint.span.start).copied().or(layout);
            by_default |= width.is_none();
            let least = if is_gap { smallest.unwrap_or(SMALLEST_GAP.value.si()) } else { 0.0 };
            let may_be = [least, largest.unwrap_or(LARGEST_GAP.value.si())];
            let closes = [0, 1].map(|air| self.closing_in(rail_opening, air));
            OpeningOverYear {
                is_gap,
                left: width.map_or(INSULATED_GAP.value.si(), |w| w.value.si()),
                left_said: width.map(|w| w.span.clone()),
                closes,
                allowed_width: may_be,
                leave: leave(&closes, may_be),
            }
        });
        self.places = places.collect();
        let shown = |value: Metres| units.length(value);
        if by_default {
            self.default("width of gaps and sliding joints", shown(INSULATED_GAP.value), INSULATED_GAP.source);
        }
        if smallest.is_none() {
            self.default("least width of a gap", shown(SMALLEST_GAP.value), SMALLEST_GAP.source);
        }
        if largest.is_none() {
            self.default("greatest width of a gap or joint", shown(LARGEST_GAP.value), LARGEST_GAP.source);
        }
        if self.runs.list.iter().any(|run| self.climate_of(run).held.grip.is_none()) {
            self.default("grip on the rail", "none, which moves it most".to_owned(), "our own default");
        }
    }

    /// How much room rings have in all that parts in them, metre for metre of rail.
    fn rings(&mut self, shut: &RigidRuns) {
        let ring_of = |run: &Run| shut.from_anchor(run.node).map(|(ring, _)| ring).filter(|&r| shut.list[r].closed);
        let rings: Vec<Option<RunId>> = self.runs.list.iter().map(ring_of).collect();
        let mut room = vec![0.0; shut.list.len()];
        for (rail_opening, place) in self.runs.openings.iter().zip(&self.places) {
            if let Some(ring) = rings[rail_opening.runs[0]] {
                room[ring] += place.left;
            }
        }
        self.ring_slack = rings.iter().map(|ring| ring.map(|r| room[r] / shut.list[r].length)).collect();
    }

    fn default(&mut self, what: &'static str, value: String, source: &'static str) {
        self.defaults.push(AssumedValue { what, value, source });
    }

    /// Air and base where most of a run lies.
    pub fn climate_of(&self, run: &Run) -> &ClimateOfPart {
        run.board.and_then(|board| self.boards.get(board)).unwrap_or(&self.rest)
    }

    /// What holds most of a run.
    pub fn held_by(&self, run: RunId) -> &HeldBy {
        &self.climate_of(&self.runs.list[run]).held
    }

    /// Rail against base for a run, from the day to an air.
    pub fn mismatch(&self, run: RunId, air: usize) -> Mismatch {
        let run = &self.runs.list[run];
        self.climate_of(run).mismatch(run.rail.metal, air)
    }

    /// Change over the year of a metre of a run's rail against what it lies on, usually.
    pub fn swing_of(&self, run: &Run) -> f64 {
        self.climate_of(run).swing(run.rail.metal)
    }

    /// Young's modulus times area of a run's rail, newtons.
    pub fn stiffness(&self, run: RunId) -> Spread<f64> {
        let rail = self.runs.list[run].rail;
        let elasticity = materials::rail_metal(rail.metal).map_or(Spread::exactly(0.0), |m| m.elasticity.value);
        Spread::new(
            elasticity.low * rail.area.low.si(),
            elasticity.typical * rail.area.typical.si(),
            elasticity.high * rail.area.high.si(),
        )
    }

    /// How far a place of a run moves over the base from the day to an air, `distance` metres from the run's still point.
    pub fn moved(&self, run: RunId, air: usize, distance: f64) -> Spread<f64> {
        let strain = self.mismatch(run, air).strain;
        match self.held_by(run).grip {
            None => strain.times(distance),
            Some(grip) => {
                let stiffness = self.stiffness(run).typical;
                let [low, typical, high] = [strain.low, strain.typical, strain.high]
                    .map(|strain| end_movement(strain, distance, grip, stiffness));
                Spread::new(low.min(high), typical, low.max(high))
            }
        }
    }

    fn closing_in(&self, rail_opening: &RailOpening, air: usize) -> Spread<f64> {
        let [one, other] = [0, 1].map(|end| self.moved(rail_opening.runs[end], air, rail_opening.reach[end]));
        one.plus(other)
    }
}

/// The greatest of two changes, and no less than nothing.
fn greatest(changes: &[Spread<f64>; 2]) -> Spread<f64> {
    let most = |of: fn(&Spread<f64>) -> f64| changes.iter().map(of).fold(0.0, f64::max);
    Spread::new(most(|c| c.low), most(|c| c.typical), most(|c| c.high))
}

/// Widths are reported to this, metres: a twentieth of a millimetre.
const STEP: f64 = 5e-5;

/// A width rounded up to what is reported.
pub fn rounded_up(width: f64) -> f64 {
    (width / STEP - 1e-6).ceil() * STEP
}

fn leave(closes: &[Spread<f64>; 2], [least, most]: [f64; 2]) -> Leave {
    let closing = greatest(closes);
    let opening = greatest(&closes.map(|c| c.times(-1.0)));
    let sure = [least + closing.high, most - opening.high];
    let usual = [least + closing.typical, most - opening.typical];
    if sure[0] <= sure[1] {
        return Leave { width: rounded_up(sure[0]).min(sure[1]), window: sure, fit: WidthFit::Sure };
    }
    if usual[0] <= usual[1] {
        let middle = rounded_up((usual[0] + usual[1]) / 2.0).min(usual[1]);
        return Leave { width: middle, window: usual, fit: WidthFit::Usual };
    }
    Leave { width: rounded_up(usual[0]), window: usual, fit: WidthFit::None }
}
