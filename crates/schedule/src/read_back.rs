//! The circuit once more, from the tables that were printed: the check that nothing was left out of them.
//!
//! It knows no plan. Resistances of wires come from their size and run, those of joints, taps and contacts from the
//! handbook; where a bus is cut into pieces follows from what taps it.

use crate::choices::Units;
use circuit::EdgeKind;
use handbook::contacts::{MOTOR_CONTACT, SLIDING_JOINT, SOLDERED_JOINT, TAP_CONNECTOR};
use handbook::limits::FEEDER_LENGTH;
use handbook::motors::MOTOR_WIRE_RUN;
use handbook::quantity::Quantity;
use std::collections::{BTreeMap, BTreeSet};
use text::csv::{Columns, ColumnsRow, ReadError};

/// An edge that was read back. Its ends are words, those at the wire's side of a tap `tap of F-12`.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadEdge {
    /// What it is made of.
    pub kind: EdgeKind,
    /// Its ends.
    pub ends: [String; 2],
    /// When it is closed, as the tables say; empty where always.
    pub when: String,
    /// Its resistance as usual.
    pub ohms: f64,
    /// Volts that stay behind in it besides, whichever way the current flows, as in the diodes of a detector.
    pub keeps: f64,
}

/// The graph that the tables describe.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadBack {
    /// What is joined.
    pub edges: Vec<ReadEdge>,
    /// Gaps, by the words for their sides.
    pub gaps: BTreeSet<[String; 2]>,
}

/// The texts of the tables, by their names.
#[derive(Clone, Copy, Debug)]
pub struct Texts<'t> {
    /// `wires.csv`.
    pub wires: &'t str,
    /// `gaps.csv`.
    pub gaps: &'t str,
    /// `joints.csv`.
    pub joints: &'t str,
    /// `rails.csv`.
    pub rails: &'t str,
    /// `contacts.csv`.
    pub contacts: &'t str,
    /// `sources.csv`.
    pub sources: &'t str,
}

/// Rebuilds the graph.
///
/// # Errors
/// With the line, where a table is none of ours.
pub fn read_back(texts: &Texts<'_>, units: Units) -> Result<ReadBack, ReadError> {
    let mut back = ReadBack::default();
    for row in Columns::read(texts.gaps)?.rows() {
        back.gaps.insert([row.cell("one side")?.to_owned(), row.cell("other side")?.to_owned()]);
    }
    for row in Columns::read(texts.joints)?.rows() {
        let (kind, ohms) = match row.cell("kind")? {
            "soldered" => (EdgeKind::SolderedJoint, SOLDERED_JOINT.value.typical),
            "sliding" => (EdgeKind::SlidingJoint, SLIDING_JOINT.value.typical),
            _ => return Err(row.wrong("a joint is `soldered` or `sliding`")),
        };
        back.put(kind, [row.cell("from")?, row.cell("to")?], "", ohms.si());
    }
    for row in Columns::read(texts.rails)?.rows() {
        let kind = match row.cell("what")? {
            "rail" => EdgeKind::Rail,
            "blade" => EdgeKind::Blade,
            "deck contact" => EdgeKind::Contact,
            "detector" => EdgeKind::Wire,
            _ => return Err(row.wrong("a piece is `rail`, `blade`, `deck contact` or `detector`")),
        };
        back.put(kind, [row.cell("from")?, row.cell("to")?], row.cell("when")?, milliohms(&row)?);
        if let (Some(edge), Some(keeps)) = (back.edges.last_mut(), row.number("keeps")?) {
            edge.keeps = keeps;
        }
    }
    for row in Columns::read(texts.contacts)?.rows() {
        let ends = [row.cell("terminal")?, row.cell("is joined to")?];
        back.put(EdgeKind::Contact, ends, row.cell("when")?, MOTOR_CONTACT.value.typical.si());
    }
    for row in Columns::read(texts.sources)?.rows() {
        back.put(EdgeKind::Source, [row.cell("from")?, row.cell("to")?], "", milliohms(&row)?);
    }
    back.wires(&Columns::read(texts.wires)?, units)?;
    Ok(back)
}

fn milliohms(row: &ColumnsRow<'_>) -> Result<f64, ReadError> {
    let value = row.number("resistance")?;
    Ok(value.ok_or_else(|| row.wrong("there is no resistance"))? / 1e3)
}

/// A conductor of a bus: its wire, and where something is on it.
struct ReadConductor {
    per_metre: f64,
    places: BTreeMap<i64, String>,
}

impl ReadBack {
    fn put(&mut self, kind: EdgeKind, ends: [&str; 2], when: &str, ohms: f64) {
        self.edges.push(ReadEdge { kind, ends: ends.map(str::to_owned), when: when.to_owned(), ohms, keeps: 0.0 });
    }

