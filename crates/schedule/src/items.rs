//! Everything that has a number: what it is and what it ends at, identified by the things of the plan and not by words.

use crate::driver_wires;
use crate::members::MembersMatched;
use crate::number::NumberClass;
use crate::things::{ThingId, Things, hundredths};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, Part, Spot};
use plan::{Kind, Plan, Pole};
use std::collections::BTreeMap;

/// A place that something numbered ends at.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ItemEnd {
    /// The thing, by its kind and index in the plan.
    pub thing: Option<(Kind, usize)>,
    /// Which part of it: `left`, `A`, `1.common`.
    pub part: String,
    /// Where on it, in hundredths of a millimetre; of a panel, which of its parts.
    pub place: Option<i64>,
}

/// What it is that has a number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ItemKind {
    /// Edges of the circuit: one, or all pieces of a conductor of a bus.
    Edges(Vec<EdgeId>),
    /// A gap between two nodes.
    Gap(NodeId, NodeId),
    /// A wire or diode of a panel, by the panel's index and its own there.
    Panel(usize, usize),
}

/// Something that has a number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// Its class.
    pub class: NumberClass,
    /// What it is, in a word.
    pub what: &'static str,
    /// What it ends at.
    pub ends: [ItemEnd; 2],
    /// What it is.
    pub kind: ItemKind,
}

/// The point of a node.
pub fn point(circuit: &Circuit, node: NodeId) -> ItemEnd {
    let pole = |pole: &Pole| pole.word().to_owned();
    let (thing, part, place) = match &circuit.nodes[node].spot {
        Spot::Loose => (None, String::new(), None),
        Spot::Rail { track, side, x, .. } => {
            (Some((Kind::Track, *track)), side.word().to_owned(), Some(hundredths(*x)))
        }
        Spot::Work { kind, index, part } => (Some((*kind, *index)), part.clone().into_owned(), None),
        Spot::Terminal { kind, index, contact, terminal } => {
            (Some((*kind, *index)), format!("{}.{terminal}", contact + 1), None)
        }
        Spot::Bus { bus, pole: p, x } | Spot::Tap { bus, pole: p, x } => {
            (Some((Kind::Bus, *bus)), pole(p), Some(hundredths(*x)))
        }
        Spot::Supply { supply, pole: p } => (Some((Kind::Supply, *supply)), pole(p), None),
        Spot::Inside { supply } => (Some((Kind::Supply, *supply)), "inside".to_owned(), None),
        Spot::Reverser { reverser, pole: p } => (Some((Kind::Reverser, *reverser)), pole(p), None),
        Spot::Detector { detector, output } => {
            (Some((Kind::Detector, *detector)), if *output { "out" } else { "in" }.to_owned(), None)
        }
        Spot::Middle { supply } => (Some((Kind::Supply, *supply)), "middle".to_owned(), None),
        Spot::Driver { driver, terminal } => (Some((Kind::Driver, *driver)), terminal.words(), None),
        // A wye turnout's coils are told apart as others are, whatever its positions are called.
        Spot::Motor { motor, terminal } => (Some((Kind::Motor, *motor)), terminal.words(["first", "second"]), None),
        Spot::Coil { relay, terminal } => (Some((Kind::Relay, *relay)), terminal.words().to_owned(), None),
    };
    ItemEnd { thing, part, place }
}

