//! Feeders of which nothing says where they go.

use super::{Check, unclear};
use crate::Plan;
use crate::names::Terminal;
use crate::tables::{Bus, Feeder, SupplyKind, Track};
use crate::value::At;

impl Check<'_, '_> {
    /// Tells a feeder whose rail belongs to no conductor, with the lines that would do.
    pub(super) fn feeder_without_bus(&mut self, track: &Track, feeder: &At<Feeder>) {
        let (plan, f) = (self.plan, &feeder.value);
        let sides = [("left", &track.left), ("right", &track.right)];
        let due = |side: &str| f.rail.as_ref().is_none_or(|r| r.value.word() == side);
        let missing: Vec<&str> = sides.iter().filter(|(s, t)| t.is_none() && due(s)).map(|s| s.0).collect();
        let (bus, track) = (first_bus(plan), &track.name.value);
        let (words, help) = match missing.as_slice() {
            [] => return,
            [side] => {
                let other = sides.iter().find(|(s, _)| s != side).and_then(|(_, text)| text.as_ref());
                let conductor = other.and_then(|text| self.names.terminal(plan, &text.value).ok());
                let conductor = match conductor {
                    Some(Terminal::Bus(bus, pole, _)) => {
                        format!("{}.{}", plan.bus[bus].name.value, pole.other().word())
                    }
                    _ => format!("{bus}.{}", if *side == "left" { "A" } else { "B" }),
                };
                let only = match &f.rail {
                    Some(_) => String::new(),
                    None => {
                        let other = if *side == "left" { "right" } else { "left" };
                        format!("; or, if only the {other} rail is fed here, `rail = \"{other}\"` at the feeder")
                    }
                };
                (
                    format!("nothing says where the {side} rail's feeder goes"),
                    format!("add `{side} = \"{conductor}\"` to track `{track}`{only}"),
                )
            }
            _ => (
                format!("nothing says where the feeders of `{track}` go"),
                format!(
                    "add `left = \"{bus}.A\"` and `right = \"{bus}.B\"` to track `{track}`, or A and B exchanged, as in the \
                     tracks beside it"
                ),
            ),
        };
        let at = match missing.as_slice() {
            [side] => format!("a feeder on the {side} rail"),
            _ => "a feeder on both rails".to_owned(),
        };
        self.reader.tell(unclear("feeder-without-bus", words).at(feeder.span.clone(), at).help(help));
    }
}

/// The name of a bus of the plan, to show how a line may read: one that carries track power, if there is one.
fn first_bus(plan: &Plan) -> &str {
    let accessory = |bus: &&Bus| {
        let supply = bus.supply.as_ref().and_then(|name| plan.supply.iter().find(|s| s.name.value == name.value));
        supply
            .is_some_and(|s| s.kind.as_ref().is_some_and(|k| matches!(k.value, SupplyKind::Accessory | SupplyKind::Dc)))
    };
    let found = plan.bus.iter().find(|bus| !accessory(bus)).or(plan.bus.first());
    found.map_or("main bus", |bus| bus.name.value.as_str())
}
