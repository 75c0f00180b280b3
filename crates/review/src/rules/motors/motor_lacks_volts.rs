//! Motors that get too little of their voltage, or too much.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::motor_power::{MotorVolts, motor_volts, rated};
use analysis::words;
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Fraction, Volts, show_amps, show_percent, show_volts};
use plan::driven;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "motor-lacks-volts",
        title: "a motor gets less than it needs to throw",
        text: "The bus, its taps, the driver and the wires behind it all take some of the voltage. What is left at the motor \
               is too little: a stall motor creeps or stops half way, a solenoid only twitches, a servo trembles. The voltage \
               is worked out with everything on that bus that can be on at once: all stall motors, all servos moving, and \
               one solenoid.\n\nA motor is taken to need a share of the voltage it is made for: half for a stall motor, 70 % \
               for a solenoid, 90 % for a servo (common practice, no source). `voltage` in the motor says what it is made \
               for.\n\nFix: a thicker or shorter bus, a supply with more volts, a driver nearer to its motors, or fewer \
               motors on one bus.",
        drawing: r#"   12 V ══ long thin bus ══ D1 ── 4 V left ── M1"#,
        example: include_str!("examples/motor-lacks-volts.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, names) = (facts.plan, facts.names);
    let all = motor_volts(facts);
    let mut low: Vec<&MotorVolts> = all.iter().filter(|m| m.volts.typical < m.least).collect();
    low.sort_by(|a, b| (a.volts.typical / a.least).total_cmp(&(b.volts.typical / b.least)));
    // One finding a bus: what is cured for the worst mostly is for all.
    let mut told_of = std::collections::BTreeSet::new();
    for worst in &low {
        if !told_of.insert(worst.bus) {
            continue;
        }
        let motor = &plan.motor[worst.motor];
        let gets = worst.volts.typical.max(0.0);
        let (bus, driver) = (&plan.bus[worst.bus], &plan.driver[worst.driver]);
        let message = format!(
            "`{}` gets {} of the {} it is made for, through bus `{}`",
            motor.name.value,
            show_volts(Volts(gets)),
            show_volts(Volts(worst.made_for)),
            bus.name.value
        );
        let mut told = Finding::warning("motor-lacks-volts", Harm::CanStop, message)
            .at(motor.name.span.clone(), "too little to throw it")
            .also(driver.from.span.clone(), "where its driver takes its power");
        if let Some((_, share)) = driven::motor_kind(plan, names, worst.motor).and_then(rated) {
            told = told.fact(format!(
                "it needs {}, {} of its voltage ({}); it draws {}",
                show_volts(Volts(worst.least)),
                show_percent(Fraction(share.value.0)),
                share.source,
                show_amps(Amps(worst.amps))
            ));
        }
        let others: Vec<String> = low
            .iter()
            .filter(|m| m.bus == worst.bus && m.motor != worst.motor)
            .map(|m| format!("`{}`", plan.motor[m.motor].name.value))
            .collect();
        if !others.is_empty() {
            told = told.fact(format!("also on this bus: {}", words::few(others.into_iter())));
        }
        found.push(told.help("a thicker or shorter bus, more volts, or a driver nearer to its supply"));
    }
}
