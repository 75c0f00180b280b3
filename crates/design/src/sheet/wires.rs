//! The table of wires: feeders from rails to buses, and wires of contacts.

use super::{Sheet, SheetError};
use plan::edit::quoted;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// A feeder of the table.
struct SheetFeeder {
    at: String,
    rail: String,
    to: String,
    wire: String,
    length: Option<String>,
}

/// What a wire ends at.
enum SheetWireEnd {
    /// A rail: its track, which one, where.
    Rail(String, String, String),
    /// A conductor of a bus, and the bus.
    Conductor(String, String),
    /// A terminal of a contact: whose, which contact from 1, which terminal.
    Contact(String, usize, String),
    /// A frog of a turnout.
    Frog(String),
}

/// All wires of the table.
#[derive(Default)]
pub(super) struct SheetWires {
    feeders: BTreeMap<String, Vec<SheetFeeder>>,
    buses: BTreeSet<String>,
    /// For each motor its contacts: by number, terminal to what is wired there.
    motors: BTreeMap<String, BTreeMap<usize, BTreeMap<String, Vec<String>>>>,
    moves: BTreeMap<String, String>,
}

impl SheetWires {
    pub(super) fn read(
        &mut self,
        sheet: &Sheet,
        tracks: &[String],
        turnouts: &BTreeMap<String, [String; 3]>,
    ) -> Result<(), SheetError> {
        for row in sheet.columns.rows().filter(|r| !r.is_empty()) {
            let [from, to] = ["from", "to"].map(|key| sheet.cell(&row, key));
            let (wire, length) = (sheet.cell(&row, "wire"), sheet.length(&row)?);
            let read = |cell: &str| {
                let known = wire_end(cell, tracks, turnouts);
                known.ok_or_else(|| {
                    let would = "write a rail and place (`dock 1.left @ 0.4 m`), a bus conductor (`main bus.A`), a frog \
                                 (`T1.frog`) or a contact (`M1.1.through`)";
                    sheet.wrong(&row, format!("`{cell}` is nothing a wire can end at: {would}"))
                })
            };
            match (read(&from)?, read(&to)?) {
                (SheetWireEnd::Rail(track, rail, at), SheetWireEnd::Conductor(conductor, bus))
                | (SheetWireEnd::Conductor(conductor, bus), SheetWireEnd::Rail(track, rail, at)) => {
                    self.buses.insert(bus);
                    let feeder = SheetFeeder { at, rail, to: conductor, wire, length };
                    self.feeders.entry(track).or_default().push(feeder);
                }
                (SheetWireEnd::Contact(owner, number, terminal), other) => {
                    self.contact((owner, number, terminal), &other, &to);
                }
                (other, SheetWireEnd::Contact(owner, number, terminal)) => {
                    self.contact((owner, number, terminal), &other, &from);
                }
                _ => return Err(sheet.wrong(&row, "a wire joins a rail with a bus, or a contact with something")),
            }
        }
        for motor in self.motors.keys() {
            let number = motor.trim_start_matches(|c: char| !c.is_ascii_digit());
            let alike = turnouts
                .keys()
                .find(|t| !number.is_empty() && t.trim_start_matches(|c: char| !c.is_ascii_digit()) == number);
            if let Some(turnout) = alike {
                self.moves.entry(motor.clone()).or_insert_with(|| turnout.clone());
            }
        }
        Ok(())
    }

    fn contact(&mut self, (owner, number, terminal): (String, usize, String), other: &SheetWireEnd, words: &str) {
        match other {
            SheetWireEnd::Frog(turnout) => {
                self.moves.insert(owner.clone(), turnout.clone());
            }
            SheetWireEnd::Conductor(_, bus) => {
                self.buses.insert(bus.clone());
            }
            _ => {}
        }
        let contact = self.motors.entry(owner).or_default().entry(number).or_default();
        contact.entry(terminal).or_default().push(words.to_owned());
    }

