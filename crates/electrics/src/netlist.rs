//! The same operating point as a deck for a circuit simulator.

use crate::{Grid, Level, Load};
use circuit::{Circuit, EdgeId, NodeId};
use std::fmt::Write as _;

impl Grid<'_> {
    /// A deck in the SPICE language that asks a circuit simulator for this operating point and prints every node's
    /// potential.
    ///
    /// Node `k` of the circuit is `nk`, terminal B of the first source is `0`. Islands, and loads between them, are
    /// left out with a comment that says so. Resistances have all their 17 digits. A load of no finite current is left
    /// out as well.
    ///
    /// # Panics
    /// When a load names a node that is not there.
    pub fn netlist(&self, loads: &[Load]) -> String {
        let mut deck = String::new();
        self.write_netlist(loads, &mut deck).unwrap_or_default(); // writing to a string never fails
        deck
    }

    fn write_netlist(&self, loads: &[Load], deck: &mut String) -> std::fmt::Result {
        let circuit = self.circuit;
        let ground = circuit.sources.first().map(|source| source.node[1]);
        let name = |node: NodeId| if Some(node) == ground { "0".to_owned() } else { format!("n{}", node.index()) };
        let fed = |node: NodeId| self.poles.part_of(node).is_some();
        writeln!(deck, "operating point, resistances {}, {} loads", self.level.word(), loads.len())?;
        for (id, node) in NodeId::each(&circuit.nodes) {
            let left_out = if fed(id) { "" } else { " (left out: joined to no source)" };
            writeln!(deck, "* {} = {}{left_out}", name(id), one_line(&node.name))?;
        }
        for (id, edge) in EdgeId::each(&circuit.edges) {
            if self.is_closed(id) && fed(edge.a) {
                writeln!(deck, "* {}", one_line(&edge.name))?;
                let (k, a, b) = (id.index(), name(edge.a), name(edge.b));
                match circuit.kept_volts.get(&id) {
                    None => writeln!(deck, "R{k} {a} {b} {:.16e}", self.ohms(id))?,
                    // Diodes keep their volts whichever way the current flows; for currents of microamperes they leave off.
                    Some(volts) => {
                        writeln!(deck, "* (keeps {volts} V)")?;
                        writeln!(deck, "R{k} {a} d{k} {:.16e}\nVd{k} d{k} e{k} dc 0", self.ohms(id))?;
                        writeln!(deck, "Bd{k} e{k} {b} v={volts:e}*tanh(i(Vd{k})*1e5)")?;
                    }
                }
            }
        }
        for (id, source) in circuit.sources.iter().enumerate() {
            writeln!(deck, "* {}", one_line(&source.name))?;
            writeln!(deck, "V{id} {} {} dc {:.16e}", name(source.plus), name(source.node[1]), source.volts)?;
            if id > 0 && self.poles.rank[id] == 0 {
                writeln!(
                    deck,
                    "* Nothing joins this source to those before. A simulator wants a way to its reference from"
                )?;
                writeln!(
                    deck,
                    "* every node; a source of 0 V, in which no current flows, gives it one and changes nothing else."
                )?;
                writeln!(deck, "Vtie{id} {} 0 dc 0", name(source.node[1]))?;
            }
        }
        for (id, load) in loads.iter().enumerate() {
            match self.drawn(load).filter(|_| load.amps.is_finite()) {
                Some([from, to]) => writeln!(deck, "I{id} {} {} dc {:.16e}", name(from), name(to), load.amps)?,
                None => writeln!(deck, "* load {id} is left out: it is not between two poles")?,
            }
        }
        writeln!(deck, ".op\n.control\nset noaskquit\nset numdgt=15\nop")?;
        for id in NodeId::all(circuit.nodes.len()).filter(|&id| fed(id) && Some(id) != ground) {
            writeln!(deck, "print v({})", name(id))?;
        }
        writeln!(deck, "quit 0\n.endc\n.end")
    }
}

/// A deck in the SPICE language of a circuit's operating point; see [`Grid::netlist`]. Empty where the circuit has a
/// resistance that cannot be calculated with.
pub fn netlist(circuit: &Circuit, setting: &[Option<u8>], level: Level, loads: &[Load]) -> String {
    Grid::new(circuit, setting, level).map(|grid| grid.netlist(loads)).unwrap_or_default()
}

/// A name as part of a comment: whatever would end the line, or only seem to, is a space.
fn one_line(name: &str) -> String {
    name.chars().map(|c| if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}') { ' ' } else { c }).collect()
}
