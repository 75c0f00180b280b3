//! What to know of the buses that feed drivers: one line each, the worst motor.

use crate::context::Context;
use analysis::motor_power::{motor_volts, worst_of_buses};
use handbook::quantity::{Amps, Volts, show_amps, show_volts};

/// Of each bus that feeds drivers the motor that is furthest from what it needs, with all that can be on at once.
pub(crate) fn notes(facts: &Context<'_>) -> Vec<String> {
    let plan = facts.plan;
    let found = motor_volts(facts);
    let line = |worst: &analysis::motor_power::MotorVolts| {
        let motors: Vec<_> = found.iter().filter(|m| m.bus == worst.bus).collect();
        let count = if motors.len() == 1 { "1 motor".to_owned() } else { format!("{} motors", motors.len()) };
        format!(
            "bus `{}` feeds the drivers of {count}; the least is {} at `{}`, which needs {} and draws {}",
            plan.bus[worst.bus].name.value,
            show_volts(Volts(worst.volts.typical)),
            plan.motor[worst.motor].name.value,
            show_volts(Volts(worst.least)),
            show_amps(Amps(worst.amps)),
        )
    };
    worst_of_buses(&found).into_iter().map(line).collect()
}
