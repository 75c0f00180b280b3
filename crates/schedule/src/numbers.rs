//! The number of each wire, gap and joint: one number for one thing on every paper, drawing and label.
//!
//! A number has a dash, which no ordinary name has at that place: a turnout may be called `W1` beside the wire `W-1`.
//! Numbers follow the order of the plan and know no names, so renaming changes none. Where a [`Record`] of an earlier
//! plan is kept, what is still there keeps its number whatever was put in or taken out around it.

use crate::items::{Is, Item, Key, items};
use crate::recognise::recognise;
use crate::record::Record;
use crate::things::Things;
use circuit::{Circuit, EdgeId, NodeId};
use plan::tables::Plan;
use plan::{Kind, Names};
use std::collections::BTreeMap;
use std::fmt;

/// What is numbered; each class has a letter and counts from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// A feeder, rail to bus: F.
    Feeder,
    /// A wire to or from a contact: W.
    Wire,
    /// A conductor of a bus, or a lead from a supply: B.
    Bus,
    /// An insulated gap: G.
    Gap,
    /// A joint, soldered or sliding: J.
    Joint,
}

/// The number of one thing: `F-12`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Number {
    /// What it is.
    pub class: Class,
    /// Its count, from 1.
    pub count: u32,
}

impl Class {
    /// Every class.
    pub const ALL: [Class; 5] = [Class::Feeder, Class::Wire, Class::Bus, Class::Gap, Class::Joint];

    /// Its letter.
    pub fn letter(self) -> char {
        match self {
            Class::Feeder => 'F',
            Class::Wire => 'W',
            Class::Bus => 'B',
            Class::Gap => 'G',
            Class::Joint => 'J',
        }
    }
}

impl std::str::FromStr for Number {
    type Err = ();

    /// Reads `F-12`.
    fn from_str(text: &str) -> Result<Number, ()> {
        let class = Class::ALL.into_iter().find(|c| text.starts_with(c.letter())).ok_or(())?;
        let count = text[1..].strip_prefix('-').ok_or(())?;
        let plain = !count.is_empty() && count.bytes().all(|b| b.is_ascii_digit());
        let count = if plain { count.parse().map_err(|_| ())? } else { return Err(()) };
        Ok(Number { class, count })
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.class.letter(), self.count)
    }
}

/// Numbers in words, those in a row drawn together: `F-1 to F-4, J-2`.
pub fn in_runs<I: IntoIterator<Item = Number>>(numbers: I) -> String {
    let mut runs: Vec<(Class, u32, u32)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((class, _, last)) if *class == number.class && *last + 1 == number.count => *last = number.count,
            _ => runs.push((number.class, number.count, number.count)),
        }
    }
    let words = runs.into_iter().map(|(class, first, last)| {
        let [one, other] = [first, last].map(|count| Number { class, count });
        match last - first {
            0 => one.to_string(),
            1 => format!("{one}, {other}"),
            _ => format!("{one} to {other}"),
        }
    });
    words.collect::<Vec<_>>().join(", ")
}

/// The numbers of a circuit's wires, gaps and joints.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Numbers {
    edges: BTreeMap<EdgeId, Number>,
    gaps: BTreeMap<(NodeId, NodeId), Number>,
    leads: BTreeMap<(usize, u8), Number>,
    buses: BTreeMap<(usize, u8), Number>,
    /// Of each class the highest count that was ever given.
    highest: BTreeMap<Class, u32>,
}

impl Numbers {
    /// Numbers in the order of the plan, for what the circuit holds. Wires that it does not hold, such as those of
    /// motors, get theirs from [`Numbers::in_order`], and nothing else is numbered otherwise there.
    pub fn fresh(circuit: &Circuit) -> Numbers {
        Numbers::given(&items(circuit, None), |_| None, BTreeMap::new())
    }

    /// Numbers in the order of the plan, for everything that has one.
    pub fn in_order(circuit: &Circuit, plan: &Plan) -> Numbers {
        Numbers::given(&items(circuit, Some(plan)), |_| None, BTreeMap::new())
    }

