//! A button that names no route and no position, or two positions of one thing.

use super::panels;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};
use panel::parts::PartKind;
use plan::tables::PanelPartId;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "button-sets-nothing",
        title: "a button of a panel does not set what it says",
        text: "A button of a panel names what it sets: a route, by its name in `gapwright routes`, or positions such as \
               `T1 diverging`. This one names neither, or it would set one thing in two positions at once. It gets no wires for \
               that.\n\n\
               Routes are named by the tracks at their two ends, so a route gets another name when a track does.\n\n\
               Fix: write the name as `gapwright routes` gives it; either end may come first.",
        drawing: r#"   button "3"  ── sets "lead to road 3" ──?     no such route

   gapwright routes:    lead to road 1,  lead to road 2"#,
        example: include_str!("examples/button-sets-nothing.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let tell = |message: String| Finding::warning("button-sets-nothing", Harm::CanStop, message);
    for wired in panels(facts) {
        let table = &facts.plan.panel[wired.parts.panel];
        for part in &wired.parts.parts {
            let (PartKind::Button(act), Some(PanelPartId::Button(index))) = (&part.kind, part.said) else { continue };
            let button = &table.button.items[index].value;
            for text in &act.unknown {
                let names = facts.ways().list.iter().map(|w| w.name.as_str());
                let help = match plan::nearest_name(&text.value, names) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => {
                        "`gapwright routes` lists the routes; a position is written such as `T1 diverging`".to_owned()
                    }
                };
                let message = format!("button `{}` sets no route and no position", button.name.value);
                found.push(tell(message).at(text.span.clone(), "no route, no position").help(help));
            }
            if let Some(&first) = act.twice.first() {
                let name = &facts.circuit.controls[first].name;
                let message = format!("button `{}` would set `{name}` in two positions at once", button.name.value);
                let place = button.sets.span.clone().unwrap_or_else(|| button.name.span.clone());
                found.push(tell(message).at(place, "two positions of one thing").help("leave one of them out"));
            }
        }
    }
}
