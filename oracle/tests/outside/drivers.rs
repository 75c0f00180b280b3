//! Motors thrown from the papers alone: the wire list, the tables of drivers and the supplies are read as text, made into a
//! circuit and energised in a general circuit simulator (ngspice). Each motor is the resistance that draws its current at the
//! voltage it is made for; each driver is a source that its state table switches.
//!
//! Plans grown at random, with drivers and accessory buses, go the same way, and the cut lengths of their wire lists are held
//! against the way each wire must go by a reading of plans in another language (`reading/cuts.py`). `GAPWRIGHT_GROWN=500` grows
//! so many.

use crate::deck::Deck;
use crate::enumeration::require;
use crate::simulator::ignored;
use libtest_mimic::{Failed, Trial};
use oracle::demos;
use schedule::csv::table_csv;
use schedule::drives_back::{ReadDriver, ReadMotor, ReadState, read_drivers, read_motors};
use schedule::read_back::{ReadBack, Texts, read_back};
use schedule::tables::{circuit_tables, driver_tables, papers};
use schedule::{Choices, Job};
use std::collections::BTreeMap;
use text::csv::Columns;

/// A plan with one motor of each kind.
const EVERY_KIND: &str = include_str!("../../../crates/schedule/tests/it/common/every_driver.toml");
/// Volts that count as none: what a thousand megohms let through.
const NONE: f64 = 0.01;

pub fn trials() -> Vec<Trial> {
    let ignored = ignored();
    let both = ignored || crate::reading::ignored();
    vec![
        Trial::test("drivers::every_motor_is_thrown_both_ways_from_the_papers", thrown).with_ignored_flag(ignored),
        Trial::test("drivers::exchanged_and_missing_wires_are_noticed", wrong).with_ignored_flag(ignored),
        Trial::test("drivers::grown_plans_from_the_papers", || grown_plans(count(GROWN[0]))).with_ignored_flag(both),
        Trial::test("drivers::many_grown_plans_from_the_papers", || grown_plans(count(GROWN[1])))
            .with_ignored_flag(true),
    ]
}

/// What the papers say, as text.
#[derive(Clone)]
pub(crate) struct Papers {
    tables: [String; 6],
    drivers: String,
    drives: String,
    districts: String,
    addresses: String,
    units: schedule::Units,
}

pub(crate) fn printed(text: &str) -> Result<Papers, Failed> {
    let demo = oracle::demo("plan", text.to_owned())?;
    let facts = analysis::Analysis::of(&demo.text, &demo.reading.plan, &demo.reading.names);
    let job = Job::new(facts, Choices::default());
    let [drivers, drives] = driver_tables(&job).map(|table| table_csv(&table));
    let all = papers(&job);
    let table = |name: &str| all.iter().flat_map(|p| p.tables()).find(|t| t.name == name).map(table_csv);
    let districts = table("districts").ok_or("no districts")?;
    let addresses = table("addresses").ok_or("no addresses")?;
    let tables = circuit_tables(&job).map(|table| table_csv(&table));
    Ok(Papers { tables, drivers, drives, districts, addresses, units: job.choices.units })
}

/// A layout as a reader of the papers knows it.
pub(crate) struct Layout {
    pub(crate) back: ReadBack,
    drivers: Vec<ReadDriver>,
    pub(crate) motors: Vec<ReadMotor>,
    /// What each supply gives, volts.
    gives: BTreeMap<String, f64>,
    /// For each motor and position the output of its address that sets it.
    sets: BTreeMap<(String, String), String>,
}

pub(crate) fn layout(papers: &Papers) -> Result<Layout, Failed> {
    let [wires, gaps, joints, rails, contacts, sources] = &papers.tables;
    let texts = Texts { wires, gaps, joints, rails, contacts, sources };
    let back = read_back(&texts, papers.units).map_err(|e| e.to_string())?;
    let drivers = read_drivers(&papers.drivers).map_err(|e| e.to_string())?;
    let motors = read_motors(&papers.drives).map_err(|e| e.to_string())?;
    let mut gives = BTreeMap::new();
    let columns = Columns::read(&papers.districts).map_err(|e| e.to_string())?;
    for row in columns.rows() {
        let supply = row.cell("supply").map_err(|e| e.to_string())?.to_owned();
        if let Some(volts) = row.number("gives").map_err(|e| e.to_string())? {
            gives.insert(supply, volts);
        }
    }
    let mut sets = BTreeMap::new();
    let mut motor = String::new();
    for row in Columns::read(&papers.addresses).map_err(|e| e.to_string())?.rows() {
        let cell = |title: &str| row.cell(title).map(str::to_owned).map_err(|e| e.to_string());
        // The second position of a motor stands below its first, without its name.
        motor = Some(cell("motor")?).filter(|name| !name.is_empty()).unwrap_or(motor);
        sets.insert((motor.clone(), cell("position")?), cell("output")?);
    }
    Ok(Layout { back, drivers, motors, gives, sets })
}

