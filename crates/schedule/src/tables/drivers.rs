//! Drivers and motors: which output throws what, what is on a motor's terminals in each position, and what it gets.

use super::{Sheets, paper, printed, significant};
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use crate::wires::ScheduledWire;
use analysis::motor_power;
use circuit::Part;
use circuit::drives::{self, Drive, State, When};
use plan::Kind;
use plan::driven::{self, Output};
use plan::tables::{DriverKind, MotorKind};

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let plan = sheets.job.facts.plan;
    let names = sheets.job.facts.names;
    let (mut blocks, mut printed) = (Vec::new(), Vec::new());
    if plan.driver.is_empty() {
        blocks.push(Block::Text("The plan has no driver.".to_owned()));
    } else {
        let words = "A motor gets its current from its driver and from nothing else: never join a motor straight to a supply. \
                     The second table says what must be on its terminals in each position; test it before the throw wire is fitted.";
        blocks.push(Block::Text(words.to_owned()));
        blocks.push(Block::Table(drivers(sheets)));
        blocks.push(Block::Heading("What is on each motor's terminals".to_owned()));
        blocks.push(Block::Table(drives(sheets)));
        printed = vec![
            Block::Text(format!("{words} {}", printed::STAR)),
            Block::Table(printed::contacts::drivers(&drivers(sheets))),
            Block::Heading("What is on each motor's terminals".to_owned()),
            Block::Table(printed::contacts::drives(&drives(sheets))),
        ];
    }
    let fired = panel::fired::fired_by_panels(plan, names, &sheets.job.facts.circuit, sheets.job.facts.ways());
    let without: Vec<&str> = (0..plan.motor.len())
        .filter(|m| !fired.contains(m))
        .filter(|&m| driven::of_motor(plan, names, m).is_none())
        .filter(|&m| driven::motor_kind(plan, names, m) != Some(MotorKind::Hand))
        .map(|m| sheets.places.name(Kind::Motor, m))
        .collect();
    if !without.is_empty() {
        let words = "These motors have no driver in the plan, so these papers have no wires for what throws them";
        let caution = Block::Caution(format!("{words}: {}.", without.join(", ")));
        blocks.push(caution.clone());
        printed.push(caution);
    }
    if printed.is_empty() {
        printed.clone_from(&blocks);
    }
    paper("drivers", "Drivers and motors", blocks).with_print(printed)
}

/// What of a row the plan does not say.
fn assumed(of: &[(bool, &str)]) -> Cell {
    let words: Vec<&str> = of.iter().filter(|w| w.0).map(|w| w.1).collect();
    if words.is_empty() { Cell::Empty } else { Cell::words(words.join(", ")) }
}

/// Whether what a motor gets depends on something that the plan does not say: a wire to it or to its driver, what it draws or
/// what else its driver draws.
fn on_assumed(sheets: &Sheets<'_>, drive: &Drive) -> bool {
    let facts = &sheets.job.facts;
    let circuit = &facts.circuit;
    let of_driver = drive.output.driver;
    let unsaid = |wire: &ScheduledWire| wire.assumed.size || wire.assumed.length || wire.assumed.measure;
    let on_way = |wire: &ScheduledWire| match wire.edges.first().map(|&edge| &circuit.edges[edge].part) {
        Some(Part::MotorWire { motor, .. }) => *motor == drive.motor,
        Some(Part::DriverFeed { driver, .. }) => *driver == of_driver,
        _ => false,
    };
    let plan = facts.plan;
    let draws = |motor: usize| {
        let same = driven::of_motor(plan, facts.names, motor).is_some_and(|output| output.driver == of_driver);
        same && (plan.motor[motor].current.is_none() || plan.motor[motor].voltage.is_none())
    };
    let own = plan.driver[of_driver].current.is_none() && plan.driver[of_driver].kind.value.has_address();
    own || (0..plan.motor.len()).any(draws) || sheets.wires.iter().any(|wire| on_way(wire) && unsaid(wire))
}

