//! Which conductors a wire is joined to, for good or over contacts: that says its colour and its district.

use analysis::Analysis;
use circuit::{Circuit, EdgeKind, NodeId, Spot};
use handbook::colours::{ColourCode, NEM_605, USUAL_CODE, of_word};
use plan::tables::WireColour;
use plan::{Kind, Pole, Terminal};
use std::collections::{BTreeMap, BTreeSet};

use crate::choices;

/// A conductor that has one pole for good: of a bus or of a supply.
pub(crate) type Conductor = (Kind, usize, Pole);

/// What each node of contacts and reversers can be joined to.
pub(crate) struct TerminalPoles {
    /// Root of the group of contacts and wires that a node belongs to.
    root: Vec<NodeId>,
    reached: BTreeMap<NodeId, BTreeSet<Conductor>>,
}

/// The conductor that a node belongs to for good.
fn fixed(circuit: &Circuit, node: NodeId) -> Option<Conductor> {
    match &circuit.nodes[node].spot {
        Spot::Bus { bus, pole, .. } | Spot::Tap { bus, pole, .. } => Some((Kind::Bus, *bus, *pole)),
        Spot::Supply { supply, pole } => Some((Kind::Supply, *supply, *pole)),
        _ => None,
    }
}

fn is_inner(circuit: &Circuit, node: NodeId) -> bool {
    matches!(circuit.nodes[node].spot, Spot::Terminal { .. } | Spot::Reverser { .. } | Spot::Detector { .. })
}

impl TerminalPoles {
    pub(crate) fn from_circuit(circuit: &Circuit) -> TerminalPoles {
        let mut poles = TerminalPoles { root: NodeId::all(circuit.nodes.len()).collect(), reached: BTreeMap::new() };
        let wired = || {
            let kinds = [EdgeKind::Wire, EdgeKind::Contact, EdgeKind::Feeder];
            circuit.edges.iter().filter(move |e| kinds.contains(&e.kind))
        };
        for edge in wired().filter(|e| is_inner(circuit, e.a) && is_inner(circuit, e.b)) {
            let (a, b) = (poles.find(edge.a), poles.find(edge.b));
            poles.root[a.max(b)] = a.min(b);
        }
        // Ascending, so that what a root points at is a root already.
        for node in 0..poles.root.len() {
            poles.root[node] = poles.root[poles.root[node]];
        }
        for edge in wired() {
            for (inner, outer) in [(edge.a, edge.b), (edge.b, edge.a)] {
                if let (true, Some(conductor)) = (is_inner(circuit, inner), fixed(circuit, outer)) {
                    let root = poles.find(inner);
                    poles.reached.entry(root).or_default().insert(conductor);
                }
            }
        }
        poles
    }

    fn find(&self, node: NodeId) -> NodeId {
        let mut at = node;
        while self.root[at] != at {
            at = self.root[at];
        }
        at
    }

    /// What a wire between two nodes is joined to: for good where one of them is a conductor, else over contacts.
    pub(crate) fn of_wire(&self, circuit: &Circuit, ends: [NodeId; 2]) -> BTreeSet<Conductor> {
        if let Some(conductor) = ends.into_iter().find_map(|node| fixed(circuit, node)) {
            return BTreeSet::from([conductor]);
        }
        let inner = ends.into_iter().filter(|&node| is_inner(circuit, node));
        inner.filter_map(|node| self.reached.get(&self.find(node))).flatten().copied().collect()
    }
}

/// The colours of a plan's conductors.
pub(crate) struct ConductorColours {
    code: ColourCode,
    /// Which of the code nobody chose: those of A, of B, of what changes and of motors.
    assumed: [bool; 4],
    own: BTreeMap<(Kind, usize, String), &'static str>,
}

