//! Places, pieces and mistakes in a builder's words, with the numbers they have on all papers.

use crate::candidates::{Candidate, Looks};
use crate::mistake::Mistake;
use circuit::{Circuit, ControlId, EdgeId, EdgeKind, NodeId, Part, Spot};
use schedule::{Job, Number};
use std::collections::BTreeMap;

/// Words for one job.
pub struct JobWords<'j, 'p> {
    job: &'j Job<'p>,
    /// How many edges have a name.
    same_name: BTreeMap<&'j str, usize>,
    /// The terminals of supplies, whose leads are unplugged.
    terminals: BTreeMap<NodeId, String>,
    /// The wire that ends at each tap.
    wire_at: BTreeMap<NodeId, Number>,
}

impl<'j, 'p> JobWords<'j, 'p> {
    /// Words for a job.
    pub fn new(job: &'j Job<'p>) -> JobWords<'j, 'p> {
        let circuit = &job.facts.circuit;
        let mut same_name = BTreeMap::new();
        for edge in &circuit.edges {
            *same_name.entry(edge.name.as_str()).or_default() += 1;
        }
        let terminals = circuit.breakers.iter().flat_map(|b| b.node);
        let terminals = terminals.map(|node| (node, format!("lead of {}", circuit.nodes[node].name)));
        let mut wire_at = BTreeMap::new();
        for (id, edge) in EdgeId::each(&circuit.edges) {
            let Some(number) = job.numbers.of_edge(id) else { continue };
            for node in [edge.a, edge.b] {
                if matches!(circuit.nodes[node].spot, Spot::Tap { .. }) {
                    wire_at.entry(node).or_insert(number);
                }
            }
        }
        JobWords { job, same_name, terminals: terminals.collect(), wire_at }
    }

    /// A node: `dock 1 left rail at 400 mm`; a terminal of a supply as the lead that was unplugged from it.
    pub fn node(&self, node: NodeId) -> String {
        let named = || {
            let found = &self.job.facts.circuit.nodes[node];
            let Spot::Tap { x, .. } = found.spot else { return found.name.clone() };
            // The wire's side of it: which wire, and where.
            let wire = self.wire_at.get(&node).map_or_else(String::new, |number| format!(", {number}'s end"));
            format!("{} at {}{wire}", found.name, self.job.choices.units.metres(x))
        };
        self.terminals.get(&node).cloned().unwrap_or_else(named)
    }

    /// A piece by its name in the plan's words, distinguished from others of that name.
    pub fn edge_name(&self, edge: EdgeId) -> String {
        let found = &self.job.facts.circuit.edges[edge];
        let place = |node: NodeId| match self.job.facts.circuit.nodes[node].spot {
            Spot::Bus { x, .. } => Some(self.job.choices.units.metres(x)),
            _ => None,
        };
        match found.part {
            Part::BusRun { .. } => {
                if let (Some(from), Some(to)) = (place(found.a), place(found.b)) {
                    return format!("{} from {from} to {to}", found.name);
                }
            }
            Part::Tap { .. } => {
                if let Some(at) = place(found.b) {
                    return format!("{} at {at}", found.name);
                }
            }
            _ => {}
        }
        if self.same_name.get(found.name.as_str()).is_some_and(|n| *n > 1) {
            // Joints at an end of a track are distinguished by the rail they are in, taps by where they are.
            let ends = [found.a, found.b].map(|n| &self.job.facts.circuit.nodes[n].name);
            let shown = if *ends[0] == found.name { ends[1] } else { ends[0] };
            return format!("{} ({shown})", found.name);
        }
        found.name.clone()
    }

    /// A piece: its number where it has one, and its name.
    pub fn edge(&self, edge: EdgeId) -> String {
        match self.job.numbers.of_edge(edge) {
            Some(number) => format!("{number} {}", self.edge_name(edge)),
            None => self.edge_name(edge),
        }
    }

    /// A piece as short as can be: its number, or its name where it has none.
    pub fn short(&self, edge: EdgeId) -> String {
        self.job.numbers.of_edge(edge).map_or_else(|| self.edge_name(edge), |number| number.to_string())
    }

    /// A gap: `G-3`.
    pub fn gap(&self, a: NodeId, b: NodeId) -> String {
        self.job.numbers.of_gap(a, b).map_or_else(|| format!("gap at {}", self.node(a)), |number| number.to_string())
    }

    /// A mistake: `F-3 left off`.
    pub fn mistake(&self, mistake: &Mistake) -> String {
        let circuit = &self.job.facts.circuit;
        match *mistake {
            Mistake::Open(edge) => {
                let what = self.short(edge);
                match circuit.edges[edge].kind {
                    EdgeKind::Feeder | EdgeKind::Wire => format!("{what} left off"),
                    EdgeKind::BusWire => format!("{what} broken"),
                    _ => format!("{what} open"),
                }
            }
            Mistake::Resistive(edge) => format!("1 Ω in {}", self.short(edge)),
            Mistake::Bridged(a, b) => format!("{} not cut, or bridged", self.gap(a, b)),
            Mistake::Exchanged(one, other) => match circuit.edges[one].kind {
                EdgeKind::Contact => {
                    format!("{}: its two throws exchanged", circuit.edges[one].part.of_both(self.job.facts.plan))
                }
                _ => format!("{} and {} exchanged", self.short(one), self.short(other)),
            },
        }
    }

