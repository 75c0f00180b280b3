//! At every gap that a train on a lined way crosses: do both sides agree?

use crate::spot::GapOrStretch;
use crate::{MOST_TOLD, PolePair, ProofWitness, QueryContext, TooComplex};
use circuit::{Gap, NodeId, PoleId, RailOwner};
use network::Condition;
use std::collections::BTreeSet;

/// A gap whose two sides are joined to poles that must not meet, while a train crosses it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bridge {
    /// Index into the circuit's gaps.
    pub gap: usize,
    /// The poles before and behind the gap.
    pub poles: PolePair,
    /// A setting, and the path from the first pole to the gap.
    pub witness: ProofWitness,
    /// The path from the second pole to the gap.
    pub other_path: ProofWitness,
    /// The frogs that one of the sides is one conductor with: for each its index into the circuit's frogs, and which side
    /// (0 before, 1 behind) it is. Of trackwork's own gap only its own, and where frogs lie on both sides, the one that is not
    /// on the pole of the rail that they are part of.
    pub frogs: Vec<(usize, usize)>,
}

/// Bridged gaps; and for each gap whether opposite poles can stand on its two sides at all. Gaps that were not looked at any
/// more count as such.
pub(crate) fn bridges(q: &QueryContext<'_>) -> Result<(Vec<Bridge>, Vec<bool>), TooComplex> {
    let mut found = Vec::new();
    let mut apart = vec![true; q.circuit.gaps.len()];
    for (index, gap) in q.circuit.gaps.iter().enumerate() {
        if found.len() >= MOST_TOLD {
            break;
        }
        let (can, disagreement) = disagreement(q, gap)?;
        // Beside a source that is shorted in every setting nothing is known of it.
        let clean = |node| {
            let mut sources = q.poles_of(node).map(|pole| pole.source).peekable();
            sources.peek().is_some() && sources.all(|source| !q.lasting.contains(&source))
        };
        apart[index] = can || !(q.lasting.is_empty() || clean(gap.before) && clean(gap.after));
        if let Some((poles, condition)) = disagreement {
            let setting = q.logic.shortest_cube(condition);
            let path = |pole: PoleId, node| {
                let from = pole.node(q.circuit);
                let witness = crate::path::witness((q.circuit, q.neighbours), setting.clone(), from, node);
                q.logic.without_automatic_controls(witness)
            };
            let (witness, other_path) = (path(poles[0], gap.before), path(poles[1], gap.after));
            found.push(Bridge { gap: index, poles, witness, other_path, frogs: frogs_beside(q, gap, condition)? });
        }
    }
    Ok((found, apart))
}

/// See [`Bridge::frogs`].
fn frogs_beside(q: &QueryContext<'_>, gap: &Gap, bridged: Condition) -> Result<Vec<(usize, usize)>, TooComplex> {
    let conductor = |node: NodeId| q.reach.conductors.of[node];
    let segment = &q.circuit.segments[gap.segment];
    let of_work = match &segment.owner {
        RailOwner::Work { kind, index, .. } => Some((*kind, *index)),
        RailOwner::Track(_) => None,
    };
    let mut beside = Vec::new();
    for (i, frog) in q.circuit.frogs.iter().enumerate().filter(|(_, f)| of_work.is_none_or(|w| w == (f.0, f.1))) {
        let sides = [gap.before, gap.after];
        beside.extend(sides.iter().position(|&n| conductor(n) == conductor(frog.2)).map(|side| (i, side)));
    }
    if beside.len() > 1 && of_work.is_some() {
        let frogs: BTreeSet<u32> = q.circuit.frogs.iter().map(|f| conductor(f.2)).collect();
        let along = segment.rails[gap.side].stops.iter().flat_map(|s| [s.before, s.after]);
        let rail = along.into_iter().find(|&node| !frogs.contains(&conductor(node)));
        for &(frog, side) in rail.iter().flat_map(|_| &beside) {
            let Some(rail) = rail else { break };
            let node = q.circuit.frogs[frog].2;
            for pole in q.poles_of(node) {
                let apart = q.logic.and(q.live(node, pole), q.live(rail, pole.other()))?;
                if !q.logic.and(apart, bridged)?.is_false() {
                    return Ok(vec![(frog, side)]);
                }
            }
        }
    }
    Ok(beside)
}

/// Whether poles that must not meet can lie on the two sides of a gap; and the first pair that does while a train crosses, and
/// when.
fn disagreement(q: &QueryContext<'_>, gap: &Gap) -> Result<(bool, Option<(PolePair, Condition)>), TooComplex> {
    let mut pairs = Vec::new();
    let mut any = q.logic.never();
    for one in q.poles_of(gap.before) {
        for other in q.poles_of(gap.after) {
            // A with B is a short, of one source or of two; A with A of two sources is no more than
            // the change from one district to the next, which boosters in phase bear.
            if one.pole == other.pole {
                continue;
            }
            let apart = q.logic.and(q.live(gap.before, one), q.live(gap.after, other))?;
            if !apart.is_false() {
                any = q.logic.or(any, apart)?;
                pairs.push(([one, other], apart));
            }
        }
    }
    if pairs.is_empty() {
        return Ok((false, None));
    }
    let can = !q.without_shorts(any)?.is_false();
    // A reverser may take a gap from one disagreement to another: what counts is that there is always one.
    let crossed = q.under_train_where(&GapOrStretch::gap(q.circuit, &q.lined.runs, gap), any)?;
    let fault = q.settled(crossed)?;
    for (pair, apart) in pairs {
        let clean = q.without_shorts(q.logic.and(apart, fault)?)?;
        if !clean.is_false() {
            return Ok((can, Some((pair, clean))));
        }
    }
    Ok((can, None))
}
