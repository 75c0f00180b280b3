//! The wires and diodes of panels: what is numbered of them, and in words.

use crate::changes::{Change, ChangeAct};
use crate::items::{Item, ItemEnd, ItemKey, ItemKind, items};
use crate::number::{Number, NumberClass};
use crate::pair::PlanPair;
use crate::{Job, Units};
use circuit::{Circuit, MotorTerminal, Ways, drives};
use handbook::panel::{PANEL_SLACK, PANEL_WIRE};
use handbook::quantity::Quantity as _;
use panel::parts::{Part, PartKind};
use panel::{Fired, MotorCoil, PanelEnd, PanelWire, PanelWireKind, WiredPanel};
use plan::{Kind, Names, Plan, Pole, Terminal};
use std::collections::BTreeMap;

/// The panels of a plan with their wires. Routes are looked for only where a button names one.
pub fn panels(circuit: &Circuit, plan: &Plan, names: &Names) -> Vec<WiredPanel> {
    if plan.panel.is_empty() {
        return Vec::new();
    }
    let by_route = plan.panel.iter().flat_map(|p| p.button.iter()).any(|b| b.value.route.is_some());
    let ways = if by_route { circuit::ways::ways(circuit, analysis::MOST_WAYS) } else { Ways::default() };
    panel::wired_panels(&Fired { plan, names, circuit, ways: &ways })
}

/// Everything that has a number, the wires and diodes of panels with the rest.
pub(crate) fn all_items(circuit: &Circuit, plan: &Plan) -> Vec<Item> {
    let mut all = items(circuit, Some(plan));
    if !plan.panel.is_empty() {
        let names = Names::from_plan(plan);
        for wired in panels(circuit, plan, &names) {
            let panel = wired.parts.panel;
            for (at, wire) in wired.wires.iter().enumerate() {
                let (class, what) = match wire.kind {
                    PanelWireKind::Diode => (NumberClass::Diode, "diode"),
                    _ => (NumberClass::Panel, "panel wire"),
                };
                let ends = wire.ends.each_ref().map(|end| item_end(plan, &names, &wired, end));
                all.push(Item { class, what, ends, kind: ItemKind::Panel(panel, at) });
            }
        }
    }
    all
}

/// What an end is recognised by: the thing of the plan; of a panel its part, by its place among them and not by its name.
fn item_end(plan: &Plan, names: &Names, wired: &WiredPanel, end: &PanelEnd) -> ItemEnd {
    let coil = |coil: MotorCoil| MotorTerminal::Coil(coil.position).words(["first", "second"]);
    let thing = |kind, index, part: String| ItemEnd { thing: Some((kind, index)), part, place: None };
    let panel = |part: String, member: Option<usize>| ItemEnd {
        place: member.and_then(|m| i64::try_from(m).ok()),
        ..thing(Kind::Panel, wired.parts.panel, part)
    };
    match end {
        PanelEnd::Part(part, terminal) => panel(terminal.to_string(), Some(*part)),
        PanelEnd::Supply(supply, pole) => thing(Kind::Supply, *supply, pole.word().to_owned()),
        PanelEnd::CoilStrip(c) => thing(Kind::Motor, c.motor, format!("panel strip, {}", coil(*c))),
        PanelEnd::PartStrip(part, supply) => {
            let before = wired.matrices.iter().filter(|m| m.supply < *supply && m.buttons.contains(part)).count();
            panel(format!("strip of contact {}", before + 1), Some(*part))
        }
        PanelEnd::Coil(c) => thing(Kind::Motor, c.motor, coil(*c)),
        PanelEnd::Common(motor) => thing(Kind::Motor, *motor, MotorTerminal::Common.words(["", ""])),
        PanelEnd::Input(part) => panel("input".to_owned(), Some(*part)),
        PanelEnd::InputCommon => panel("input common".to_owned(), None),
        PanelEnd::Rail(track, side) => thing(Kind::Track, *track, ["left", "right"][*side].to_owned()),
        PanelEnd::Said(lamp, side) => match names.terminal(plan, said(plan, wired, *lamp, *side)) {
            Ok(Terminal::Bus(bus, pole, _)) => thing(Kind::Bus, bus, pole.word().to_owned()),
            Ok(Terminal::Supply(supply, pole)) => thing(Kind::Supply, supply, pole.word().to_owned()),
            Ok(Terminal::Rail(rail, _)) => thing(Kind::Track, rail.track, rail.side.word().to_owned()),
            _ => {
                let is_lamp = |part: &Part| part.kind == PartKind::Lamp(*lamp);
                panel(format!("far end {side}"), wired.parts.parts.iter().position(is_lamp))
            }
        },
    }
}

fn said<'p>(plan: &'p Plan, wired: &WiredPanel, lamp: usize, side: usize) -> &'p str {
    let lamp = &plan.panel[wired.parts.panel].lamp.items[lamp].value;
    lamp.wired.0.get(side).map_or("", |text| &text.value)
}

/// A wire or diode of a panel as papers tell it.
#[derive(Clone, Debug, PartialEq)]
pub struct ScheduledPanelWire {
    /// Its number.
    pub number: Number,
    /// What it is for, in words.
    pub function: &'static str,
    /// Both ends, in words.
    pub ends: [String; 2],
    /// The length to cut, metres, where both ends are on the panel; all others are measured.
    pub cut: Option<f64>,
    /// What it is.
    pub wire: PanelWire,
}