/// The circuit with each motor in one of its states and a train that draws 1 A between two places; volts at every terminal.
pub(crate) fn energised_under(
    layout: &Layout,
    states: &BTreeMap<&str, &ReadState>,
    train: Option<[&str; 2]>,
) -> Result<BTreeMap<String, f64>, Failed> {
    energised(layout, states, &str::is_empty, train, &[])?.run()
}

/// The same with the contacts closed for which that is so, and something that resists between places.
pub(crate) fn energised_with(
    layout: &Layout,
    states: &BTreeMap<&str, &ReadState>,
    closed: &dyn Fn(&str) -> bool,
    loads: &[(&str, &str, f64)],
) -> Result<BTreeMap<String, f64>, Failed> {
    energised(layout, states, closed, None, loads)?.run()
}

/// The circuit with each motor in one of its states.
fn energised(
    layout: &Layout,
    states: &BTreeMap<&str, &ReadState>,
    closed: &dyn Fn(&str) -> bool,
    train: Option<[&str; 2]>,
    loads: &[(&str, &str, f64)],
) -> Result<Deck, Failed> {
    let mut deck = Deck::default();
    loads.iter().for_each(|&(one, other, ohms)| deck.ohms([one, other], ohms));
    let mut starts: BTreeMap<String, String> = BTreeMap::new();
    for edge in layout.back.edges.iter().filter(|e| closed(&e.when)) {
        let ends = [edge.ends[0].as_str(), edge.ends[1].as_str()];
        if edge.keeps > 0.0 {
            deck.diodes(ends, edge.ohms, edge.keeps)
        } else {
            deck.ohms(ends, edge.ohms)
        }
        starts.insert(edge.ends[1].clone(), edge.ends[0].clone());
    }
    for (supply, volts) in &layout.gives {
        let [inside, minus, middle] = ["inside", "B", "middle"].map(|end| match end {
            "inside" => format!("{supply} inside"),
            end => format!("{supply}.{end}"),
        });
        deck.volts([&inside, &middle], volts / 2.0);
        deck.volts([&middle, &minus], volts / 2.0);
    }
    for driver in &layout.drivers {
        let name = &driver.name;
        let power = ["A", "B"].map(|pole| format!("{name} power {pole}"));
        let switch = driver.kind.ends_with("switch");
        let stage = if switch {
            String::new()
        } else {
            if driver.draws > 0.0 {
                // As a resistance at 12 V: it only has to be there.
                deck.ohms([&power[0], &power[1]], 12.0 / driver.draws);
            }
            deck.stage(name, [&power[0], &power[1]], driver.keeps, driver.holds)
        };
        for motor in layout.motors.iter().filter(|m| m.driver == *name) {
            let Some(state) = states.get(motor.name.as_str()) else { continue };
            // What the output of an address puts on the wires of a driver is the driver's; the state table of the motor only
            // says what must come of it.
            let set = state.when.strip_prefix("set ").or(state.when.strip_prefix("throwing "));
            let bit = set.and_then(|p| layout.sets.get(&(motor.name.clone(), p.to_owned())));
            for (terminal, level) in &state.levels {
                let Some(from) = starts.get(&format!("{} {terminal}", motor.name)) else { continue };
                let Some((output, wire)) =
                    from.split_once(" output ").and_then(|(d, rest)| rest.split_once(' ').filter(|_| d == name))
                else {
                    continue;
                };
                let output = format!("{name} output {output}");
                let (stage, back) = (stage.as_str(), power[1].as_str());
                match (wire, bit.map(String::as_str)) {
                    ("+" | "-", _) if switch => {
                        // The switch stands on side 1 where its first pole must bring +.
                        let side = if state.levels.get("terminal 1").is_some_and(|l| l == "+") { 1 } else { 2 };
                        let pole = if wire == "+" { 1 } else { 2 };
                        deck.ohms([from, &format!("{output} pole {pole} side {side}")], 0.05);
                    }
                    ("+", Some(bit)) => deck.ohms([from, if bit == "1" { stage } else { back }], 1e-3),
                    ("-", Some(bit)) => deck.ohms([from, if bit == "1" { back } else { stage }], 1e-3),
                    ("coil 1", Some("1")) | ("coil 0", Some("0")) => deck.ohms([from, back], 1e-3),
                    ("common" | "supply", _) => deck.ohms([from, stage], 1e-3),
                    ("return", _) => deck.ohms([from, back], 1e-3),
                    ("+" | "-", None) => {
                        // An address that the plan leaves open.
                        deck.ohms([from, if level == "+" { stage } else { back }], 1e-3);
                    }
                    _ => {}
                }
            }
        }
    }
    for motor in &layout.motors {
        let ohms = motor.made_for / motor.draws;
        let at = |terminal: &str| format!("{} {terminal}", motor.name);
        for [one, other] in windings(motor) {
            deck.ohms([&at(&one), &at(&other)], ohms);
        }
    }
    if let Some(train) = train {
        deck.amps(train, 1.0);
    }
    Ok(deck)
}

