//! Gaps and sliding joints that rail and base close over the year.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::season_words::{growth_causes, lengths, opening, others, what, width_band};
use analysis::words;
use circuit::{Circuit, Edge, EdgeKind};
use finding::{Edit, Finding, FindingWitness, Harm};
use handbook::limits::INSULATED_GAP;
use movement::Movement;
use movement::season::{CLIMATE_CASES, OpeningOverYear, OpeningVerdict, WidthFit, rounded_up};
use plan::edit;

/// Openings that are named.
const MOST_NAMED: usize = 4;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "gap-closes",
        title: "a gap or sliding joint closes at some time of the year",
        text: "Rail grows with warmth; wood shrinks as it dries, and in a hot, dry summer both close a gap. An insulated \
               gap that closes joins what it was cut to part: a short that comes in July and is gone in September. A \
               sliding joint that closes pushes the rail on, into the next gap or sideways.\n\nWhat is calculated is the rail between its gaps and sliding joints, through solder and through trackwork, growing from its middle: \
               half of its length moves into the gap from either side. The rail is taken to slide freely in its \
               fastenings, which moves it most; `grip` under `[base]`, measured, replaces that. The width is that of \
               `width` beside the place, of `gap_width` under `[layout]`, or the usual 0.5 mm; a gap must keep \
               `smallest_gap`, 0.1 mm where not said. The finding is based on usual values; the band beside them is \
               what material and alloy leave open. One finding names the worst.\n\nFix: leave it wider on the day. \
               `gapwright gaps` tells how wide for each, on a day as warm and damp as you have.",
        drawing: r#"   laid in May      ═══════════╡ 0.5 mm ╞═══════════
   a dry July       ════════════════════════════════    closed
                     <---- wood shrinks, rail grows ---->"#,
        example: include_str!("examples/gap-closes.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(movement) = facts.movement() else { return };
    let places = &movement.places;
    // What closes because no width will do is reported as that.
    let closes = |p: &OpeningOverYear| p.verdict(p.left) == OpeningVerdict::Closes && p.leave.fit != WidthFit::None;
    let mut closing: Vec<usize> = (0..places.len()).filter(|&i| closes(&places[i])).collect();
    let least = |i: usize| places[i].left - places[i].most_closing().typical - places[i].allowed_width[0];
    // Gaps first: what joins phases is worse than what pushes.
    closing
        .sort_by(|&a, &b| places[b].is_gap.cmp(&places[a].is_gap).then(least(a).total_cmp(&least(b))).then(a.cmp(&b)));
    let Some(&worst) = closing.first() else { return };
    let place = &places[worst];
    let [narrow, _] = place.narrow_and_wide();
    let width = place.widths(place.left)[narrow];
    let does = if width.typical <= 0.0 { "closes" } else { "nearly closes" };
    let joint = &movement.runs.openings[worst].joint;
    let mut finding = Finding::warning(
        "gap-closes",
        Harm::WillAge,
        format!(
            "the {} in {} {does} in {}{}",
            what(place.is_gap),
            opening(facts, movement, worst),
            format_args!("the {} air", CLIMATE_CASES[narrow]),
            others(closing.len() - 1)
        ),
    )
    .at(joint.span.clone(), format!("left {} wide on the day", facts.plan.units().fine(place.left)));
    if let Some(said) = &place.left_said {
        finding = finding.also(said.clone(), "this width");
    } else {
        finding = finding.fact(format!(
            "the plan gives no width: {} was assumed ({})",
            facts.plan.units().fine(place.left),
            INSULATED_GAP.source
        ));
    }
    finding = finding
        .fact(format!("it closes by {}", width_band(facts.plan.units(), place.closes[narrow])))
        .fact(lengths(facts.plan.units(), movement, worst))
        .fact(growth_causes(facts.plan.units(), movement, movement.runs.openings[worst].runs[0], narrow));
    for &other in closing.iter().skip(1).take(MOST_NAMED - 1) {
        let p = &places[other];
        let [narrow, _] = p.narrow_and_wide();
        finding = finding.fact(format!(
            "the {} in {} closes by {} and is left {} wide",
            what(p.is_gap),
            opening(facts, movement, other),
            width_band(facts.plan.units(), p.closes[narrow]),
            facts.plan.units().fine(p.left)
        ));
    }
    if let Some((fact, witness)) = shut(facts, movement, worst) {
        finding = finding.fact(fact).witness(witness);
    }
    finding = finding.help(format!(
        "leave this one {} wide on a day like that of laying; `gapwright gaps` tells the width of each",
        facts.plan.units().fine(place.leave.width)
    ));
    if let Some((says, edits)) = wider(facts, movement, &closing) {
        finding = finding.proposal(says, edits);
    }
    found.push(finding);
}

