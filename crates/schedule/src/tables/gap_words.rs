//! Gaps in words: where they are, what they are for, what stands across them.

use super::Sheets;
use crate::Job;
use crate::choices::in_short_units;
use crate::poles::TerminalPoles;
use analysis::feeds;
use circuit::{BreakerPole, Circuit, EdgeKind, Gap, NodeId, PoleId, RailOwner, Spot};
use plan::{EndOf, Kind, Pole};
use proof::Conditions;
use std::collections::{BTreeMap, BTreeSet};

/// Ways times gaps that are asked one by one; of more, only what can be at all is reported.
const MOST_ASKED: usize = 20_000;

/// Where a place on a track is, from what can be seen nearest to it: `dock 1, 90 mm from the through end of T1`.
pub(super) fn visible(sheets: &Sheets<'_>, track: usize, x: f64) -> String {
    format!("{}, {}", sheets.job.facts.plan.track[track].name.value, visible_from(sheets, track, x, false))
}

/// The same for print.
pub(super) fn visible_printed(sheets: &Sheets<'_>, track: usize, x: f64) -> String {
    format!("{}, {}", sheets.job.facts.plan.track[track].name.value, visible_from(sheets, track, x, true))
}

/// The same without the name of the track; `printed`: with lengths as one measures them.
pub(super) fn visible_from(sheets: &Sheets<'_>, track: usize, x: f64, printed: bool) -> String {
    let facts = &sheets.job.facts;
    let segment = &facts.circuit.segments[track];
    let report = &facts.plan.track[track];
    let (text, distance) = if x <= segment.length / 2.0 { (&report.from, x) } else { (&report.to, segment.length - x) };
    let length = |metres: f64| {
        if printed {
            return sheets.printed.places.length(metres);
        }
        let (_, shown) = in_short_units(sheets.job.choices.units, metres);
        format!("{shown} {}", sheets.job.choices.units.short())
    };
    let end = match facts.names.end(facts.plan, &text.value) {
        Ok(EndOf::Buffer) => "its buffer".to_owned(),
        Ok(EndOf::Track(other, _)) => format!("the joint with {}", facts.plan.track[other].name.value),
        Ok(EndOf::Work(kind, index, port)) => {
            let name = sheets.places.name(kind, index);
            let tail = match kind {
                Kind::Turnout if port != "points" => facts.plan.turnout[index].tail.as_ref(),
                _ => None,
            };
            // The frog is seen from farther than a joint; only a measured tail says how far it is.
            if let Some(tail) = tail {
                let from_frog = distance + handbook::quantity::Quantity::si(tail.value);
                return format!("{} from {name}'s frog", length(from_frog));
            }
            format!("the {port} end of {name}")
        }
        Ok(EndOf::Beyond) | Err(_) => "where it leaves the plan".to_owned(),
    };
    if distance <= 0.0 {
        return format!("at {end}");
    }
    format!("{} from {end}", length(distance))
}

/// What hangs together for good, and what is known of it.
#[derive(Default)]
struct GapConductor {
    /// Breakers and poles that it is on for good.
    poles: BTreeSet<BreakerPole>,
    /// Breakers whose power contacts may hand it.
    handed: BTreeSet<usize>,
    frog: bool,
    contact: bool,
}

/// What gaps are for.
pub(super) struct Purposes<'j> {
    job: &'j Job<'j>,
    root: Vec<NodeId>,
    conductors: BTreeMap<NodeId, GapConductor>,
    reversing: BTreeSet<[NodeId; 2]>,
    storage: BTreeSet<usize>,
}

