//! A promise that makes a route impossible.

use super::no_setting_left;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{MOST_WAYS, words};
use circuit::{Literal, Way};
use finding::{Finding, Harm, Severity};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "promise-bars-route",
        title: "a promise makes a route impossible",
        text: "Your plan promises that some positions are never set together, as an interlocking would see to. A route needs \
               just these positions, so no train can ever run over it, and nothing on it is checked.\n\n\
               An interlocking keeps two routes apart that would meet. It does not forbid what a single route needs. Mostly one \
               position in the promise is the wrong one.\n\n\
               What to do: correct the position, or take the promise out. If the route is really never used, leave it as it is.",
        drawing: r#"                  T1 diverging      T4 through
   ══════ T1 ════════════╲══════════ T4 ══════ road 3
            ╲             never together: then how to road 3?"#,
        example: include_str!("examples/promise-bars-route.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let circuit = &facts.circuit;
    if circuit.promised.is_empty() || no_setting_left::none_left(facts) {
        return;
    }
    let open = circuit.without_promises();
    let ways = circuit::ways::ways(&open, MOST_WAYS).list;
    let literals = |way: &Way| -> Vec<Literal> {
        way.setting.iter().map(|(&control, &position)| Literal { control, position }).collect()
    };
    let sets: Vec<Vec<Literal>> = ways.iter().map(literals).collect();
    let Ok(impossible) = proof::impossible(circuit, &sets) else { return };
    // By the promise that bars them by itself; those that only several together do stand with the first that has a say.
    let mut barred: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, set) in sets.iter().enumerate().filter(|(index, _)| impossible[*index]) {
        let alone = circuit.promised.iter().position(|p| p.guard.iter().all(|l| set.contains(l)));
        let has_say = || circuit.promised.iter().position(|p| p.guard.iter().any(|l| set.contains(l)));
        barred.entry(alone.or_else(has_say).unwrap_or(0)).or_default().push(index);
    }
    for (promise, routes) in barred {
        let promise = &circuit.promised[promise];
        let names: Vec<String> = routes.iter().map(|&r| format!("`{}`", ways[r].name)).collect();
        let (first, more) = (&names[0], names.len() - 1);
        let others = match more {
            0 => String::new(),
            1 => " and one more route".to_owned(),
            more => format!(" and {more} more routes"),
        };
        let message = format!("a promise makes the route {first}{others} impossible");
        let mut finding = Finding::new(Severity::Warning, "promise-bars-route", Harm::CanStop, message)
            .at(promise.span.clone(), "never together");
        if more > 0 {
            let some = &names[..names.len().min(6)];
            finding = finding.fact(format!("the routes: {}", words::list(some)));
        }
        let needs: Vec<String> = (sets[routes[0]].iter())
            .map(|&l| circuit.literal_words(l))
            .map(|(control, position)| format!("{control} {position}"))
            .collect();
        finding = finding.fact(format!("it needs {}", words::list(&needs)));
        found.push(
            finding
                .help("correct the position that the promise names, or take it out; nothing on this route is checked"),
        );
    }
}
