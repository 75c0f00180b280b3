//! Motors that ask more of their supply than it gives.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{motor_power, throwing, words};
use finding::{Finding, Harm};
use handbook::quantity::{Amps, show_amps};
use plan::driven;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "motors-overload-supply",
        title: "motors ask more of their supply than it gives",
        text: "A stall motor draws its current for good, moving or not: twenty of them on one small supply are a load of \
               their own. A servo draws much more while it moves, a solenoid several amperes for a moment. A supply that \
               cannot give it drops its voltage, and turnouts stay half thrown; or a motor never moves at all. From a \
               discharge unit a solenoid takes energy: what the capacitor holds (½·C·V²) must be enough for one throw at \
               least (V·I·t).\n\nCurrents are the plan's (`current` and `pulse` of the motor) or the trade's usual ones \
               (common practice, no source). How many may be thrown at once on a way is told by `gapwright routes`.\n\n\
               Fix: a larger supply or a larger capacitor, or some of the motors on another one.",
        drawing: r#"   supply 0.5 A ──┬── M1  17 mA for good
                  ├── M2  17 mA for good
                  ⋮
                  └── M40                  together 0.7 A"#,
        example: include_str!("examples/motors-overload-supply.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    for (supply, motors) in throwing::by_supply(plan, facts.names) {
        let table = &plan.supply[supply];
        let gives = throwing::gives(table);
        let name = &table.name.value;
        let motor = |index: usize| &plan.motor[index].name;
        let drivers =
            (0..plan.driver.len()).filter(|&d| driven::supply_of_driver(plan, facts.names, d) == Some(supply));
        let drivers: f64 = drivers.map(|d| motor_power::own_amps(plan, d)).sum();
        let stall: f64 = motors.iter().map(|m| m.1.always).sum();
        let always = stall + drivers;
        let guessed = motors.iter().any(|m| !m.1.said);
        let mut tell = |finding: Finding, help: &str| {
            let finding = if guessed {
                finding.fact("where the plan says no current, the usual one was assumed")
            } else {
                finding
            };
            found.push(finding.help(help));
        };
        if let Some((held, _)) = gives.discharge {
            let hungry: Vec<_> = motors.iter().filter(|m| m.1.joules > held).collect();
            if let Some(most) = hungry.iter().max_by(|a, b| a.1.joules.total_cmp(&b.1.joules)) {
                let message = format!(
                    "the discharge unit of `{name}` holds {held:.1} J; a throw of `{}` takes {:.1} J",
                    motor(most.0).value,
                    most.1.joules
                );
                let unit = table.discharge.as_ref().map_or(table.name.span.clone(), |d| d.span.clone());
                let finding = Finding::warning("motors-overload-supply", Harm::CanStop, message)
                    .at(unit, "too little for one throw")
                    .also(motor(most.0).span.clone(), "what it must throw")
                    .fact(format!("too much for it: {}", words::few(hungry.iter().map(|m| motor(m.0).value.clone()))));
                tell(finding, "a larger capacitor or a higher voltage");
            }
            continue;
        }
        let Some(amps) = gives.amps else { continue };
        let most = motors.iter().max_by(|a, b| a.1.moving.total_cmp(&b.1.moving));
        let moving = most.map_or(0.0, |m| m.1.moving);
        if always + moving <= amps {
            continue;
        }
        let message = match most.filter(|m| m.1.moving > 0.0) {
            Some(most) => format!(
                "a throw of `{}` brings `{name}` to {}, and it gives {}",
                motor(most.0).value,
                show_amps(Amps(always + moving)),
                show_amps(Amps(amps))
            ),
            None => format!(
                "the stall motors on `{name}` draw {} for good, and it gives {}",
                show_amps(Amps(always)),
                show_amps(Amps(amps))
            ),
        };
        let rating = table.rating.as_ref().map_or(table.name.span.clone(), |r| r.span.clone());
        let mut finding =
            Finding::warning("motors-overload-supply", Harm::CanStop, message).at(rating, "what it gives");
        if let Some(most) = most.filter(|m| m.1.moving > 0.0) {
            finding = finding.also(motor(most.0).span.clone(), "what it must throw");
        }
        if drivers > 0.0 {
            finding = finding.fact(format!("drivers draw {} of it themselves", show_amps(Amps(drivers))));
        }
        if stall > 0.0 {
            let count = motors.iter().filter(|m| m.1.always > 0.0).count();
            finding = finding.fact(format!("{count} stall motors draw {} of it for good", show_amps(Amps(stall))));
        }
        tell(finding, "a larger supply, or some of the motors on another one");
    }
}
