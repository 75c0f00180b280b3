//! A button between whose tracks there is no route to set, or which would set one thing in two positions.

use super::panels;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};
use panel::fired::NoRoute;
use panel::parts::PartKind;
use plan::tables::PanelPartId;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "button-sets-nothing",
        title: "a button of a panel does not set what it says",
        text: "A button of a panel sets a route between two tracks, or positions such as `T1 diverging`. Between the tracks of this one \
               there is no route, or nothing to set; or several routes join them, and the plan does not say which; or the \
               button would set one thing in two positions at once. It gets no wires for that.\n\n\
               Fix: name two tracks that one route runs over: `gapwright routes` lists the routes. Where several routes join the two, \
               add a position that only one of them needs: `sets = [\"T1 diverging\"]`.",
        drawing: r#"   button "3"  ── from "lead" to "depot" ──?     no route joins them

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
            if let (Some(why), Some(route)) = (act.no_route, &button.route) {
                let [from, to] = [&route.value.from.value, &route.value.to.value];
                let message = format!("button `{}` sets no route", button.name.value);
                let said = match why {
                    NoRoute::None => "no route runs over both tracks",
                    NoRoute::NothingToSet => "nothing is to be set between these tracks",
                    NoRoute::Several(_) => "several routes join these tracks",
                };
                let help = match why {
                    NoRoute::Several(Some((control, position))) => {
                        let control = &facts.circuit.controls[control];
                        let word = &control.positions[usize::from(position)];
                        format!(
                            "say which one, by a position that it alone needs: `sets = [\"{} {word}\"]`",
                            control.name
                        )
                    }
                    NoRoute::Several(None) => format!("name a track nearer to `{from}` or to `{to}`"),
                    _ => "`gapwright routes` lists the routes; name two tracks of one of them".to_owned(),
                };
                found.push(tell(message).at(route.span.clone(), said).help(help));
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
