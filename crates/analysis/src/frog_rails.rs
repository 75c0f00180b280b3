//! The two rails behind a plastic frog: how far from its point they must begin, and where they are on opposite poles for good.

use crate::Analysis;
use circuit::{NodeId, RailOwner};
use handbook::quantity::Metres;
use handbook::{rails, scales};
use plan::tables::{FrogMaking, Hand, RailSide, Wiring};
use plan::{At, Kind, Plan};
use std::collections::BTreeMap;
use std::ops::Range;

/// A piece of trackwork with plastic frogs, and metal rails right behind them.
pub struct PlasticPiece<'p> {
    kind: Kind,
    index: usize,
    /// What the builder calls it.
    pub name: &'p At<String>,
    /// Where the plan says that its frogs are of plastic.
    pub making: Range<usize>,
    /// How far from the point of each frog its rails begin, where the plan says it.
    pub insulation: Option<&'p At<Metres>>,
    rail: Option<&'p At<String>>,
}

/// The pieces of a plan with plastic frogs: turnouts, crossings and slips, each in its order.
pub fn plastic_pieces(plan: &Plan) -> Vec<PlasticPiece<'_>> {
    let is_plastic = |wiring| matches!(wiring, Wiring::InsulatedBonded | Wiring::InsulatedRouted);
    let turnouts = plan.turnout.iter().enumerate().filter(|(_, t)| is_plastic(t.wiring.value));
    let crossings = plan.crossing.iter().enumerate().filter(|(_, c)| c.frogs.value == FrogMaking::Insulated);
    let slips = plan.slip.iter().enumerate().filter(|(_, s)| s.frogs.value == FrogMaking::Insulated);
    let turnouts = turnouts.map(|(index, t)| PlasticPiece {
        kind: Kind::Turnout,
        index,
        name: &t.name,
        making: t.wiring.span.clone(),
        insulation: t.insulation.as_ref(),
        rail: t.rail.as_ref(),
    });
    let crossings = crossings.map(|(index, c)| PlasticPiece {
        kind: Kind::Crossing,
        index,
        name: &c.name,
        making: c.frogs.span.clone(),
        insulation: c.insulation.as_ref(),
        rail: c.rail.as_ref(),
    });
    let slips = slips.map(|(index, s)| PlasticPiece {
        kind: Kind::Slip,
        index,
        name: &s.name,
        making: s.frogs.span.clone(),
        insulation: s.insulation.as_ref(),
        rail: s.rail.as_ref(),
    });
    turnouts.chain(crossings).chain(slips).collect()
}

/// How far from the point of each plastic frog its metal rails must begin, so that no tread reaches from one to the other; none
/// where the scale has no wheel at hand.
pub fn insulation_due(plan: &Plan, piece: &PlasticPiece<'_>) -> Option<Metres> {
    let layout = plan.layout.as_ref().map(|l| &l.value)?;
    let scale = scales::scale(&layout.scale.value)?;
    let named = piece.rail.or(layout.rail.as_ref());
    let rail = named.and_then(|text| rails::rail(&text.value)).unwrap_or_else(|| rails::default_rail(scale.name));
    let number = circuit::WorkLengths::from_plan(plan, piece.kind, piece.index).number;
    Some(scales::insulation_behind_frog(&scales::wheel(scale)?.value, rail.head_width, number))
}

/// The frogs of a crossing or slip, and which rails of its first two routes meet there: seen eastwards, of track 1 and of track 2.
const CROSSING_FROGS: [(&str, [RailSide; 2]); 4] = [
    ("west", [RailSide::Right, RailSide::Left]),
    ("east", [RailSide::Left, RailSide::Right]),
    ("north", [RailSide::Left, RailSide::Left]),
    ("south", [RailSide::Right, RailSide::Right]),
];

/// Of each piece, its frogs whose two rails are on different poles in every setting: joined to them without any contact or blade.
/// The frog of a turnout has no word.
pub fn on_opposite_poles(facts: &Analysis<'_>, pieces: &[PlasticPiece<'_>]) -> Vec<Vec<&'static str>> {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    let joined = circuit.conductors(circuit::Edge::is_always_closed);
    let pole_of = |node: NodeId| {
        let mut poles = circuit.breakers.iter().flat_map(|b| b.node.iter().zip([0, 1]));
        poles.find(|(pole, _)| joined[**pole] == joined[node]).map(|(_, which)| which)
    };
    let mut routes: BTreeMap<(Kind, usize), Vec<&circuit::Segment>> = BTreeMap::new();
    for segment in &circuit.segments {
        if let RailOwner::Work { kind, index, .. } = segment.owner {
            routes.entry((kind, index)).or_default().push(segment);
        }
    }
    let against = |piece: &PlasticPiece<'_>| -> Vec<&'static str> {
        let Some(&[one, other, ..]) = routes.get(&(piece.kind, piece.index)).map(Vec::as_slice) else {
            return Vec::new();
        };
        // Behind the frog, which is where a turnout's routes end.
        let pole = |route: &circuit::Segment, side: RailSide| pole_of(route.rails[side].stops.last()?.before);
        let meet = |sides: [RailSide; 2]| matches!((pole(one, sides[0]), pole(other, sides[1])), (Some(one), Some(other)) if one != other);
        if piece.kind != Kind::Turnout {
            return CROSSING_FROGS.iter().filter(|(_, sides)| meet(*sides)).map(|(word, _)| *word).collect();
        }
        // The through track lies on the other side of the frog from where the turnout diverges to.
        let sides = match plan.turnout[piece.index].hand.value {
            Hand::Left => [RailSide::Left, RailSide::Right],
            Hand::Right | Hand::Wye => [RailSide::Right, RailSide::Left],
        };
        if meet(sides) { vec![""] } else { Vec::new() }
    };
    pieces.iter().map(against).collect()
}
