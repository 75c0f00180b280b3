//! What a panel takes: parts, resistors, diodes, wire.

use super::panel_words::drill;
use super::{Sheets, significant};
use crate::panel_wires::{self, ScheduledPanelWire};
use crate::paper::{Cell, ColumnSet, Table, TableColumn};
use handbook::panel as usual;
use handbook::quantity::{Quantity, show_ohms, show_volts};
use panel::parts::PartKind;
use panel::{PanelWireKind, WiredPanel};
use plan::tables::SupplyKind;
use plan::{Kind, Terminal, driven};
use std::collections::{BTreeMap, BTreeSet};

/// Values of resistors: IEC 60063, series E12.
const E12: [f64; 12] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];

/// The next value of the series that is no less.
pub fn next_resistor(ohms: f64) -> f64 {
    let decade = 10f64.powf(ohms.max(1e-3).log10().floor());
    let found = [1.0, 10.0]
        .iter()
        .flat_map(|d| E12.iter().map(move |e| e * d * decade))
        .find(|value| *value >= ohms * (1.0 - 1e-9));
    found.unwrap_or(ohms)
}

/// The voltage of what feeds a lamp, and whether it is track power, which reverses.
fn lamp_volts(sheets: &Sheets<'_>, wired: &WiredPanel, lamp: usize) -> Option<(f64, bool)> {
    let (plan, names) = (sheets.job.facts.plan, sheets.job.facts.names);
    let table = &plan.panel[wired.parts.panel].lamp.items[lamp].value;
    let track = names.get(&table.shows.value).filter(|f| f.0 == Kind::Track && table.wired.0.is_empty());
    let rails = track.into_iter().flat_map(|(_, t)| [&plan.track[t].left, &plan.track[t].right]).flatten();
    let texts = rails.chain(&table.wired.0);
    let supply = texts.into_iter().find_map(|text| match names.terminal(plan, &text.value).ok()? {
        Terminal::Bus(bus, ..) => driven::supply_of_bus(plan, names, bus),
        Terminal::Supply(supply, _) => Some(supply),
        _ => None,
    });
    let mut supply = supply?;
    for _ in 0..=plan.supply.len() {
        let own = &plan.supply[supply];
        if let Some(volts) = &own.voltage {
            let direct = own.kind.as_ref().is_some_and(|k| matches!(k.value, SupplyKind::Dc | SupplyKind::Accessory));
            return Some((volts.value.si(), !direct));
        }
        supply = names.of_kind(&own.behind.as_ref()?.value, &[Kind::Supply]).ok()?.1;
    }
    None
}

/// What the panels of a plan take, by names that two panels share: how many, the unit, and what for.
pub(crate) fn component_lines(
    sheets: &Sheets<'_>,
    wired: &WiredPanel,
    wires: &[ScheduledPanelWire],
) -> BTreeMap<(String, &'static str), (f64, String)> {
    let units = sheets.job.choices.units;
    let mut list: BTreeMap<(String, &'static str), (f64, String)> = BTreeMap::new();
    let mut add = |name: String, unit, count: f64, note: &str| {
        if count > 0.0 {
            list.entry((name, unit)).or_insert((0.0, note.to_owned())).0 += count;
        }
    };
    for (index, part) in wired.parts.parts.iter().enumerate().filter(|(_, part)| part.said.is_some()) {
        let hole = drill(units, part.hole);
        match &part.kind {
            PartKind::Button(_) => {
                let contacts = wired.contacts(index);
                let contacts = if contacts == 1 { "1 contact".to_owned() } else { format!("{contacts} contacts") };
                add(format!("push button, {contacts}, hole {hole}"), "pieces", 1.0, "panel: closes while pressed");
            }
            // Toggles are in the list already.
            PartKind::Switch(_) => {}
            PartKind::Lamp(lamp) => {
                let colour = &sheets.job.facts.plan.panel[wired.parts.panel].lamp.items[*lamp].value.colour;
                let colour = colour.as_ref().map_or(String::new(), |c| format!(", {}", c.value));
                add(format!("light-emitting diode{colour}, hole {hole}"), "pieces", 1.0, "panel");
                if let Some((volts, reverses)) = lamp_volts(sheets, wired, *lamp) {
                    let ohms =
                        next_resistor((volts - usual::LAMP_DROP.value.si()).max(0.0) / usual::LAMP_CURRENT.value.si());
                    let note = format!(
                        "in series with each lamp at {}; current assumed",
                        show_volts(handbook::quantity::Volts(volts))
                    );
                    add(
                        format!("resistor {}, 0.25 W", show_ohms(handbook::quantity::Ohms(ohms))),
                        "pieces",
                        1.0,
                        &note,
                    );
                    if reverses {
                        add(
                            "diode, small signal, 100 V".to_owned(),
                            "pieces",
                            1.0,
                            "across each lamp, the other way round",
                        );
                    }
                }
            }
        }
    }
    let of_kind = |kind: PanelWireKind| wires.iter().filter(|w| w.wire.kind == kind).count() as f64;
    add("diode, 3 A, 100 V".to_owned(), "pieces", of_kind(PanelWireKind::Diode), "matrix of the panel");
    let ends = wires.iter().flat_map(|w| &w.wire.ends);
    let strip: BTreeSet<_> =
        ends.filter(|e| matches!(e, panel::PanelEnd::CoilStrip(_) | panel::PanelEnd::PartStrip(..))).collect();
    add("position of a terminal strip, panel".to_owned(), "pieces", strip.len() as f64, "");
    let inputs = wires.iter().filter(|w| matches!(w.wire.ends[1], panel::PanelEnd::Input(_))).count();
    add("input of a unit that sends commands".to_owned(), "pieces", inputs as f64, "panel");
    let cut: f64 = wires.iter().filter_map(|w| w.cut).sum();
    let measured = wires.iter().filter(|w| w.cut.is_none() && w.wire.kind != PanelWireKind::Diode).count();
    let note = match measured {
        0 => "panel; assumed".to_owned(),
        1 => "panel; assumed; and 1 wire that must be measured".to_owned(),
        n => format!("panel; assumed; and {n} wires that must be measured"),
    };
    add(format!("wire, panel, {}", panel_wires::wire_size(units)), "m", cut, &note);
    list
}

pub(super) fn components(sheets: &Sheets<'_>, wired: &WiredPanel, wires: &[ScheduledPanelWire], suffix: &str) -> Table {
    let mut table = Table::new(
        format!("panel-components{suffix}"),
        vec![
            TableColumn::words("what"),
            TableColumn::short("unit"),
            TableColumn { title: "needed".into(), unit: None, set: ColumnSet::Number },
            TableColumn::words("note"),
            TableColumn::boxes("there"),
        ],
    );
    let mut lines = component_lines(sheets, wired, wires);
    let switches = wired.parts.parts.iter().filter(|p| matches!(p.kind, PartKind::Switch(_))).count();
    if switches > 0 {
        lines.insert(("toggle".to_owned(), "pieces"), (switches as f64, "those of the shopping list".to_owned()));
    }
    for ((what, unit), (count, note)) in lines {
        let shown = if unit == "m" { format!("{count:.2}") } else { significant(count, 9) };
        let cells = vec![
            Cell::words(what),
            Cell::words(unit),
            Cell::Number { value: count, shown },
            Cell::words(note),
            Cell::Box,
        ];
        table.push(None, cells);
    }
    table
}
