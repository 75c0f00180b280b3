//! Settings, paths and places in a builder's words.

use circuit::{Circuit, EdgeKind, Literal};
use finding::Witness;
use handbook::quantity::{Metres, show_length};

/// Positions that a message names one by one; more would not fit on a line.
const MOST_POSITIONS: usize = 8;

/// `when T1 is diverging and T2 is through`; `in every setting` where none is named. Of very many positions only how
/// many they are: the finding's witness names them.
pub fn when(circuit: &Circuit, setting: &[Literal]) -> String {
    if setting.len() > MOST_POSITIONS {
        return format!("in a setting of {} positions", setting.len());
    }
    let words: Vec<String> = setting
        .iter()
        .map(|&literal| {
            let (control, position) = circuit.literal_words(literal);
            format!("{control} is {position}")
        })
        .collect();
    match words.as_slice() {
        [] => "in every setting".to_owned(),
        [one] => format!("when {one}"),
        [rest @ .., last] => format!("when {} and {last}", rest.join(", ")),
    }
}

/// `booster.A`.
pub fn pole(circuit: &Circuit, (source, pole): (usize, usize)) -> String {
    format!("{}.{}", circuit.sources[source].name, ["A", "B"][pole])
}

/// `left` or `right`.
pub fn side(side: usize) -> &'static str {
    ["left", "right"][side]
}

/// A length in words.
pub fn metres(x: f64) -> String {
    show_length(Metres(x))
}

/// A proof's witness as the findings show it: positions, and the path in named pieces, each once, without
/// the joints and taps between them.
pub fn witness(circuit: &Circuit, found: &proof::Witness) -> Witness {
    Witness { setting: setting(circuit, &found.setting), path: path(circuit, found) }
}

/// Positions in words.
pub fn setting(circuit: &Circuit, setting: &[Literal]) -> Vec<(String, String)> {
    setting.iter().map(|&l| circuit.literal_words(l)).collect()
}

/// A path in named pieces.
pub fn path(circuit: &Circuit, found: &proof::Witness) -> Vec<String> {
    let end = |node: Option<&u32>| node.and_then(|&n| pole_name(circuit, n));
    let mut pieces: Vec<String> = end(found.nodes.first()).into_iter().collect();
    for &edge in &found.edges {
        let edge = &circuit.edges[edge as usize];
        let plumbing =
            matches!(edge.kind, EdgeKind::Tap | EdgeKind::SolderedJoint | EdgeKind::SlidingJoint | EdgeKind::Source)
                || (edge.kind == EdgeKind::BusWire && edge.name.contains(" to "));
        if !plumbing && pieces.last() != Some(&edge.name) {
            pieces.push(edge.name.clone());
        }
    }
    if found.nodes.len() > 1 {
        pieces.extend(end(found.nodes.last()));
    }
    pieces
}

fn pole_name(circuit: &Circuit, node: u32) -> Option<String> {
    let named = circuit.breakers.iter().any(|b| b.node.contains(&node));
    named.then(|| circuit.nodes[node as usize].name.clone())
}

/// `dock 1, dock 2 and dock 3`.
pub fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// Words filled into lines that end before column `width`. The first is taken to start at column `indent`,
/// and those after it do.
pub fn filled(text: &str, width: usize, indent: usize) -> String {
    let mut out = String::new();
    let mut column = indent;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if column > indent && column + 1 + length > width {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
        } else if column > indent {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}
