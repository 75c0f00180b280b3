//! What lies on which board, and the plugs between them.

use crate::builder::{Builder, WireValues};
use crate::{Circuit, Edge, EdgeId, InputId, Node, NodeId, Origin, Part, RailOwner, Spot};
use handbook::Spread;
use handbook::contacts::PLUG_CONTACT;
use handbook::quantity::{Amps, Ohms, Quantity, show_ohms};
use plan::names::EndOf;
use plan::tables::{Board, Plug};
use plan::{At, Kind, Names, Plan, TrackEnd};
use std::collections::BTreeMap;
use std::ops::Range;

impl<'p> Builder<'p> {
    /// What each board holds. Trackwork that none names lies where all tracks at its ends lie; a motor where its points are.
    pub(crate) fn boards(&mut self) {
        let plan = self.plan;
        if plan.board.is_empty() {
            return;
        }
        let on = &mut self.circuit.on_board;
        for (board, table) in plan.board.iter().enumerate() {
            for thing in table.holds.iter().filter_map(|text| self.names.get(&text.value)) {
                on.entry(thing).or_insert(Some(board));
            }
        }
        let mut beside: BTreeMap<(Kind, usize), Vec<Option<usize>>> = BTreeMap::new();
        for (index, track) in plan.track.iter().enumerate() {
            for text in [&track.from, &track.to] {
                if let Ok(EndOf::Work(kind, work, _)) = self.names.end(plan, &text.value) {
                    beside.entry((kind, work)).or_default().push(on.get(&(Kind::Track, index)).copied().flatten());
                }
            }
        }
        for (work, boards) in beside {
            if let Some(&Some(first)) = boards.first()
                && boards.iter().all(|&board| board == Some(first))
            {
                on.entry(work).or_insert(Some(first));
            }
        }
        for (index, motor) in plan.motor.iter().enumerate() {
            let moved = motor.moves.0.iter().filter_map(|text| self.names.moved(&text.value).ok());
            let boards: Vec<Option<usize>> =
                moved.map(|moved| on.get(&(moved.kind, moved.index)).copied().flatten()).collect();
            // One that moves something on several boards is on none of them.
            if let [first, rest @ ..] = &boards[..]
                && rest.iter().all(|board| board == first)
            {
                on.entry((Kind::Motor, index)).or_insert(*first);
            }
        }
        // A relay that follows a motor hangs beside it; where one that follows a toggle is, nothing says.
        for index in 0..plan.relay.len() {
            let leader = plan::driven::leader(plan, self.names, (Kind::Relay, index));
            if let Some(&board) = leader.filter(|leader| leader.0 == Kind::Motor).and_then(|leader| on.get(&leader)) {
                on.entry((Kind::Relay, index)).or_insert(board);
            }
        }
        // What taps one bus and nothing else hangs beside it.
        let bus_of = |text: &At<String>| self.names.bus_place(&text.value).ok().map(|found| (Kind::Bus, found.0));
        for (index, reverser) in plan.reverser.iter().enumerate() {
            if let Some(&board) = bus_of(&reverser.from).and_then(|bus| on.get(&bus)) {
                on.entry((Kind::Reverser, index)).or_insert(board);
            }
        }
    }

    /// The plug that a wire passes that says none of its own: that of the board it leaves.
    pub(crate) fn plug_between(&self, ends: [NodeId; 2]) -> Option<&'p At<Plug>> {
        let plan = self.plan;
        if plan.board.iter().all(|board| board.plug.is_none()) {
            return None;
        }
        let [Some(here), Some(there)] = ends.map(|node| self.circuit.board_at(&self.circuit.nodes[node])) else {
            return None;
        };
        let plug = |board: Option<usize>| plan.board[board?].plug.as_ref();
        if here == there { None } else { plug(here).or_else(|| plug(there)) }
    }

    /// A wire's values with a contact of a plug in it.
    pub(crate) fn with_plug(&mut self, (ohms, henries, input): WireValues, plug: &At<Plug>) -> WireValues {
        let ohms = ohms.plus(plug_spread(plug).0);
        let wire = &self.inputs.list[input];
        let (name, origin) = (format!("{}, and a {}", wire.name, plug_words(&plug.value)), wire.origin.clone());
        (ohms, henries, self.inputs.add(name, crate::inputs::spread_words(ohms), origin))
    }

    /// Notes that a wire passes a plug.
    pub(crate) fn plugged(&mut self, wire: EdgeId, plug: &At<Plug>) {
        let (ohms, _) = plug_spread(plug);
        let of_board = |board: &Board| board.plug.as_ref().is_some_and(|own| own.span == plug.span);
        let board = self.plan.board.iter().position(of_board);
        let Plug { resistance, rating } = plug.value.clone();
        let contact = PlugContact { ohms, usual: resistance.is_none(), rating, span: plug.span.clone(), board };
        self.circuit.plugs.insert(wire, contact);
    }

    /// The resistance of one contact of a plug.
    pub(crate) fn plug_ohms(&mut self, plug: &At<Plug>) -> (Spread<f64>, InputId) {
        let (ohms, origin) = plug_spread(plug);
        let words = crate::inputs::spread_words(ohms);
        (ohms, self.inputs.add(plug_words(&plug.value), words, origin))
    }
}

