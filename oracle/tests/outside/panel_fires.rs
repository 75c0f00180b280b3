//! Panels from the papers alone: the wires and diodes of a panel are read as text, made into a circuit and energised in a general circuit
//! simulator (ngspice, its own diode). Each button, pressed alone, fires the coils that the list of buttons says, and leaves all others
//! at rest.

use crate::deck::Deck;
use crate::enumeration::require;
use crate::simulator::ignored;
use libtest_mimic::{Failed, Trial};
use schedule::csv::table_csv;
use schedule::tables::panels::panels;
use schedule::{Choices, Job};
use std::collections::{BTreeMap, BTreeSet};
use text::csv::Columns;

const YARD: &str = include_str!("../../../crates/panel/tests/it/gull_sidings.toml");
/// Volts of its supply, and ohms of a coil: from memory, as of a twin-coil solenoid.
const SUPPLY: f64 = 24.0;
const COIL: f64 = 6.0;
/// Of the supply's volts: what fires a coil, with a volt less for each of four diodes in a row, and what a coil at rest can have at most.
const FIRES: f64 = 0.75;
const RESTS: f64 = 0.05;

pub fn trials() -> Vec<Trial> {
    let ignored = ignored();
    vec![
        Trial::test("panel_fires::each_button_its_coils_from_the_papers", fires).with_ignored_flag(ignored),
        Trial::test("panel_fires::turned_and_missing_parts_are_noticed", wrong).with_ignored_flag(ignored),
    ]
}

/// What the papers say of a panel, as text.
#[derive(Clone)]
struct PanelPapers {
    wires: String,
    diodes: String,
    buttons: String,
}

fn printed(text: &str) -> Result<PanelPapers, Failed> {
    let demo = oracle::demo("panel", text.to_owned())?;
    let facts = analysis::Analysis::of(&demo.text, &demo.reading.plan, &demo.reading.names);
    let job = Job::new(facts, Choices::default());
    let panel = panels(&job).pop().ok_or("no panel")?;
    let [wires, diodes, buttons] = [&panel.wire_list, &panel.diodes, &panel.buttons].map(table_csv);
    Ok(PanelPapers { wires, diodes, buttons })
}

/// What one button does.
struct Press {
    /// The coils that the list says it fires.
    due: BTreeSet<String>,
    /// For each coil what part of the supply's volts it has while the button is pressed.
    shares: BTreeMap<String, f64>,
}

/// Every button pressed alone, in the order of the list.
fn pressed(papers: &PanelPapers) -> Result<Vec<Press>, Failed> {
    let (wires, diodes) = (Columns::read(&papers.wires)?, Columns::read(&papers.diodes)?);
    let buttons = Columns::read(&papers.buttons)?;
    let ends = |one: &str, other: &str, columns: &Columns| -> Result<Vec<[String; 2]>, Failed> {
        let pair = |row: text::csv::ColumnsRow<'_>| Ok([row.cell(one)?.to_owned(), row.cell(other)?.to_owned()]);
        columns.rows().map(pair).collect()
    };
    let wires = ends("from", "to", &wires)?;
    let diodes = ends("end without band at", "banded end at", &diodes)?;
    let places: BTreeSet<&str> = wires.iter().chain(&diodes).flatten().map(String::as_str).collect();
    let coils: Vec<(&str, &str)> = places.iter().filter_map(|p| Some((p.split_once(" coil ")?.0, *p))).collect();
    let coils: Vec<(&str, &str)> = coils.into_iter().filter(|(motor, _)| !motor.starts_with("strip: ")).collect();
    let pole = |sign: &str| places.iter().find(|p| p.ends_with(sign)).copied();
    // One pole goes to the buttons, the other to the common wires.
    let (plus, minus) = (pole("(+)").ok_or("no plus")?, pole("(-)").ok_or("no minus")?);
    let (mut decks, mut due) = (Vec::new(), Vec::new());
    for button in buttons.rows() {
        let mut deck = Deck::default();
        deck.volts([plus, minus], SUPPLY);
        wires.iter().for_each(|[one, other]| deck.ohms([one, other], 0.05));
        diodes.iter().for_each(|[anode, cathode]| deck.diode([anode, cathode]));
        let name = format!("button {}, terminal ", button.cell("button")?);
        for contact in 0..4 {
            let [one, other] = [1, 2].map(|t| format!("{name}{}", 2 * contact + t));
            if places.contains(one.as_str()) && places.contains(other.as_str()) {
                deck.ohms([&one, &other], 0.05);
            }
        }
        for (motor, coil) in &coils {
            let common = format!("{motor} common");
            deck.ohms([coil, &common], COIL);
            deck.ask(coil);
            deck.ask(&common);
        }
        decks.push(deck);
        due.push(button.cell("fires coils")?.split(", ").map(|c| c.replacen(' ', " coil ", 1)).collect());
    }
    let share = |volts: &BTreeMap<String, f64>| {
        let across = |(motor, coil): &(&str, &str)| {
            ((*coil).to_owned(), (volts[*coil] - volts[&format!("{motor} common")]).abs() / SUPPLY)
        };
        coils.iter().map(across).collect()
    };
    let shares = Deck::run_all(&decks)?;
    Ok(due.into_iter().zip(shares.iter().map(share)).map(|(due, shares)| Press { due, shares }).collect())
}

