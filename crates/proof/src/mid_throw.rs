//! Is any state that is passed while something moves a short?
//!
//! What moves together does not change at the same moment: each blade pair and each change-over contact goes from
//! its old position through open to its new one by itself. Open joins nothing, and more closed edges never part
//! what is joined, so it is enough to ask of every mixture of old and new. That is the ordinary question asked of
//! a circuit in which each such part is a control of its own.

use crate::conductors::PoleConditions;
use crate::logic::Logic;
use crate::{ProofWitness, TooComplex, path};
use circuit::{Circuit, Control, ControlId, Edge, EdgeId, EdgeKind, Guard, Literal, Node, PoleId};
use network::Condition;
use std::collections::{BTreeMap, BTreeSet};

/// Controls of which a mixture and its path are worked out; each costs a proof of its own.
const MOST_SHOWN: usize = 12;

/// What can short while it moves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MidThrows {
    /// The first of them, each with a mixture that does.
    pub shown: Vec<MidThrow>,
    /// The others.
    pub others: Vec<ControlId>,
}

/// A short that lasts while a control moves.
#[derive(Clone, Debug, PartialEq)]
pub struct MidThrow {
    /// The control that moves.
    pub control: ControlId,
    /// Its parts that matter, each by one of its edges, and the position it has or still has.
    pub parts: Vec<(EdgeId, u8)>,
    /// How all other controls stand, as far as it matters, and the path from pole to pole.
    pub witness: ProofWitness,
    /// The pole that the path starts at, then that of its end.
    pub poles: crate::PolePair,
}

/// What changes at one moment: a pair of blades, a change-over contact.
struct MovingPart {
    control: ControlId,
    edges: Vec<EdgeId>,
}

/// The parts of all controls, in the order of their edges.
fn parts(circuit: &Circuit) -> Vec<MovingPart> {
    let mut found: Vec<MovingPart> = Vec::new();
    let mut known: BTreeMap<(ControlId, bool, usize, usize), usize> = BTreeMap::new();
    for (edge, e) in EdgeId::each(&circuit.edges) {
        for literal in &e.guard {
            // The blades of one turnout depend on one throwbar; a contact's terminals share a spring.
            let key = (literal.control, e.kind == EdgeKind::Blade, e.span.start, e.span.end);
            let part = *known.entry(key).or_insert_with(|| {
                found.push(MovingPart { control: literal.control, edges: Vec::new() });
                found.len() - 1
            });
            found[part].edges.push(edge);
        }
    }
    found
}

/// What of a circuit bears on its conditions, without the names, which nobody reads in a copy.
fn nameless(circuit: &Circuit) -> Circuit {
    let node = |n: &Node| Node { name: String::new(), span: n.span.clone(), spot: n.spot.clone() };
    let edge =
        |e: &Edge| Edge { name: String::new(), guard: Guard::new(), span: e.span.clone(), part: e.part.clone(), ..*e };
    Circuit {
        nodes: circuit.nodes.iter().map(node).collect(),
        edges: circuit.edges.iter().map(edge).collect(),
        sources: circuit.sources.clone(),
        segments: circuit.segments.clone(),
        tracks: circuit.tracks,
        ..Circuit::default()
    }
}

/// A circuit in which the parts of some controls are controls of their own, and for each control what
/// stands for it.
fn split(circuit: &Circuit, parts: &[MovingPart], of: impl Fn(ControlId) -> bool) -> (Circuit, Vec<Vec<ControlId>>) {
    let mut split = nameless(circuit);
    let mut of_control: Vec<Vec<usize>> = vec![Vec::new(); circuit.controls.len()];
    parts.iter().enumerate().for_each(|(part, p)| of_control[p.control].push(part));
    let mut stands_for: Vec<Vec<ControlId>> = Vec::new();
    // For each part the control that is its own; written over below.
    let mut part_control: Vec<ControlId> = parts.iter().map(|p| p.control).collect();
    for (control, c) in ControlId::each(&circuit.controls) {
        let own = &of_control[control];
        let count = if of(control) { own.len().max(1) } else { 1 };
        let first = split.controls.len();
        split.controls.extend((0..count).map(|_| Control { ..c.clone() }));
        stands_for.push((first..first + count).map(ControlId::new).collect());
        for (i, &part) in own.iter().enumerate() {
            part_control[part] = ControlId::new(first + if count > 1 { i } else { 0 });
        }
    }
    let mut guards: Vec<Guard> = vec![Guard::new(); circuit.edges.len()];
    for (part, p) in parts.iter().enumerate() {
        for &edge in &p.edges {
            let old = circuit.edges[edge].guard.iter().filter(|l| l.control == p.control);
            guards[edge].extend(old.map(|l| Literal { control: part_control[part], position: l.position }));
        }
    }
    for (edge, guard) in split.edges.iter_mut().zip(guards) {
        edge.guard = guard;
    }
    for segment in &mut split.segments {
        let old = std::mem::take(&mut segment.guard);
        segment.guard = old
            .into_iter()
            .flat_map(|l| stands_for[l.control].iter().map(move |&c| Literal { control: c, position: l.position }))
            .collect();
    }
    // A motor moves from one position to another only where both are ones that there are: no part of it comes near
    // what never happens together.
    for guard in &circuit.illegal {
        let mut all = vec![Guard::new()];
        for l in guard {
            let by = stands_for[l.control].iter().map(|&control| Literal { control, position: l.position });
            all = all.iter().flat_map(|g| by.clone().map(move |l| [g.as_slice(), &[l]].concat())).collect();
        }
        split.illegal.extend(all);
    }
    (split, stands_for)
}