    pub(super) fn buses(&self, out: &mut String, assumed: &mut Vec<String>) {
        for bus in &self.buses {
            let _ = write!(
                out,
                "\n[[bus]]\nname   = {}\nsupply = \"booster\"\nwire   = \"2.5 mm²\" # assumed\nlength = \"5 m\" # assumed\n",
                quoted(bus)
            );
            assumed.push(format!("wire and length of `{bus}`"));
        }
    }

    pub(super) fn of_track(&self, track: &str, out: &mut String) {
        let Some(feeders) = self.feeders.get(track) else { return };
        let mut owner: BTreeMap<&str, &str> = BTreeMap::new();
        for feeder in feeders {
            owner.entry(&feeder.rail).or_insert(&feeder.to);
        }
        for (rail, conductor) in &owner {
            let _ = writeln!(out, "{rail:6} = {}", quoted(conductor));
        }
        let item = |f: &SheetFeeder| {
            let mut keys = vec![format!("at = {}", quoted(&f.at)), format!("rail = \"{}\"", f.rail)];
            if owner.get(f.rail.as_str()) != Some(&f.to.as_str()) {
                keys.push(format!("to = {}", quoted(&f.to)));
            }
            if !f.wire.is_empty() {
                keys.push(format!("wire = {}", quoted(&f.wire)));
            }
            keys.extend(f.length.as_ref().map(|length| format!("length = {}", quoted(length))));
            format!("  {{ {} }},\n", keys.join(", "))
        };
        let _ = writeln!(out, "feeders = [\n{}]", feeders.iter().map(item).collect::<String>());
    }

    pub(super) fn motors(&self, out: &mut String) {
        for (motor, contacts) in &self.motors {
            let _ = write!(out, "\n[[motor]]\nname    = {}\n", quoted(motor));
            if let Some(turnout) = self.moves.get(motor) {
                let _ = writeln!(out, "moves   = {}", quoted(turnout));
            }
            let last = contacts.keys().last().copied().unwrap_or(0);
            let contact = |number: usize| {
                let terminals = contacts.get(&number).into_iter().flatten();
                let keys = terminals.map(|(terminal, wires)| {
                    let wires: Vec<String> = wires.iter().map(|w| quoted(w)).collect();
                    match wires.as_slice() {
                        [one] => format!("{terminal} = {one}"),
                        all => format!("{terminal} = [{}]", all.join(", ")),
                    }
                });
                let keys: Vec<String> = keys.collect();
                format!("  {{ {} }},\n", keys.join(", "))
            };
            let _ = writeln!(out, "contact = [\n{}]", (1..=last).map(contact).collect::<String>());
        }
    }
}

/// What a cell says a wire ends at.
fn wire_end(cell: &str, tracks: &[String], turnouts: &BTreeMap<String, [String; 3]>) -> Option<SheetWireEnd> {
    if let Some((head, at)) = cell.split_once('@') {
        let (track, rail) = head.trim().rsplit_once(['.', ' '])?;
        let rail = rail.to_lowercase();
        let known = tracks.iter().any(|t| t == track.trim()) && ["left", "right"].contains(&rail.as_str());
        return known.then(|| SheetWireEnd::Rail(track.trim().to_owned(), rail, at.trim().to_owned()));
    }
    let (head, last) = cell.rsplit_once('.')?;
    let (head, last) = (head.trim(), last.trim());
    match last {
        "A" | "B" => Some(SheetWireEnd::Conductor(format!("{head}.{last}"), head.to_owned())),
        "frog" => turnouts.contains_key(head).then(|| SheetWireEnd::Frog(head.to_owned())),
        "common" | "through" | "diverging" | "left" | "right" => {
            let (owner, number) = head.rsplit_once('.')?;
            let number = number.parse::<usize>().ok().filter(|n| (1..=16).contains(n))?;
            Some(SheetWireEnd::Contact(owner.to_owned(), number, last.to_owned()))
        }
        _ => None,
    }
}