/// Every output of every driver: its address and what it throws.
pub(super) fn drivers(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "drivers",
        vec![
            TableColumn::words("driver"),
            TableColumn::short("kind"),
            TableColumn::short("output"),
            TableColumn::short("address"),
            TableColumn::words("throws"),
            TableColumn::words("power from"),
            TableColumn::number("keeps", "V"),
            TableColumn::number("holds", "V"),
            TableColumn::number("draws", "A"),
            TableColumn::short("assumed"),
            TableColumn::boxes("tested"),
        ],
    );
    let (plan, names) = (sheets.job.facts.plan, sheets.job.facts.names);
    for (driver, d) in plan.driver.iter().enumerate() {
        for output in 0..driven::outputs(plan, driver) {
            let here = Some(Output { driver, output });
            let motors: Vec<usize> =
                (0..plan.motor.len()).filter(|&m| driven::of_motor(plan, names, m) == here).collect();
            let relays = (0..plan.relay.len()).filter(|&r| driven::of_relay(plan, names, r) == here);
            let counted = d.address.as_ref().and_then(|a| a.value.checked_add(output));
            let address = motors.first().and_then(|&m| driven::address(plan, names, m).map(|a| a.value)).or(counted);
            let throws: Vec<String> = motors
                .iter()
                .map(|&m| sheets.places.name(Kind::Motor, m).to_owned())
                .chain(relays.map(|r| format!("coil of {}", sheets.places.name(Kind::Relay, r))))
                .collect();
            let amount = |value: f64| Cell::Number { value, shown: significant(value, 6) };
            let address = address.filter(|_| d.kind.value.has_address());
            table.push(
                None,
                vec![
                    Cell::words(&d.name.value),
                    Cell::words(d.kind.value.word()),
                    Cell::words((output + 1).to_string()),
                    address.map_or(Cell::Empty, |a| Cell::words(a.to_string())),
                    if throws.is_empty() { Cell::words("spare") } else { Cell::words(throws.join(", ")) },
                    Cell::words(&d.from.value),
                    amount(motor_power::kept(plan, driver).typical),
                    d.voltage.as_ref().map_or(Cell::Empty, |v| amount(handbook::quantity::Quantity::si(v.value))),
                    amount(motor_power::own_amps(plan, driver)),
                    assumed(&[
                        (d.kind.value == DriverKind::Servo && d.voltage.is_none(), "keeps"),
                        (d.current.is_none() && d.kind.value.has_address(), "draws"),
                    ]),
                    Cell::Box,
                ],
            );
        }
    }
    table
}

/// The words for when something is on terminals: `set through`.
pub(crate) fn when_words(drive: &Drive, state: &State) -> String {
    let position = |p: u8| drive.positions[usize::from(p.min(1))];
    match state.when {
        When::Rest => "at rest".to_owned(),
        When::Set(p) => format!("set {}", position(p)),
        When::Throwing(p) => format!("throwing {}", position(p)),
    }
}

/// What is on the terminals of a motor at some time: `terminal 1: +; terminal 2: -`.
pub(crate) fn level_words(drive: &Drive, state: &State) -> String {
    let on = drive.wires.iter().zip(&state.levels);
    let words = on.map(|((_, terminal), level)| format!("{}: {}", terminal.words(drive.positions), level.word()));
    words.collect::<Vec<_>>().join("; ")
}

/// Every motor that a driver throws: what is on its terminals and when.
pub(super) fn drives(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "drives",
        vec![
            TableColumn::words("motor"),
            TableColumn::short("kind"),
            TableColumn::words("driver"),
            TableColumn::words("when"),
            TableColumn::words("on its terminals"),
            TableColumn::number("gets", "V"),
            TableColumn::number("made for", "V"),
            TableColumn::number("least", "V"),
            TableColumn::number("draws", "A"),
            TableColumn::short("assumed"),
            TableColumn::boxes("tested"),
        ],
    );
    let facts = &sheets.job.facts;
    let volts = motor_power::motor_volts(facts);
    let amount = |value: f64, digits: i32| Cell::Number { value, shown: significant(value, digits) };
    for drive in drives::drives(facts.plan, facts.names) {
        let gets = volts.iter().find(|v| v.motor == drive.motor);
        let (made_for, least) = motor_power::made_for(facts.plan, &drive);
        let amps = analysis::throwing::draw(&facts.plan.motor[drive.motor], Some(drive.kind), None);
        let motor = &facts.plan.motor[drive.motor];
        for state in &drive.states {
            table.push(
                None,
                vec![
                    Cell::words(sheets.places.name(Kind::Motor, drive.motor)),
                    Cell::words(drive.kind.word()),
                    Cell::words(sheets.places.name(Kind::Driver, drive.output.driver)),
                    Cell::words(when_words(&drive, state)),
                    Cell::words(level_words(&drive, state)),
                    gets.filter(|_| state.when != When::Rest).map_or(Cell::Empty, |g| amount(g.volts.typical, 3)),
                    amount(made_for, 6),
                    amount(least, 6),
                    amount(amps.map_or(0.0, |d| motor_power::flows(&d)), 6),
                    assumed(&[
                        (on_assumed(sheets, &drive) && state.when != When::Rest, "gets"),
                        (motor.voltage.is_none(), "made for"),
                        (motor.current.is_none(), "draws"),
                    ]),
                    Cell::Box,
                ],
            );
        }
    }
    table
}
