//! The copper of wires: what it resists in the air of the plan's room, and what inductance a wire has.

use crate::builder::Builder;
use handbook::Spread;
use handbook::limits::LOOSE_PAIR;
use handbook::quantity::Quantity;
use handbook::wires::{WireGauge, copper_resistance_at, pair_inductance_band};
use plan::Plan;

/// The temperature for which wire tables are made, °C: `copper_resistance_at` starts from it.
const TABLES: f64 = 20.0;

/// Resistance of a wire per metre in a plan's room, ohms: at 20 °C as new and as usual, in the hottest air of the room in the worst
/// case. Air that is never warmer than 20 °C makes nothing better.
pub fn copper_ohms_per_metre(plan: &Plan, wire: &WireGauge) -> Spread<f64> {
    let hottest = plan.room.as_ref().and_then(|room| room.value.hottest.as_ref());
    let hottest = hottest.map(|air| air.value.temperature.value).filter(|air| air.0 > TABLES);
    let mut ohms = wire.resistance_per_metre;
    if let Some(air) = hottest {
        ohms.high = copper_resistance_at(ohms.high, air);
    }
    ohms.map(|r| r.si())
}

impl Builder<'_> {
    /// See [`copper_ohms_per_metre`].
    pub(crate) fn copper_ohms(&self, wire: &WireGauge) -> Spread<f64> {
        copper_ohms_per_metre(self.plan, wire)
    }
}

/// Inductance of a feeder or contact wire in henries per metre: half of that of two such wires as far apart as those of a bus
/// that is run loosely. It is not known beside which wire it lies; its return does not lie nearer than that.
pub fn wire_henries_per_metre(wire: &WireGauge) -> Spread<f64> {
    pair_inductance_band(LOOSE_PAIR.value, wire.diameter).map_or(Spread::exactly(0.0), |pair| pair.times(0.5))
}
