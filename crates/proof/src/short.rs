//! Can two poles ever meet?

use crate::conductors::PoleConditions;
use crate::logic::Logic;
use crate::path::{positions, suspicion, witness_without};
use crate::{ProofWitness, TooComplex};
use circuit::{Circuit, EdgeId, EdgeKind, Neighbours, NodeId, PoleId};
use network::Condition;
use std::collections::{BTreeMap, BTreeSet};

/// Shorts beyond this many are not told one by one.
const MOST_SHORTS: usize = 12;

/// Two poles.
pub type PolePair = [PoleId; 2];

/// A way in which two poles can meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Short {
    /// The poles.
    pub poles: PolePair,
    /// A setting, and the path from one to the other.
    pub witness: ProofWitness,
    /// Pieces of the path of which cutting any single one ends this short, the most suspect first.
    pub cuts: Vec<EdgeId>,
}

impl Short {
    /// Whether it is there in every setting.
    pub fn always(&self) -> bool {
        self.witness.setting.is_empty()
    }
}

/// What was found of shorts, and what to ask on of.
pub(crate) struct Shorts {
    pub(crate) found: Vec<Short>,
    /// Whether there are more.
    pub(crate) more: bool,
    /// The conditions of the circuit as it is or, where two poles are one conductor for good (and so everything is
    /// shorted in every setting), of the circuit with those shorts cut.
    pub(crate) to_ask: PoleConditions,
    /// Where something is cut in those, the conditions of the circuit as it is.
    pub(crate) uncut: Option<PoleConditions>,
}

/// Finds shorts one after another: each is cut at its most suspect piece before the next is looked for, so that each cause
/// is reported once. Then the whole circuit is asked again for settings that are shorted and not told yet: a piece that was
/// cut may have carried more than the short it was cut for.
pub(crate) fn shorts(circuit: &Circuit, logic: &Logic) -> Result<Shorts, TooComplex> {
    let neighbours = circuit.neighbours();
    let misplaced = crate::phase::misplaced(circuit).into_iter().map(|m| m.feeder).collect();
    let (found, reported) = (Vec::new(), Vec::new());
    let mut search = ShortSearch { circuit, logic, neighbours: &neighbours, misplaced, found, reported };
    let whole = PoleConditions::from_circuit(circuit, logic, &[])?;
    let Some(mut meeting) = first_meeting(circuit, logic, &whole)? else {
        return Ok(Shorts { found: search.found, more: false, to_ask: whole, uncut: None });
    };
    let mut cut: Vec<EdgeId> = Vec::new();
    // The circuit less shorts that are there in every setting; none where there is no such short.
    let mut less: Option<PoleConditions> = None;
    let mut asks_less = logic.is_certain(meeting.1)?;
    let mut more = false;
    loop {
        let (pair, condition) = meeting;
        let suspect = search.meet(pair, condition, condition, &cut)?;
        match suspect {
            Some(edge) if search.found.len() < MOST_SHORTS && cut.len() < 4 * MOST_SHORTS => cut.push(edge),
            _ => {
                more = true;
                break;
            }
        }
        let poles = PoleConditions::from_circuit(circuit, logic, &cut)?;
        let next = first_meeting(circuit, logic, &poles)?;
        let always = match &next {
            &Some((_, condition)) => logic.is_certain(condition)?,
            None => false,
        };
        if asks_less && !always {
            (less, asks_less) = (Some(poles), false);
        }
        match next {
            Some(next) => meeting = next,
            None => break,
        }
    }
    if asks_less {
        less = Some(PoleConditions::from_circuit(circuit, logic, &cut)?);
    }
    for pairs in pole_pairs(circuit) {
        for (pair, condition) in meetings(logic, &whole, &pairs)? {
            loop {
                let untold = logic.and_not(condition, search.reported_settings(pair)?)?;
                if untold.is_false() {
                    break;
                }
                if search.found.len() >= MOST_SHORTS {
                    more = true;
                    break;
                }
                search.meet(pair, condition, untold, &[])?;
            }
        }
    }
    let mut found = search.found;
    // What is there already as the layout is switched on comes first, then what takes fewest positions.
    let at_first = |s: &Short| s.witness.setting.iter().all(|l| l.position == 0);
    found.sort_by_key(|s| (!at_first(s), s.witness.setting.len()));
    let (to_ask, uncut) = match less {
        Some(less) => (less, Some(whole)),
        None => (whole, None),
    };
    Ok(Shorts { found, more, to_ask, uncut })
}

struct ShortSearch<'c> {
    circuit: &'c Circuit,
    logic: &'c Logic,
    neighbours: &'c Neighbours,
    /// Feeders that land on the wrong conductor by the plan's own words: more suspect than anything else.
    misplaced: BTreeSet<EdgeId>,
    found: Vec<Short>,
    /// For each pair of poles the settings in which that they meet is reported.
    reported: Vec<(PolePair, Condition)>,
}

