//! Hot tests of motors: each thrown both ways, with what must be on its terminals, where its blades lie and what its contacts
//! join.

use crate::hot_words::{Hot, thing, watch};
use crate::test::{Test, Topic};
use analysis::motor_power::{MotorVolts, motor_volts};
use circuit::drives::{self, Drive, Level, When};
use handbook::quantity::{Volts, show_volts};
use plan::tables::MotorKind;
use plan::{Kind, driven};

impl Hot<'_, '_> {
    /// Each motor set to each of its positions.
    pub(crate) fn motors(&self) -> Vec<Test> {
        let facts = &self.job.facts;
        let volts = motor_volts(facts);
        let motors = 0..facts.plan.motor.len();
        motors
            .flat_map(|motor| match drives::drive(facts.plan, facts.names, motor) {
                Some(drive) => {
                    let gets = volts.iter().find(|v| v.motor == motor);
                    (0..2).map(|position| self.thrown(&drive, position, gets)).collect()
                }
                None => vec![self.moved(motor)],
            })
            .collect()
    }

    fn by(&self, motor: usize) -> String {
        let facts = &self.job.facts;
        let address = driven::address(facts.plan, facts.names, motor);
        address.map_or_else(String::new, |a| format!(", address {}", a.value))
    }

    fn what(&self, motor: usize) -> String {
        let moves = &self.job.facts.plan.motor[motor].moves.0;
        moves.iter().map(|m| m.value.as_str()).collect::<Vec<_>>().join(" and ")
    }

    /// A motor of which the plan does not say what throws it.
    fn moved(&self, motor: usize) -> Test {
        let name = &self.job.facts.plan.motor[motor].name.value;
        let test = watch(
            Topic::Motor,
            format!("hot motor {name}"),
            format!("{name}{}, set to each position", self.by(motor)),
            format!("{} goes where it is set, and lies tight", self.what(motor)),
        );
        Test { on: vec![thing((Kind::Motor, motor), "")], ..test }
    }

    /// A motor set to one of its positions by its driver.
    fn thrown(&self, drive: &Drive, position: u8, gets: Option<&MotorVolts>) -> Test {
        let plan = self.job.facts.plan;
        let motor = &plan.motor[drive.motor];
        let (name, word) = (&motor.name.value, drive.positions[usize::from(position)]);
        let output = driven::output_words(plan, drive.output);
        let mut due = vec![format!("{} lies tight, set {word}", self.what(drive.motor))];
        let on = drive.states.iter().find(|s| s.when == When::Set(position));
        let signs = on.into_iter().flat_map(|s| drive.wires.iter().zip(&s.levels));
        let signs: Vec<String> = signs
            .filter(|(_, level)| matches!(level, Level::Plus | Level::Minus))
            .map(|((_, terminal), level)| format!("{} is {}", terminal.words(drive.positions), level.word()))
            .collect();
        if !signs.is_empty() {
            let about = gets.map_or_else(String::new, |g| format!(", about {}", show_volts(rounded(g.volts.typical))));
            due.push(format!("{}{about}", signs.join(" and ")));
        }
        if drive.kind == MotorKind::Solenoid {
            due.push("afterwards neither coil has any voltage on it".to_owned());
        }
        let contacts: Vec<String> =
            (1..=motor.contact.iter().count()).map(|number| format!("{name}.{number}")).collect();
        match contacts.as_slice() {
            [] => {}
            [one] => due.push(format!("contact {one} joins common and {word}")),
            several => due.push(format!("contacts {} join common and {word}", several.join(", "))),
        }
        let mut test = watch(
            Topic::Motor,
            format!("hot motor {name} {word}"),
            format!("{name}, driver {output}{}, set {word}", self.by(drive.motor)),
            due.join("; "),
        );
        test.proves = self.inside(&self.breakers_above(drive.motor));
        // A wye turnout's positions are told apart as others are, whatever they are called.
        test.on = vec![thing((Kind::Motor, drive.motor), &position.to_string())];
        test
    }

    /// The breakers that a motor's power comes through, its supply's own first.
    fn breakers_above(&self, motor: usize) -> Vec<usize> {
        let facts = &self.job.facts;
        let breakers = &facts.circuit.breakers;
        let supply = driven::supply_of_motor(facts.plan, facts.names, motor).map(|found| found.0);
        let own = supply.and_then(|supply| breakers.iter().position(|b| b.supply == supply));
        std::iter::successors(own, |&b| breakers[b].behind).take(breakers.len()).collect()
    }
}

/// Volts as a meter's reader takes them: to a half.
fn rounded(volts: f64) -> Volts {
    Volts((volts * 2.0).round() / 2.0)
}