/// The wires and diodes of a panel, by number.
pub fn scheduled(job: &Job<'_>, wired: &WiredPanel) -> Vec<ScheduledPanelWire> {
    let panel = wired.parts.panel;
    let wire = |(at, wire): (usize, &PanelWire)| {
        Some(ScheduledPanelWire {
            number: job.numbers.of_panel(panel, at)?,
            function: function(wire.kind),
            ends: wire.ends.each_ref().map(|end| words(job, wired, end)),
            cut: cut(wired, wire),
            wire: wire.clone(),
        })
    };
    let mut list: Vec<ScheduledPanelWire> = wired.wires.iter().enumerate().filter_map(wire).collect();
    list.sort_by_key(|w| w.number);
    list
}

fn function(kind: PanelWireKind) -> &'static str {
    match kind {
        PanelWireKind::Feed => "feed of buttons",
        PanelWireKind::Button => "button to strip",
        PanelWireKind::Coil => "coil",
        PanelWireKind::Common => "common of coils",
        PanelWireKind::Command => "command input",
        PanelWireKind::Lamp => "lamp",
        PanelWireKind::Diode => "diode",
    }
}

/// What a part is, in a word.
pub(crate) fn kind_word(part: &Part) -> &'static str {
    match part.kind {
        PartKind::Button(_) => "button",
        PartKind::Switch(_) => "switch",
        PartKind::Lamp(_) => "lamp",
    }
}

/// What an end is, in a builder's words.
pub fn words(job: &Job<'_>, wired: &WiredPanel, end: &PanelEnd) -> String {
    let plan = job.facts.plan;
    let name = |part: usize| wired.parts.parts[part].name.as_str();
    let coil = |c: &MotorCoil| {
        let word = MotorTerminal::Coil(c.position).words(drives::positions(plan, c.motor));
        format!("{} {word}", plan.motor[c.motor].name.value)
    };
    match end {
        PanelEnd::Part(part, terminal) => {
            let what = kind_word(&wired.parts.parts[*part]);
            format!("{what} {}, terminal {terminal}", name(*part))
        }
        PanelEnd::Supply(supply, pole) => {
            let sign = if *pole == Pole::A { "+" } else { "-" };
            format!("{}.{} ({sign})", plan.supply[*supply].name.value, pole.word())
        }
        PanelEnd::CoilStrip(c) => format!("strip: {}", coil(c)),
        PanelEnd::PartStrip(part, _) => format!("strip: button {}", name(*part)),
        PanelEnd::Coil(c) => coil(c),
        PanelEnd::Common(motor) => format!("{} common", plan.motor[*motor].name.value),
        PanelEnd::Input(part) => format!("command input of button {}", name(*part)),
        PanelEnd::InputCommon => "command inputs, common".to_owned(),
        PanelEnd::Rail(track, side) => {
            format!("{}, {} rail, where a wire joins it", plan.track[*track].name.value, ["left", "right"][*side])
        }
        PanelEnd::Said(lamp, side) => said(plan, wired, *lamp, *side).to_owned(),
    }
}

/// What to cut for a wire that stays on the panel: along its edges, from part to part or to the strip, which is taken to lie along
/// the lower edge.
fn cut(wired: &WiredPanel, wire: &PanelWire) -> Option<f64> {
    if wire.kind == PanelWireKind::Diode {
        return None;
    }
    let [width, height] = wired.parts.size;
    let at = |end: &PanelEnd| match end {
        PanelEnd::Part(part, _) => Some(wired.parts.parts[*part].at),
        PanelEnd::CoilStrip(_) | PanelEnd::PartStrip(..) => Some([width / 2.0, height]),
        _ => None,
    };
    let [a, b] = [at(&wire.ends[0])?, at(&wire.ends[1])?];
    Some((a[0] - b[0]).abs() + (a[1] - b[1]).abs() + PANEL_SLACK.value.si())
}

/// What panels are wired with, by the units of the plan.
pub fn wire_size(units: Units) -> &'static str {
    PANEL_WIRE.value[usize::from(units == Units::Imperial)]
}

impl PlanPair<'_> {
    /// Wires and diodes of panels that come, go or end elsewhere.
    pub(crate) fn panel_wires(&self, list: &mut Vec<Change>) {
        let of = |job: &Job<'_>, is_old: bool| {
            let all = all_items(&job.facts.circuit, job.facts.plan);
            let own = all.into_iter().filter(|item| matches!(item.kind, ItemKind::Panel(..)));
            let keyed = own.filter_map(|item| {
                let key = if is_old { self.old_key(&item) } else { ItemKey::from_item(&item, &self.new_things) };
                Some((job.numbers.number(&item)?, key))
            });
            keyed.collect::<BTreeMap<Number, ItemKey>>()
        };
        let said = |job: &Job<'_>| {
            let wires = job.panels().iter().flat_map(|wired| scheduled(job, wired)).collect::<Vec<_>>();
            wires.into_iter().map(|wire| (wire.number, wire)).collect::<BTreeMap<_, _>>()
        };
        let (old, new) = (of(self.old, true), of(self.new, false));
        if old.is_empty() && new.is_empty() {
            return;
        }
        let (old_said, new_said) = (said(self.old), said(self.new));
        let mut change = |act, wire: &ScheduledPanelWire, how: String| {
            let what = format!("{}: {} — {}", wire.function, wire.ends[0], wire.ends[1]);
            list.push(Change { act, number: Some(wire.number), what, how });
        };
        for (number, wire) in &old_said {
            if !new.contains_key(number) {
                change(ChangeAct::RemoveWire, wire, String::new());
            }
        }
        for (number, wire) in &new_said {
            match (old.get(number), new.get(number), old_said.get(number)) {
                (Some(then), Some(now), Some(before)) => {
                    if then.ends != now.ends {
                        let was = format!("{} — {}", before.ends[0], before.ends[1]);
                        change(ChangeAct::MoveWire, wire, format!("was {was}"));
                    }
                }
                _ => change(ChangeAct::AddWire, wire, String::new()),
            }
        }
    }
}