/// What a gap joins when it has closed, proved over every setting; not tried on very large plans.
fn shut(facts: &Context<'_>, movement: &Movement, opening: usize) -> Option<(String, FindingWitness)> {
    let nodes = movement.runs.openings[opening].joint.nodes;
    let before = facts.proof().ok()?;
    if !movement.places[opening].is_gap || analysis::is_large(&facts.circuit) || !before.shorts.is_empty() {
        return None;
    }
    let mut circuit: Circuit = facts.circuit.clone();
    let like = circuit.edges.first()?.clone();
    let name = "the closed gap".to_owned();
    let [a, b] = nodes;
    circuit.edges.push(Edge {
        a,
        b,
        guard: Vec::new(),
        removed: false,
        kind: EdgeKind::Wire,
        part: circuit::Part::Loose,
        name,
        henries: handbook::Spread::exactly(0.0),
        ..like
    });
    circuit.gaps.retain(|g| [g.before, g.after] != nodes);
    let proof = proof::prove(&circuit, None).ok()?;
    let short = proof.shorts.first()?;
    let [one, other] = short.poles.map(|p| words::pole(&circuit, p));
    let when = words::when(&circuit, &short.witness.setting);
    Some((format!("closed, it joins {one} and {other} {when}"), words::witness(&circuit, &short.witness)))
}

/// Widths that keep all of these open, as edits: those said place by place, and that of the layout where one will do.
fn wider(facts: &Context<'_>, movement: &Movement, closing: &[usize]) -> Option<(String, Vec<Edit>)> {
    let layout = &facts.plan.layout.as_ref()?.value;
    let of_layout = layout.gap_width.as_ref().map(|w| w.span.clone());
    let shared = |p: &OpeningOverYear| p.left_said.is_none() || p.left_said == of_layout;
    let mut edits = Vec::new();
    let mut says = Vec::new();
    for &opening in closing.iter().filter(|&&i| !shared(&movement.places[i])) {
        let place = &movement.places[opening];
        let said = place.left_said.clone()?;
        edits.push(edit::replace(said, &edit::quoted(&facts.plan.units().fine(place.leave.width))));
    }
    if !edits.is_empty() {
        says.push(format!("leave {} gaps and joints as wide as they need", edits.len()));
    }
    if closing.iter().any(|&i| shared(&movement.places[i])) {
        let all = || movement.places.iter().filter(|p| shared(p) && p.leave.fit != WidthFit::None);
        let window = |of: fn(&OpeningOverYear) -> [f64; 2]| {
            let window = all().map(of).fold([0.0, f64::INFINITY], |w, [a, b]| [f64::max(w[0], a), f64::min(w[1], b)]);
            let width = rounded_up(window[0]);
            (width <= window[1]).then_some(width)
        };
        let width = window(|p| p.leave.window).or_else(|| window(OpeningOverYear::usual_window))?;
        let words = edit::quoted(&facts.plan.units().fine(width));
        edits.push(match &layout.gap_width {
            Some(said) => edit::set(said, &words),
            None => edit::add_key(&layout.place, "gap_width", &words),
        });
        says.push(format!(
            "leave gaps and sliding joints {} wide where nothing else is said",
            facts.plan.units().fine(width)
        ));
    }
    edits.sort_by_key(|e| e.place.span.start);
    edits.dedup();
    Some((words::list(&says), edits))
}