/// Everything that has a number, each class in the order of the plan.
pub fn items(circuit: &Circuit, plan: Option<&Plan>) -> Vec<Item> {
    let mut items = Vec::new();
    let mut conductors: BTreeMap<(usize, Pole), Vec<EdgeId>> = BTreeMap::new();
    let mut inputs: Vec<Item> = Vec::new();
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let spots = [edge.a, edge.b].map(|node| &circuit.nodes[node].spot);
        let (class, what) = match (edge.kind, spots) {
            (EdgeKind::Feeder, _) => (NumberClass::Feeder, "feeder"),
            (EdgeKind::Wire, [Spot::Work { .. }, Spot::Work { .. }]) => (NumberClass::Wire, "bond"),
            (EdgeKind::Wire, _) if driver_wires::what(&edge.part).is_some() => {
                (NumberClass::Wire, driver_wires::what(&edge.part).unwrap_or_default())
            }
            // What is inside a detector has no number of its own.
            (EdgeKind::Wire, _) if matches!(edge.part, Part::Detector { .. }) => continue,
            (EdgeKind::Wire, _) => (NumberClass::Wire, "contact wire"),
            (EdgeKind::SolderedJoint, _) => (NumberClass::Joint, "soldered joint"),
            (EdgeKind::SlidingJoint, _) => (NumberClass::Joint, "sliding joint"),
            (EdgeKind::BusWire, [Spot::Bus { bus, pole, .. }, Spot::Bus { .. }]) => {
                conductors.entry((*bus, *pole)).or_default().push(id);
                continue;
            }
            (EdgeKind::BusWire, [Spot::Supply { .. }, Spot::Supply { .. }]) => (NumberClass::Bus, "common"),
            (EdgeKind::BusWire, _) => (NumberClass::Bus, "lead"),
            _ => continue,
        };
        let ends = [edge.a, edge.b].map(|node| point(circuit, node));
        items.push(Item { class, what, ends, kind: ItemKind::Edges(vec![id]) });
    }
    // Behind a tap without a wire of its own stands a reverser's input.
    let neighbours = reverser_taps(circuit);
    for (id, edge) in EdgeId::each(&circuit.edges) {
        if let (EdgeKind::Tap, Some(&(reverser, pole))) = (edge.kind, neighbours.get(&edge.a)) {
            let input =
                ItemEnd { thing: Some((Kind::Reverser, reverser)), part: format!("in {}", pole.word()), place: None };
            let ends = [point(circuit, edge.b), input];
            inputs.push(Item {
                class: NumberClass::Wire,
                what: "reverser input",
                ends,
                kind: ItemKind::Edges(vec![id]),
            });
        }
    }
    items.extend(inputs);
    // Of a bus that nothing taps but at its very start there is no piece; the builder runs it all the same.
    for (bus, _) in plan.iter().flat_map(|plan| plan.bus.iter().enumerate()) {
        for pole in [Pole::A, Pole::B] {
            conductors.entry((bus, pole)).or_default();
        }
    }
    for ((bus, pole), edges) in conductors {
        let end = ItemEnd { thing: Some((Kind::Bus, bus)), part: pole.word().to_owned(), place: None };
        items.push(Item {
            class: NumberClass::Bus,
            what: "bus",
            ends: [end.clone(), end],
            kind: ItemKind::Edges(edges),
        });
    }
    let mut seen = std::collections::BTreeSet::new();
    for gap in &circuit.gaps {
        let key = (gap.before.min(gap.after), gap.before.max(gap.after));
        if seen.insert(key) {
            let ends = [gap.before, gap.after].map(|node| point(circuit, node));
            items.push(Item { class: NumberClass::Gap, what: "gap", ends, kind: ItemKind::Gap(key.0, key.1) });
        }
    }
    items
}

/// The taps that are inputs of reversers: the node on the wire's side, the reverser and the input.
pub(crate) fn reverser_taps(circuit: &Circuit) -> BTreeMap<NodeId, (usize, Pole)> {
    let mut found = BTreeMap::new();
    for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Contact) {
        let [a, b] = [edge.a, edge.b].map(|node| &circuit.nodes[node].spot);
        if let (Spot::Reverser { reverser, .. }, Spot::Tap { pole, .. }) = (a, b) {
            found.insert(edge.b, (*reverser, *pole));
        }
    }
    found
}

/// What an item ends at, its things identified by their place in a list that two plans share.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct KeyPoint {
    pub(crate) thing: Option<ThingId>,
    /// Whether it is a rail, frog or contact, where only few wires end, and no bus or supply.
    pub(crate) own: bool,
    /// Whether the place says which part of a panel it is, and no distance.
    pub(crate) is_member: bool,
    pub(crate) part: String,
    pub(crate) place: Option<i64>,
}

/// What an item is recognised by.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ItemKey {
    pub(crate) class: NumberClass,
    pub(crate) what: String,
    pub(crate) ends: [KeyPoint; 2],
}

impl KeyPoint {
    pub(crate) fn from_end(end: &ItemEnd, things: &Things) -> KeyPoint {
        KeyPoint {
            thing: end.thing.and_then(|t| things.at(t)).map(ThingId::Listed),
            own: !matches!(end.thing, Some((Kind::Bus | Kind::Supply, _)) | None),
            is_member: matches!(end.thing, Some((Kind::Panel, _))),
            part: end.part.clone(),
            place: end.place,
        }
    }
}

impl ItemKey {
    pub(crate) fn from_item(item: &Item, things: &Things) -> ItemKey {
        let ends = item.ends.each_ref().map(|end| KeyPoint::from_end(end, things));
        ItemKey { class: item.class, what: item.what.to_owned(), ends }.in_order()
    }

    /// A gap or joint is the same from either side: the order of its ends follows from what they are.
    fn in_order(mut self) -> ItemKey {
        if matches!(self.class, NumberClass::Gap | NumberClass::Joint) {
            self.ends.sort();
        }
        self
    }

    /// The same in the numbers of a later list: which thing of it each of this one's is, and which of its panel's parts.
    pub(crate) fn renumbered(mut self, to: &[Option<usize>], members: &MembersMatched) -> ItemKey {
        for end in &mut self.ends {
            if end.is_member
                && let Some(panel) = end.thing.and_then(ThingId::listed)
            {
                end.place = end.place.map(|member| members.place(panel, member));
            }
            end.thing = end.thing.map(|t| t.renumbered(to));
        }
        self.in_order()
    }
}
