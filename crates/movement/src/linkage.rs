//! The throw wires of a plan: whether they get the points there, and with what force.

use crate::throw::{LowerEnd, ThrowWire};
use handbook::Spread;
use handbook::music_wire::{self, BENDING_SHARE, HOLDING_FORCE, MusicWire, SIZES};
use handbook::quantity::{Metres, Quantity};
use handbook::scales;
use plan::tables::{ThrowWireTable, WireEnd};
use plan::{At, Kind, Names, Plan};

/// What the sleepers and the throwbar add to the base, metres. Our own default.
pub const OVER_BASE: f64 = 0.003;
/// What is free about the wire in its hole besides its sweep, metres. Our own default.
pub const FREE_IN_HOLE: f64 = 0.001;

/// A motor's throw wire, calculated. SI throughout.
#[derive(Clone, Debug)]
pub struct Linkage {
    /// Index of the motor.
    pub motor: usize,
    /// The wire, with the usual elasticity.
    pub wire: ThrowWire,
    /// Travel of the arm.
    pub travel: f64,
    /// Travel of the throwbar.
    pub throw: f64,
    /// Where that comes from, where the plan does not say it.
    pub throw_default: Option<&'static str>,
    /// Whether the plan says the length above the fulcrum.
    pub above_said: bool,
    /// Thickness of the base, where the plan says it.
    pub thickness: Option<f64>,
    /// The hole of the plan.
    pub hole: Option<f64>,
    /// What becomes of this wire.
    pub fit: WireFit,
    /// What would become of the usual sizes in its place.
    pub sizes: Vec<WireFit>,
}

/// What becomes of a wire of one diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WireFit {
    /// Its diameter.
    pub diameter: f64,
    /// The force with which it holds the points.
    pub force: Spread<f64>,
    /// The stress in it, at the usual force.
    pub stress: f64,
    /// What it bears for good; none where its strength is not listed.
    pub bears: Option<f64>,
    /// The diameter of the hole it needs.
    pub hole: f64,
}

/// What keeps a wire from its work; the first that holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WireFault {
    /// The points do not get there.
    Short,
    /// It holds them with too much force.
    Stiff,
    /// It holds them with too little.
    Soft,
    /// It is bent beyond what it bears.
    Overstressed,
}

impl WireFit {
    /// What is wrong with it, for usual values.
    pub fn fault(&self) -> Option<WireFault> {
        let [least, most] = HOLDING_FORCE.value.map(|f| f.si());
        let force = self.force.typical;
        if force <= 0.0 {
            Some(WireFault::Short)
        } else if force > most {
            Some(WireFault::Stiff)
        } else if force < least {
            Some(WireFault::Soft)
        } else if self.bears.is_some_and(|bears| self.stress > bears) {
            Some(WireFault::Overstressed)
        } else {
            None
        }
    }
}

impl Linkage {
    /// What the throwbar would travel if nothing stopped it.
    pub fn free_travel(&self) -> f64 {
        self.wire.free_travel(self.travel)
    }

    /// Whether its hole is too small for it: the plan's hole, against what it needs.
    pub fn binds(&self) -> bool {
        self.hole.is_some_and(|hole| hole < self.fit.hole - FREE_IN_HOLE)
    }

    /// The usual size that would do and whose force lies most in the middle of what is wanted, by ratios.
    pub fn best_size(&self) -> Option<&WireFit> {
        let [least, most] = HOLDING_FORCE.value.map(|f| f.si());
        let middle = (least * most).sqrt();
        let off = |fit: &WireFit| (fit.force.typical / middle).ln().abs();
        self.sizes.iter().filter(|fit| fit.fault().is_none()).min_by(|a, b| off(a).total_cmp(&off(b)))
    }

    /// The travel of the arm with which this wire holds its points with the least force wanted, and the one with the
    /// greatest, or with as much as the wire bears; beside each the force.
    pub fn travels(&self) -> [(f64, f64); 2] {
        let [least, most] = HOLDING_FORCE.value.map(|f| f.si());
        let bears = self.fit.bears.map_or(most, |bears| bears / self.wire.stress(1.0));
        [least, most.min(bears)].map(|force| {
            let top = self.throw + 2.0 * force * self.wire.give();
            (top * self.wire.below / self.wire.above, force)
        })
    }
}

/// A throw wire that cannot be calculated, and what is missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LinkageNotTold {
    /// Index of the motor.
    pub motor: usize,
    /// What the plan would have to say.
    pub missing: &'static str,
}

