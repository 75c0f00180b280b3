//! A wheel on one rail behind a plastic frog touches the other, which is on the other pole.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::frog_rails;
use finding::{Finding, Harm};
use handbook::quantity::Quantity;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "wheel-bridges-frog",
        title: "metal treads bridge the two rails behind a plastic frog",
        text: "Behind the point of a plastic frog its two rails lie side by side, on opposite poles, and part by one part in the \
               frog's number of the way. Where they begin too near to the point, the tread of a metal wheel that runs on the one \
               also lies on the other: a spark, a click of the breaker, pitted wheels. The trains run on, so that it is \
               blamed on everything else.\n\nNo wheel reaches the other rail where the metal begins `(tread + head) × number` \
               behind the point: 19 mm for HO wheels of 2.8 mm, code 100 rail and a No. 6 (from the geometry of the frog, NMRA RP-12; \
               widths of wheels from memory). The plan says where yours begins in `insulation` of the turnout, crossing or slip. `gapwright lengths` \
               tells how much each plastic frog needs.\n\nFix: paint the first millimetres of one rail's head with clear nail \
               varnish to see whether it is this; then cut that rail where `gapwright lengths` says and fill it, or use \
               narrower wheels.",
        drawing: r#"              ___A___
   plastic __╱  ▓▓▓   a tread on A reaches B
          ╲_________
              ‾‾‾B‾‾‾"#,
        example: include_str!("examples/wheel-bridges-frog.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let mut said = frog_rails::plastic_pieces(facts.plan);
    said.retain(|piece| piece.insulation.is_some());
    if said.is_empty() {
        return;
    }
    let frogs = frog_rails::on_opposite_poles(facts, &said);
    for (piece, frogs) in said.iter().zip(frogs) {
        let (Some(begins), Some(due)) = (piece.insulation, frog_rails::insulation_due(facts.plan, piece)) else {
            continue;
        };
        if frogs.is_empty() || begins.value.si() >= due.si() {
            continue;
        }
        let which = match frogs.as_slice() {
            [""] => "the frog".to_owned(),
            [one] => format!("the {one} frog"),
            several => format!("the frogs {}", analysis::words::few(several.iter().map(|word| (*word).to_owned()))),
        };
        let units = facts.plan.units();
        found.push(
            Finding::warning(
                "wheel-bridges-frog",
                Harm::CanBurn,
                format!("metal wheels join the two rails behind {which} of `{}` as they cross it", piece.name.value),
            )
            .at(begins.span.clone(), "the rails begin too near to the point")
            .also(piece.making.clone(), "both are fed, from opposite poles")
            .fact(format!(
                "the rails begin {} from the point; {} would do",
                units.fine(begins.value.si()),
                units.fine(due.si())
            ))
            .fact(format!(
                "each wheel touches both rails for {} and shorts them",
                units.fine(due.si() - begins.value.si())
            ))
            .help("insulate one of the two rails as far as that: cut and fill it, or paint its head"),
        );
    }
}
