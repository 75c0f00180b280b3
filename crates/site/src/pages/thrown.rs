//! What one more throw changes on a drawing that stands there: sent in place of the whole page.
//!
//! A line for each thing, its cells parted by tabs: `A` the address, `N` whether the setting can hold, `T` words of the legend before and
//! now, `R` a piece of rail with its class and words, `C` a control with where it stands and goes next, `D` a piece of trackwork with
//! its words.

use crate::address::{Fields, NoView, Shown};
use crate::drawn::{self, controls_of};
use crate::opened::{Drawn, VersionView};
use circuit::ControlId;
use std::fmt::Write as _;
use text::escape_control_chars;

/// The changes from one setting to another; none where the whole page is needed.
pub(crate) fn changes(opened: &VersionView<'_>, fields: &Fields) -> Option<String> {
    let drawn = opened.drawn.as_ref()?;
    let circuit = drawn.circuit();
    let read = |fields: &Fields| -> Result<Shown, NoView> { Shown::read(fields, circuit) };
    let was = read(&Fields::read(fields.get("was")?.trim_start_matches('?').as_bytes())).ok()?;
    let now = read(fields).ok()?;
    if (was.layer, was.below, was.marks, was.zoom) != (now.layer, now.below, now.marks, now.zoom) {
        return None;
    }
    let mut out = String::new();
    let mut line = |cells: &[&str]| {
        // What is between two tabs is words, whatever a plan has in its names.
        let cells: Vec<String> = cells.iter().map(|cell| escape_control_chars(cell)).collect();
        let _ = writeln!(out, "{}", cells.join("\t"));
    };
    line(&["A", &now.address(circuit, "/", &[])]);
    line(&["N", if circuit.is_legal(&now.positions) { "holds" } else { "never" }]);
    let [before, after] = [&was, &now].map(|shown| drawn::layer(drawn, shown).ok());
    let (before, after) = (before?, after?);
    if let (Some(before), Some(after)) = (&before, &after) {
        if before.classes != after.classes {
            return None;
        }
        if before.title != after.title {
            line(&["T", &before.title, &after.title]);
        }
        for edge in before.of.keys().chain(after.of.keys().filter(|edge| !before.of.contains_key(edge))) {
            let [b, a] = [before, after].map(|layer| (layer.of.get(edge), layer.titles.get(edge)));
            if a != b {
                let class = a.0.map_or_else(|| "rail".to_owned(), |class| format!("rail {}-{class}", after.name));
                line(&["R", &edge.index().to_string(), &class, a.1.map_or("", String::as_str)]);
            }
        }
    }
    for control in ControlId::all(circuit.controls.len()) {
        let (name, stands) = now.words(circuit, control);
        if was.words(circuit, control).1 != stands {
            line(&["C", name, stands, now.thrown(circuit, control).words(circuit, control).1]);
            works(drawn, &now, control, &mut line);
        }
    }
    Some(out)
}

/// The pieces of trackwork that are thrown by a control.
fn works(drawn: &Drawn<'_>, shown: &Shown, control: ControlId, line: &mut impl FnMut(&[&str])) {
    let circuit = drawn.circuit();
    for work in &drawn.above.works {
        if controls_of(drawn, work.kind, work.index).first() == Some(&control) {
            line(&["D", &work.name, &drawn::throw_words(circuit, shown, control, &work.name)]);
        }
    }
}
