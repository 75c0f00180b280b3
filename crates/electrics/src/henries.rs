//! Inductance of the loops at many places in many settings.
//!
//! The inductance of a loop is the slope of its resistance (see [`crate::loops`]). Between resistances a little more and a little less by
//! their inductance the slope is that in the middle but for a part in the square of the step: the step is a part in fifty thousand,
//! and what is left a part in a billion. So no place costs a solve of its own.

use crate::following_grid::{FollowingGrid, GridShape, Variant};
use crate::worst::Setting;
use crate::{Failed, Grid, Level, TrainPlace};
use circuit::Circuit;
use handbook::Spread;
use std::rc::Rc;

/// The step, as a part of the resistance that changes most.
const STEP: f64 = 2e-5;

/// Loop inductances, as [`Grid::loop_henries`] gives them, from setting to setting.
pub struct LoopHenries<'c> {
    grid: FollowingGrid<'c>,
    /// By level.
    seconds: [Option<f64>; 3],
}

impl<'c> LoopHenries<'c> {
    /// Of a circuit.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn from_circuit(circuit: &'c Circuit) -> Result<LoopHenries<'c>, Failed> {
        let shape = Rc::new(GridShape::of(&Grid::new(circuit, &[], Level::Typical)?));
        let seconds = Level::ALL.map(|level| {
            let with = circuit.edges.iter().filter(|edge| level.pick(edge.henries) > 0.0);
            with.map(|edge| edge.ohms.typical / level.pick(edge.henries)).reduce(f64::min).map(|least| STEP * least)
        });
        let both = |level: Level| {
            let seconds = seconds[level as usize].unwrap_or(0.0);
            [Variant::usual(level, -seconds), Variant::usual(level, seconds)]
        };
        let variants = Level::ALL.into_iter().flat_map(both).collect();
        Ok(LoopHenries { grid: FollowingGrid::new(circuit, shape, variants, &[]), seconds })
    }

    /// Another setting.
    pub fn set(&mut self, setting: &Setting) {
        self.grid.turn_to(setting);
    }

    /// The inductance of the loop at a place; none where it is not powered.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn at(&mut self, place: &TrainPlace) -> Result<Option<Spread<f64>>, Failed> {
        let mut found = [0.0; 3];
        for level in Level::ALL {
            let [more, less] = [0, 1].map(|which| 2 * level as usize + which);
            let Some(more) = self.grid.loop_ohms(place, more)? else { return Ok(None) };
            let Some(seconds) = self.seconds[level as usize] else { continue };
            let Some(less) = self.grid.loop_ohms(place, less)? else { return Ok(None) };
            found[level as usize] = ((more - less) / (2.0 * seconds)).max(0.0);
        }
        let [low, typical, high] = found;
        Ok(Some(Spread::new(low, typical, high)))
    }
}
