//! Parts of a panel that have no room.

use super::panels;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, Harm};
use panel::parts::Part;
use plan::At;
use plan::tables::{Panel, PanelPartId, PanelPlace};
use std::ops::Range;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "panel-too-full",
        title: "parts of a panel have no room",
        text: "Two parts of a panel are nearer to each other than parts with holes of their size may be, or a hole reaches over the \
               edge, or no place is left for a part that the plan gives none. The distances are those of the handbook: for holes of \
               16.2, 22.3 and 30.5 mm after IEC 60947-5-1 (from memory, confirm), for others common practice. Bodies behind the panel are \
               wider than their holes.\n\n\
               Fix: move one of them, make the panel larger, or say the `hole` that your part really needs.",
        drawing: r#"   ┌──────────────┐
   │   ( )( )     │     12 mm holes, 14 mm apart: 19 mm are needed
   └──────────────┘"#,
        example: include_str!("examples/panel-too-full.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let tell = |message: String| Finding::warning("panel-too-full", Harm::CanStop, message);
    for wired in panels(facts) {
        let table = &facts.plan.panel[wired.parts.panel];
        let parts = &wired.parts.parts;
        for [one, other] in &wired.parts.too_near {
            let message = format!("`{}` and `{}` are too near to each other", parts[*one].name, parts[*other].name);
            let mut finding = tell(message).at(place(table, &parts[*other]), "too near");
            finding = finding.also(place(table, &parts[*one]), "to this one");
            found.push(finding.help("move one of them, or say the `hole` that it really needs"));
        }
        let off: Vec<&Part> = wired.parts.off_edge.iter().map(|&i| &parts[i]).collect();
        if let Some(first) = off.first() {
            let names = words::few(off.iter().map(|p| format!("`{}`", p.name)));
            let message = format!("panel `{}` has no room for {names}", table.name.value);
            found.push(tell(message).at(place(table, first), "no room").help("make the panel larger, or move parts"));
        }
    }
}

/// Where the plan says a part's place, or the part, or the panel.
fn place(table: &Panel, part: &Part) -> Range<usize> {
    let of = |at: &Option<At<PanelPlace>>, name: &At<String>| at.as_ref().map_or(name.span.clone(), |a| a.span.clone());
    match part.said {
        Some(PanelPartId::Button(i)) => of(&table.button.items[i].value.at, &table.button.items[i].value.name),
        Some(PanelPartId::Switch(i)) => of(&table.switch.items[i].value.at, &table.switch.items[i].value.toggle),
        Some(PanelPartId::Lamp(i)) => of(&table.lamp.items[i].value.at, &table.lamp.items[i].value.name),
        None => table.name.span.clone(),
    }
}
