//! The shopping list, and prices where the builder has a file of them.

use super::{Sheets, paper, significant};
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use circuit::{EdgeKind, PlugContact, RailOwner};
use handbook::limits::WIRE_WASTE;
use handbook::quantity::{Quantity, show_amps, show_farads, show_ohms, show_volts, show_watts};
use plan::tables::Taps;
use std::collections::{BTreeMap, BTreeSet};
use text::csv::{ReadError, read};

/// What things cost, by their names in the shopping list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prices(BTreeMap<String, f64>);

impl Prices {
    /// Reads a file of lines `name,unit price`; a first line without a number is taken for titles. Of wire the unit is a
    /// metre.
    ///
    /// # Errors
    /// With the line, where a price is none.
    pub fn read(text: &str) -> Result<Prices, ReadError> {
        let mut prices = BTreeMap::new();
        for (line, cells) in read(text)? {
            let wrong = |what: &str| ReadError { line, what: what.to_owned() };
            let [name, price] = cells.as_slice() else { return Err(wrong("a line is a name and its unit price")) };
            match price.trim().parse::<f64>() {
                Ok(price) if price.is_finite() && price >= 0.0 => {
                    prices.insert(name.trim().to_owned(), price);
                }
                _ if line == 1 => {}
                _ => return Err(wrong("this is no price; write it as in 4.50, without a currency")),
            }
        }
        Ok(Prices(prices))
    }
}

/// One thing to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct ShoppingLine {
    /// What, as it stands in a file of prices: `wire, red, 0.5 mm²`.
    pub name: String,
    /// Its unit: `m`, or `pieces`.
    pub unit: &'static str,
    /// What the lists of these papers come to.
    pub net: f64,
    /// What to buy: with waste, and of wire to the next tenth of a metre.
    pub buy: f64,
    /// What else to know.
    pub note: String,
}

pub(super) fn sheet(sheets: &Sheets<'_>, prices: Option<&Prices>) -> Paper {
    let waste = WIRE_WASTE.value.si() * 100.0;
    let blocks = vec![
        Block::Text(format!(
            "Wire is the sum of the cut lengths in the wire list; to buy stands with {waste:.0} % of waste ({}). Rail and \
             track are not counted.",
            WIRE_WASTE.source
        )),
        Block::Table(table(&lines(sheets), prices)),
    ];
    paper("shopping-list", "Shopping list", blocks)
}

