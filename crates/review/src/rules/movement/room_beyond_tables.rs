//! Air of the room for which no table of the moisture of wood was made.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::season_words::air_words;
use analysis::words;
use finding::{Finding, Harm};
use handbook::materials::{MOISTURE_TABLE, base_material};
use movement::climate::air_of;
use movement::growth::Air;
use plan::At;
use plan::tables::Climate;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "room-beyond-tables",
        title: "the room's air lies outside the tables of the moisture of wood",
        text: "How much water wood takes up from the air was measured from 30 to 130 °F (-1 to 54 °C) and from 5 to 95 % relative \
               humidity (Wood Handbook FPL-GTR-282, Table 4-2). Outside that the program goes on with the handbook's equation \
               4-5, which was fitted to that table and is a guess there. Near 100 % moisture rises steeply: by a quarter of \
               all there is from 95 to 100 %.\n\nWidths of gaps and joints for \
               such air are a guide only. Foam and other bases that take up no water are not asked.\n\nFix: measure the room with \
               a hygrometer that remembers its least and greatest values. Where it is really so damp, measure one gap in that \
               season and hold it against what `gapwright gaps` says.",
        drawing: r#"   5 % ├────────── measured ──────────┤ 95 %
                                        99 %: a guess"#,
        example: include_str!("examples/room-beyond-tables.toml"),
    },
    find,
};

fn is_beyond(air: Air) -> bool {
    let ([coldest, hottest], [driest, dampest]) = MOISTURE_TABLE.value;
    // A temperature that was written in °C and stands for the table's 30 °F is no further out; rounding is nothing.
    let temperature = coldest.0 - 0.2..=hottest.0 + 0.2;
    !temperature.contains(&air.temperature.0) || !(driest.0 - 1e-9..=dampest.0 + 1e-9).contains(&air.humidity.0)
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let room = facts.plan.room.as_ref().map(|r| &r.value);
    let base = facts.plan.base.as_ref().map(|b| &b.value.material);
    let room = room.map(|room| [&room.laid, &room.coldest, &room.hottest]);
    let rest = room.map(|airs| (String::new(), airs, base));
    let boards = facts.plan.board.iter().map(|board| {
        let airs = [&board.laid, &board.coldest, &board.hottest];
        (format!("{}: ", board.name.value), airs, board.material.as_ref().or(base))
    });
    let mut beyond: Vec<(String, &At<Climate>)> = Vec::new();
    let mut wood = None;
    for (place, airs, material) in rest.into_iter().chain(boards) {
        let Some(material) = material.and_then(|m| base_material(&m.value)) else { continue };
        if material.growth_per_ten_percent_humidity.value.high.0 == 0.0 {
            continue;
        }
        for (when, climate) in ["on the day of laying", "coldest", "hottest"].into_iter().zip(airs) {
            if let Some(climate) = climate.as_ref().filter(|climate| is_beyond(air_of(climate))) {
                beyond.push((format!("{place}{when}"), climate));
                wood.get_or_insert(material);
            }
        }
    }
    let Some(material) = wood else { return };
    let Some((_, first)) = beyond.first() else { return };
    let shown: Vec<String> =
        beyond.iter().map(|(when, c)| format!("{when}, {}", air_words(facts.plan.units(), air_of(c)))).collect();
    let message = format!("the room's air lies outside what was measured of wood: {}", words::list(&shown));
    let mut finding = Finding::note("room-beyond-tables", Harm::GoodToKnow, message)
        .at(first.span.clone(), "this air")
        .fact(MOISTURE_TABLE.source.to_owned())
        .fact(format!("{} takes up water: widths of gaps and joints for that air are a guide only", material.name));
    for (_, climate) in &beyond[1..] {
        finding = finding.also(climate.span.clone(), "and this");
    }
    found.push(
        finding.help(
            "measure the room's least and greatest humidity; hold one gap against `gapwright gaps` in that season",
        ),
    );
}