/// Between which terminals a motor has a winding.
fn windings(motor: &ReadMotor) -> Vec<[String; 2]> {
    let pair = |one: &str, other: &str| [one.to_owned(), other.to_owned()];
    match motor.kind.as_str() {
        "stall" => vec![pair("terminal 1", "terminal 2")],
        "servo" => vec![pair("supply", "return")],
        _ => {
            let terminals = motor.states.iter().flat_map(|s| s.levels.keys());
            let coils: std::collections::BTreeSet<&String> = terminals.filter(|t| t.starts_with("coil ")).collect();
            coils.into_iter().map(|coil| pair("common", coil)).collect()
        }
    }
}

/// Every motor in every state: what is wrong, in words, and how many volts were looked at.
fn throw(layout: &Layout) -> Result<(usize, Vec<String>), Failed> {
    let mut looked = 0;
    let mut wrong = Vec::new();
    let (mut thrown, mut decks) = (Vec::new(), Vec::new());
    for motor in &layout.motors {
        require(motor.states.len() >= 2, || format!("{} has no two positions", motor.name))?;
        for state in &motor.states {
            let mut states: BTreeMap<&str, &ReadState> =
                layout.motors.iter().map(|m| (m.name.as_str(), &m.states[0])).collect();
            states.insert(&motor.name, state);
            let mut deck = energised(layout, &states, &str::is_empty, None, &[])?;
            windings(motor).iter().flatten().for_each(|end| deck.ask(&format!("{} {end}", motor.name)));
            decks.push(deck);
            thrown.push((motor, state));
        }
    }
    for ((motor, state), volts) in thrown.into_iter().zip(Deck::run_all(&decks)?) {
        for [one, other] in windings(motor) {
            let at = |terminal: &str| volts[&format!("{} {terminal}", motor.name)];
            let across = at(&one) - at(&other);
            let level = |terminal: &str| state.levels.get(terminal).map_or("off", String::as_str);
            looked += 1;
            let due = match (level(&one), level(&other)) {
                ("+", "-" | "middle" | "pulse") => across >= motor.least,
                ("-", "+" | "middle") => across <= -motor.least,
                (_, "off") => across.abs() < NONE,
                _ => false,
            };
            if !due {
                wrong.push(format!("{} {}: {across:.3} V from {one} to {other}", motor.name, state.when));
            }
        }
    }
    Ok((looked, wrong))
}

fn thrown() -> Result<(), Failed> {
    let mut texts: Vec<(String, String)> = demos()?.into_iter().map(|d| (d.name, d.text)).collect();
    texts.push(("every kind".to_owned(), EVERY_KIND.to_owned()));
    let mut all = 0;
    for (name, text) in texts {
        let (looked, wrong) = throw(&layout(&printed(&text)?)?)?;
        require(wrong.is_empty(), || format!("{name}: {wrong:?}"))?;
        all += looked;
    }
    println!("{all} windings in their states");
    require(all > 40, || format!("only {all} windings were looked at"))
}

