//! The number of each wire, gap and joint: one number for one thing on every paper, drawing and label.
//!
//! A number has a dash, which no ordinary name has at that place: a turnout may be called `W1` beside the wire `W-1`.
//! Numbers follow the order of the plan and know no names, so renaming changes none. Where a [`crate::NumbersRecord`] of an earlier
//! plan is kept, what is still there keeps its number whatever was put in or taken out around it.

use crate::items::{Item, ItemKind, items};
use crate::number::{Number, NumberClass};
use crate::panel_wires::all_items;
use circuit::{Circuit, EdgeId, NodeId};
use plan::Kind;
use plan::tables::Plan;
use std::collections::BTreeMap;

/// The numbers of a circuit's wires, gaps and joints.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Numbers {
    edges: BTreeMap<EdgeId, Number>,
    gaps: BTreeMap<(NodeId, NodeId), Number>,
    buses: BTreeMap<(usize, u8), Number>,
    panels: BTreeMap<(usize, usize), Number>,
    /// Of each class the highest count that was ever given.
    highest: BTreeMap<NumberClass, u32>,
}

impl Numbers {
    /// Numbers in the order of the plan, for what the circuit holds. Buses that nothing taps, which it does not hold, get
    /// theirs from [`Numbers::in_order`], and nothing else is numbered otherwise there.
    pub fn fresh(circuit: &Circuit) -> Numbers {
        Numbers::given(&items(circuit, None), |_| None, BTreeMap::new())
    }

    /// Numbers in the order of the plan, for everything that has one.
    pub fn in_order(circuit: &Circuit, plan: &Plan) -> Numbers {
        Numbers::given(&all_items(circuit, plan), |_| None, BTreeMap::new())
    }

    /// Gives each item the number that is known of it, or the next one of its class.
    pub(crate) fn given(
        items: &[Item],
        known: impl Fn(usize) -> Option<Number>,
        highest: BTreeMap<NumberClass, u32>,
    ) -> Numbers {
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
            match &item.kind {
                ItemKind::Edges(edges) => numbers.edges.extend(edges.iter().map(|&edge| (edge, number))),
                ItemKind::Gap(before, after) => {
                    numbers.gaps.insert((*before, *after), number);
                }
                ItemKind::Panel(panel, wire) => {
                    numbers.panels.insert((*panel, *wire), number);
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

    /// The number of a conductor of a bus, by the bus's index and its pole, 0 for A.
    pub fn of_bus(&self, bus: usize, pole: u8) -> Option<Number> {
        self.buses.get(&(bus, pole)).copied()
    }

    /// The number of a wire or diode of a panel, by the panel's index and its own there.
    pub fn of_panel(&self, panel: usize, wire: usize) -> Option<Number> {
        self.panels.get(&(panel, wire)).copied()
    }

    /// The number of an item.
    pub fn number(&self, item: &Item) -> Option<Number> {
        match &item.kind {
            ItemKind::Edges(edges) => match (edges.first(), item.ends[0].thing) {
                (Some(&edge), _) => self.of_edge(edge),
                (None, Some((Kind::Bus, bus))) => self.of_bus(bus, u8::from(item.ends[0].part == "B")),
                (None, _) => None,
            },
            ItemKind::Gap(before, after) => self.of_gap(*before, *after),
            ItemKind::Panel(panel, wire) => self.of_panel(*panel, *wire),
        }
    }

    /// Of each class the highest count that was ever given.
    pub fn highest(&self) -> &BTreeMap<NumberClass, u32> {
        &self.highest
    }
}
