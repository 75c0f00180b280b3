//! The gap and joint list.

use super::gap_words::{Purposes, across, visible, visible_printed};
use super::printed::{self, gaps::GapRow, gaps::JointRow};
use super::{Sheets, fine_width, number, paper};
use crate::number::Number;
use crate::paper::{Block, Cell, Paper, Table, TableColumn};
use analysis::season_words::practicable_width;
use circuit::{EdgeId, EdgeKind, Gap, NodeId, RailOwner};
use handbook::limits::INSULATED_GAP;
use handbook::quantity::Quantity;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn sheet(sheets: &Sheets<'_>) -> Paper {
    let widths = if sheets.job.facts.movement().is_ok() {
        "`leave` is how wide to leave it on the day of laying, so that it neither closes nor opens too far over the year."
    } else {
        "The plan does not tell what room and base do over the year, so `leave` is the width it says or the usual one."
    };
    let blocks = vec![
        Block::Text(format!(
            "Left and right are seen from the `from` end of the track that is named, looking along it. Places are measured \
             along the rail from what can be seen there. {widths} The column `assumed` names what your plan does not say: a width is \
             then the usual one, a joint one that slides. Gaps that are built into trackwork come last."
        )),
        Block::Caution("Eye protection at the cutting disc, every time: a broken disc flies at the eyes.".to_owned()),
        Block::Heading("Gaps".to_owned()),
        Block::Table(gaps(sheets)),
        Block::Heading("Joints".to_owned()),
        Block::Caution("Draw off the iron's flux fume; wash your hands after solder with lead.".to_owned()),
        Block::Table(joints(sheets)),
    ];
    let printed = vec![
        Block::Text(format!(
            "Left and right are seen from the `from` end of the track that is named, looking along it. {widths} {}",
            printed::STAR
        )),
        blocks[1].clone(),
        blocks[2].clone(),
        Block::Table(printed::gaps::gaps(&gap_rows(sheets))),
        blocks[4].clone(),
        blocks[5].clone(),
        Block::Table(printed::gaps::joints(joint_rows(sheets))),
    ];
    paper("gaps-and-joints", "Gaps and joints", blocks).with_print(printed)
}

/// How wide gaps and sliding joints are to be left, by their nodes: in metres, and what holds them open so far.
fn widths(sheets: &Sheets<'_>) -> BTreeMap<[NodeId; 2], (f64, Option<String>)> {
    let Ok(movement) = sheets.job.facts.movement() else { return BTreeMap::new() };
    let partings = movement.runs.openings.iter().zip(&movement.places);
    partings
        .map(|(opening, place)| {
            let mut nodes = opening.joint.nodes;
            nodes.sort_unstable();
            let made = practicable_width(place.leave.window, place.leave.width);
            (nodes, made.map_or((place.leave.width, None), |made| (made.width, Some(made.with))))
        })
        .collect()
}

/// Whether how wide gaps and sliding joints are left depends on something that the plan does not say: which joints slide, what
/// the rails are of, or how wide a gap may be.
fn rests_on_defaults(sheets: &Sheets<'_>) -> bool {
    let facts = &sheets.job.facts;
    let plan = facts.plan;
    let limits = plan.limits.as_ref().map(|l| &l.value);
    let said = limits.is_some_and(|l| l.smallest_gap.is_some() && l.largest_gap.is_some());
    let rail =
        plan.layout.as_ref().is_some_and(|l| l.value.rail.is_some()) || plan.track.iter().all(|t| t.rail.is_some());
    !said || !rail || !facts.circuit.assumed_joints.is_empty()
}

