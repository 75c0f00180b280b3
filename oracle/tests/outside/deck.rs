//! A circuit as a deck of a general circuit simulator (ngspice), its nodes called by words.

use crate::simulator::simulate;
use libtest_mimic::Failed;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// A deck under way: numbers of nodes by their words.
#[derive(Default)]
pub(crate) struct Deck {
    nodes: BTreeMap<String, usize>,
    lines: String,
    parts: usize,
}

impl Deck {
    fn node(&mut self, words: &str) -> usize {
        let next = self.nodes.len() + 1;
        *self.nodes.entry(words.to_owned()).or_insert(next)
    }

    pub(crate) fn ohms(&mut self, ends: [&str; 2], ohms: f64) {
        let [a, b] = ends.map(|end| self.node(end));
        self.parts += 1;
        let _ = writeln!(self.lines, "R{} n{a} n{b} {ohms:e}", self.parts);
    }

    /// A resistance and diodes behind it that keep so many volts, whichever way the current flows.
    pub(crate) fn diodes(&mut self, [a, b]: [&str; 2], ohms: f64, keeps: f64) {
        let [sensed, inner] = ["behind its resistance", "behind its meter"].map(|place| format!("{a} to {b}, {place}"));
        self.ohms([a, &sensed], ohms);
        let [s, i, b] = [&sensed, &inner, b].map(|n| self.node(n));
        self.parts += 1;
        let k = self.parts;
        let _ = writeln!(self.lines, "Vs{k} n{s} n{i} dc 0\nB{k} n{i} n{b} v={keeps:e}*tanh(i(Vs{k})*1e5)");
    }

    /// A current that is drawn from one place and comes back at the other.
    pub(crate) fn amps(&mut self, ends: [&str; 2], amps: f64) {
        let [a, b] = ends.map(|end| self.node(end));
        self.parts += 1;
        let _ = writeln!(self.lines, "I{} n{a} n{b} dc {amps:e}", self.parts);
    }

    pub(crate) fn volts(&mut self, ends: [&str; 2], volts: f64) {
        let [a, b] = ends.map(|end| self.node(end));
        self.parts += 1;
        let _ = writeln!(self.lines, "V{} n{a} n{b} dc {volts:e}", self.parts);
    }

    /// A stage that holds at most so many volts and keeps some for itself, and draws of its power what it gives.
    pub(crate) fn stage(&mut self, name: &str, [plus, minus]: [&str; 2], keeps: f64, holds: Option<f64>) -> String {
        let out = format!("{name} stage");
        let inner = format!("{name} behind the stage");
        let [p, m, o, i] = [plus, minus, &out, &inner].map(|n| self.node(n));
        self.parts += 1;
        let k = self.parts;
        let most = holds.map_or(format!("v(n{p},n{m})-{keeps:e}"), |h| format!("min({h:e},v(n{p},n{m})-{keeps:e})"));
        let _ = writeln!(self.lines, "B{k} n{i} n{m} v={most}\nVs{k} n{i} n{o} dc 0\nF{k} n{p} n{m} Vs{k} 1");
        out
    }

    pub(crate) fn run(&self) -> Result<BTreeMap<String, f64>, Failed> {
        let mut deck = format!("motors from the papers\n{}", self.lines);
        for node in self.nodes.values() {
            // A way to the reference for what nothing else joins to it.
            let _ = writeln!(deck, "Rg{node} n{node} 0 1e9");
        }
        deck.push_str(".op\n.control\nset noaskquit\nset numdgt=15\nop\n");
        for node in self.nodes.values() {
            let _ = writeln!(deck, "print v(n{node})");
        }
        deck.push_str("quit 0\n.endc\n.end\n");
        let found: BTreeMap<usize, f64> = simulate(&deck)?.into_iter().collect();
        let volts = self.nodes.iter().map(|(words, node)| {
            found.get(node).map(|v| (words.clone(), *v)).ok_or_else(|| format!("no volts at {words}").into())
        });
        volts.collect()
    }
}