impl<'j> Purposes<'j> {
    pub(super) fn new(job: &'j Job<'j>) -> Purposes<'j> {
        let circuit = &job.facts.circuit;
        let mut root: Vec<NodeId> = NodeId::all(circuit.nodes.len()).collect();
        for edge in circuit.edges.iter().filter(|e| e.is_always_closed() && e.kind != EdgeKind::Source) {
            let (a, b) = (find(&mut root, edge.a), find(&mut root, edge.b));
            root[a.max(b)] = a.min(b);
        }
        let mut conductors: BTreeMap<NodeId, GapConductor> = BTreeMap::new();
        for (breaker, b) in circuit.breakers.iter().enumerate() {
            for pole in Pole::ALL {
                let node = find(&mut root, b.node[pole]);
                conductors.entry(node).or_default().poles.insert(BreakerPole { breaker, pole });
            }
        }
        for frog in &circuit.frogs {
            conductors.entry(find(&mut root, frog.2)).or_default().frog = true;
        }
        let poles = TerminalPoles::from_circuit(circuit);
        let breaker_of_supply = |s: usize| circuit.breakers.iter().position(|b| b.supply == s);
        for (node, n) in NodeId::each(&circuit.nodes) {
            if matches!(n.spot, Spot::Terminal { .. } | Spot::Reverser { .. }) {
                let conductor = conductors.entry(find(&mut root, node)).or_default();
                conductor.contact = true;
                let handed = poles.of_wire(circuit, [node, node]).into_iter();
                conductor.handed.extend(handed.filter_map(|(kind, index, _)| match kind {
                    Kind::Bus => feeds::breaker_of_bus(&job.facts, index),
                    _ => breaker_of_supply(index),
                }));
            }
        }
        let pair = |gap: &Gap| [gap.before.min(gap.after), gap.before.max(gap.after)];
        let sections = job.facts.proof().into_iter().flat_map(|proof| &proof.reversing);
        let reversing = sections.flat_map(|s| &s.gaps).filter_map(|&g| circuit.gaps.get(g)).map(pair).collect();
        let storage = analysis::storage(job.facts.plan, job.facts.names);
        let storage = storage.map(|s| s.tracks.into_iter().collect()).unwrap_or_default();
        NodeId::all(root.len()).for_each(|node| root[node] = find(&mut root, node));
        Purposes { job, root, conductors, reversing, storage }
    }

    /// What a gap is for.
    pub(super) fn words(&self, gap: &Gap) -> String {
        let circuit = &self.job.facts.circuit;
        if !matches!(circuit.segments[gap.segment].owner, RailOwner::Track(_)) {
            return "built in".to_owned();
        }
        let none = GapConductor::default();
        let side = |node: NodeId| self.conductors.get(&self.root[node]).unwrap_or(&none);
        let (one, other) = (side(gap.before), side(gap.after));
        let mut purposes: Vec<&str> = Vec::new();
        if self.reversing.contains(&[gap.before.min(gap.after), gap.before.max(gap.after)]) {
            purposes.push("reversing");
        }
        if one.frog || other.frog {
            purposes.push("frog");
        }
        let switched = |c: &GapConductor| c.contact && c.poles.is_empty();
        if (switched(one) && !one.frog) || (switched(other) && !other.frog) {
            let stored = self.storage.contains(&gap.segment);
            purposes.push(if stored { "storage" } else { "switched section" });
        }
        let [here, there] = [one, other].map(breakers);
        if !here.is_empty() && !there.is_empty() && here.is_disjoint(&there) {
            purposes.push("district");
        } else if !one.poles.is_empty() && !other.poles.is_empty() {
            if one.poles.intersection(&other.poles).next().is_some() {
                purposes.push("movement");
            } else if purposes.is_empty() {
                purposes.push("phase");
            }
        }
        if purposes.is_empty() { "keeps a rail apart".to_owned() } else { purposes.join(", ") }
    }
}

/// Breakers a conductor hangs behind: for good, or else over contacts.
fn breakers(conductor: &GapConductor) -> BTreeSet<usize> {
    let fixed: BTreeSet<usize> = conductor.poles.iter().map(|p| p.breaker).collect();
    if fixed.is_empty() { conductor.handed.clone() } else { fixed }
}

fn find(root: &mut [NodeId], node: NodeId) -> NodeId {
    let mut at = node;
    while root[at] != at {
        root[at] = root[root[at]];
        at = root[at];
    }
    at
}

/// What a voltmeter on track power may read across each gap.
pub(super) fn across(job: &Job<'_>, gaps: &[&Gap]) -> Vec<String> {
    let circuit = &job.facts.circuit;
    let Ok(conditions) = Conditions::from_circuit(circuit) else { return vec![String::new(); gaps.len()] };
    let ways = &job.facts.ways().list;
    let one_by_one = ways.len().saturating_mul(gaps.len()) <= MOST_ASKED && !ways.is_empty();
    let settings: BTreeSet<Vec<u8>> = ways
        .iter()
        .filter(|_| one_by_one)
        .map(|way| circuit.complete(&electrics::setting_of(circuit, way)).into_iter().flatten().collect())
        .collect();
    // What settles by itself takes either position.
    let settles = circuit.controls.iter().any(|control| control.settles);
    gaps.iter()
        .map(|gap| {
            let mut report = PolesAcross::default();
            if one_by_one && !settles {
                for setting in &settings {
                    let live = |node| circuit.poles().find(|&pole| conditions.live(node, pole, setting));
                    report.put(circuit, live(gap.before), live(gap.after));
                }
            } else {
                let can = |node| {
                    let all: Vec<_> = circuit.poles().filter(|&p| conditions.can_be_live(node, p)).map(Some).collect();
                    if all.is_empty() { vec![None] } else { all }
                };
                for one in can(gap.before) {
                    for other in can(gap.after) {
                        report.put(circuit, one, other);
                    }
                }
            }
            report.words()
        })
        .collect()
}

/// What was found across a gap.
#[derive(Default)]
struct PolesAcross {
    none: bool,
    volts: BTreeSet<u64>,
    dead: bool,
}

impl PolesAcross {
    fn put(&mut self, circuit: &Circuit, one: Option<PoleId>, other: Option<PoleId>) {
        match (one, other) {
            (Some(a), Some(b)) if a == b => self.none = true,
            (Some(a), Some(b)) if a.source == b.source => {
                self.volts.insert(circuit.sources[a.source].volts.to_bits());
            }
            (Some(_), Some(_)) => self.dead = true,
            _ => self.dead = true,
        }
    }

    fn words(&self) -> String {
        let mut words: Vec<String> = Vec::new();
        if self.none {
            words.push("0 V".to_owned());
        }
        words.extend(self.volts.iter().map(|&v| format!("{} V", super::significant(f64::from_bits(v), 3))));
        if self.dead {
            words.push("one side not fed".to_owned());
        }
        words.join(" or ")
    }
}