    /// Several mistakes that read alike: `F-1 left off, or tap on main bus.A at 300 mm open`.
    pub fn mistakes(&self, same: &[&Mistake]) -> String {
        let resistive = same.iter().filter_map(|m| match m {
            Mistake::Resistive(edge) => Some(self.short(*edge)),
            _ => None,
        });
        let resistive: Vec<String> = once(resistive);
        let gaps: Vec<(NodeId, NodeId)> = same
            .iter()
            .filter_map(|m| match m {
                Mistake::Bridged(a, b) => Some((*a, *b)),
                _ => None,
            })
            .collect();
        let mut numbers: Vec<Number> = gaps.iter().filter_map(|&(a, b)| self.job.numbers.of_gap(a, b)).collect();
        numbers.sort();
        numbers.dedup();
        let unnumbered = gaps.iter().filter(|&&(a, b)| self.job.numbers.of_gap(a, b).is_none());
        let mut bridged: Vec<String> = once(unnumbered.map(|&(a, b)| self.gap(a, b)));
        if !numbers.is_empty() {
            bridged.insert(0, schedule::in_runs(numbers));
        }
        let others = same.iter().filter(|m| !matches!(m, Mistake::Resistive(_) | Mistake::Bridged(..)));
        let mut shown: Vec<String> = once(others.map(|m| self.mistake(m)));
        if !bridged.is_empty() {
            shown.push(format!("{} not cut, or bridged", bridged.join(", ")));
        }
        if !resistive.is_empty() {
            shown.push(format!("1 Ω in {}", resistive.join(" or ")));
        }
        shown.join(", or ")
    }

    /// What a candidate looks at, with numbers.
    pub fn about(&self, candidate: &Candidate) -> String {
        match candidate.looks {
            Looks::Gap => format!("across {}", self.gap(candidate.pair[0], candidate.pair[1])),
            Looks::Conductors => match candidate.pair.map(|node| self.terminals.contains_key(&node)) {
                [true, true] => "bus against bus".to_owned(),
                _ => "rail against bus".to_owned(),
            },
            Looks::Chain => {
                let bus = candidate.chain.len() > 1
                    && candidate.chain.iter().all(|&e| self.job.facts.circuit.edges[e].kind == EdgeKind::BusWire);
                if bus {
                    return format!("the whole of {}", self.job.facts.circuit.edges[candidate.chain[0]].name);
                }
                candidate.chain.iter().map(|&e| self.short(e)).collect::<Vec<_>>().join(", ")
            }
        }
    }

    /// The name of a test, from the plan's words alone: numbers may change, and readings are kept by names.
    pub fn name_of(&self, candidate: &Candidate, set: &[(String, String)]) -> String {
        let [a, b] = candidate.pair;
        let name = match candidate.looks {
            Looks::Gap => format!("gap {}", self.node(a)),
            Looks::Conductors => format!("{} to {}", self.node(a), self.node(b)),
            Looks::Chain => {
                let circuit = &self.job.facts.circuit;
                // What stands for the chain: its contact, its feeder, or whatever comes first.
                let rank = |e: &EdgeId| match circuit.edges[*e].kind {
                    EdgeKind::Contact => 0,
                    EdgeKind::Feeder => 1,
                    _ => 2,
                };
                let telling = candidate.chain.iter().min_by_key(|e| rank(e));
                let kind = |e: EdgeId| circuit.edges[e].kind;
                if let [first, _, ..] = candidate.chain[..]
                    && candidate.chain.iter().all(|&e| kind(e) == EdgeKind::BusWire)
                {
                    return format!("{}, the whole of it", circuit.edges[first].name);
                }
                telling.map_or_else(String::new, |&e| self.edge_name(e))
            }
        };
        if set.is_empty() { name } else { format!("{name} with {}", self.set(set)) }
    }

    /// Positions: `T1 diverging, T2 right`.
    pub fn set(&self, set: &[(String, String)]) -> String {
        set.iter().map(|(control, position)| format!("{control} {position}")).collect::<Vec<_>>().join(", ")
    }
}

/// Words that are said already left out: the runs of a conductor all have its number.
pub(crate) fn once(words: impl Iterator<Item = String>) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for word in words {
        if !said.contains(&word) {
            said.push(word);
        }
    }
    said
}

/// The positions of a setting that are not the usual ones.
pub fn set_words(circuit: &Circuit, setting: &[Option<u8>]) -> Vec<(String, String)> {
    let usual = circuit.complete(&[]);
    let moved = ControlId::each(setting).filter_map(|(control, position)| Some((control, (*position)?)));
    moved
        .filter(|(control, position)| Some(*position) != usual[*control] && !circuit.controls[*control].settles)
        .map(|(control, position)| circuit.literal_words(circuit::Literal { control, position }))
        .collect()
}
