//! The two rails behind a plastic frog: how far from its point they must begin, and where they are on opposite poles for good.

use crate::Analysis;
use circuit::{Circuit, NodeId, RailOwner};
use handbook::quantity::Metres;
use handbook::{rails, scales};
use plan::tables::{Hand, RailSide, Wiring};
use plan::{Kind, Plan};
use std::collections::BTreeSet;

/// Whether a turnout's frog is plastic, with metal rails right behind it.
fn is_plastic(wiring: Wiring) -> bool {
    matches!(wiring, Wiring::InsulatedBonded | Wiring::InsulatedRouted)
}

/// How far behind the point of a turnout's plastic frog its metal rails must begin, so that no tread reaches from one to the other. None
/// of other frogs, and where the scale has no wheel at hand.
pub fn insulation_due(plan: &Plan, turnout: usize) -> Option<Metres> {
    let table = &plan.turnout[turnout];
    if !is_plastic(table.wiring.value) {
        return None;
    }
    let layout = plan.layout.as_ref().map(|l| &l.value)?;
    let scale = scales::scale(&layout.scale.value)?;
    let named = table.rail.as_ref().or(layout.rail.as_ref());
    let rail = named.and_then(|text| rails::rail(&text.value)).unwrap_or_else(|| rails::default_rail(scale.name));
    let number = circuit::WorkLengths::from_plan(plan, Kind::Turnout, turnout).number;
    Some(scales::insulation_behind_frog(&scales::wheel(scale)?.value, rail.head_width, number))
}

/// The turnouts with plastic frogs whose two inner rails behind the frog are on different poles in every setting: joined to them without
/// any contact or blade.
pub fn on_opposite_poles(facts: &Analysis<'_>) -> BTreeSet<usize> {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    let joined = joined_for_good(circuit);
    let pole_of = |node: NodeId| {
        let mut poles = circuit.breakers.iter().flat_map(|b| b.node.iter().zip([0, 1]));
        poles.find(|(pole, _)| joined[pole.index()] == joined[node.index()]).map(|(_, which)| which)
    };
    let mut routes: Vec<Vec<&circuit::Segment>> = vec![Vec::new(); plan.turnout.len()];
    for segment in &circuit.segments {
        if let RailOwner::Work { kind: Kind::Turnout, index, .. } = segment.owner {
            routes[index].push(segment);
        }
    }
    let against = |index: &usize| {
        let &[first, second] = routes[*index].as_slice() else { return None };
        // The through track lies on the other side of the frog from where the turnout diverges to.
        let sides = match plan.turnout[*index].hand.value {
            Hand::Left => [RailSide::Left, RailSide::Right],
            Hand::Right | Hand::Wye => [RailSide::Right, RailSide::Left],
        };
        let end = |segment: &circuit::Segment, side: RailSide| segment.rails[side].stops.last().map(|stop| stop.before);
        let poles = [pole_of(end(first, sides[0])?)?, pole_of(end(second, sides[1])?)?];
        Some(poles[0] != poles[1])
    };
    let plastic = (0..plan.turnout.len()).filter(|&index| is_plastic(plan.turnout[index].wiring.value));
    plastic.filter(|index| against(index) == Some(true)).collect()
}

/// For each node the least node that it is joined to whatever stands how (union and find with halved paths).
fn joined_for_good(circuit: &Circuit) -> Vec<usize> {
    let mut above: Vec<usize> = (0..circuit.nodes.len()).collect();
    fn top(above: &mut [usize], mut node: usize) -> usize {
        while above[node] != node {
            above[node] = above[above[node]];
            node = above[node];
        }
        node
    }
    for edge in circuit.edges.iter().filter(|e| e.is_always_closed()) {
        let [a, b] = [edge.a, edge.b].map(|node| top(&mut above, node.index()));
        above[a.max(b)] = a.min(b);
    }
    (0..circuit.nodes.len()).map(|node| top(&mut above, node)).collect()
}
