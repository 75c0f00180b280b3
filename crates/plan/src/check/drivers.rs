//! Drivers: what feeds them, what they can throw, and which motor hangs on which of their outputs.

use super::{Check, unclear};
use crate::driven::{self, Output};
use crate::names::Kind;
use crate::tables::{Driver, DriverKind, Motor, MotorKind, SupplyKind};
use crate::value::At;
use std::collections::BTreeMap;

impl Check<'_, '_> {
    pub(super) fn drivers(&mut self) {
        let plan = self.plan;
        for (index, driver) in plan.driver.iter().enumerate() {
            let found = self.names.bus_place(&driver.from.value);
            if let Some((bus, at)) = self.resolve(&driver.from, found) {
                self.on_bus(bus, at, &driver.from);
            }
            if let Some(text) = &driver.commands {
                let found = self.names.bus_place(&text.value);
                if let Some((bus, at)) = self.resolve(text, found) {
                    self.on_bus(bus, at, text);
                }
            }
            if let Some(text) = &driver.beside {
                let found = self.names.rail_place(&text.value);
                if let Some(place) = self.resolve(text, found) {
                    let track = &plan.track[place.track];
                    let at = At { value: place.at, span: text.span.clone() };
                    self.on_track(&at, track.length.value.0, &track.name.value);
                }
            }
            self.driver_kind(index, driver);
        }
        let mut taken: BTreeMap<Output, usize> = BTreeMap::new();
        for (index, motor) in plan.motor.iter().enumerate() {
            let Some(text) = &motor.driver else { continue };
            let found = self.names.output(plan, &text.value);
            let Some(output) = self.resolve(text, found) else { continue };
            self.throws(motor, text, output);
            self.motor_supply(motor, text, output);
            if driven::moves_turntable(plan, self.names, index) {
                self.reader.tell(
                    unclear("contradiction", "a turntable has more positions than a driver's output gives")
                        .at(text.span.clone(), "two positions")
                        .help("leave out `driver` here"),
                );
            }
            match taken.get(&output) {
                Some(&first) => self.shared(first, index, text, output),
                None => {
                    taken.insert(output, index);
                }
            }
        }
        self.addresses_counted(&taken);
        for relay in 0..plan.relay.len() {
            self.coil(relay, &taken);
        }
    }

    /// What a driver says against what it is.
    fn driver_kind(&mut self, index: usize, driver: &Driver) {
        let (plan, kind) = (self.plan, driver.kind.value);
        let mut tell = |at: std::ops::Range<usize>, message: String, label: &str, help: &str| {
            self.reader.tell(unclear("contradiction", message).at(at, label).help(help));
        };
        let what = kind.word();
        if kind.has_address() {
            if let Some(follows) = &driver.follows {
                let message = format!("a {what} driver follows its address, not a toggle");
                tell(
                    follows.span.clone(),
                    message,
                    "follows this",
                    "leave out `follows`, or write `kind = \"switch\"`",
                );
            }
        } else {
            for (key, span) in [
                ("address", driver.address.as_ref().map(|a| a.span.clone())),
                ("commands", driver.commands.as_ref().map(|a| a.span.clone())),
            ] {
                if let Some(span) = span {
                    let message = format!("a {what} is thrown by hand; it listens to no address");
                    tell(
                        span,
                        message,
                        "nothing hears this",
                        &format!("leave out `{key}`, or write `kind = \"decoder\"`"),
                    );
                }
            }
        }
        let supply = driven::supply_of_driver(plan, self.names, index);
        let Some(supply) = supply.map(|s| &plan.supply[s]) else { return };
        let direct = matches!(supply.kind.as_ref().map(|k| k.value), Some(SupplyKind::Accessory | SupplyKind::Dc));
        if !kind.has_address() && !direct {
            let message = format!("`{}` gives the track signal, and a {what} passes it on as it is", supply.name.value);
            let help =
                "feed it from a bus of a supply with `kind = \"dc\"`; a stall motor only hums on the track signal";
            tell(driver.from.span.clone(), message, "fed from here", help);
        }
        if kind == DriverKind::SplitSwitch && direct && supply.middle.as_ref().is_none_or(|m| !m.value) {
            let message =
                format!("a split switch needs the middle of its supply, and `{}` has none", supply.name.value);
            let help = "add `middle = true` to the supply if it has that terminal, else write `kind = \"switch\"`";
            tell(driver.from.span.clone(), message, "fed from here", help);
        }
        if let Some(text) = &driver.follows
            && !kind.has_address()
        {
            let found = self.names.of_kind(&text.value, &[Kind::Toggle]);
            self.resolve(text, found);
        }
    }

