//! Panels: what is on them, where, and what it sets and shows.

use super::{Check, unclear};
use crate::names::{Kind, Terminal};
use crate::tables::{Panel, PanelButton, PanelLamp, PanelPlace};
use crate::value::At;
use handbook::quantity::{Metres, Quantity};
use std::collections::BTreeMap;

/// The smallest and the largest hole that is believed, metres.
const HOLES: [f64; 2] = [1e-3, 0.06];

impl Check<'_, '_> {
    pub(super) fn panels(&mut self) {
        for panel in &self.plan.panel {
            for control in panel.controls.iter() {
                let kinds = &[Kind::Turnout, Kind::Motor, Kind::Toggle, Kind::Relay, Kind::ThreeWay, Kind::Slip];
                let found = self.names.of_kind(&control.value, kinds);
                self.resolve(control, found);
            }
            for size in [&panel.width, &panel.height].into_iter().flatten() {
                self.quantity("size of a panel", Some(size), 0.02, 5.0, "from 20 mm to 5 m");
            }
            self.quantity("viewing distance", panel.viewed.as_ref(), 0.1, 10.0, "from 100 mm to 10 m");
            self.part_names(panel);
            let holes = panel.button.iter().map(|b| (b.value.at.as_ref(), b.value.hole.as_ref()));
            let holes = holes.chain(panel.switch.iter().map(|s| (s.value.at.as_ref(), s.value.hole.as_ref())));
            let holes = holes.chain(panel.lamp.iter().map(|l| (l.value.at.as_ref(), l.value.hole.as_ref())));
            for (at, hole) in holes {
                self.on_panel(panel, at);
                self.quantity("hole", hole, HOLES[0], HOLES[1], "from 1 mm to 60 mm");
            }
            for words in panel.lettering.iter() {
                self.on_panel(panel, Some(&words.value.at));
                self.quantity("height of letters", words.value.height.as_ref(), 1e-3, 0.2, "from 1 mm to 200 mm");
            }
            for switch in panel.switch.iter() {
                let found = self.names.of_kind(&switch.value.toggle.value, &[Kind::Toggle]);
                self.resolve(&switch.value.toggle, found);
            }
            for lamp in panel.lamp.iter() {
                self.lamp(&lamp.value);
            }
            for button in panel.button.iter() {
                self.button(&button.value);
            }
        }
    }

    /// A button sets a route, or positions, or both.
    fn button(&mut self, button: &PanelButton) {
        for text in button.sets.iter() {
            let found = self.names.position(self.plan, &text.value);
            let toggle = self.resolve(text, found).filter(|position| position.of.0 == Kind::Toggle);
            if let Some(position) = toggle {
                let name = &self.plan.toggle[position.of.1].name.value;
                self.reader.tell(
                    unclear("contradiction", format!("button `{}` cannot move a toggle", button.name.value))
                        .at(text.span.clone(), "moved by hand")
                        .help(format!("put the toggle itself on the panel: `switch = [{{ toggle = \"{name}\" }}]`")),
                );
            }
        }
        match &button.route {
            Some(route) => {
                for track in [&route.value.from, &route.value.to] {
                    let found = self.names.of_kind(&track.value, &[Kind::Track]);
                    self.resolve(track, found);
                }
            }
            None if button.sets.is_empty() => self.reader.tell(
                unclear("missing-key", format!("button `{}` sets nothing", button.name.value))
                    .at(button.name.span.clone(), "`route` and `sets` are missing")
                    .help("write `route = { from = \"lead\", to = \"road 1\" }` or `sets = [\"T1 diverging\"]`"),
            ),
            None => {}
        }
    }

    /// Parts of a panel are told apart by their names.
    fn part_names(&mut self, panel: &Panel) {
        let mut first: BTreeMap<&str, &At<String>> = BTreeMap::new();
        for (_, name) in panel.parts() {
            if name.value.trim().is_empty()
                || name.value.chars().any(char::is_control)
                || name.value.chars().count() > 60
            {
                self.reader.tell(
                    unclear("unfit-name", "this cannot be the name of a part of a panel")
                        .at(name.span.clone(), "not a fit name")
                        .help("a name has 1 to 60 characters"),
                );
            }
            if let Some(known) = first.insert(&name.value, name) {
                self.reader.tell(
                    unclear("name-twice", format!("two parts of panel `{}` are called alike", panel.name.value))
                        .at(name.span.clone(), "again here")
                        .also(known.span.clone(), "first here")
                        .help("the papers tell the parts of a panel apart by their names: give each its own"),
                );
            }
        }
    }

    fn on_panel(&mut self, panel: &Panel, at: Option<&At<PanelPlace>>) {
        let Some(at) = at else { return };
        let along = [(&at.value.left, &panel.width, "wide"), (&at.value.top, &panel.height, "high")];
        for (place, size, word) in along {
            let outside = |size: &At<Metres>| place.value.si() >= size.value.si();
            if place.value.si() <= 0.0 || size.as_ref().is_some_and(outside) {
                self.reader.tell(
                    unclear("out-of-range", "this place is not on the panel")
                        .at(place.span.clone(), "beside the panel")
                        .help(match size {
                            Some(size) => format!(
                                "panel `{}` is {} {word}; places are counted from its left and top edge",
                                panel.name.value,
                                handbook::quantity::show_length(size.value)
                            ),
                            None => "places are counted from the panel's left and top edge".to_owned(),
                        }),
                );
            }
        }
    }

    fn lamp(&mut self, lamp: &PanelLamp) {
        let shows = &lamp.shows;
        let track = self.names.get(&shows.value).filter(|found| found.0 == Kind::Track);
        let detector = self.names.get(&shows.value).filter(|found| found.0 == Kind::Detector);
        if track.is_none() && detector.is_none() {
            let found = self.names.position(self.plan, &shows.value);
            self.resolve(shows, found);
        }
        let mut ends = 0;
        for text in &lamp.wired.0 {
            ends += 1;
            let found = self.names.terminal(self.plan, &text.value);
            if let Some(Terminal::Bus(bus, _, at)) = self.resolve(text, found) {
                self.on_bus(bus, at, text);
            }
        }
        if ends != 0 && ends != 2 {
            let message = format!("a lamp has two ends, and `{}` is wired to {ends}", lamp.name.value);
            self.reader.tell(
                unclear("contradiction", message)
                    .at(lamp.name.span.clone(), "this lamp")
                    .help("write `wired = [\"M1.3.diverging\", \"points bus.B\"]`"),
            );
        }
    }
}
