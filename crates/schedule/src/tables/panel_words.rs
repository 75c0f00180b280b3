//! Words that tables of panels share.

use super::Sheets;
use crate::choices::Units;
use handbook::panel::{PANEL_HOLES, PanelHole};
use handbook::quantity::show_length;
use panel::wiring::SupplyMatrix;
use panel::{MotorCoil, WiredPanel};

/// A hole as it is drilled: to a tenth of a millimetre, or the next drill of the sixty-fourths of an inch that is no less.
pub fn drill(units: Units, metres: f64) -> String {
    if units == Units::Metric {
        let text = format!("{:.1}", units.in_short(metres));
        return format!("{} mm", text.strip_suffix(".0").unwrap_or(&text));
    }
    let mut parts = (units.in_short(metres) * 64.0 - 1e-3).ceil().max(1.0) as u64;
    let mut of = 64;
    while parts.is_multiple_of(2) && of > 1 {
        (parts, of) = (parts / 2, of / 2);
    }
    match (parts / of, parts % of) {
        (whole, 0) => format!("{whole} in"),
        (0, part) => format!("{part}/{of} in"),
        (whole, part) => format!("{whole} {part}/{of} in"),
    }
}

/// The positions that a button sets.
pub(super) fn positions(sheets: &Sheets<'_>, act: &panel::fired::ButtonAct) -> String {
    let circuit = &sheets.job.facts.circuit;
    let word = |(control, position): (&circuit::ControlId, &u8)| {
        let control = &circuit.controls[*control];
        format!("{} {}", control.name, control.positions[usize::from(*position)])
    };
    act.set.iter().map(word).collect::<Vec<_>>().join(", ")
}

/// Coils, each by its motor and the position it throws that into.
pub(super) fn coil_words(sheets: &Sheets<'_>, coils: &[MotorCoil]) -> String {
    let plan = sheets.job.facts.plan;
    let word = |c: &MotorCoil| {
        let positions = circuit::drives::positions(plan, c.motor);
        format!("{} {}", plan.motor[c.motor].name.value, positions[usize::from(c.position.min(1))])
    };
    coils.iter().map(word).collect::<Vec<_>>().join(", ")
}

/// The coils of a button that hang on one matrix, with the diodes before each.
pub(super) fn fired_at_once(wired: &WiredPanel, matrix: &SupplyMatrix, part: usize) -> Vec<(MotorCoil, usize)> {
    let Some(button) = matrix.buttons.iter().position(|&b| b == part) else { return Vec::new() };
    let own = matrix.coils.iter().zip(&matrix.wanted).filter(|(_, asked)| asked.contains(&button));
    own.map(|(&coil, _)| (coil, wired.in_row(matrix, coil))).collect()
}

/// What to drill for the parts of a panel.
pub fn holes(units: Units) -> String {
    let drill = |hole: &PanelHole| match units {
        Units::Metric => show_length(hole.metric),
        Units::Imperial => format!("{} in", hole.inch),
    };
    let each: Vec<String> = PANEL_HOLES.value.iter().map(|hole| format!("{}: {}", hole.part, drill(hole))).collect();
    format!(
        "Usual holes in a panel ({}): {}. Measure the thread of your part first, and try the drill in an offcut.",
        PANEL_HOLES.source,
        each.join("; ")
    )
}
