//! Tables of panels: parts, wires, diodes, what each button sets, components, and which routes exclude each other.

use super::panel_bench::{BenchWords, bench};
use super::panel_components::components;
use super::panel_proof::{open, proved};
use super::panel_words::{coil_words, drill, fired_at_once, positions};
use super::{Sheets, number, significant};
use crate::Job;
use crate::choices::Units;
use crate::panel_wires::{self, ScheduledPanelWire, kind_word};
use crate::paper::{Cell, Table, TableColumn};
use panel::energy::{ButtonEnergy, energy};
use panel::parts::{Part, PartKind};
use panel::wiring::SupplyMatrix;
use panel::{MotorCoil, PanelWireKind, WiredPanel};
use plan::{Kind, driven};
use std::collections::BTreeMap;

/// The tables of one panel, and what is said beside them.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelTables {
    /// The panel with its wires.
    pub wired: WiredPanel,
    /// The same wires with their numbers.
    pub wires: Vec<ScheduledPanelWire>,
    /// What is on it, and where.
    pub parts: Table,
    /// Its wires.
    pub wire_list: Table,
    /// Its diodes; without rows where it has none.
    pub diodes: Table,
    /// What each button sets.
    pub buttons: Table,
    /// What a meter reads on each matrix before the panel is joined to the layout.
    pub bench: Vec<BenchWords>,
    /// What it takes.
    pub components: Table,
    /// What was proved of its matrices, a sentence each.
    pub proved: Vec<String>,
    /// What is wrong or open, a sentence each.
    pub open: Vec<String>,
}

/// The tables of every panel of a plan that has anything on it.
pub fn panels(job: &Job<'_>) -> Vec<PanelTables> {
    let wired: Vec<WiredPanel> = job.panels().into_iter().filter(|w| !w.parts.is_empty()).collect();
    if wired.is_empty() {
        return Vec::new();
    }
    let sheets = Sheets::new(job);
    let several = wired.len() > 1;
    let of = |(at, wired): (usize, WiredPanel)| {
        tables(&sheets, wired, if several { format!("-{}", at + 1) } else { String::new() })
    };
    wired.into_iter().enumerate().map(of).collect()
}

fn tables(sheets: &Sheets<'_>, wired: WiredPanel, suffix: String) -> PanelTables {
    let wires = panel_wires::scheduled(sheets.job, &wired);
    PanelTables {
        parts: parts(sheets, &wired, &suffix),
        wire_list: wire_list(sheets, &wires, &suffix),
        diodes: diodes(&wires, &suffix),
        buttons: buttons(sheets, &wired, &suffix),
        bench: bench(sheets, &wired, &suffix),
        components: components(sheets, &wired, &wires, &suffix),
        proved: proved(sheets, &wired),
        open: open(sheets, &wired),
        wires,
        wired,
    }
}

/// What a part sets or shows.
fn purpose(sheets: &Sheets<'_>, wired: &WiredPanel, part: &Part) -> String {
    let facts = &sheets.job.facts;
    match &part.kind {
        PartKind::Button(act) => match (act.route, act.set.is_empty()) {
            (Some(ends), _) if act.no_route.is_none() => {
                let [from, to] = ends.map(|track| &facts.plan.track[track].name.value);
                format!("route {from} to {to}")
            }
            (_, false) => positions(sheets, act),
            (_, true) => "nothing".to_owned(),
        },
        PartKind::Switch(toggle) => {
            let motor = driven::motor_of_toggle(facts.plan, facts.names, *toggle);
            match motor {
                Some(motor) => format!("throws {}", sheets.places.name(Kind::Motor, motor)),
                None => "its contacts: see the wire list".to_owned(),
            }
        }
        PartKind::Lamp(lamp) => {
            let table = &facts.plan.panel[wired.parts.panel].lamp.items[*lamp].value;
            let live = facts.names.get(&table.shows.value).is_some_and(|f| f.0 == Kind::Track);
            if live { format!("{} has power", table.shows.value) } else { table.shows.value.clone() }
        }
    }
}

