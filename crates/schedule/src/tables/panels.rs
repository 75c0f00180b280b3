//! Tables of panels: parts, wires, diodes, what each button sets, components, and which routes exclude each other.

use super::{Sheets, number, significant};
use crate::Job;
use crate::choices::Units;
use crate::panel_wires::{self, ScheduledPanelWire};
use crate::paper::{Cell, Table, TableColumn};
use handbook::panel as usual;
use handbook::quantity::{Quantity, show_ohms, show_volts};
use panel::energy::{ButtonEnergy, energy};
use panel::interlocked::{RouteTable, route_table};
use panel::parts::{Part, PartKind};
use panel::sneak::SneakFault;
use panel::wiring::SupplyMatrix;
use panel::{MotorCoil, PanelWireKind, WiredPanel};
use plan::tables::SupplyKind;
use plan::{Kind, Terminal, driven};
use proof::{Exclusion, Unusable};
use std::collections::{BTreeMap, BTreeSet};

/// Of so many routes and no more the interlocking table has all; of more those that buttons set.
const ALL_ROUTES: usize = 40;

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
        components: components(sheets, &wired, &wires, &suffix),
        proved: proved(sheets, &wired),
        open: open(sheets, &wired),
        wires,
        wired,
    }
}

/// A diameter as it is drilled: to a tenth of a millimetre, or a hundredth of an inch.
pub fn diameter(units: Units, metres: f64) -> String {
    let decimals = if units == Units::Metric { 1 } else { 2 };
    let text = format!("{:.decimals$}", units.in_short(metres));
    format!("{} {}", text.strip_suffix(".0").unwrap_or(&text), units.short())
}

fn kind_word(part: &Part) -> &'static str {
    match part.kind {
        PartKind::Button(_) => "button",
        PartKind::Switch(_) => "switch",
        PartKind::Lamp(_) => "lamp",
    }
}