/// A colour, and whether nobody chose it.
pub(crate) type ChosenColour = (&'static str, bool);

impl ConductorColours {
    pub(crate) fn new(facts: &Analysis<'_>, chosen: choices::ColourChoice) -> ConductorColours {
        let mut code = match chosen {
            choices::ColourChoice::Plan => USUAL_CODE.value,
            choices::ColourChoice::Nem605 => NEM_605.value,
        };
        let mut own = BTreeMap::new();
        let mut assumed = [chosen == choices::ColourChoice::Plan; 4];
        if let Some(said) = facts.plan.colours.as_ref().map(|c| &c.value) {
            let slots = [&mut code.a, &mut code.b, &mut code.changes, &mut code.motors];
            let all: [&Option<plan::At<WireColour>>; 4] = [&said.a, &said.b, &said.changes, &said.motors];
            for ((slot, said), assumed) in slots.into_iter().zip(all).zip(&mut assumed) {
                if let Some(colour) = said {
                    (*slot, *assumed) = (colour.value.word(), false);
                }
            }
            for conductor in said.conductors.iter() {
                for text in &conductor.value.of.0 {
                    let key = match facts.names.terminal(facts.plan, &text.value) {
                        Ok(Terminal::Bus(bus, pole, _)) => (Kind::Bus, bus, pole.word().to_owned()),
                        Ok(Terminal::Supply(supply, pole)) => (Kind::Supply, supply, pole.word().to_owned()),
                        Ok(Terminal::Reverser(reverser, pole)) => (Kind::Reverser, reverser, pole.word().to_owned()),
                        Ok(Terminal::Frog(kind, index, word)) => (kind, index, word),
                        _ => continue,
                    };
                    own.insert(key, conductor.value.is.value.word());
                }
            }
        }
        ConductorColours { code, assumed, own }
    }

    /// The colour of a conductor.
    pub(crate) fn conductor(&self, (kind, index, pole): Conductor) -> ChosenColour {
        let own = self.own.get(&(kind, index, pole.word().to_owned()));
        own.map_or_else(|| self.of_pole(pole), |word| (*word, false))
    }

    fn of_pole(&self, pole: Pole) -> ChosenColour {
        if pole == Pole::A { (self.code.a, self.assumed[0]) } else { (self.code.b, self.assumed[1]) }
    }

    /// The colour of the wires from drivers to motors and coils.
    pub(crate) fn motors(&self) -> ChosenColour {
        (self.code.motors, self.assumed[3])
    }

    /// The colour of a wire by what it is joined to; `ends` for frogs and reversers with a colour of their own.
    pub(crate) fn wire(&self, facts: &Analysis<'_>, ends: [NodeId; 2], reached: &BTreeSet<Conductor>) -> ChosenColour {
        let circuit = &facts.circuit;
        let own = ends.into_iter().find_map(|node| match &circuit.nodes[node].spot {
            Spot::Reverser { reverser, pole } => {
                self.own.get(&(Kind::Reverser, *reverser, pole.word().to_owned())).copied()
            }
            Spot::Work { .. } => {
                let &(kind, index, _, word) = circuit.frogs.iter().find(|f| f.2 == node)?;
                self.own.get(&(kind, index, word.to_owned())).copied()
            }
            _ => None,
        });
        if let Some(own) = own {
            return (own, false);
        }
        let colours: BTreeSet<&str> = reached.iter().map(|&c| self.conductor(c).0).collect();
        let poles: BTreeSet<Pole> = reached.iter().map(|c| c.2).collect();
        match (poles.len(), colours.first()) {
            (1, Some(_)) if colours.len() > 1 => {
                // Of one pole, from conductors of several colours: that pole's own.
                self.of_pole(if poles.contains(&Pole::A) { Pole::A } else { Pole::B })
            }
            (1, Some(_)) => self.conductor(*reached.iter().next().unwrap_or(&(Kind::Bus, 0, Pole::A))),
            _ => (self.code.changes, self.assumed[2]),
        }
    }
}

/// How a colour is shown beside its word.
pub(crate) fn rgb(word: &str) -> [u8; 3] {
    of_word(word).map_or([0x80; 3], |colour| colour.rgb)
}
