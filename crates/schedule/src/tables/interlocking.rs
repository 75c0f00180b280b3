//! The interlocking table: which routes exclude each other, and why.

use crate::Job;
use crate::paper::{Cell, Table, TableColumn};
use panel::interlocked::{RouteTable, route_table};
use panel::parts::PartKind;
use proof::{Exclusion, Unusable};
use std::collections::{BTreeMap, BTreeSet};

/// Of so many routes and no more the interlocking table has all; of more those that buttons set.
const ALL_ROUTES: usize = 40;

/// The interlocking table of a plan with a panel, and what stands above it; none where it has fewer than two routes, or nothing could be
/// proved.
pub fn interlocking(job: &Job<'_>) -> Option<(Table, Vec<String>)> {
    let facts = &job.facts;
    let ways = facts.ways();
    let of_buttons = || {
        let acts = job.panels().into_iter().flat_map(|w| w.parts.parts).filter_map(|p| match p.kind {
            PartKind::Button(act) => act.whole,
            _ => None,
        });
        acts.collect::<BTreeSet<usize>>().into_iter().collect::<Vec<_>>()
    };
    let all = ways.complete && ways.list.len() <= ALL_ROUTES;
    let routes: Vec<usize> = if all { (0..ways.list.len()).collect() } else { of_buttons() };
    if routes.len() < 2 {
        return None;
    }
    let table = route_table(facts, &routes).ok()?;
    let mut said = vec![
        "Proved over every setting: routes that go together can be set at once and have power throughout in one and the same \
         setting; routes that exclude each other cannot, or would meet on the track. Numbers are those of the list of routes. Where only \
         a turnout or a switch stands behind a number, the two routes need it in different positions."
            .to_owned(),
    ];
    if !all {
        said.push("The plan has more routes than fit here: these are the routes that buttons set.".to_owned());
    }
    Some((route_rows(job, &table), said))
}

fn route_rows(job: &Job<'_>, table: &RouteTable) -> Table {
    let facts = &job.facts;
    let mut paper = Table::new(
        "interlocking",
        vec![
            TableColumn::short("route"),
            TableColumn::words("name"),
            TableColumn::words("goes together with"),
            TableColumn::words("excludes, and why"),
        ],
    );
    let ways = &facts.ways().list;
    // Numbers are those of the list of routes, which is in an order of its own.
    let listed = analysis::ways_table::chosen(&facts.circuit, facts.ways(), None, None);
    let in_list = |route: usize| listed.iter().position(|l| l.0 == route).unwrap_or(route) + 1;
    let mut rows: Vec<(usize, usize)> = table.routes.iter().copied().enumerate().collect();
    rows.sort_by_key(|&(_, route)| in_list(route));
    for (place, route) in rows {
        let (mut with, mut against) = (Vec::new(), BTreeMap::<String, Vec<usize>>::new());
        for (other, &number) in table.routes.iter().enumerate().filter(|(o, _)| *o != place) {
            match table.go_together(place, other) {
                None => {}
                Some(true) => with.push(in_list(number)),
                Some(false) => against.entry(why(job, table, [place, other])).or_default().push(in_list(number)),
            }
        }
        // By the first route of each reason: what things are called is no order.
        let mut against: Vec<(String, Vec<usize>)> = against.into_iter().collect();
        against.sort_by_key(|(_, routes)| routes.iter().min().copied());
        let excludes: Vec<String> =
            against.into_iter().map(|(why, routes)| format!("{}: {why}", in_runs(routes))).collect();
        let together = match table.proved.unusable[place] {
            None if with.is_empty() => "none".to_owned(),
            None => in_runs(with),
            Some(Unusable::CannotBeSet) => "cannot be set".to_owned(),
            Some(Unusable::Shorted) => "shorts a supply".to_owned(),
            Some(Unusable::NeverLive) => "has no power".to_owned(),
            Some(Unusable::NotWholeLive) => "not all of it has power at one time".to_owned(),
        };
        paper.push(
            None,
            vec![
                Cell::words(in_list(route).to_string()),
                Cell::words(&ways[route].name),
                Cell::words(together),
                Cell::words(excludes.join("; ")),
            ],
        );
    }
    paper
}

fn in_runs(mut numbers: Vec<usize>) -> String {
    numbers.sort_unstable();
    crate::counts_in_runs(numbers)
}

/// Why two routes exclude each other: the first reason, which is the plainest.
fn why(job: &Job<'_>, table: &RouteTable, [one, other]: [usize; 2]) -> String {
    let facts = &job.facts;
    let circuit = &facts.circuit;
    let (reasons, supply) = table.why(one, other);
    let supplied =
        || supply.map_or_else(String::new, |s| format!("{} feeds one train only", facts.plan.supply[s].name.value));
    // What differs in position says more than the trackwork that both meet in.
    let position = reasons.iter().find(|r| matches!(r, Exclusion::Position(..)));
    let Some(reason) = position.or(reasons.first()) else { return supplied() };
    match reason {
        Exclusion::Track(segment) => format!("both run over {}", circuit.segments[*segment].name),
        Exclusion::Trackwork(kind, index) => {
            let places = crate::places::PlaceNames::new(circuit, facts.plan, job.choices.units);
            format!("both run over {}", places.name(*kind, *index))
        }
        Exclusion::Position(control, _) => circuit.controls[*control].name.clone(),
        Exclusion::NeverTogether => "never set together, as the plan says".to_owned(),
        Exclusion::Short => "set together they short a supply".to_owned(),
        Exclusion::Starved(_, segment) => format!("{} loses its power", circuit.segments[*segment].name),
        Exclusion::NotBothLive => "never both with power".to_owned(),
    }
}
