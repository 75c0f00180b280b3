//! What lies on which board, and the plugs between them.

use crate::builder::Builder;
use crate::{Circuit, InputId, Node, Origin, RailOwner, Spot};
use handbook::Spread;
use handbook::contacts::PLUG_CONTACT;
use handbook::quantity::{Ohms, Quantity};
use plan::names::EndOf;
use plan::tables::Plug;
use plan::{At, Kind};
use std::collections::BTreeMap;

impl Builder<'_> {
    /// What each board holds. Trackwork that none names lies where all tracks at its ends lie; a motor where its points are.
    pub(crate) fn boards(&mut self) {
        let plan = self.plan;
        if plan.board.is_empty() {
            return;
        }
        let on = &mut self.circuit.on_board;
        for (board, table) in plan.board.iter().enumerate() {
            for thing in table.holds.iter().filter_map(|text| self.names.get(&text.value)) {
                on.entry(thing).or_insert(board);
            }
        }
        let mut beside: BTreeMap<(Kind, usize), Vec<Option<usize>>> = BTreeMap::new();
        for (index, track) in plan.track.iter().enumerate() {
            for text in [&track.from, &track.to] {
                if let Ok(EndOf::Work(kind, work, _)) = self.names.end(plan, &text.value) {
                    beside.entry((kind, work)).or_default().push(on.get(&(Kind::Track, index)).copied());
                }
            }
        }
        for (work, boards) in beside {
            if let Some(&Some(first)) = boards.first()
                && boards.iter().all(|&board| board == Some(first))
            {
                on.entry(work).or_insert(first);
            }
        }
        for (index, motor) in plan.motor.iter().enumerate() {
            let moved = motor.moves.0.first().and_then(|text| self.names.moved(&text.value).ok());
            if let Some(&board) = moved.and_then(|moved| on.get(&(moved.kind, moved.index))) {
                on.insert((Kind::Motor, index), board);
            }
        }
    }

    /// The resistance of one contact of a plug.
    pub(crate) fn plug_ohms(&mut self, plug: &At<Plug>) -> (Spread<f64>, InputId) {
        let (ohms, origin) = match &plug.value.resistance {
            Some(said) => (Spread::exactly(said.value.si()), Origin::Plan(said.span.clone())),
            None => (PLUG_CONTACT.value.map(|o: Ohms| o.si()), Origin::Default(PLUG_CONTACT.source)),
        };
        let words = crate::inputs::spread_words(ohms);
        (ohms, self.inputs.add("contact of a plug".to_owned(), words, origin))
    }
}

impl Circuit {
    /// The board on which a track or trackwork lies; none where that is the rest of the layout.
    pub fn board_of(&self, owner: &RailOwner) -> Option<usize> {
        let thing = match *owner {
            RailOwner::Track(index) => (Kind::Track, index),
            RailOwner::Work { kind, index, .. } => (kind, index),
        };
        self.on_board.get(&thing).copied()
    }

    /// The board on which a point lies, none being the rest of the layout; nothing where the plan does not say where it is.
    pub fn board_at(&self, node: &Node) -> Option<Option<usize>> {
        let thing = match node.spot {
            Spot::Rail { track, .. } => (Kind::Track, track),
            Spot::Work { kind, index, .. } => (kind, index),
            Spot::Bus { bus, .. } | Spot::Tap { bus, .. } => (Kind::Bus, bus),
            Spot::Detector { detector, .. } => (Kind::Detector, detector),
            Spot::Driver { driver, .. } => (Kind::Driver, driver),
            Spot::Terminal { kind: Kind::Motor, index, .. } | Spot::Motor { motor: index, .. } => (Kind::Motor, index),
            _ => return None,
        };
        Some(self.on_board.get(&thing).copied())
    }
}
