//! A breaker that cannot be switched on with all trains on the rails.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{feeds, motor_power, throwing, words};
use electrics::mixed_fleet::{MixedFleet, Reservoir};
use finding::{Finding, Harm};
use handbook::limits::BRIDGE_VOLTS;
use handbook::quantity::{Amps, Quantity, Seconds, show_amps, show_seconds};
use plan::driven;
use plan::tables::{MotorKind, SupplyKind, Train};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "switch-on-trips",
        title: "the trains' reservoirs trip the breaker at switch-on",
        text: "Decoders with a reservoir fill it when power comes on. All trains on the rails fill theirs at the same \
               moment, and for a while they draw more than the breaker allows. It opens, tries again, opens again: as if \
               there were a short, and none is to be found.\n\nTold for each supply that has a trip current and a delay, \
               if all trains of the plan stand on its rails; `reservoir` and `charging` of a train say what is to be \
               filled and through what. The currents of all trains, alike or not, are summed up exactly; the inductance of the \
               wiring is left out.\n\nFix: a longer delay, more charging resistance, \
               sub-breakers that are switched on one after the other, or fewer trains at once.",
        drawing: r#"   A │ ╲                     switch-on: all reservoirs empty
     │──╲─────────── trip
     │    ╲__
     └──────────────── t     above it for longer than the breaker waits"#,
        example: include_str!("examples/switch-on-trips.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    drivers(facts, found);
    let plan = facts.plan;
    let filling = |t: &&Train| t.draws.as_ref().is_some_and(|d| d.value.reservoir.is_some());
    let trains: Vec<&Train> = plan.train.iter().filter(filling).collect();
    let Some(first) = trains.first() else { return };
    let draws = |t: &Train, of: fn(&plan::tables::TrainDraws) -> Option<f64>| {
        t.draws.as_ref().and_then(|d| of(&d.value)).unwrap_or(0.0)
    };
    let standing = |t: &Train| draws(t, |d| d.standing.as_ref().map(|a| a.value.si()));
    let reservoir = |t: &&Train| Reservoir {
        farads: draws(t, |d| d.reservoir.as_ref().map(|f| f.value.si())),
        ohms: draws(t, |d| d.charging.as_ref().map(|r| r.value.si())).max(1e-3),
    };
    let mut reservoirs: Vec<Reservoir> = trains.iter().map(reservoir).filter(|r| r.farads > 0.0).collect();
    // Those that take least come first.
    reservoirs.sort_by(|a, b| a.farads.total_cmp(&b.farads).then(b.ohms.total_cmp(&a.ohms)));
    let steady_amps: f64 = plan.train.iter().map(standing).sum();
    for breaker in &facts.circuit.breakers {
        let supply = &plan.supply[breaker.supply];
        if !matches!(supply.kind.as_ref().map(|k| k.value), None | Some(SupplyKind::Booster | SupplyKind::SubBreaker)) {
            continue;
        }
        let Some(trips) = &supply.trips else { continue };
        let Some(after) = &trips.value.after else { continue };
        let (trip, delay) = (trips.value.at.value.si(), after.value.si());
        let loop_ohms = feeds::inside_ohms(facts, breaker);
        let volts = facts.circuit.sources[breaker.source].volts;
        let with = |trains: usize| {
            let reservoirs = reservoirs[..trains].to_vec();
            let filling_volts = volts - BRIDGE_VOLTS.value.si() - loop_ohms * steady_amps;
            MixedFleet { reservoirs, filling_volts, loop_ohms, steady_amps }.switch_on(trip, delay)
        };
        let start = with(reservoirs.len());
        if !start.trips {
            continue;
        }
        let mut finding = Finding::warning(
            "switch-on-trips",
            Harm::CanStop,
            format!(
                "`{}` trips when it is switched on with all {} trains on its rails",
                supply.name.value,
                trains.len()
            ),
        )
        .at(trips.value.at.span.clone(), format!("it opens after {}", show_seconds(after.value)))
        .also(first.name.span.clone(), "a train with a reservoir")
        .fact(format!(
            "they draw {} at first, and above {} for {}",
            show_amps(Amps(start.first_amps)),
            show_amps(Amps(trip)),
            show_seconds(Seconds(start.above_seconds))
        ));
        let holds = (1..reservoirs.len()).take_while(|&n| !with(n).trips).last();
        finding = finding.fact(match holds {
            None => "even one of them alone trips it".to_owned(),
            Some(n) => format!("at most {n} can be switched on at once, those with the smallest reservoirs"),
        });
        let names = trains.iter().map(|t| t.name.value.clone());
        finding = finding.fact(format!("with a reservoir: {}", words::few(names)));
        found.push(
            finding.help("sub-breakers switched on one after the other, more charging resistance, or a longer delay"),
        );
    }
}

/// A supply that feeds drivers gives all its stall motors, and all its servos, their current at once when it is switched on.
fn drivers(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, names) = (facts.plan, facts.names);
    for (supply, motors) in throwing::by_supply(plan, names) {
        let table = &plan.supply[supply];
        let Some(trips) = &table.trips else { continue };
        let own: f64 = (0..plan.driver.len())
            .filter(|&d| driven::supply_of_driver(plan, names, d) == Some(supply))
            .map(|d| motor_power::own_amps(plan, d))
            .sum();
        let held = |m: &&(usize, throwing::Draw)| driven::motor_kind(plan, names, m.0) != Some(MotorKind::Solenoid);
        let held: Vec<_> = motors.iter().filter(held).collect();
        let amps = own + held.iter().map(|m| motor_power::flows(&m.1)).sum::<f64>();
        let any = held.iter().any(|m| driven::of_motor(plan, names, m.0).is_some());
        if !any || amps <= trips.value.at.value.si() {
            continue;
        }
        found.push(
            Finding::warning(
                "switch-on-trips",
                Harm::CanStop,
                format!(
                    "`{}` trips when it is switched on: its drivers and {} draw {} at once",
                    table.name.value,
                    if held.len() == 1 { "1 motor".to_owned() } else { format!("{} motors", held.len()) },
                    show_amps(Amps(amps))
                ),
            )
            .at(trips.value.at.span.clone(), "it opens at this")
            .fact(
                "stall motors draw all the time, and servos all move when they get power (common practice, no source)",
            )
            .help("a larger supply, or some of the motors on another one"),
        );
    }
}