/// The resistance of one contact of a plug, in ohms, and who says it.
fn plug_spread(plug: &At<Plug>) -> (Spread<f64>, Origin) {
    match &plug.value.resistance {
        Some(said) => (Spread::exactly(said.value.si()), Origin::Plan(said.span.clone())),
        None => (PLUG_CONTACT.value.map(|o: Ohms| o.si()), Origin::Default(PLUG_CONTACT.source)),
    }
}

/// What a contact of a plug is called among the inputs.
fn plug_words(plug: &Plug) -> String {
    let said = plug.resistance.as_ref().map(|ohms| format!(" of {}", show_ohms(ohms.value)));
    format!("contact of a plug{}", said.unwrap_or_default())
}

/// A contact of a plug that a wire passes, or with which a conductor of a branch starts.
#[derive(Clone, Debug, PartialEq)]
pub struct PlugContact {
    /// Its resistance, in ohms.
    pub ohms: Spread<f64>,
    /// Whether the plan says nothing of its resistance.
    pub usual: bool,
    /// What it bears for good, where the plan says.
    pub rating: Option<At<Amps>>,
    /// Where the plan says that a plug is there.
    pub span: Range<usize>,
    /// The board whose single wires it carries; none where a wire or a branch says it for itself.
    pub board: Option<usize>,
}

impl Circuit {
    /// The board on which a track or trackwork lies; none where that is the rest of the layout.
    pub fn board_of(&self, owner: &RailOwner) -> Option<usize> {
        let thing = match *owner {
            RailOwner::Track(index) => (Kind::Track, index),
            RailOwner::Work { kind, index, .. } => (kind, index),
        };
        self.on_board.get(&thing).copied().flatten()
    }

    /// The board on which a point lies, none being the rest of the layout; nothing where the plan does not say where it is.
    pub fn board_at(&self, node: &Node) -> Option<Option<usize>> {
        let thing = match node.spot {
            Spot::Rail { track, .. } => (Kind::Track, track),
            Spot::Work { kind, index, .. } => (kind, index),
            Spot::Bus { bus, .. } | Spot::Tap { bus, .. } => (Kind::Bus, bus),
            Spot::Detector { detector, .. } => (Kind::Detector, detector),
            Spot::Driver { driver, .. } => (Kind::Driver, driver),
            Spot::Motor { motor, .. } => (Kind::Motor, motor),
            Spot::Terminal { kind, index, .. } => (kind, index),
            Spot::Coil { relay, .. } => (Kind::Relay, relay),
            Spot::Reverser { reverser, .. } => (Kind::Reverser, reverser),
            Spot::Supply { supply, .. } | Spot::Middle { supply } | Spot::Inside { supply } => (Kind::Supply, supply),
            Spot::Loose => return None,
        };
        self.board_of_thing(thing)
    }

    /// The board on which a thing of the plan lies, none being the rest of the layout; nothing where the plan does not say where it is.
    pub fn board_of_thing(&self, thing: (Kind, usize)) -> Option<Option<usize>> {
        let anywhere = matches!(thing.0, Kind::Motor | Kind::Toggle | Kind::Relay | Kind::Supply);
        self.on_board.get(&thing).copied().or((!anywhere).then_some(None))
    }

    /// Whether an edge runs from one board to another.
    pub fn crosses_boards(&self, edge: &Edge) -> bool {
        let [one, other] = [edge.a, edge.b].map(|node| self.board_at(&self.nodes[node]));
        matches!((one, other), (Some(one), Some(other)) if one != other)
    }

    /// The ends of tracks at which rails meet over the edge between two boards, with what meets there on either side: each joint at
    /// the track whose end it is.
    pub fn ends_across_boards(&self, plan: &Plan, names: &Names) -> BTreeMap<(usize, TrackEnd), [Option<usize>; 2]> {
        let mut across = BTreeMap::new();
        if plan.board.is_empty() {
            return across;
        }
        let on = |thing| self.board_of_thing(thing).flatten();
        for edge in &self.edges {
            let Part::EndJoint { track, end, .. } = edge.part else { continue };
            let beyond = match names.end(plan, &plan.track[track].beyond(end).value) {
                Ok(EndOf::Track(other, _)) => (Kind::Track, other),
                Ok(EndOf::Work(kind, index, _)) => (kind, index),
                _ => continue,
            };
            let boards = [on((Kind::Track, track)), on(beyond)];
            if boards[0] != boards[1] {
                across.insert((track, end), boards);
            }
        }
        across
    }
}
