//! Motors that nothing in the plan throws.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, Harm};
use plan::driven;
use plan::tables::MotorKind;

/// Motors that a finding points at; the rest are counted.
const MOST_PLACES: usize = 8;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "motor-without-driver",
        title: "nothing in the plan throws a motor",
        text: "The motor has an address or a supply, and no driver. A motor must never lie straight across a supply: a stall \
               motor would run one way and never come back, and a solenoid would burn. Something must stand between them that \
               turns the polarity round or gives one short pulse. Until the plan says what that is, the papers have no wires \
               for the motor, and no voltage is worked out for it.\n\nFix: add a `[[driver]]` that says what it is and which \
               bus feeds it, and name its output in the motor: `driver = \"D1.1\"`. A motor that you move by hand has \
               `kind = \"hand\"`. A solenoid may be fired by the push buttons of a `[[panel]]` instead: then buttons must throw it \
               both ways.",
        drawing: r#"   points supply ──?── M1         what is it that throws M1?

   points supply ══ points bus ══ D1 ── M1"#,
        example: include_str!("examples/motor-without-driver.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, names) = (facts.plan, facts.names);
    let bare = |motor: &usize| {
        let table = &plan.motor[*motor];
        let meant = table.address.is_some() || table.supply.is_some();
        let by_hand = table.kind.as_ref().is_some_and(|k| k.value == MotorKind::Hand);
        meant && !by_hand && table.driver.is_none() && !driven::moves_turntable(plan, names, *motor)
    };
    let mut motors: Vec<usize> = (0..plan.motor.len()).filter(bare).collect();
    if !motors.is_empty() && plan.panel.iter().any(|p| !p.button.is_empty()) {
        // What the buttons of a panel fire needs no driver.
        let fired = panel::fired::fired_by_panels(plan, names, &facts.circuit, facts.ways());
        motors.retain(|m| !fired.contains(m));
    }
    let [first, others @ ..] = motors.as_slice() else { return };
    let list = words::few(motors.iter().map(|&m| format!("`{}`", plan.motor[m].name.value)));
    let place = |motor: usize| {
        let table = &plan.motor[motor];
        let address = table.address.as_ref().map(|a| a.span.clone());
        address.or_else(|| table.supply.as_ref().map(|s| s.span.clone())).unwrap_or_else(|| table.name.span.clone())
    };
    let mut told =
        Finding::warning("motor-without-driver", Harm::CanStop, format!("nothing in the plan throws {list}"))
            .at(place(*first), "thrown by what?");
    for &other in others.iter().take(MOST_PLACES) {
        told = told.also(place(other), "and this one");
    }
    let example = match plan.driver.first() {
        Some(driver) => format!("name the output that throws it, such as `driver = \"{}\"`", driver.name.value),
        None => "add a `[[driver]]`, and name its output in the motor: `driver = \"D1.1\"`".to_owned(),
    };
    found.push(told.fact("the papers have no wires to throw it with").help(example));
}
