//! The panel: where the operator stands, and what is under the hand there.

use crate::value::{At, List, OneOrMany, choice, record};
use handbook::quantity::Metres;

choice! {
    /// From which side a panel is seen.
    Side, "side" {
        /// From the front.
        Front = "front",
        /// From the back.
        Back = "back",
    }
}
choice! {
    /// Which pole of a supply.
    CommonPole, "pole" {
        /// A, the positive one.
        A = "A",
        /// B, the negative one.
        B = "B",
    }
}
choice! {
    /// How many diodes the current of one coil may pass.
    DiodesInRow, "diode rule" {
        /// One.
        Single = "single",
        /// As many as save a diode elsewhere.
        Chained = "chained",
    }
}
record! {
    /// Where the operator stands, and what is on the panel there: buttons, switches, lamps and lettering.
    Panel, "panel" {
        /// What the builder calls it.
        name: At<String>,
        /// The turnouts and toggles it controls. Where no button or switch of the panel sets one of them, the papers lay out
        /// what it takes and mark it as assumed.
        controls: List<String>,
        /// Its width.
        width: Option<At<Metres>>,
        /// Its height.
        height: Option<At<Metres>>,
        /// From which side it is seen: the side from which the places of its parts are counted; the front where not said.
        seen: Option<At<Side>>,
        /// How far it is from the eyes of whoever reads it, 700 mm where not said: how high letters are follows from it.
        viewed: Option<At<Metres>>,
        /// The pole of their supply that the common wires of the solenoids it fires lie on; `A` where not said, as with pulse
        /// drivers.
        common: Option<At<CommonPole>>,
        /// Whether the current of a coil may pass more than one diode, where that saves diodes: `"single"` where not said, or
        /// `"chained"`.
        diodes: Option<At<DiodesInRow>>,
        /// Its push buttons.
        button: List<PanelButton>,
        /// Its switches.
        switch: List<PanelSwitch>,
        /// Its lamps.
        lamp: List<PanelLamp>,
        /// What stands on it beside that.
        lettering: List<PanelLettering>,
    }
}
record! {
    /// A place on a panel: the middle of a hole, or of a line of letters.
    PanelPlace, "place on a panel" {
        /// How far from its left edge.
        left: At<Metres>,
        /// How far from its top edge.
        top: At<Metres>,
    }
}
record! {
    /// The route that a push button sets, by the tracks at its two ends.
    PanelRoute, "route of a button" {
        /// The track at one end.
        from: At<String>,
        /// The track at the other end.
        to: At<String>,
    }
}
record! {
    /// A push button of a panel.
    PanelButton, "button" {
        /// What stands beside it, and what papers call it; no two parts of a panel are called alike.
        name: At<String>,
        /// The route that it sets: all that a train needs from one track to the other. Whichever of the two comes first, it sets the
        /// same. Where several routes join the two, `sets` says which: by a position that only one of them needs.
        route: Option<At<PanelRoute>>,
        /// Positions that it sets, such as `T1 diverging`.
        sets: List<String>,
        /// Where it is; the papers find a place for it where not said.
        at: Option<At<PanelPlace>>,
        /// The diameter of the hole it needs, 12 mm where not said.
        hole: Option<At<Metres>>,
    }
}
record! {
    /// A switch of a panel: the lever of a toggle of the plan.
    PanelSwitch, "panel switch" {
        /// The toggle.
        toggle: At<String>,
        /// Where it is; the papers find a place for it where not said.
        at: Option<At<PanelPlace>>,
        /// The diameter of the hole it needs, 6 mm where not said.
        hole: Option<At<Metres>>,
    }
}
record! {
    /// A lamp of a panel: a light-emitting diode and its resistor.
    PanelLamp, "lamp" {
        /// What stands beside it, and what papers call it; no two parts of a panel are called alike.
        name: At<String>,
        /// What it shows: a track, whose rails then feed it, or a position, such as `T1 diverging`.
        shows: At<String>,
        /// What its two ends are wired to, where not the rails of the track that it shows: conductors, or terminals of contacts,
        /// such as `["M1.3.diverging", "points bus.B"]`.
        wired: OneOrMany<String>,
        /// Its colour.
        colour: Option<At<String>>,
        /// Where it is; the papers find a place for it where not said.
        at: Option<At<PanelPlace>>,
        /// The diameter of the hole it needs, 5 mm where not said.
        hole: Option<At<Metres>>,
    }
}
record! {
    /// Words on a panel.
    PanelLettering, "lettering" {
        /// What they say.
        text: At<String>,
        /// Where the middle of their line is.
        at: At<PanelPlace>,
        /// How high its capitals are, where not as high as `viewed` asks for.
        height: Option<At<Metres>>,
    }
}

/// Where a part stands among those of its panel: its kind and its index there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PanelPartId {
    /// A push button.
    Button(usize),
    /// A switch.
    Switch(usize),
    /// A lamp.
    Lamp(usize),
}

impl Panel {
    /// Its parts with what they are called, buttons first, then switches and lamps.
    pub fn parts(&self) -> impl Iterator<Item = (PanelPartId, &At<String>)> {
        let buttons = self.button.iter().enumerate().map(|(i, b)| (PanelPartId::Button(i), &b.value.name));
        let switches = self.switch.iter().enumerate().map(|(i, s)| (PanelPartId::Switch(i), &s.value.toggle));
        let lamps = self.lamp.iter().enumerate().map(|(i, l)| (PanelPartId::Lamp(i), &l.value.name));
        buttons.chain(switches).chain(lamps)
    }
}