/// Insulated gaps, each once: where it is, what it is for, and what stands on either side of it.
pub(super) fn gaps(sheets: &Sheets<'_>) -> Table {
    let mut table = Table::new(
        "gaps",
        vec![
            TableColumn::short("number"),
            TableColumn::words("where"),
            TableColumn::short("rail"),
            TableColumn::words("purpose"),
            TableColumn::words("made by"),
            TableColumn::number("leave", sheets.job.choices.units.short()),
            TableColumn::short("assumed"),
            TableColumn::words("across it"),
            TableColumn::words("one side"),
            TableColumn::words("other side"),
            TableColumn::boxes("cut"),
            TableColumn::boxes("tested"),
        ],
    );
    for gap in listed_gaps(sheets, false) {
        let [one, other] = gap.nodes.map(|node| Cell::words(sheets.places.words(node)));
        let built_in = gap.leave.is_none();
        table.push(
            None,
            vec![
                number(gap.number),
                Cell::words(gap.place),
                Cell::words(gap.rail),
                Cell::words(gap.purpose),
                Cell::words(gap.made),
                gap.leave.map_or(Cell::Empty, |left| fine_width(sheets.job.choices.units, left)),
                if gap.assumed { Cell::words("width") } else { Cell::Empty },
                Cell::words(gap.across),
                one,
                other,
                if built_in { Cell::Empty } else { Cell::Box },
                Cell::Box,
            ],
        );
    }
    table
}

/// The same for print: inside trackwork both sides are named, since no place is.
fn gap_rows(sheets: &Sheets<'_>) -> Vec<GapRow> {
    let row = |gap: ListedGap| {
        let [one, other] = gap.nodes.map(|node| sheets.places.words(node));
        let units = sheets.job.choices.units;
        GapRow {
            number: gap.number,
            place: if gap.leave.is_none() { format!("{one} – {other}") } else { gap.place },
            rail: gap.rail,
            purpose: gap.purpose,
            made: gap.made,
            leave: gap.leave.map(|left| format!("{} {}", fine_width(units, left).shown(), units.short())),
            assumed: gap.assumed,
            across: gap.across,
        }
    };
    listed_gaps(sheets, true).into_iter().map(row).collect()
}

/// A gap as it is listed.
struct ListedGap {
    number: Number,
    nodes: [NodeId; 2],
    place: String,
    rail: &'static str,
    purpose: String,
    made: String,
    /// How wide to leave it, metres; none inside trackwork.
    leave: Option<f64>,
    assumed: bool,
    across: String,
}

/// Insulated gaps, each once.
fn listed_gaps(sheets: &Sheets<'_>, printed: bool) -> Vec<ListedGap> {
    let facts = &sheets.job.facts;
    let circuit = &facts.circuit;
    let mut list = Vec::new();
    let widths = widths(sheets);
    let layout = facts.plan.layout.as_ref().and_then(|l| l.value.gap_width.as_ref());
    let of_layout = layout.map(|w| w.value.si());
    // What the gap itself says; one inside trackwork says nothing.
    let said_widths = facts.plan.said_widths();
    let own_width = |gap: &Gap| said_widths.get(&gap.span.start).map(|width| width.value.si());
    let (by_defaults, moves) = (rests_on_defaults(sheets), facts.movement().is_ok());
    let mut seen = BTreeSet::new();
    let own: Vec<&Gap> =
        circuit.gaps.iter().filter(|g| seen.insert(sheets.job.numbers.of_gap(g.before, g.after))).collect();
    let purposes = Purposes::new(sheets.job);
    let volts = across(sheets.job, &own);
    for (index, gap) in own.into_iter().enumerate() {
        let Some(n) = sheets.job.numbers.of_gap(gap.before, gap.after) else { continue };
        let segment = &circuit.segments[gap.segment];
        let built_in = !matches!(segment.owner, RailOwner::Track(_));
        let at_end = gap.x <= 0.0 || gap.x >= segment.length;
        let width = widths.get(&[gap.before.min(gap.after), gap.before.max(gap.after)]);
        let said = own_width(gap).or(of_layout);
        let ours = !built_in && if moves { by_defaults } else { said.is_none() };
        let with = width.and_then(|w| w.1.as_ref()).map_or_else(String::new, |with| format!(" held open with {with}"));
        let made = match (built_in, at_end) {
            (true, _) => "its maker".to_owned(),
            (false, true) => "insulating joiner".to_owned(),
            (false, false) => format!("saw cut{with}, filled and filed; or an insulating joiner"),
        };
        list.push(ListedGap {
            number: n,
            nodes: [gap.before, gap.after],
            place: match (built_in, printed) {
                (true, _) => segment.name.clone(),
                (false, true) => visible_printed(sheets, gap.segment, gap.x),
                (false, false) => visible(sheets, gap.segment, gap.x),
            },
            rail: gap.side.word(),
            purpose: purposes.words(gap),
            made,
            leave: (!built_in).then(|| width.map_or(said.unwrap_or(INSULATED_GAP.value.si()), |w| w.0)),
            assumed: ours,
            across: volts[index].clone(),
        });
    }
    list
}