    fn wires(&mut self, wires: &Columns, units: Units) -> Result<(), ReadError> {
        let mut conductors: BTreeMap<&str, ReadConductor> = BTreeMap::new();
        for row in wires.rows().filter(|row| row.cell("what") == Ok("bus")) {
            let (name, _) =
                place(row.cell("to")?, units).ok_or_else(|| row.wrong("a bus ends at a place of itself"))?;
            conductors.insert(name, ReadConductor { per_metre: per_metre(&row)?, places: BTreeMap::new() });
        }
        let tap = TAP_CONNECTOR.value.typical.si();
        let joint = SOLDERED_JOINT.value.typical.si();
        for row in wires.rows() {
            let (number, from, to) = (row.cell("number")?, row.cell("from")?, row.cell("to")?);
            // What was assumed of a place stands behind it.
            let to = to.split_once(" (assumed").or(to.split_once(" (far end assumed")).map_or(to, |(place, _)| place);
            let on = |conductors: &BTreeMap<&str, ReadConductor>, words| {
                place(words, units).filter(|(name, _)| conductors.contains_key(name)).is_some()
            };
            match row.cell("what")? {
                what @ ("feeder" | "contact wire" | "driver wire" | "command wire" | "motor wire" | "coil wire"
                | "detector wire") => {
                    // What is to be measured on the layout is as long as usual in the sums.
                    let usual = if matches!(what, "motor wire" | "coil wire") { MOTOR_WIRE_RUN } else { FEEDER_LENGTH };
                    let run = row.number("run")?.map_or(usual.value.si(), |run| units.from_short(run));
                    let plug = row.number("plug")?.map_or(0.0, |milliohms| milliohms / 1e3);
                    let ohms = per_metre(&row)? * run + plug;
                    let kind = if what == "feeder" { EdgeKind::Feeder } else { EdgeKind::Wire };
                    if on(&conductors, to) {
                        let side = format!("tap of {number}");
                        self.put(kind, [from, &side], "", ohms);
                        self.put(EdgeKind::Tap, [&side, to], "", tap);
                        stands(&mut conductors, to, units);
                    } else {
                        self.put(kind, [from, to], "", ohms);
                    }
                }
                "bond" | "switch link" => self.put(EdgeKind::Wire, [from, to], "", joint),
                "lead" | "common" => {
                    self.put(EdgeKind::BusWire, [from, to], "", joint);
                    stands(&mut conductors, to, units);
                }
                "reverser input" => {
                    self.put(EdgeKind::Tap, [to, from], "", tap);
                    stands(&mut conductors, from, units);
                }
                "bus" => {
                    let Some((name, _)) = place(to, units) else { continue };
                    let start = format!("{name} @ 0 {}", units.short());
                    stands(&mut conductors, &start, units);
                    if start != from {
                        let joint = row.number("plug")?.map_or(tap, |milliohms| milliohms / 1e3);
                        self.put(EdgeKind::Tap, [&start, from], "", joint);
                        stands(&mut conductors, from, units);
                    }
                }
                _ => return Err(row.wrong("this kind of wire is not known")),
            }
        }
        for conductor in conductors.values() {
            let places: Vec<(&i64, &String)> = conductor.places.iter().collect();
            for pair in places.windows(2) {
                let run = (pair[1].0 - pair[0].0) as f64 * 1e-5;
                self.put(EdgeKind::BusWire, [pair[0].1, pair[1].1], "", run * conductor.per_metre);
            }
        }
        Ok(())
    }
}

/// Notes that something is at a place of a conductor.
fn stands(conductors: &mut BTreeMap<&str, ReadConductor>, words: &str, units: Units) {
    let Some((name, x)) = place(words, units) else { return };
    if let Some(conductor) = conductors.get_mut(name) {
        conductor.places.entry(crate::things::hundredths(x)).or_insert_with(|| words.to_owned());
    }
}

/// `main bus.A @ 2100 mm`, with or without words behind it: the name before and the place in metres.
fn place(words: &str, units: Units) -> Option<(&str, f64)> {
    let (name, rest) = words.rsplit_once(" @ ")?;
    let (value, _) = rest.split_once(' ')?;
    Some((name, units.from_short(value.parse().ok()?)))
}

fn per_metre(row: &ColumnsRow<'_>) -> Result<f64, ReadError> {
    let size = row.cell("size")?;
    let wire = handbook::wires::wire(size).map_err(|_| row.wrong("the handbook does not know this size of wire"))?;
    Ok(wire.resistance_per_metre.typical.si())
}
