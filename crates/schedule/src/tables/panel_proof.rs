//! What was proved of a panel, and what is wrong or open.

use super::Sheets;
use super::panel_words::{coil_words, fired_at_once};
use panel::WiredPanel;
use panel::energy::energy;
use panel::fired::NoRoute;
use panel::parts::PartKind;
use panel::sneak::SneakFault;
use panel::wiring::SupplyMatrix;

fn button_names(wired: &WiredPanel, matrix: &SupplyMatrix, pressed: &[usize]) -> String {
    let names: Vec<&str> = pressed.iter().map(|&b| wired.parts.parts[matrix.buttons[b]].name.as_str()).collect();
    names.join(" and ")
}

/// What was proved of its matrices, a sentence each.
pub(super) fn proved(sheets: &Sheets<'_>, wired: &WiredPanel) -> Vec<String> {
    let plan = sheets.job.facts.plan;
    let mut said = Vec::new();
    for matrix in &wired.matrices {
        let supply = &plan.supply[matrix.supply].name.value;
        let diodes = matrix.matrix.diodes.len();
        if matrix.faults.as_ref().is_some_and(Vec::is_empty) {
            said.push(format!(
                "Proved for the wires and diodes of these lists, over every set of buttons pressed at once: each coil on {supply} \
                 fires when one of its own buttons is pressed, and never otherwise. No current takes a way round."
            ));
        }
        let least = if matrix.matrix.least { "Fewer will not do" } else { "Whether fewer would do is not known" };
        let mut words = format!(
            "{diodes} {} for {supply}. {least} without extra junctions",
            if diodes == 1 { "diode" } else { "diodes" }
        );
        if matrix.chained_diodes < diodes {
            words.push_str(&format!(
                " and with one diode before each coil at most; `diodes = \"chained\"` in the plan takes {}, and more of the voltage",
                matrix.chained_diodes
            ));
        }
        said.push((words + ".").replace('`', ""));
    }
    said
}

/// What is wrong or open, a sentence each.
pub(super) fn open(sheets: &Sheets<'_>, wired: &WiredPanel) -> Vec<String> {
    let facts = &sheets.job.facts;
    let parts = &wired.parts;
    let mut said = Vec::new();
    for matrix in &wired.matrices {
        let supply = &facts.plan.supply[matrix.supply].name.value;
        match &matrix.faults {
            None => said.push(format!("The matrix on {supply} is too tangled to be proved: do not build it.")),
            Some(faults) => said.extend(faults.iter().map(|fault| match fault {
                SneakFault::Sneak { coil, pressed, .. } => format!(
                    "DO NOT BUILD: {} fires {} although it should not.",
                    button_names(wired, matrix, pressed),
                    coil_words(sheets, &[matrix.coils[*coil]])
                ),
                SneakFault::Missing { coil, button } => format!(
                    "DO NOT BUILD: {} does not fire {}.",
                    button_names(wired, matrix, &[*button]),
                    coil_words(sheets, &[matrix.coils[*coil]])
                ),
                SneakFault::Short { .. } => format!("DO NOT BUILD: {supply} is shorted."),
            })),
        }
        let both = (0..matrix.buttons.len()).any(|a| {
            (0..a).any(|b| {
                let of = |n: usize| fired_at_once(wired, matrix, matrix.buttons[n]);
                of(a).iter().any(|x| of(b).iter().any(|y| x.0.motor == y.0.motor && x.0.position != y.0.position))
            })
        });
        if both {
            said.push("Press one button at a time: some pairs of them pull a motor both ways at once.".to_owned());
        }
    }
    for matrix in &wired.matrices {
        let supply = &facts.plan.supply[matrix.supply].name.value;
        let lacks = |part: &usize| {
            energy(facts.plan, matrix.supply, &fired_at_once(wired, matrix, *part)).is_enough() == Some(false)
        };
        let weak: Vec<&str> =
            matrix.buttons.iter().filter(|p| lacks(p)).map(|&p| parts.parts[p].name.as_str()).collect();
        if !weak.is_empty() {
            said.push(format!(
                "{supply} cannot throw all coils of a button at once: {}. Fit more capacitance, or fewer coils to a button.",
                weak.join("; ")
            ));
        }
    }
    if let Some(why) = &wired.refused {
        said.push(format!("No matrix was made: {why}."));
    }
    for part in &parts.parts {
        let PartKind::Button(act) = &part.kind else { continue };
        if let (Some(why), Some(ends)) = (act.no_route, act.route) {
            let [from, to] = ends.map(|track| &facts.plan.track[track].name.value);
            let why = match why {
                NoRoute::None => "no route runs over both",
                NoRoute::NothingToSet => "nothing is to be set between them",
                NoRoute::Several(_) => "several routes join them, and the plan does not say which",
            };
            said.push(format!("Button {} sets no route from {from} to {to}: {why}.", part.name));
        }
        if !act.twice.is_empty() {
            let names: Vec<&str> = act.twice.iter().map(|&c| facts.circuit.controls[c].name.as_str()).collect();
            said.push(format!(
                "Button {} would set {} in two positions at once: it has no wires.",
                part.name,
                names.join(", ")
            ));
        }
    }
    for (index, part) in parts.parts.iter().enumerate() {
        if let PartKind::Lamp(_) = part.kind
            && !wired.wires.iter().any(|w| matches!(w.ends[0], panel::PanelEnd::Part(p, _) if p == index))
        {
            said.push(format!("Lamp {} has no wires: say in the plan what its two ends are wired to.", part.name));
        }
    }
    let named = |list: &[usize]| list.iter().map(|&i| parts.parts[i].name.as_str()).collect::<Vec<_>>().join(", ");
    if !parts.off_edge.is_empty() {
        said.push(format!("No room on the panel: {}.", named(&parts.off_edge)));
    }
    for pair in &parts.too_near {
        said.push(format!("Too near to each other for their holes: {}.", named(pair)));
    }
    if parts.parts.iter().any(|p| p.said.is_none() && matches!(p.kind, PartKind::Button(_))) {
        said.push("Buttons that are assumed have no wires: write them into the plan once you want them.".to_owned());
    }
    if !parts.not_set.is_empty() {
        said.push(format!("Nothing electric throws {}: it has no button.", parts.not_set.join(", ")));
    }
    said
}
