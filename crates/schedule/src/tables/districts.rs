//! The district and supply schedule.

use super::pieces::sources;
use super::{Sheets, paper, printed, significant};
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use analysis::figures::TrackLine;
use analysis::{feeds, throwing};
use handbook::quantity::Quantity;
use plan::Kind;
use plan::tables::SupplyKind;

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let margin = analysis::LoadCase::from_plan(sheets.job.facts.plan).fault_margin;
    let words = format!(
        "A short must draw at least {} times the current that trips the breaker, at every place. Worst values are those of \
         the tracks that are meant to be in the district.",
        significant(margin, 3)
    );
    let mut blocks = vec![
        Block::Caution(
            "Mains work is for a licensed or registered electrician, and local codes rule. Everything in these papers is on \
             the low-voltage side."
                .to_owned(),
        ),
        Block::Text(words),
        Block::Table(districts(sheets)),
    ];
    let loads = loads(sheets);
    if !loads.rows.is_empty() {
        blocks.push(Block::Heading("What motors draw".to_owned()));
        blocks.push(Block::Table(loads));
    }
    blocks.push(Block::Heading("Inside supplies and breakers".to_owned()));
    blocks.push(Block::Table(sources(sheets)));
    let mut printed = Vec::new();
    for block in &blocks {
        match block {
            Block::Table(table) if table.name == "loads" => printed.push(Block::Table(printed::contacts::loads(table))),
            Block::Table(table) if table.name == "districts" => {
                let (own, feeds) = printed::contacts::districts(table);
                printed.push(Block::Table(own));
                printed.extend(feeds.map(Block::Table));
            }
            other => printed.push(other.clone()),
        }
    }
    paper("districts", "Districts and supplies", blocks).with_print(printed)
}

fn districts(sheets: &Sheets<'_>) -> Table {
    let facts = &sheets.job.facts;
    let mut table = Table::new(
        "districts",
        vec![
            TableColumn::words("supply"),
            TableColumn::short("kind"),
            TableColumn::short("assumed"),
            TableColumn::words("behind"),
            TableColumn::number("gives", "V"),
            TableColumn::number("rated", "A"),
            TableColumn::number("trips at", "A"),
            TableColumn::words("feeds"),
            TableColumn::words("tracks"),
            TableColumn::number("worst", "V"),
            TableColumn::words("met on"),
            TableColumn::number("worst short", "A"),
            TableColumn::number("margin", "times"),
        ],
    );
    for (index, supply) in facts.plan.supply.iter().enumerate() {
        let breaker = facts.circuit.breakers.iter().position(|b| b.supply == index);
        let meant = |line: &&TrackLine| {
            let sides = &facts.circuit.intended_pole[line.track];
            breaker.is_some() && sides.iter().flatten().any(|meant| Some(meant.breaker) == breaker)
        };
        let lines: Vec<&TrackLine> = facts.figures().into_iter().flat_map(|f| &f.tracks).filter(meant).collect();
        let weakest = lines.iter().min_by(|a, b| a.volts.typical.total_cmp(&b.volts.typical));
        let fault = lines.iter().map(|l| l.fault_amps.typical).min_by(f64::total_cmp);
        let margin = lines.iter().filter_map(|l| Some(l.margin?.typical)).min_by(f64::total_cmp);
        let buses: Vec<&str> = (0..facts.plan.bus.len())
            .filter(|&bus| breaker.is_some() && feeds::breaker_of_bus(facts, bus) == breaker)
            .map(|bus| sheets.places.name(Kind::Bus, bus))
            .collect();
        let kind = match (&supply.kind, &supply.behind) {
            (Some(kind), _) => kind.value.word(),
            (None, Some(_)) => SupplyKind::SubBreaker.word(),
            (None, None) => SupplyKind::Booster.word(),
        };
        let value =
            |v: Option<f64>| v.map_or(Cell::Empty, |value| Cell::Number { value, shown: significant(value, 3) });
        let tracks: Vec<&str> = lines.iter().map(|l| l.name.as_str()).collect();
        table.push(
            None,
            vec![
                Cell::words(&supply.name.value),
                Cell::words(kind),
                if supply.kind.is_none() { Cell::words("kind") } else { Cell::Empty },
                supply.behind.as_ref().map_or(Cell::Empty, |b| Cell::words(&b.value)),
                value(supply.voltage.as_ref().map(|v| v.value.si())),
                value(supply.rating.as_ref().map(|r| r.value.si())),
                value(supply.trips.as_ref().map(|t| t.value.at.value.si())),
                Cell::words(buses.join(", ")),
                Cell::words(tracks.join(", ")),
                value(weakest.map(|l| l.volts.typical)),
                weakest.map_or(Cell::Empty, |l| Cell::words(&l.name)),
                value(fault),
                value(margin),
            ],
        );
    }
    table
}

/// What the motors of each supply draw.
fn loads(sheets: &Sheets<'_>) -> Table {
    let facts = &sheets.job.facts;
    let mut table = Table::new(
        "loads",
        vec![
            TableColumn::words("motor"),
            TableColumn::words("moves"),
            TableColumn::number("always", "A"),
            TableColumn::number("while it moves", "A"),
            TableColumn::number("a throw takes", "J"),
            TableColumn::short("said by"),
        ],
    );
    for (supply, motors) in throwing::by_supply(facts.plan, facts.names) {
        for (motor, draw) in motors {
            let m = &facts.plan.motor[motor];
            let moves: Vec<&str> = m.moves.0.iter().map(|t| t.value.as_str()).collect();
            let shown = |value: f64| Cell::Number { value, shown: significant(value, 3) };
            table.push(
                Some(sheets.places.name(Kind::Supply, supply).to_owned()),
                vec![
                    Cell::words(&m.name.value),
                    Cell::words(moves.join(" + ")),
                    shown(draw.always),
                    shown(draw.moving),
                    shown(draw.joules),
                    Cell::words(if draw.said { "the plan" } else { "assumed: as usual" }),
                ],
            );
        }
    }
    table
}