/// Everything to buy, in the order of the list.
pub(super) fn lines(sheets: &Sheets<'_>) -> Vec<ShoppingLine> {
    let mut list = wire_lines(sheets);
    let facts = &sheets.job.facts;
    let (circuit, plan) = (&facts.circuit, facts.plan);
    let mut pieces = |name: String, count: usize, note: &str| {
        if count > 0 {
            let count = count as f64;
            list.push(ShoppingLine { name, unit: "pieces", net: count, buy: count, note: note.to_owned() });
        }
    };
    let of_kind = |kind: EdgeKind| circuit.edges.iter().filter(|e| e.kind == kind).count();
    let said = plan.layout.as_ref().is_some_and(|l| l.value.taps.is_some());
    let taps = plan.layout.as_ref().and_then(|l| l.value.taps.as_ref()).map_or(Taps::Soldered, |t| t.value);
    let (tap_name, note) = match taps {
        Taps::Soldered if !said => {
            ("tap on a bus, soldered".to_owned(), "assumed: soldered; a length of heat-shrink sleeve or tape for each")
        }
        Taps::Soldered => ("tap on a bus, soldered".to_owned(), "a length of heat-shrink sleeve or tape for each"),
        colour => (format!("tap connector, {}", colour.word()), "branches and inputs of reversers with them"),
    };
    let plugged = circuit.plugs.keys().filter(|edge| circuit.edges[**edge].kind == EdgeKind::Tap).count();
    pieces(tap_name, of_kind(EdgeKind::Tap) - plugged, note);
    plugs(sheets).into_iter().for_each(|(name, count, note)| pieces(name, count, &note));
    let joints = of_kind(EdgeKind::SolderedJoint) + of_kind(EdgeKind::SlidingJoint);
    // A joint that nothing describes is taken to slide, so that how many there are of each depends on that.
    let unsaid = !circuit.assumed_joints.is_empty();
    let note =
        |usual: &str| if unsaid { format!("{usual}; some joints are assumed to slide") } else { usual.to_owned() };
    pieces("rail joiner".to_owned(), joints, &note("one for each joint; track often comes with some"));
    let mut seen = BTreeSet::new();
    let own: Vec<_> = circuit
        .gaps
        .iter()
        .filter(|g| matches!(circuit.segments[g.segment].owner, RailOwner::Track(_)))
        .filter(|g| seen.insert(sheets.job.numbers.of_gap(g.before, g.after)))
        .collect();
    let at_end = own.iter().filter(|g| g.x <= 0.0 || g.x >= circuit.segments[g.segment].length).count();
    pieces("insulating joiner".to_owned(), at_end, &note("gaps at the ends of tracks"));
    pieces("filler for a saw cut".to_owned(), own.len() - at_end, "gaps inside tracks; or insulating joiners");
    pieces("position of a terminal strip".to_owned(), super::strips::count(sheets), "");
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    for motor in 0..plan.motor.len() {
        let kind = plan::driven::motor_kind(plan, facts.names, motor).map_or("", |k| k.word());
        *kinds.entry(format!("motor {kind}").trim_end().to_owned()).or_default() += 1;
    }
    kinds.into_iter().for_each(|(name, count)| pieces(name, count, ""));
    let mut drivers: BTreeMap<String, usize> = BTreeMap::new();
    for (index, driver) in plan.driver.iter().enumerate() {
        let count = plan::driven::outputs(plan, index);
        let outputs = if count == 1 { "1 output".to_owned() } else { format!("{count} outputs") };
        *drivers.entry(format!("driver, {}, {outputs}", driver.kind.value.word())).or_default() += 1;
    }
    drivers.into_iter().for_each(|(name, count)| pieces(name, count, ""));
    let diodes = crate::driver_wires::diodes(plan, facts.names);
    pieces("diode, 1 A".to_owned(), diodes, "one in series with the coil of each relay");
    pieces("relay".to_owned(), plan.relay.len(), "");
    pieces("toggle".to_owned(), plan.toggle.len(), "");
    pieces("reverser".to_owned(), plan.reverser.len(), "");
    pieces("detector".to_owned(), plan.detector.len(), "");
    pieces("turnout".to_owned(), plan.turnout.len(), "");
    pieces("crossing".to_owned(), plan.crossing.len(), "");
    pieces("slip".to_owned(), plan.slip.len(), "");
    pieces("three-way turnout".to_owned(), plan.three_way.len(), "");
    pieces("turntable or sector plate".to_owned(), plan.turntable.len(), "");
    let mut parts: BTreeMap<String, usize> = BTreeMap::new();
    for bus in &plan.bus {
        if let Some(filter) = bus.filter.as_ref().map(|f| &f.value) {
            let power = filter.power.as_ref().map_or_else(String::new, |p| format!(", {}", show_watts(p.value)));
            *parts.entry(format!("resistor, {}{power}", show_ohms(filter.resistance.value))).or_default() += 1;
            *parts.entry(format!("capacitor, {}", show_farads(filter.capacitance.value))).or_default() += 1;
        }
        if let Some(clamp) = &bus.clamp {
            *parts.entry(format!("suppressor diode, {}", show_volts(clamp.value))).or_default() += 1;
        }
    }
    parts.into_iter().for_each(|(name, count)| pieces(name, count, "across the far end of a bus"));
    list.extend(panel_lines(sheets));
    list
}