/// The check can fail: each wire of a driver, left out of the list or with its end exchanged for its neighbour's, is noticed.
fn wrong() -> Result<(), Failed> {
    let papers = printed(EVERY_KIND)?;
    let rows: Vec<&str> = papers.tables[0].split_inclusive("\r\n").collect();
    let mut tried = 0;
    for (index, row) in rows.iter().enumerate() {
        let counts = [",driver wire,", ",motor wire,", ",switch link,"].iter().any(|what| row.contains(what));
        // A servo's signal brings no power: a wire that carries none is looked at on the bench.
        if !counts || row.contains("signal") {
            continue;
        }
        let without: String = rows.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, row)| *row).collect();
        let mut other = papers.clone();
        other.tables[0] = without;
        let noticed = match layout(&other).and_then(|l| throw(&l)) {
            Ok((_, wrong)) => !wrong.is_empty(),
            Err(_) => true,
        };
        require(noticed, || format!("nobody missed {row}"))?;
        tried += 1;
    }
    require(tried >= 15, || format!("only {tried} wires were left out"))?;
    for [one, other] in [
        ["M1 terminal 1", "M1 terminal 2"],
        ["M2 terminal 1", "M2 terminal 2"],
        ["M4 coil through", "M4 coil diverging"],
    ] {
        let mut swapped = papers.clone();
        swapped.tables[0] = papers.tables[0].replace(one, "?").replace(other, one).replace('?', other);
        let (_, told) = throw(&layout(&swapped)?)?;
        require(told.iter().any(|w| w.starts_with(&one[..2])), || format!("{one} and {other} exchanged: {told:?}"))?;
    }
    Ok(())
}

/// Plans that are grown where nothing else is said: every day, and in the long run.
const GROWN: [usize; 2] = [12, 120];

fn count(usual: usize) -> usize {
    std::env::var("GAPWRIGHT_GROWN").ok().and_then(|n| n.parse().ok()).unwrap_or(usual)
}

/// Papers of plans grown at random: no wire is cut shorter than it must go, every motor that has an address has a driver and
/// gets its volts both ways, and no coil stays on.
fn grown_plans(count: usize) -> Result<(), Failed> {
    let folder = tempfile::tempdir()?;
    let seed = std::env::var("GAPWRIGHT_GROWN_SEED").unwrap_or_else(|_| "1".to_owned());
    let out = folder.path().to_string_lossy().into_owned();
    let arguments = ["--count", &count.to_string(), "--seed", &seed, "--out", &out, "--controls", "7", "--drivers"];
    let plans = crate::reading::python("growing/grow_plans.py", &arguments)?;
    let (mut windings, mut motors, mut wrong) = (0, 0, Vec::new());
    let mut pairs: Vec<String> = Vec::new();
    for plan in &plans {
        let file = plan["file"].as_str().unwrap_or_default().to_owned();
        let papers = printed(&std::fs::read_to_string(&file)?)?;
        let layout = layout(&papers)?;
        // An address that no driver listens to throws nothing.
        let driven: std::collections::BTreeSet<&str> = layout.motors.iter().map(|m| m.name.as_str()).collect();
        let without = layout.sets.keys().filter(|(motor, _)| !driven.contains(motor.as_str()));
        wrong.extend(without.map(|(motor, _)| format!("{file}: {motor} has an address and no driver")));
        let (looked, told) = throw(&layout)?;
        windings += looked;
        motors += layout.motors.len();
        wrong.extend(told.into_iter().map(|words| format!("{file}: {words}")));
        let wires = format!("{}.wires.csv", file.trim_end_matches(".toml"));
        std::fs::write(&wires, &papers.tables[0])?;
        pairs.extend([file, wires]);
    }
    let (mut checked, mut measured) = (0, 0);
    for some in pairs.chunks(100) {
        let arguments: Vec<&str> = some.iter().map(String::as_str).collect();
        for verdict in crate::reading::python("reading/cuts.py", &arguments)? {
            checked += verdict["checked"].as_u64().unwrap_or(0);
            measured += verdict["measured"].as_u64().unwrap_or(0);
            let short = verdict["short"].as_array().into_iter().flatten();
            wrong.extend(short.map(|words| format!("{}: {words}", verdict["plan"])));
        }
    }
    println!(
        "{} plans: {motors} motors, {windings} windings in their states, {checked} lengths against their way, {measured} wires \
         that are measured",
        plans.len()
    );
    require(wrong.is_empty(), || format!("{} wrong: {:?}", wrong.len(), &wrong[..wrong.len().min(20)]))?;
    require(checked as usize > 8 * count && motors > count, || format!("{checked} lengths, {motors} motors"))
}