/// Joints for print.
fn joint_rows(sheets: &Sheets<'_>) -> Vec<JointRow> {
    let circuit = &sheets.job.facts.circuit;
    let (widths, by_defaults) = (widths(sheets), rests_on_defaults(sheets));
    let units = sheets.job.choices.units;
    let mut rows = Vec::new();
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let kind = match edge.kind {
            EdgeKind::SolderedJoint => "soldered",
            EdgeKind::SlidingJoint => "sliding",
            _ => continue,
        };
        let Some(number) = sheets.job.numbers.of_edge(id) else { continue };
        let on_rail = [edge.a, edge.b].into_iter().find_map(|node| match &circuit.nodes[node].spot {
            circuit::Spot::Rail { track, side, x, .. } => Some((visible_printed(sheets, *track, *x), *side)),
            _ => None,
        });
        let width = widths.get(&[edge.a.min(edge.b), edge.a.max(edge.b)]).filter(|_| kind == "sliding");
        let leave = width.map(|w| {
            let shown = format!("{} {}", fine_width(units, w.0).shown(), units.short());
            printed::starred(shown, by_defaults)
        });
        let (place, side) = match on_rail {
            Some((place, side)) => (place, Some(side)),
            None => {
                let [one, other] = [edge.a, edge.b].map(|node| sheets.printed.places.words(node));
                (format!("{one} – {other}"), None)
            }
        };
        let kind = printed::starred(kind, circuit.assumed_joints.contains(&id));
        rows.push(JointRow { number, kind, leave, place, side });
    }
    rows
}

/// Joints, soldered and sliding.
pub(super) fn joints(sheets: &Sheets<'_>) -> Table {
    let circuit = &sheets.job.facts.circuit;
    let mut table = Table::new(
        "joints",
        vec![
            TableColumn::short("number"),
            TableColumn::short("kind"),
            TableColumn::short("assumed"),
            TableColumn::words("where"),
            TableColumn::number("leave", sheets.job.choices.units.short()),
            TableColumn::words("from"),
            TableColumn::words("to"),
            TableColumn::boxes("made"),
            TableColumn::boxes("tested"),
        ],
    );
    let widths = widths(sheets);
    let by_defaults = rests_on_defaults(sheets);
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let kind = match edge.kind {
            EdgeKind::SolderedJoint => "soldered",
            EdgeKind::SlidingJoint => "sliding",
            _ => continue,
        };
        let Some(n) = sheets.job.numbers.of_edge(id) else { continue };
        let place = [edge.a, edge.b].into_iter().find_map(|node| match &circuit.nodes[node].spot {
            circuit::Spot::Rail { track, x, .. } => Some(visible(sheets, *track, *x)),
            _ => None,
        });
        let width = widths.get(&[edge.a.min(edge.b), edge.a.max(edge.b)]).filter(|_| kind == "sliding");
        let [from, to] = [edge.a, edge.b].map(|node| Cell::words(sheets.places.words(node)));
        let width = width.map_or(Cell::Empty, |w| fine_width(sheets.job.choices.units, w.0));
        let place = place.map_or(Cell::Empty, Cell::words);
        let ours =
            [(circuit.assumed_joints.contains(&id), "kind"), (by_defaults && !matches!(width, Cell::Empty), "width")];
        let ours: Vec<&str> = ours.into_iter().filter(|w| w.0).map(|w| w.1).collect();
        let ours = if ours.is_empty() { Cell::Empty } else { Cell::words(ours.join(", ")) };
        table.push(None, vec![number(n), Cell::words(kind), ours, place, width, from, to, Cell::Box, Cell::Box]);
    }
    table
}