fn parts(sheets: &Sheets<'_>, wired: &WiredPanel, suffix: &str) -> Table {
    let units = sheets.job.choices.units;
    let mut table = Table::new(
        format!("panel-parts{suffix}"),
        vec![
            TableColumn::words("part"),
            TableColumn::short("kind"),
            TableColumn::words("sets or shows"),
            TableColumn::number("from left", units.short()),
            TableColumn::number("from top", units.short()),
            TableColumn::short("hole"),
            TableColumn::short("contacts"),
            TableColumn::words("assumed"),
            TableColumn::boxes("fitted"),
        ],
    );
    for (index, part) in wired.parts.parts.iter().enumerate() {
        let off = wired.parts.off_edge.contains(&index);
        let mut assumed = Vec::new();
        if part.said.is_none() {
            assumed.push("that it is there");
        }
        if part.at_assumed && !off {
            assumed.push("place");
        }
        if part.hole_assumed {
            assumed.push("hole");
        }
        let place = |axis: usize| {
            if off {
                return Cell::words("no room");
            }
            let value = units.in_short(part.at[axis]);
            let decimals = if units == Units::Metric { 1 } else { 3 };
            Cell::Number { value, shown: format!("{value:.decimals$}") }
        };
        let contacts = match part.kind {
            PartKind::Button(_) => wired.contacts(index).to_string(),
            PartKind::Switch(_) => String::new(),
            PartKind::Lamp(_) => String::new(),
        };
        table.push(
            None,
            vec![
                Cell::words(&part.name),
                Cell::words(kind_word(part)),
                Cell::words(purpose(sheets, wired, part)),
                place(0),
                place(1),
                Cell::words(drill(units, part.hole)),
                Cell::words(contacts),
                Cell::words(assumed.join(", ")),
                Cell::Box,
            ],
        );
    }
    table
}

fn wire_list(sheets: &Sheets<'_>, wires: &[ScheduledPanelWire], suffix: &str) -> Table {
    let units = sheets.job.choices.units;
    let mut table = Table::new(
        format!("panel-wires{suffix}"),
        vec![
            TableColumn::short("wire"),
            TableColumn::words("for"),
            TableColumn::words("from"),
            TableColumn::words("to"),
            TableColumn::number("cut", units.short()),
            TableColumn::words("assumed"),
            TableColumn::boxes("done"),
        ],
    );
    for wire in wires.iter().filter(|w| w.wire.kind != PanelWireKind::Diode) {
        table.push(
            None,
            vec![
                number(wire.number),
                Cell::words(wire.function),
                Cell::words(&wire.ends[0]),
                Cell::words(&wire.ends[1]),
                wire.cut.map_or(Cell::words("measure"), |cut| sheets.length((cut * 100.0).ceil() / 100.0)),
                Cell::words(if wire.cut.is_some() { "size, cut" } else { "size" }),
                Cell::Box,
            ],
        );
    }
    table
}

fn diodes(wires: &[ScheduledPanelWire], suffix: &str) -> Table {
    let mut table = Table::new(
        format!("panel-diodes{suffix}"),
        vec![
            TableColumn::short("diode"),
            TableColumn::words("end without band at"),
            TableColumn::words("banded end at"),
            TableColumn::boxes("fitted"),
            TableColumn::boxes("tested"),
        ],
    );
    for wire in wires.iter().filter(|w| w.wire.kind == PanelWireKind::Diode) {
        table.push(
            None,
            vec![number(wire.number), Cell::words(&wire.ends[0]), Cell::words(&wire.ends[1]), Cell::Box, Cell::Box],
        );
    }
    table
}

/// What each button asks of its supplies.
fn energies(sheets: &Sheets<'_>, wired: &WiredPanel, part: usize) -> Vec<(usize, ButtonEnergy)> {
    let plan = sheets.job.facts.plan;
    let of = |matrix: &SupplyMatrix| {
        let coils = fired_at_once(wired, matrix, part);
        (!coils.is_empty()).then(|| (matrix.supply, energy(plan, matrix.supply, &coils)))
    };
    wired.matrices.iter().filter_map(of).collect()
}