/// Every throw wire of a plan.
pub fn linkages(plan: &Plan, names: &Names) -> Vec<Result<Linkage, LinkageNotTold>> {
    let wires = plan.motor.iter().enumerate();
    wires.filter_map(|(motor, m)| Some(linkage(plan, names, motor, &m.throw_wire.as_ref()?.value))).collect()
}

fn linkage(plan: &Plan, names: &Names, motor: usize, said: &ThrowWireTable) -> Result<Linkage, LinkageNotTold> {
    let metres = |value: &At<Metres>| value.value.si();
    let thickness = plan.base.as_ref().and_then(|b| b.value.thickness.as_ref()).map(metres);
    let above = said.above.as_ref().map(metres).or(thickness.map(|t| t + OVER_BASE));
    let Some(above) = above else {
        return Err(LinkageNotTold { motor, missing: "`above` of the throw wire, or `thickness` under `[base]`" });
    };
    let first = plan.motor[motor].moves.0.first().and_then(|text| names.moved(&text.value).ok());
    let turnout = first.filter(|m| m.kind == Kind::Turnout).map(|m| &plan.turnout[m.index]);
    let measured = turnout.and_then(|t| t.throw.as_ref()).map(metres);
    let scale = plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
    let usual = scale.and_then(scales::throw);
    let Some(throw) = measured.or(usual.map(|u| u.value.si())) else {
        return Err(LinkageNotTold { motor, missing: "`throw` of the turnout: there is no usual one for this scale" });
    };
    let lower_end = match said.end.as_ref().map_or(WireEnd::Clamped, |e| e.value) {
        WireEnd::Clamped => LowerEnd::Clamped,
        WireEnd::Pinned => LowerEnd::Pinned,
    };
    let elasticity = music_wire::ELASTICITY.value.typical;
    let wire = ThrowWire { diameter: metres(&said.diameter), below: metres(&said.below), above, lower_end, elasticity };
    let travel = metres(&said.travel);
    let height = thickness.unwrap_or(above).min(above);
    let of = |diameter: f64| fit(ThrowWire { diameter, ..wire }, travel, throw, height);
    Ok(Linkage {
        motor,
        wire,
        travel,
        throw,
        throw_default: if measured.is_none() { usual.map(|u| u.source) } else { None },
        above_said: said.above.is_some(),
        thickness,
        hole: said.hole.as_ref().map(metres),
        fit: of(wire.diameter),
        sizes: SIZES.iter().map(|size: &MusicWire| of(size.diameter.si())).collect(),
    })
}

/// How far off the arms' lengths are measured, metres. Our own default.
pub const ARM_OFF: f64 = 1e-3;
/// How far a wire's diameter may be off what is written on it, as a share. Our own default, as drawn music wire is sold.
pub const DIAMETER_OFF: f64 = 0.01;
/// How far the throw may be off, metres. Our own default.
pub const THROW_OFF: f64 = 0.2e-3;

/// What becomes of a wire that goes through a hole as deep as `height` above its fulcrum.
fn fit(wire: ThrowWire, travel: f64, throw: f64, height: f64) -> WireFit {
    let typical = wire.holding_force(travel, throw);
    let force = Spread::new(extreme(wire, travel, throw, -1.0), typical, extreme(wire, travel, throw, 1.0));
    WireFit {
        diameter: wire.diameter,
        force,
        stress: wire.stress(force.typical),
        bears: music_wire::strength(Metres(wire.diameter)).map(|strength| strength * BENDING_SHARE.value),
        hole: wire.diameter + 2.0 * wire.sweep(travel, throw, height) + FREE_IN_HOLE,
    }
}

/// The force with everything off towards less (−1) or more (1): a longer lower arm moves the throwbar less and gives more, a longer
/// upper arm moves it more and gives more still, so that both its ends are tried; a thicker wire, stiffer metal and a shorter throw
/// hold harder.
fn extreme(wire: ThrowWire, travel: f64, throw: f64, more: f64) -> f64 {
    let elasticity = music_wire::ELASTICITY.value;
    let elasticity = if more > 0.0 { elasticity.high } else { elasticity.low };
    let diameter = wire.diameter * (1.0 + more * DIAMETER_OFF);
    let below = (wire.below - more * ARM_OFF).max(0.1 * wire.below);
    let throw = (throw - more * THROW_OFF).max(0.0);
    let above = [wire.above - ARM_OFF, wire.above + ARM_OFF].map(|above| above.max(0.1 * wire.above));
    let forces =
        above.map(|above| ThrowWire { diameter, below, above, elasticity, ..wire }.holding_force(travel, throw));
    if more > 0.0 { forces[0].max(forces[1]) } else { forces[0].min(forces[1]) }
}
