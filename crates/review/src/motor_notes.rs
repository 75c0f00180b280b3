//! What to know of the buses that feed drivers: one line each, the worst motor.

use crate::context::Context;
use analysis::motor_power::{MotorVolts, motor_volts, worst_of_buses};
use handbook::quantity::{Volts, show_volts};

/// Volts that are one.
const SAME_VOLTS: f64 = 1e-3;

/// Of each bus that feeds drivers the motor that is furthest from what it needs, with all that can be on at once.
pub(crate) fn notes(facts: &Context<'_>) -> Vec<String> {
    let plan = facts.plan;
    let found = motor_volts(facts);
    let line = |worst: &MotorVolts| {
        let motors: Vec<&MotorVolts> = found.iter().filter(|m| m.bus == worst.bus).collect();
        let count = if motors.len() == 1 { "1 motor".to_owned() } else { format!("{} motors", motors.len()) };
        // Of several that get the same none is named: which of them comes first in the plan is nothing to know.
        let same =
            |m: &&&MotorVolts| (m.volts.typical - worst.volts.typical).abs() < SAME_VOLTS && m.least == worst.least;
        let at = match motors.iter().filter(same).count() {
            1 => format!("`{}`, which needs", plan.motor[worst.motor].name.value),
            many if many == motors.len() => "each of them, and each needs".to_owned(),
            many => format!("{many} of them, which need"),
        };
        format!(
            "bus `{}` feeds the drivers of {count}; the lowest voltage is {} at {at} {}",
            plan.bus[worst.bus].name.value,
            show_volts(Volts(worst.volts.typical)),
            show_volts(Volts(worst.least)),
        )
    };
    worst_of_buses(&found).into_iter().map(line).collect()
}
