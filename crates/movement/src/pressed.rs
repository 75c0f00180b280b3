//! Rails of a plan that cannot grow, and when they go sideways.

use crate::buckling::{HeldSideways, euler_strain};
use crate::force::{force_at_anchor, strain_past_closing};
use crate::runs::RunId;
use crate::season::Movement;
use handbook::Spread;
use handbook::materials;
use handbook::quantity::Quantity;
use plan::tables::Fixing;

/// Places nearer than this are one, metres.
const SAME_PLACE: f64 = 1e-5;

/// A rail that is pressed and may go sideways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressed {
    /// The run.
    pub run: RunId,
    /// In which air, see [`crate::season::CLIMATE_CASES`].
    pub air: usize,
    /// The strain that presses it, usually.
    pub strain: f64,
    /// The strain at which it buckles: where it can turn over what holds it, usual section; and clamped, stiffest section.
    pub buckles: Spread<f64>,
    /// What keeps it from growing.
    pub why: WhyPressed,
}

/// What keeps a rail from growing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyPressed {
    /// It is soldered to itself all the way round.
    Closed,
    /// All gaps and joints of the ring it is part of have closed.
    Shut,
    /// Its fastenings grip it.
    Gripped,
    /// It is fast to the base at two places.
    Held,
}

impl Movement {
    /// The rails that are pressed, and at what strain they buckle: those soldered to themselves all the way round, those
    /// in rings whose gaps and joints have all closed and, where it is measured, those that their fastenings grip. Where
    /// neither pins nor a measured resistance sideways say what holds a rail, none are given.
    pub fn pressed(&self) -> Vec<Pressed> {
        let mut pressed = Vec::new();
        for run in 0..self.runs.list.len() {
            let Some(buckles) = self.buckles(run) else { continue };
            let most = [0, 1].map(|air| self.pressing(run, air));
            let (air, (strain, why)) = if most[0].0 > most[1].0 { (0, most[0]) } else { (1, most[1]) };
            if strain > 0.0 {
                pressed.push(Pressed { run, air, strain, buckles, why });
            }
        }
        pressed
    }

    /// The strain that presses a run in an air, usually, and what keeps it from growing.
    fn pressing(&self, run: RunId, air: usize) -> (f64, WhyPressed) {
        let strain = self.mismatch(run, air).strain.typical;
        let r = &self.runs.list[run];
        if r.closed {
            return (strain, WhyPressed::Closed);
        }
        let shut = self.ring_slack[run].map_or(0.0, |slack| strain_past_closing(strain, slack, 1.0));
        if r.held.is_some_and(|[low, high]| high - low > SAME_PLACE) {
            return (strain, WhyPressed::Held);
        }
        let [up, down] = [r.from_still(r.reach[1]), -r.from_still(r.reach[0])];
        // Rail that is fast at one place presses against that from its longer side.
        let half = if r.held.is_some() { up.max(down) } else { up.min(down) };
        let gripped = self.held_by(run).grip.map_or(0.0, |grip| {
            let stiffness = self.stiffness(run).typical;
            force_at_anchor(strain, half, grip, stiffness) / stiffness
        });
        if gripped > shut { (gripped, WhyPressed::Gripped) } else { (shut, WhyPressed::Shut) }
    }

    /// The strain at which a run's rail goes sideways: where it can turn over its pins, or in the worst shape. The high end
    /// is that of the stiffest section, clamped. None where nothing says what holds it.
    pub fn buckles(&self, run: RunId) -> Option<Spread<f64>> {
        let rail = self.runs.list[run].rail;
        let (area, second) = (rail.area, rail.lateral_second_moment);
        let by = self.held_by(run);
        match (&by.fixing, by.sideways) {
            (Some(Fixing::Pins(spacing)), _) => {
                let euler = |area: f64, second: f64, hold| euler_strain(area, second, spacing.si(), hold);
                Some(Spread::new(
                    euler(area.high.si(), second.low, 1.0),
                    euler(area.typical.si(), second.typical, 1.0),
                    euler(area.low.si(), second.high, 0.5),
                ))
            }
            (_, Some(sideways)) => {
                let elasticity = materials::rail_metal(rail.metal)?.elasticity.value;
                let held = |elasticity: f64, area: f64, second: f64| {
                    let lengthways = by.grip.unwrap_or(sideways);
                    let stiffness = elasticity * area;
                    HeldSideways { bending: elasticity * second, stiffness, sideways, lengthways }.least_strain()
                };
                Some(Spread::new(
                    held(elasticity.low, area.high.si(), second.low),
                    held(elasticity.typical, area.typical.si(), second.typical),
                    held(elasticity.high, area.low.si(), second.high),
                ))
            }
            _ => None,
        }
    }
}
