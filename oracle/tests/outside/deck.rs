//! A circuit as a deck of a general circuit simulator (ngspice), its nodes called by words.

use crate::simulator::{node_volts, run};
use libtest_mimic::Failed;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// A deck under way: numbers of nodes by their words.
#[derive(Default)]
pub(crate) struct Deck {
    nodes: BTreeMap<String, usize>,
    lines: String,
    parts: usize,
    /// Whose volts are asked for; where nothing is said, those of all nodes.
    asked: Option<BTreeSet<usize>>,
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

    /// A diode from its anode to its cathode, as the simulator knows one.
    pub(crate) fn diode(&mut self, ends: [&str; 2]) {
        let [a, b] = ends.map(|end| self.node(end));
        self.parts += 1;
        let _ = writeln!(self.lines, "D{} n{a} n{b} usual", self.parts);
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

    /// Asks for the volts of a node; no others are told then.
    pub(crate) fn ask(&mut self, words: &str) {
        let node = self.node(words);
        self.asked.get_or_insert_default().insert(node);
    }

    fn asked(&self) -> impl Iterator<Item = (&String, usize)> {
        let asks = |node: usize| self.asked.as_ref().is_none_or(|asked| asked.contains(&node));
        self.nodes.iter().map(|(words, node)| (words, *node)).filter(move |(_, node)| asks(*node))
    }

    pub(crate) fn run(&self) -> Result<BTreeMap<String, f64>, Failed> {
        Deck::run_all(std::slice::from_ref(self))?.pop().ok_or_else(|| "no circuit".into())
    }

    /// The volts of each circuit's nodes: all in one run, as the simulator takes longer to start than to solve.
    pub(crate) fn run_all(decks: &[Deck]) -> Result<Vec<BTreeMap<String, f64>>, Failed> {
        let folder = tempfile::tempdir()?;
        let mut script = "from the papers\n.control\nset noaskquit\nset numdgt=15\n".to_owned();
        for (index, deck) in decks.iter().enumerate() {
            let mut text = format!("from the papers\n.model usual D\n{}", deck.lines);
            for node in deck.nodes.values() {
                // A way to the reference for what nothing else joins to it.
                let _ = writeln!(text, "Rg{node} n{node} 0 1e9");
            }
            let file = folder.path().join(format!("{index}.cir"));
            std::fs::write(&file, text + ".end\n")?;
            let _ = writeln!(script, "source {}\nop\necho circuit {index}", file.display());
            for (_, node) in deck.asked() {
                let _ = writeln!(script, "print v(n{node})");
            }
            script.push_str("remcirc\n");
        }
        script.push_str("quit 0\n.endc\n.end\n");
        let told = run(&script)?;
        let volts = |(index, deck): (usize, &Deck)| {
            let (_, own) = told.split_once(&format!("circuit {index}\n")).ok_or(format!("no circuit {index}"))?;
            let own = own.split_once("circuit ").map_or(own, |(own, _)| own);
            let found: BTreeMap<usize, f64> = node_volts(own).collect();
            let volts = deck.asked().map(|(words, node)| {
                found.get(&node).map(|v| (words.clone(), *v)).ok_or_else(|| format!("no volts at {words}").into())
            });
            volts.collect()
        };
        decks.iter().enumerate().map(volts).collect()
    }
}