/// What a part sets or shows.
fn purpose(sheets: &Sheets<'_>, wired: &WiredPanel, part: &Part) -> String {
    let facts = &sheets.job.facts;
    match &part.kind {
        PartKind::Button(act) => match (act.route, act.set.is_empty()) {
            (Some((way, turned)), _) => {
                let way = &facts.ways().list[way];
                let back = if turned { analysis::ways_table::back(&facts.circuit, way) } else { None };
                format!("route {}", back.map_or_else(|| way.name.clone(), |b| b.name))
            }
            (None, false) => positions(sheets, act),
            (None, true) => "nothing that the plan knows".to_owned(),
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

fn positions(sheets: &Sheets<'_>, act: &panel::fired::ButtonAct) -> String {
    let circuit = &sheets.job.facts.circuit;
    let word = |(control, position): (&circuit::ControlId, &u8)| {
        let control = &circuit.controls[*control];
        format!("{} {}", control.name, control.positions[usize::from(*position)])
    };
    act.set.iter().map(word).collect::<Vec<_>>().join(", ")
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
            let decimals = if units == Units::Metric { 1 } else { 2 };
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
                Cell::words(diameter(units, part.hole)),
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

fn coil_words(sheets: &Sheets<'_>, coils: &[MotorCoil]) -> String {
    let plan = sheets.job.facts.plan;
    let word = |c: &MotorCoil| {
        let positions = circuit::drives::positions(plan, c.motor);
        format!("{} {}", plan.motor[c.motor].name.value, positions[usize::from(c.position.min(1))])
    };
    coils.iter().map(word).collect::<Vec<_>>().join(", ")
}

/// The coils of a button that hang on one matrix, with the diodes before each.
fn fired_at_once(wired: &WiredPanel, matrix: &SupplyMatrix, part: usize) -> Vec<(MotorCoil, usize)> {
    let Some(button) = matrix.buttons.iter().position(|&b| b == part) else { return Vec::new() };
    let own = matrix.coils.iter().zip(&matrix.wanted).filter(|(_, asked)| asked.contains(&button));
    own.map(|(&coil, _)| (coil, wired.in_row(matrix, coil))).collect()
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

fn buttons(sheets: &Sheets<'_>, wired: &WiredPanel, suffix: &str) -> Table {
    let facts = &sheets.job.facts;
    let mut table = Table::new(
        format!("panel-buttons{suffix}"),
        vec![
            TableColumn::words("button"),
            TableColumn::words("sets"),
            TableColumn::words("fires coils"),
            TableColumn::words("gives commands, address and position"),
            TableColumn::words("set by hand"),
            TableColumn::words("needs, J"),
            TableColumn::words("supply holds, J"),
            TableColumn::words("enough"),
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
        let command = |c: &MotorCoil| {
            let address = driven::address(facts.plan, facts.names, c.motor);
            let word = circuit::drives::positions(facts.plan, c.motor)[usize::from(c.position.min(1))];
            let name = &facts.plan.motor[c.motor].name.value;
            match address {
                Some(address) => format!("{} {word} ({name})", address.value),
                None => format!("{name} {word} (no address)"),
            }
        };
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
                Cell::words(act.commands.iter().map(command).collect::<Vec<_>>().join("; ")),
                Cell::words(by_hand.join(", ")),
                Cell::words(needs.join("; ")),
                Cell::words(holds.join("; ")),
                Cell::words(enough.join("; ")),
            ],
        );
    }
    table
}

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
    for (index, part) in wired.parts.parts.iter().enumerate() {
        let hole = diameter(units, part.hole);
        match &part.kind {
            PartKind::Button(_) => {
                let contacts = wired.contacts(index);
                let contacts = if contacts == 1 { "1 contact".to_owned() } else { format!("{contacts} contacts") };
                add(format!("push button, closes while pressed, {contacts}, hole {hole}"), "pieces", 1.0, "panel");
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
                        "one in series with each lamp at {}; its current is assumed",
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
                            "across each lamp on track power, the other way round",
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
    add(
        "input that gives accessory commands when it is closed".to_owned(),
        "pieces",
        inputs as f64,
        "panel; one unit or several",
    );
    let cut: f64 = wires.iter().filter_map(|w| w.cut).sum();
    let measured = wires.iter().filter(|w| w.cut.is_none() && w.wire.kind != PanelWireKind::Diode).count();
    let note = match measured {
        0 => "panel; size and lengths assumed".to_owned(),
        1 => "panel; size and lengths assumed; and 1 wire that must be measured".to_owned(),
        n => format!("panel; size and lengths assumed; and {n} wires that must be measured"),
    };
    add(format!("wire, panel, {}", panel_wires::wire_size(units)), "m", cut, &note);
    list
}

fn components(sheets: &Sheets<'_>, wired: &WiredPanel, wires: &[ScheduledPanelWire], suffix: &str) -> Table {
    let mut table = Table::new(
        format!("panel-components{suffix}"),
        vec![
            TableColumn::words("what"),
            TableColumn::short("unit"),
            TableColumn { title: "needed".into(), unit: None, set: crate::paper::ColumnSet::Number },
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

fn button_names(wired: &WiredPanel, matrix: &SupplyMatrix, pressed: &[usize]) -> String {
    let names: Vec<&str> = pressed.iter().map(|&b| wired.parts.parts[matrix.buttons[b]].name.as_str()).collect();
    names.join(" and ")
}

fn proved(sheets: &Sheets<'_>, wired: &WiredPanel) -> Vec<String> {
    let plan = sheets.job.facts.plan;
    let mut said = Vec::new();
    for matrix in &wired.matrices {
        let supply = &plan.supply[matrix.supply].name.value;
        let diodes = matrix.matrix.diodes.len();
        if matrix.faults.as_ref().is_some_and(Vec::is_empty) {
            said.push(format!(
                "Proved for the wires and diodes of these lists, over every set of buttons pressed at once: each coil on {supply} \
                 fires when one of its own buttons is pressed, and never otherwise. No current takes a way round."
            ));
        }
        let least = if matrix.matrix.least { "Fewer will not do" } else { "Whether fewer would do is not known" };
        let mut words = format!(
            "{diodes} {} for {supply}. {least} without extra junctions",
            if diodes == 1 { "diode" } else { "diodes" }
        );
        if matrix.chained_diodes < diodes {
            words.push_str(&format!(
                " and with one diode before each coil at most; `diodes = \"chained\"` in the plan takes {}, and more of the voltage",
                matrix.chained_diodes
            ));
        }
        said.push((words + ".").replace('`', ""));
    }
    said
}

fn open(sheets: &Sheets<'_>, wired: &WiredPanel) -> Vec<String> {
    let facts = &sheets.job.facts;
    let parts = &wired.parts;
    let mut said = Vec::new();
    for matrix in &wired.matrices {
        let supply = &facts.plan.supply[matrix.supply].name.value;
        match &matrix.faults {
            None => said.push(format!("The matrix on {supply} is too tangled to be proved: do not build it.")),
            Some(faults) => said.extend(faults.iter().map(|fault| match fault {
                SneakFault::Sneak { coil, pressed, .. } => format!(
                    "DO NOT BUILD: {} fires {} although it should not.",
                    button_names(wired, matrix, pressed),
                    coil_words(sheets, &[matrix.coils[*coil]])
                ),
                SneakFault::Missing { coil, button } => format!(
                    "DO NOT BUILD: {} does not fire {}.",
                    button_names(wired, matrix, &[*button]),
                    coil_words(sheets, &[matrix.coils[*coil]])
                ),
                SneakFault::Short { .. } => format!("DO NOT BUILD: {supply} is shorted."),
            })),
        }
        let both = (0..matrix.buttons.len()).any(|a| {
            (0..a).any(|b| {
                let of = |n: usize| fired_at_once(wired, matrix, matrix.buttons[n]);
                of(a).iter().any(|x| of(b).iter().any(|y| x.0.motor == y.0.motor && x.0.position != y.0.position))
            })
        });
        if both {
            said.push("Press one button at a time: some pairs of them pull a motor both ways at once.".to_owned());
        }
    }
    if let Some(why) = &wired.refused {
        said.push(format!("No matrix was made: {why}."));
    }
    for part in &parts.parts {
        let PartKind::Button(act) = &part.kind else { continue };
        for unknown in &act.unknown {
            said.push(format!("Button {}: “{}” is no route and no position.", part.name, unknown.value));
        }
        if !act.twice.is_empty() {
            let names: Vec<&str> = act.twice.iter().map(|&c| facts.circuit.controls[c].name.as_str()).collect();
            said.push(format!(
                "Button {} would set {} in two positions at once: it has no wires.",
                part.name,
                names.join(", ")
            ));
        }
    }
    for (index, part) in parts.parts.iter().enumerate() {
        if let PartKind::Lamp(_) = part.kind
            && !wired.wires.iter().any(|w| matches!(w.ends[0], panel::PanelEnd::Part(p, _) if p == index))
        {
            said.push(format!("Lamp {} has no wires: say in the plan what its two ends are wired to.", part.name));
        }
    }
    let named = |list: &[usize]| list.iter().map(|&i| parts.parts[i].name.as_str()).collect::<Vec<_>>().join(", ");
    if !parts.off_edge.is_empty() {
        said.push(format!("No room on the panel: {}.", named(&parts.off_edge)));
    }
    for pair in &parts.too_near {
        said.push(format!("Too near to each other for their holes: {}.", named(pair)));
    }
    if !parts.not_set.is_empty() {
        said.push(format!("Nothing electric throws {}: it has no button.", parts.not_set.join(", ")));
    }
    said
}

/// The interlocking table of a plan with a panel, and what stands above it; none where it has fewer than two routes, or nothing could be
/// proved.
pub fn interlocking(job: &Job<'_>) -> Option<(Table, Vec<String>)> {
    let facts = &job.facts;
    let ways = facts.ways();
    let of_buttons = || {
        let acts = job.panels().into_iter().flat_map(|w| w.parts.parts).filter_map(|p| match p.kind {
            PartKind::Button(act) => act.route.map(|r| r.0),
            _ => None,
        });
        acts.collect::<BTreeSet<usize>>().into_iter().collect::<Vec<_>>()
    };
    let all = ways.complete && ways.list.len() <= ALL_ROUTES;
    let routes: Vec<usize> = if all { (0..ways.list.len()).collect() } else { of_buttons() };
    if routes.len() < 2 {
        return None;
    }
    let table = route_table(facts, &routes).ok()?;
    let mut said = vec![
        "Proved over every setting: routes that go together can be set at once and have power throughout in one and the same \
         setting; routes that exclude each other cannot, or would meet on the track. Numbers are those of the list of routes."
            .to_owned(),
    ];
    if !all {
        said.push("The plan has more routes than fit here: these are the routes that buttons set.".to_owned());
    }
    Some((route_rows(job, &table), said))
}

fn route_rows(job: &Job<'_>, table: &RouteTable) -> Table {
    let facts = &job.facts;
    let mut paper = Table::new(
        "interlocking",
        vec![
            TableColumn::short("route"),
            TableColumn::words("name"),
            TableColumn::words("goes together with"),
            TableColumn::words("excludes, and why"),
        ],
    );
    let ways = &facts.ways().list;
    for (place, &route) in table.routes.iter().enumerate() {
        let (mut with, mut against) = (Vec::new(), BTreeMap::<String, Vec<usize>>::new());
        for (other, &number) in table.routes.iter().enumerate().filter(|(o, _)| *o != place) {
            match table.go_together(place, other) {
                None => {}
                Some(true) => with.push(number + 1),
                Some(false) => against.entry(why(job, table, [place, other])).or_default().push(number + 1),
            }
        }
        let excludes: Vec<String> =
            against.into_iter().map(|(why, routes)| format!("{}: {why}", crate::counts_in_runs(routes))).collect();
        let together = match table.proved.unusable[place] {
            None if with.is_empty() => "none".to_owned(),
            None => crate::counts_in_runs(with),
            Some(Unusable::CannotBeSet) => "cannot be set".to_owned(),
            Some(Unusable::Shorted) => "shorts a supply".to_owned(),
            Some(Unusable::NeverLive) => "has no power".to_owned(),
            Some(Unusable::NotWholeLive) => "not all of it has power at one time".to_owned(),
        };
        paper.push(
            None,
            vec![
                Cell::words((route + 1).to_string()),
                Cell::words(&ways[route].name),
                Cell::words(together),
                Cell::words(excludes.join("; ")),
            ],
        );
    }
    paper
}

/// Why two routes exclude each other: the first reason, which is the plainest.
fn why(job: &Job<'_>, table: &RouteTable, [one, other]: [usize; 2]) -> String {
    let facts = &job.facts;
    let circuit = &facts.circuit;
    let (reasons, supply) = table.why(one, other);
    let supplied =
        || supply.map_or_else(String::new, |s| format!("{} feeds one train only", facts.plan.supply[s].name.value));
    // What differs in position says more than the trackwork that both meet in.
    let position = reasons.iter().find(|r| matches!(r, Exclusion::Position(..)));
    let Some(reason) = position.or(reasons.first()) else { return supplied() };
    match reason {
        Exclusion::Track(segment) => format!("both run over {}", circuit.segments[*segment].name),
        Exclusion::Trackwork(kind, index) => {
            let places = crate::places::PlaceNames::new(circuit, facts.plan, job.choices.units);
            format!("both run over {}", places.name(*kind, *index))
        }
        Exclusion::Position(control, _) => format!("{} stands the other way", circuit.controls[*control].name),
        Exclusion::NeverTogether => "never set together, as the plan says".to_owned(),
        Exclusion::Short => "set together they short a supply".to_owned(),
        Exclusion::Starved(_, segment) => format!("{} loses its power", circuit.segments[*segment].name),
        Exclusion::NotBothLive => "never both with power".to_owned(),
    }
}