/// Looks for shorts while something moves; to be asked of a circuit without lasting ones.
pub(crate) fn mid_throws(circuit: &Circuit, limit: usize) -> Result<MidThrows, TooComplex> {
    let parts = parts(circuit);
    let mut count = vec![0usize; circuit.controls.len()];
    parts.iter().for_each(|p| count[p.control] += 1);
    let mixed: Vec<ControlId> = ControlId::all(count.len()).filter(|&c| count[c] > 1).collect();
    if mixed.is_empty() || circuit.sources.is_empty() {
        return Ok(MidThrows::default());
    }
    // Everything split at once tells which controls can short at all; each of those is then asked alone.
    let (all, stands_for) = split(circuit, &parts, |_| true);
    let logic = Logic::new(&all, limit)?;
    let poles = PoleConditions::from_circuit(&all, &logic, &[])?;
    let any = logic.unavoidable(meetings(&all, &poles).into_iter().map(|m| m.1))?;
    if any.is_false() {
        return Ok(MidThrows::default());
    }
    let settled: Vec<Condition> =
        ControlId::all(count.len()).map(|c| settled(&logic, circuit, c, &stands_for[c])).collect::<Result<_, _>>()?;
    let mut found = MidThrows::default();
    for &control in &mixed {
        let mut possible = logic.and(any, between_two(&logic, circuit, control, &stands_for[control])?)?;
        for other in ControlId::all(count.len()).filter(|&o| o != control && stands_for[o].len() > 1) {
            possible = logic.and(possible, settled[other])?;
        }
        if possible.is_false() {
            continue;
        }
        if found.shown.len() < MOST_SHOWN {
            found.shown.extend(moving(circuit, &parts, control, limit)?);
        } else {
            found.others.push(control);
        }
    }
    Ok(found)
}

/// All pairs of poles and when they meet.
fn meetings(circuit: &Circuit, poles: &PoleConditions) -> Vec<(crate::PolePair, Condition)> {
    let all: Vec<PoleId> = circuit.poles().collect();
    let mut pairs = Vec::new();
    for (i, &one) in all.iter().enumerate() {
        pairs.extend(all[i + 1..].iter().map(|&other| ([one, other], poles.meet(one, other))));
    }
    pairs
}

/// When all that stands for a control has the same position.
fn settled(logic: &Logic, circuit: &Circuit, control: ControlId, by: &[ControlId]) -> Result<Condition, TooComplex> {
    let mut any = logic.never();
    for position in 0..circuit.controls[control].positions.len() as u8 {
        let all: Guard = by.iter().map(|&control| Literal { control, position }).collect();
        any = logic.or(any, logic.guard(&all)?)?;
    }
    Ok(any)
}

/// When all that stands for a control has one of two positions, for some two.
fn between_two(
    logic: &Logic,
    circuit: &Circuit,
    control: ControlId,
    by: &[ControlId],
) -> Result<Condition, TooComplex> {
    let positions = circuit.controls[control].positions.len() as u8;
    let mut any = logic.never();
    for (from, to) in (0..positions).flat_map(|p| (p + 1..positions).map(move |q| (p, q))) {
        let mut all = logic.always();
        for &control in by {
            let [old, new] = [from, to].map(|position| logic.guard(&[Literal { control, position }]));
            all = logic.and(all, logic.or(old?, new?)?)?;
        }
        any = logic.or(any, all)?;
    }
    Ok(any)
}

/// The first short while one control moves and all others stand.
fn moving(
    circuit: &Circuit,
    parts: &[MovingPart],
    control: ControlId,
    limit: usize,
) -> Result<Option<MidThrow>, TooComplex> {
    let (split, stands_for) = split(circuit, parts, |c| c == control);
    let logic = Logic::new(&split, limit)?;
    let poles = PoleConditions::from_circuit(&split, &logic, &[])?;
    let own = &stands_for[control];
    let moves = between_two(&logic, circuit, control, own)?;
    let meetings = meetings(&split, &poles);
    let any = logic.and(logic.unavoidable(meetings.iter().map(|m| m.1))?, moves)?;
    for (pair, condition) in meetings {
        let short = logic.and(condition, any)?;
        if short.is_false() {
            continue;
        }
        let setting = logic.shortest_cube(short);
        let ends = pair.map(|pole| pole.node(circuit));
        let walked = path::witness((&split, &split.neighbours()), setting.clone(), ends[0], ends[1]);
        let used: BTreeSet<EdgeId> = walked.edges.iter().copied().collect();
        let own_parts: Vec<&MovingPart> = parts.iter().filter(|p| p.control == control).collect();
        let (moved, others): (Vec<Literal>, Vec<Literal>) =
            logic.without_settling(setting).into_iter().partition(|l| own.contains(&l.control));
        let report = moved.iter().filter_map(|l| {
            let part = own_parts.get(own.iter().position(|&c| c == l.control)?)?;
            let on_path = part.edges.iter().find(|e| used.contains(e));
            Some((*on_path.or(part.edges.first())?, l.position))
        });
        let back = |l: &Literal| ControlId::each(&stands_for).find(|(_, s)| s.contains(&l.control)).map(|s| s.0);
        let others = others.iter().filter_map(|l| Some(Literal { control: back(l)?, position: l.position }));
        return Ok(Some(MidThrow {
            control,
            parts: report.collect(),
            witness: ProofWitness { setting: others.collect(), nodes: walked.nodes, edges: walked.edges },
            poles: pair,
        }));
    }
    Ok(None)
}