/// Commands as addresses by position: `through: 41 to 44; diverging: 45`.
fn commands(sheets: &Sheets<'_>, commands: &[MotorCoil]) -> String {
    let facts = &sheets.job.facts;
    let mut by_word: BTreeMap<(u8, &str), Vec<usize>> = BTreeMap::new();
    let mut without = Vec::new();
    for c in commands {
        let word = circuit::drives::positions(facts.plan, c.motor)[usize::from(c.position.min(1))];
        match driven::address(facts.plan, facts.names, c.motor) {
            Some(address) => by_word.entry((c.position, word)).or_default().push(address.value as usize),
            None => without.push(format!("{} {word}, which has no address", facts.plan.motor[c.motor].name.value)),
        }
    }
    let mut words: Vec<String> = Vec::new();
    for ((_, word), mut addresses) in by_word {
        addresses.sort_unstable();
        words.push(format!("{word}: {}", crate::counts_in_runs(addresses)));
    }
    words.extend(without);
    words.join("; ")
}

/// A table without the columns in which nothing stands.
fn without_empty(mut table: Table) -> Table {
    let is_empty = |column: usize| {
        table.rows.iter().all(|row| !matches!(row.cells[column], Cell::Box) && row.cells[column].shown().is_empty())
    };
    let empty: Vec<bool> = (0..table.columns.len()).map(is_empty).collect();
    let mut kept = empty.iter();
    table.columns.retain(|_| kept.next() == Some(&false));
    for row in &mut table.rows {
        let mut kept = empty.iter();
        row.cells.retain(|_| kept.next() == Some(&false));
    }
    table
}

fn buttons(sheets: &Sheets<'_>, wired: &WiredPanel, suffix: &str) -> Table {
    let facts = &sheets.job.facts;
    let mut table = Table::new(
        format!("panel-buttons{suffix}"),
        vec![
            TableColumn::words("button"),
            TableColumn::words("sets"),
            TableColumn::words("fires coils"),
            TableColumn::words("commands, by address"),
            TableColumn::words("set by hand"),
            TableColumn::words("needs, J"),
            TableColumn::words("supply holds, J"),
            TableColumn::words("enough"),
            TableColumn::boxes("works"),
        ],
    );
    let band = |s: &handbook::Spread<f64>| {
        if (s.low - s.high).abs() < 1e-12 {
            significant(s.typical, 3)
        } else {
            format!("{} ({} to {})", significant(s.typical, 3), significant(s.low, 3), significant(s.high, 3))
        }
    };
    for (index, part) in wired.parts.parts.iter().enumerate() {
        let PartKind::Button(act) = &part.kind else { continue };
        let by_hand: Vec<&str> = act.by_hand.iter().map(|&c| facts.circuit.controls[c].name.as_str()).collect();
        let energies = energies(sheets, wired, index);
        let needs: Vec<String> = energies.iter().map(|e| band(&e.1.needs)).collect();
        let holds: Vec<String> = energies.iter().filter_map(|e| e.1.holds.as_ref().map(band)).collect();
        let enough: Vec<&str> = energies
            .iter()
            .map(|(_, e)| match (e.is_enough(), e.is_sure()) {
                (Some(true), Some(true)) => "yes",
                (Some(true), _) => "usually: try it",
                (Some(false), _) => "NO",
                (None, _) => "not known",
            })
            .collect();
        table.push(
            None,
            vec![
                Cell::words(&part.name),
                Cell::words(positions(sheets, act)),
                Cell::words(coil_words(sheets, &act.coils)),
                Cell::words(commands(sheets, &act.commands)),
                Cell::words(by_hand.join(", ")),
                Cell::words(needs.join("; ")),
                Cell::words(holds.join("; ")),
                Cell::words(enough.join("; ")),
                Cell::Box,
            ],
        );
    }
    without_empty(table)
}