/// What panels take.
fn panel_lines(sheets: &Sheets<'_>) -> Vec<ShoppingLine> {
    let mut all: BTreeMap<(String, &'static str), (f64, String)> = BTreeMap::new();
    for wired in sheets.job.panels() {
        let wires = crate::panel_wires::scheduled(sheets.job, &wired);
        for (name, (count, note)) in super::panel_components::component_lines(sheets, &wired, &wires) {
            all.entry(name).or_insert((0.0, note)).0 += count;
        }
    }
    let line = |((name, unit), (net, note)): ((String, &'static str), (f64, String))| {
        let waste = if unit == "m" { 1.0 + WIRE_WASTE.value.si() } else { 1.0 };
        let buy = if unit == "m" { (net * waste * 10.0 - 1e-6).ceil().max(0.0) / 10.0 } else { net };
        ShoppingLine { name, unit, net, buy, note }
    };
    all.into_iter().map(line).collect()
}

/// One plug: where the plan says it, and the two boards between which it is.
type PlugPlace = (usize, [Option<usize>; 2]);

/// Plugs by how many contacts they have and what these bear, how many of each, and what for.
fn plugs(sheets: &Sheets<'_>) -> Vec<(String, usize, String)> {
    let circuit = &sheets.job.facts.circuit;
    // One that the plan says in one place is one plug, but where it is a board's: one for each place the wires go.
    let mut contacts: BTreeMap<PlugPlace, (usize, &PlugContact)> = BTreeMap::new();
    for (&edge, plug) in &circuit.plugs {
        let edge = &circuit.edges[edge];
        let mut boards = [edge.a, edge.b].map(|node| circuit.board_at(&circuit.nodes[node]).flatten());
        boards.sort_unstable();
        let between = if plug.board.is_some() { boards } else { [None, None] };
        contacts.entry((plug.span.start, between)).or_insert((0, plug)).0 += 1;
    }
    let mut kinds: BTreeMap<(usize, String), (usize, BTreeSet<&str>)> = BTreeMap::new();
    for (count, plug) in contacts.into_values() {
        let bears = plug.rating.as_ref().map_or_else(String::new, |amps| format!(" for {}", show_amps(amps.value)));
        let (pieces, notes) = kinds.entry((count, bears)).or_default();
        *pieces += 1;
        notes.insert(if plug.board.is_some() {
            "single wires between boards"
        } else {
            "for buses and wires that have a plug of their own"
        });
        if plug.rating.is_none() {
            notes.insert("contacts are assumed to be of a usual rating");
        }
    }
    let line = |((count, bears), (pieces, notes)): ((usize, String), (usize, BTreeSet<&str>))| {
        let contacts = if count == 1 { "1 contact".to_owned() } else { format!("{count} contacts") };
        let notes: Vec<&str> = notes.into_iter().rev().collect();
        (format!("plug and socket, {contacts}{bears}"), pieces, notes.join("; "))
    };
    kinds.into_iter().map(line).collect()
}

/// Wire by size and colour.
fn wire_lines(sheets: &Sheets<'_>) -> Vec<ShoppingLine> {
    // Wires that are measured on the layout have no length yet.
    let mut wires: BTreeMap<(String, &str), (f64, usize)> = BTreeMap::new();
    // Of how many of them something is assumed.
    let mut assumed: BTreeMap<(String, &str), usize> = BTreeMap::new();
    for wire in &sheets.wires {
        if let (Some(size), Some(colour)) = (&wire.size, wire.colour) {
            let sum = wires.entry((size.clone(), colour)).or_default();
            if wire.assumed != crate::wires::WireAssumed::default() {
                *assumed.entry((size.clone(), colour)).or_default() += 1;
            }
            match wire.cut() {
                Some(cut) => sum.0 += cut,
                None => sum.1 += 1,
            }
        }
    }
    let lines = wires.into_iter().map(|((size, colour), (net, unmeasured))| {
        let buy = (net * (1.0 + WIRE_WASTE.value.si()) * 10.0 - 1e-6).ceil().max(0.0) / 10.0;
        let mut notes = Vec::new();
        match unmeasured {
            0 => {}
            1 => notes.push("and 1 wire that must be measured".to_owned()),
            n => notes.push(format!("and {n} wires that must be measured")),
        }
        match assumed.get(&(size.clone(), colour)) {
            None => {}
            Some(1) => notes.push("of 1 wire something is assumed, see the wire list".to_owned()),
            Some(n) => notes.push(format!("of {n} wires something is assumed, see the wire list")),
        }
        let note = notes.join("; ");
        ShoppingLine { name: format!("wire, {colour}, {size}"), unit: "m", net, buy, note }
    });
    lines.collect()
}

fn table(lines: &[ShoppingLine], prices: Option<&Prices>) -> Table {
    let mut columns = vec![
        TableColumn::words("what"),
        TableColumn::short("unit"),
        TableColumn { title: "in the lists".into(), unit: None, set: crate::paper::ColumnSet::Number },
        TableColumn { title: "to buy".into(), unit: None, set: crate::paper::ColumnSet::Number },
        TableColumn::words("note"),
    ];
    if prices.is_some() {
        columns.push(TableColumn { title: "unit price".into(), unit: None, set: crate::paper::ColumnSet::Number });
        columns.push(TableColumn { title: "price".into(), unit: None, set: crate::paper::ColumnSet::Number });
    }
    columns.push(TableColumn::boxes("bought"));
    let mut table = Table::new("shopping", columns);
    let money = |value: f64| Cell::Number { value, shown: format!("{value:.2}") };
    let mut total = 0.0;
    for line in lines {
        let amount = |value: f64| Cell::Number {
            value,
            shown: if line.unit == "m" { format!("{value:.2}") } else { significant(value, 9) },
        };
        let mut cells = vec![
            Cell::words(&line.name),
            Cell::words(line.unit),
            amount(line.net),
            amount(line.buy),
            Cell::words(&line.note),
        ];
        if let Some(prices) = prices {
            let price = prices.0.get(&line.name);
            total += price.map_or(0.0, |p| p * line.buy);
            cells.push(price.map_or(Cell::Empty, |&p| money(p)));
            cells.push(price.map_or(Cell::Empty, |&p| money(p * line.buy)));
        }
        cells.push(Cell::Box);
        table.push(None, cells);
    }
    if let Some(prices) = prices {
        let without = lines.iter().filter(|l| !prices.0.contains_key(&l.name)).count();
        let note = if without > 0 { format!("{without} without a price") } else { String::new() };
        let empty = || Cell::Empty;
        table.push(
            None,
            vec![Cell::words("total"), empty(), empty(), empty(), Cell::words(note), empty(), money(total), empty()],
        );
    }
    table
}