impl ShortSearch<'_> {
    fn reported_settings(&self, pair: PolePair) -> Result<Condition, TooComplex> {
        let mut any = self.logic.never();
        for &(_, settings) in self.reported.iter().filter(|t| t.0 == pair) {
            any = self.logic.or(any, settings)?;
        }
        Ok(any)
    }

    /// Puts the most suspect first.
    fn most_suspect(&self, edges: &mut [EdgeId]) {
        let suspect = |e: EdgeId| (self.misplaced.contains(&e), suspicion(self.circuit.edges[e].kind));
        edges.sort_by_key(|&e| (std::cmp::Reverse(suspect(e)), e));
    }

    /// Two poles meet, with some pieces cut: told, unless it is in settings and along pieces that are reported already. Gives
    /// the most suspect piece. `picked` are the settings of interest.
    fn meet(
        &mut self,
        pair: PolePair,
        condition: Condition,
        picked: Condition,
        cut: &[EdgeId],
    ) -> Result<Option<EdgeId>, TooComplex> {
        let (circuit, logic) = (self.circuit, self.logic);
        let setting = logic.smallest_within(condition, picked)?;
        let ends = pair.map(|pole| pole.node(circuit));
        let way = (circuit, self.neighbours);
        let witness = witness_without(way, setting.clone(), ends, &cut.iter().copied().collect());
        let mut cuts = single_cuts(way, &witness, cut);
        self.most_suspect(&mut cuts);
        // Where several paths lie side by side no single cut will do; then cut this one and go on.
        let suspect = cuts.first().copied().or_else(|| {
            let mut path = witness.edges.clone();
            self.most_suspect(&mut path);
            path.first().copied()
        });
        let settings = logic.guard(&setting)?;
        let known = logic.and_not(settings, self.reported_settings(pair)?)?.is_false();
        let plumbing = |e: EdgeId| matches!(circuit.edges[e].kind, EdgeKind::BusWire | EdgeKind::Source);
        let shares = |s: &Short| s.witness.edges.iter().any(|e| !plumbing(*e) && witness.edges.contains(e));
        if !(known && self.found.iter().any(|s| s.poles == pair && (shares(s) || cuts.is_empty()))) {
            self.reported.push((pair, settings));
            self.found.push(Short { poles: pair, witness: logic.without_automatic_controls(witness), cuts });
        }
        Ok(suspect)
    }
}

/// All pairs of poles, in groups that are looked at together: A and B of one source, before those of different ones. Two
/// sources: a reverser may take them from one meeting to another.
fn pole_pairs(circuit: &Circuit) -> Vec<Vec<PolePair>> {
    let sources = circuit.sources.len();
    let own = (0..sources).map(|s| vec![PoleId::both(s)]);
    let across = (0..sources).flat_map(move |s| {
        (s + 1..sources).map(move |t| {
            let [one, other] = [s, t].map(PoleId::both);
            one.into_iter().flat_map(|one| other.map(|other| [one, other])).collect::<Vec<PolePair>>()
        })
    });
    own.chain(across).collect()
}

/// The pairs of a group that can meet, each with when. Where controls settle by themselves, only what they cannot avoid.
fn meetings(
    logic: &Logic,
    poles: &PoleConditions,
    pairs: &[PolePair],
) -> Result<Vec<(PolePair, Condition)>, TooComplex> {
    if pairs.iter().all(|pair| poles.meet(pair[0], pair[1]).is_false()) {
        return Ok(Vec::new());
    }
    let fault = logic.unavoidable(pairs.iter().map(|pair| poles.meet(pair[0], pair[1])))?;
    let mut found = Vec::new();
    for &pair in pairs {
        let condition = logic.and(poles.meet(pair[0], pair[1]), fault)?;
        if !condition.is_false() {
            found.push((pair, condition));
        }
    }
    Ok(found)
}

/// The first pair of poles that can meet, and when.
fn first_meeting(
    circuit: &Circuit,
    logic: &Logic,
    poles: &PoleConditions,
) -> Result<Option<(PolePair, Condition)>, TooComplex> {
    for pairs in pole_pairs(circuit) {
        if let Some(first) = meetings(logic, poles, &pairs)?.into_iter().next() {
            return Ok(Some(first));
        }
    }
    Ok(None)
}

/// Pieces of a path that every other path in the setting must take too.
fn single_cuts((circuit, neighbours): (&Circuit, &Neighbours), witness: &ProofWitness, cut: &[EdgeId]) -> Vec<EdgeId> {
    let positions = positions(circuit, &witness.setting, true);
    let mut away: BTreeSet<EdgeId> = cut.iter().copied().collect();
    away.extend(&witness.edges);
    let mut place: BTreeMap<NodeId, usize> = BTreeMap::new();
    for (i, &node) in witness.nodes.iter().enumerate() {
        place.entry(node).or_insert(i);
    }
    // From each node of the path in turn, how far along it one comes without it: what nothing leads round is passed
    // by all.
    let mut seen = vec![false; circuit.nodes.len()];
    let mut furthest = 0;
    let mut passed = Vec::new();
    for (i, &edge) in witness.edges.iter().enumerate() {
        let mut stack = vec![witness.nodes[i]];
        while let Some(node) = stack.pop() {
            if std::mem::replace(&mut seen[node], true) {
                continue;
            }
            furthest = furthest.max(place.get(&node).copied().unwrap_or(0));
            let closed = |edge: EdgeId| !away.contains(&edge) && circuit.edges[edge].is_closed(&positions);
            stack.extend(neighbours[node].iter().filter(|n| closed(n.1)).map(|n| n.0));
        }
        if furthest <= i {
            passed.push(edge);
        }
    }
    passed
}
