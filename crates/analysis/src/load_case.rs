//! The load case: what every place is asked for, and what the answers are held against.

use electrics::{Demand, StandingTrain};
use handbook::quantity::Quantity;
use handbook::{Spread, contacts, limits, scales};
use plan::Plan;

/// What is asked of every place, and what the answers are held against.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadCase {
    /// What a train draws, in amperes.
    pub train_amps: f64,
    /// Who says so.
    pub train_from: String,
    /// Other trains that stand meanwhile, each on its track: by name.
    pub standing: Vec<(String, StandingTrain)>,
    /// The largest voltage drop that is accepted, as a share.
    pub drop: f64,
    /// How many times the trip current a short must draw.
    pub fault_margin: f64,
    /// The resistance of a short as wheels make it, in ohms.
    pub bridge_ohms: Spread<f64>,
    /// How long the track signal takes from one reversal to the next while ones are sent, in seconds.
    pub half_bit: Spread<f64>,
}

impl LoadCase {
    /// What is asked of every place, while some trains stand elsewhere.
    pub fn demand<'t>(&self, standing: &'t [StandingTrain]) -> Demand<'t> {
        Demand { amps: self.train_amps, standing, bridge_ohms: self.bridge_ohms, half_bit: self.half_bit }
    }

    /// What the plan, or else the handbook, asks.
    pub fn from_plan(plan: &Plan) -> LoadCase {
        let limits_said = plan.limits.as_ref().map(|l| &l.value);
        let drop = limits_said.and_then(|l| l.drop.as_ref()).map_or(limits::VOLTAGE_DROP.value.si(), |d| d.value.si());
        let fault_margin =
            limits_said.and_then(|l| l.fault_margin.as_ref()).map_or(limits::FAULT_MARGIN.value, |m| m.value);
        let running = plan.train.iter().enumerate().filter_map(|(index, t)| {
            let amps = t.draws.as_ref()?.value.running.as_ref()?.value.si();
            Some((amps, index))
        });
        let running = running.max_by(|a, b| a.0.total_cmp(&b.0));
        let (train_amps, train_from) = match running {
            Some((amps, index)) => (amps, format!("train `{}`", plan.train[index].name.value)),
            None => {
                let scale = plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
                let amps = scale.map_or(0.5, |s| s.train_running_current.value.typical.si());
                let name = scale.map_or("", |s| s.name);
                (
                    amps,
                    format!(
                        "the handbook's train for {name}, {}",
                        scale.map_or("", |s| s.train_running_current.source)
                    ),
                )
            }
        };
        let half_bit = limits::ONE_HALF_BIT.value.map(|s| s.si());
        let bridge_ohms = contacts::WHEEL_SHORT.value.map(|o| o.si());
        let others = plan.train.iter().enumerate().filter(|(index, _)| running.is_none_or(|r| r.1 != *index));
        let standing = others.filter_map(|(_, t)| {
            let amps = t.draws.as_ref()?.value.standing.as_ref()?.value.si();
            let on = &t.stands.as_ref()?.value;
            let segment = plan.track.iter().position(|track| track.name.value == *on)?;
            Some((t.name.value.clone(), StandingTrain { segment, amps }))
        });
        LoadCase { train_amps, train_from, standing: standing.collect(), drop, fault_margin, bridge_ohms, half_bit }
    }
}