/// What a panel does other than its list says.
fn faults(papers: &PanelPapers) -> Result<(usize, Vec<String>), Failed> {
    let (mut looked, mut wrong) = (0, Vec::new());
    for (button, Press { due, shares }) in pressed(papers)?.into_iter().enumerate() {
        let missing = due.iter().filter(|coil| !shares.contains_key(*coil));
        wrong.extend(missing.map(|coil| format!("button {}: {coil} is wired to nothing", button + 1)));
        for (coil, share) in shares {
            looked += 1;
            if due.contains(&coil) && share < FIRES || !due.contains(&coil) && share > RESTS {
                wrong.push(format!("button {}: {coil} has {share:.3} of the volts", button + 1));
            }
        }
    }
    Ok((looked, wrong))
}

/// The yard with its common wires on either pole, and diodes one by one or one after another.
fn yards() -> Result<Vec<(String, PanelPapers)>, Failed> {
    let mut all = Vec::new();
    for common in ["A", "B"] {
        for diodes in ["single", "chained"] {
            let keys = format!("common = \"{common}\"\ndiodes = \"{diodes}\"");
            let text = YARD.replace("common = \"B\"", &keys);
            require(text != YARD || common == "B", || "the yard says its common otherwise".to_owned())?;
            all.push((format!("common {common}, {diodes}"), printed(&text)?));
        }
    }
    Ok(all)
}

fn fires() -> Result<(), Failed> {
    let mut looked = 0;
    for (name, papers) in yards()? {
        let (of_panel, wrong) = faults(&papers)?;
        require(wrong.is_empty(), || format!("{name}: {wrong:?}"))?;
        looked += of_panel;
    }
    println!("{looked} coils while a button is pressed");
    require(looked >= 4 * 4 * 6, || format!("only {looked} coils"))
}

/// The check can fail: each diode turned round, and each wire and diode left out, is noticed.
fn wrong() -> Result<(), Failed> {
    let mut tried = 0;
    for (name, papers) in yards()? {
        let diodes: Vec<&str> = papers.diodes.split_inclusive("\r\n").collect();
        for at in 1..diodes.len() {
            let mut cells: Vec<&str> = diodes[at].split(',').collect();
            cells.swap(1, 2);
            let turned = cells.join(",");
            let rows = |row: &str| [&diodes[..at].concat(), row, &diodes[at + 1..].concat()].concat();
            for row in [turned.as_str(), ""] {
                let (_, told) = faults(&PanelPapers { diodes: rows(row), ..papers.clone() })?;
                require(!told.is_empty(), || format!("{name}: nobody missed {}", diodes[at]))?;
                tried += 1;
            }
        }
        let wires: Vec<&str> = papers.wires.split_inclusive("\r\n").collect();
        for at in 1..wires.len() {
            // Lamps show tracks, and fire nothing.
            if wires[at].contains(",lamp,") {
                continue;
            }
            let rest = [wires[..at].concat(), wires[at + 1..].concat()].concat();
            let noticed = match faults(&PanelPapers { wires: rest, ..papers.clone() }) {
                Ok((_, told)) => !told.is_empty(),
                Err(_) => true,
            };
            require(noticed, || format!("{name}: nobody missed {}", wires[at]))?;
            tried += 1;
        }
    }
    require(tried >= 80, || format!("only {tried} were tried"))
}