    /// A motor must be one that its driver can throw.
    fn throws(&mut self, motor: &Motor, text: &At<String>, output: Output) {
        let plan = self.plan;
        let Some(kind) = &motor.kind else { return };
        let driver = &plan.driver[output.driver];
        let can = driven::throws(driver.kind.value);
        if kind.value == can {
            return;
        }
        let (name, driver_name) = (&motor.name.value, &driver.name.value);
        let (message, help) = match (kind.value, can) {
            (MotorKind::Hand, _) => (
                format!("`{name}` is thrown by hand; no driver throws it"),
                "leave out `driver`, or say what kind of motor it is".to_owned(),
            ),
            (MotorKind::Solenoid, MotorKind::Stall) => (
                format!("`{driver_name}` would keep a coil of `{name}` on: the solenoid can burn"),
                "a solenoid needs a driver with `kind = \"pulse\"`".to_owned(),
            ),
            (MotorKind::Stall, MotorKind::Solenoid) => (
                format!("`{driver_name}` gives pulses, and the stall motor `{name}` needs steady current"),
                "a stall motor needs a driver with `kind = \"decoder\"` or `\"switch\"`".to_owned(),
            ),
            (MotorKind::Servo, _) => (
                format!("the servo `{name}` needs a signal, and `{driver_name}` gives none"),
                "a servo needs a driver with `kind = \"servo\"`".to_owned(),
            ),
            _ => (
                format!("`{driver_name}` throws servos, and `{name}` is none"),
                "a stall motor needs a `decoder` or a `switch`, a solenoid a `pulse` driver".to_owned(),
            ),
        };
        self.reader.tell(
            unclear("motor-misfit", message)
                .at(text.span.clone(), format!("a {} driver", driver.kind.value.word()))
                .also(kind.span.clone(), format!("a {} motor", kind.value.word()))
                .help(help),
        );
    }

    fn motor_supply(&mut self, motor: &Motor, text: &At<String>, output: Output) {
        let names = self.names;
        let Some(said) = &motor.supply else { return };
        let Ok((_, own)) = names.of_kind(&said.value, &[Kind::Supply]) else { return };
        let Some(of_driver) = driven::supply_of_driver(self.plan, names, output.driver) else { return };
        if own != of_driver {
            let fed = &self.plan.supply[of_driver].name.value;
            self.reader.tell(
                unclear(
                    "contradiction",
                    format!("`{}` has its power from its driver, so from `{fed}`", motor.name.value),
                )
                .at(said.span.clone(), "another supply")
                .also(text.span.clone(), "its driver")
                .help("leave out `supply`"),
            );
        }
    }

    /// Two motors on one output: stall motors only, and by one address.
    fn shared(&mut self, first: usize, second: usize, text: &At<String>, output: Output) {
        let plan = self.plan;
        let names = self.names;
        let [one, other] = [first, second].map(|m| &plan.motor[m]);
        let place = one.driver.as_ref().map_or(one.name.span.clone(), |d| d.span.clone());
        let kind = plan.driver[output.driver].kind.value;
        if driven::throws(kind) != MotorKind::Stall {
            let words = driven::output_words(plan, output);
            self.reader.tell(
                unclear("contradiction", format!("two motors share the output `{words}`, and only stall motors can"))
                    .at(text.span.clone(), "the second one")
                    .also(place, "the first one")
                    .help("give each an output of its own"),
            );
            return;
        }
        if driven::is_reversed(plan, first) != driven::is_reversed(plan, second) {
            self.reader.tell(
                unclear(
                    "contradiction",
                    format!("`{}` and `{}` share an output, and one is reversed", one.name.value, other.name.value),
                )
                .at(text.span.clone(), "the second one")
                .also(place.clone(), "the first one")
                .help("give each an output of its own"),
            );
        }
        let [of_one, of_other] = [first, second].map(|m| driven::address(plan, names, m));
        if let (Some(of_one), Some(of_other)) = (of_one, of_other)
            && of_one.value != of_other.value
        {
            let message = format!(
                "`{}` and `{}` share an output, and their addresses are {} and {}",
                one.name.value, other.name.value, of_one.value, of_other.value
            );
            self.reader.tell(
                unclear("contradiction", message)
                    .at(of_other.span, "this one")
                    .also(of_one.span, "and this one")
                    .help("what shares an output is thrown by one address"),
            );
        }
    }