    /// The numbers that an earlier record gives to what is still there, and new ones, higher than any that was ever
    /// given, to what is new. The number of what is gone is not given again.
    pub fn carried(circuit: &Circuit, plan: &Plan, record: &Record) -> Numbers {
        let things = Things::of(plan, &Names::of(plan));
        let to = things.matched(&record.things);
        let items = items(circuit, Some(plan));
        let keys: Vec<Key> = items.iter().map(|item| Key::of(item, &things)).collect();
        let old: Vec<Key> = record.numbered.iter().map(|(_, key)| key.clone().renumbered(&to)).collect();
        let of = recognise(&old, &keys);
        Numbers::given(&items, |i| of[i].map(|o| record.numbered[o].0), record.highest.clone())
    }

    /// Gives each item the number that is known of it, or the next one of its class.
    fn given(items: &[Item], known: impl Fn(usize) -> Option<Number>, highest: BTreeMap<Class, u32>) -> Numbers {
        let mut numbers = Numbers { highest, ..Numbers::default() };
        for number in (0..items.len()).filter_map(&known) {
            let highest = numbers.highest.entry(number.class).or_default();
            *highest = number.count.max(*highest);
        }
        for (i, item) in items.iter().enumerate() {
            let number = known(i).unwrap_or_else(|| {
                let highest = numbers.highest.entry(item.class).or_default();
                *highest = highest.saturating_add(1);
                Number { class: item.class, count: *highest }
            });
            match &item.is {
                Is::Edges(edges) => numbers.edges.extend(edges.iter().map(|&edge| (edge, number))),
                Is::Gap(before, after) => {
                    numbers.gaps.insert((*before, *after), number);
                }
                Is::MotorLead(motor, terminal) => {
                    numbers.leads.insert((*motor, *terminal), number);
                }
            }
            if let (Some(Kind::Bus), "bus") = (item.ends[0].thing.map(|t| t.0), item.what) {
                let pole = u8::from(item.ends[0].part == "B");
                let bus = item.ends[0].thing.map_or(0, |t| t.1);
                numbers.buses.insert((bus, pole), number);
            }
        }
        numbers
    }

    /// The number of a wire or joint by its edge; none of what has no number, such as rail. All pieces of a conductor
    /// of a bus have one number.
    pub fn of_edge(&self, edge: EdgeId) -> Option<Number> {
        self.edges.get(&edge).copied()
    }

    /// The number of the gap between two nodes, whichever way they are named.
    pub fn of_gap(&self, before: NodeId, after: NodeId) -> Option<Number> {
        self.gaps.get(&(before.min(after), before.max(after))).copied()
    }

    /// The number of a wire from its supply to a motor, by the motor's index and its terminal, 0 or 1.
    pub fn of_motor_lead(&self, motor: usize, terminal: u8) -> Option<Number> {
        self.leads.get(&(motor, terminal)).copied()
    }

    /// The number of a conductor of a bus, by the bus's index and its pole, 0 for A.
    pub fn of_bus(&self, bus: usize, pole: u8) -> Option<Number> {
        self.buses.get(&(bus, pole)).copied()
    }

    /// The number of an item.
    pub fn of(&self, item: &Item) -> Option<Number> {
        match &item.is {
            Is::Edges(edges) => match (edges.first(), item.ends[0].thing) {
                (Some(&edge), _) => self.of_edge(edge),
                (None, Some((Kind::Bus, bus))) => self.of_bus(bus, u8::from(item.ends[0].part == "B")),
                (None, _) => None,
            },
            Is::Gap(before, after) => self.of_gap(*before, *after),
            Is::MotorLead(motor, terminal) => self.of_motor_lead(*motor, *terminal),
        }
    }

    /// Of each class the highest count that was ever given.
    pub fn highest(&self) -> &BTreeMap<Class, u32> {
        &self.highest
    }
}
