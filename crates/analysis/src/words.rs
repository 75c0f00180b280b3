//! Settings, paths and places in a builder's words.

use circuit::{Circuit, EdgeKind, Literal, NodeId, Part, PoleId};
use finding::FindingWitness;

/// Positions that a message names one by one; more would not fit on a line.
const MOST_POSITIONS: usize = 2;

/// `when T1 is diverging and T2 is through`; `in every setting` where none is named. Of many positions the first, and how
/// many more: the finding's witness names them all.
pub fn when(circuit: &Circuit, setting: &[Literal]) -> String {
    let more = if setting.len() > MOST_POSITIONS { setting.len() - 1 } else { 0 };
    let mut words: Vec<String> = setting
        .iter()
        .take(setting.len() - more)
        .map(|&literal| {
            let (control, position) = circuit.literal_words(literal);
            format!("{control} is {position}")
        })
        .collect();
    if more > 0 {
        words.push(format!("{more} more are set"));
    }
    match words.as_slice() {
        [] => "in every setting".to_owned(),
        [one] => format!("when {one}"),
        [rest @ .., last] => format!("when {} and {last}", rest.join(", ")),
    }
}

/// `booster.A`.
pub fn pole(circuit: &Circuit, id: PoleId) -> String {
    format!("{}.{}", circuit.sources[id.source].name, id.pole.word())
}

/// A proof's witness as the findings show it: positions, and the path in named pieces, each once, without
/// the joints and taps between them.
pub fn witness(circuit: &Circuit, found: &proof::ProofWitness) -> FindingWitness {
    FindingWitness { setting: setting(circuit, &found.setting), path: path(circuit, found) }
}

/// Positions in words.
pub fn setting(circuit: &Circuit, setting: &[Literal]) -> Vec<(String, String)> {
    setting.iter().map(|&l| circuit.literal_words(l)).collect()
}

/// A path in named pieces.
pub fn path(circuit: &Circuit, found: &proof::ProofWitness) -> Vec<String> {
    let end = |node: Option<&NodeId>| node.and_then(|&n| pole_name(circuit, n));
    let mut pieces: Vec<String> = end(found.nodes.first()).into_iter().collect();
    for &edge in &found.edges {
        let edge = &circuit.edges[edge];
        let plumbing =
            matches!(edge.kind, EdgeKind::Tap | EdgeKind::SolderedJoint | EdgeKind::SlidingJoint | EdgeKind::Source)
                || matches!(edge.part, Part::BusLead { .. } | Part::Common { .. });
        if !plumbing && pieces.last() != Some(&edge.name) {
            pieces.push(edge.name.clone());
        }
    }
    if found.nodes.len() > 1 {
        pieces.extend(end(found.nodes.last()));
    }
    pieces
}

fn pole_name(circuit: &Circuit, node: NodeId) -> Option<String> {
    let named = circuit.breakers.iter().any(|b| b.node.contains(&node));
    named.then(|| circuit.nodes[node].name.clone())
}

/// The first few of a list, and how many more there are.
pub fn few(words: impl ExactSizeIterator<Item = String>) -> String {
    const FEW: usize = 6;
    let more = words.len().saturating_sub(FEW);
    let mut shown: Vec<String> = words.take(FEW).collect();
    if more > 0 {
        shown.push(format!("{more} more"));
    }
    list(&shown)
}

/// `dock 1, dock 2 and dock 3`.
pub fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// A reference of a question that leads nowhere: what is wrong with it, and what would do.
#[derive(Clone, Debug, PartialEq)]
pub struct BadReference(pub plan::names::RefError);

impl std::fmt::Display for BadReference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.0 {
            plan::names::RefError::Wrong { message, hint, .. } if message.ends_with('?') => {
                write!(f, "{message} {hint}")
            }
            plan::names::RefError::Wrong { message, hint, .. } => write!(f, "{message}; {hint}"),
            plan::names::RefError::Unread => f.write_str("what that names could not be read"),
        }
    }
}

impl std::error::Error for BadReference {}