    /// An output by an address of its own must not have that of another output of its driver; a switch has none.
    fn addresses_counted(&mut self, taken: &BTreeMap<Output, usize>) {
        let plan = self.plan;
        for (&output, &motor) in taken {
            let driver = &plan.driver[output.driver];
            let Some(own) = &plan.motor[motor].address else { continue };
            if !driver.kind.value.has_address() {
                self.reader.tell(
                    unclear("contradiction", format!("`{}` is a switch; it listens to no address", driver.name.value))
                        .at(own.span.clone(), "nothing hears this")
                        .help("leave out `address`, or write `kind = \"decoder\"` in the driver"),
                );
                continue;
            }
            let Some(first) = &driver.address else { continue };
            let at = own.value.checked_sub(first.value).filter(|n| *n < driven::outputs(plan, output.driver));
            let Some(other) = at.filter(|n| *n != output.output) else { continue };
            let other = Output { output: other, ..output };
            let Some(second) = taken.get(&other).filter(|m| plan.motor[**m].address.is_none()) else { continue };
            let (words, name) = (driven::output_words(plan, other), &plan.motor[*second].name.value);
            self.reader.tell(
                unclear(
                    "contradiction",
                    format!("address {} is that of output `{words}`, which throws `{name}`", own.value),
                )
                .at(own.span.clone(), "another output's")
                .also(first.span.clone(), "counted from here")
                .help("leave out the motor's `address`, or give the other motor its own too"),
            );
        }
    }

    /// A relay's coil lies across the output of what it follows.
    fn coil(&mut self, relay: usize, taken: &BTreeMap<Output, usize>) {
        let plan = self.plan;
        self.coil_over_a_contact(relay);
        let relay = &plan.relay[relay];
        let Some(text) = &relay.driver else { return };
        let found = self.names.output(plan, &text.value);
        let Some(output) = self.resolve(text, found) else { return };
        let driver = &plan.driver[output.driver];
        if driven::throws(driver.kind.value) != MotorKind::Stall {
            let message = format!("a relay needs steady current, and `{}` gives none", driver.name.value);
            self.reader.tell(
                unclear("motor-misfit", message)
                    .at(text.span.clone(), format!("a {} driver", driver.kind.value.word()))
                    .help("put the coil across an output of a `decoder` or a `switch`"),
            );
            return;
        }
        let leader = self.names.get(&relay.follows.value).and_then(|l| driven::leader(plan, self.names, l));
        let follows = match leader {
            // What its own driver is has been told where that is not known.
            Some((Kind::Motor, motor)) => {
                match (&plan.motor[motor].driver, driven::of_motor(plan, self.names, motor)) {
                    (Some(_), None) => return,
                    (_, output) => output,
                }
            }
            Some((Kind::Toggle, toggle)) => {
                let name = &plan.toggle[toggle].name.value;
                let same = driver.follows.as_ref().is_some_and(|f| f.value == *name);
                same.then_some(output)
            }
            _ => return,
        };
        if follows != Some(output) {
            let (words, leader) = (driven::output_words(plan, output), &relay.follows.value);
            let help = match taken.get(&output) {
                Some(&motor) => format!(
                    "`{words}` throws `{}`; name the output that throws `{leader}`",
                    plan.motor[motor].name.value
                ),
                None => format!("name the output that throws `{leader}`, or a switch that follows it"),
            };
            self.reader.tell(
                unclear("contradiction", format!("the relay follows `{leader}`, and `{words}` does not"))
                    .at(text.span.clone(), "another output")
                    .also(relay.follows.span.clone(), "what it follows")
                    .help(help),
            );
        }
    }
}
