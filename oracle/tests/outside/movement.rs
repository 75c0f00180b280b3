//! Throw wires, buckling and held rails against finite elements and solvers of general Python packages (scikit-fem, scipy,
//! sectionproperties), which know none of the formulas. `movement.py` beside this file takes cases as JSON and gives
//! answers as JSON.

use crate::enumeration::require;
use handbook::materials::rail_metal;
use handbook::rails::{RailProfile, rails};
use libtest_mimic::{Failed, Trial};
use movement::buckling::{BucklingShape, HeldSideways, euler_strain, foundation_load};
use movement::force::end_movement;
use movement::throw::{LowerEnd, ThrowWire, second_moment};
use serde_json::{Value, json};
use std::io::Write as _;
use std::process::{Command, Stdio};

pub fn trials() -> Vec<Trial> {
    let ignored = ignored();
    let trial = |name: &str, run: fn() -> Result<(), Failed>| Trial::test(name, run).with_ignored_flag(ignored);
    vec![
        trial("movement::throw_wires_by_finite_elements", throw_wires),
        trial("movement::buckling_by_finite_elements", buckling),
        trial("movement::gripped_rails_by_least_energy", gripped_rails),
        trial("movement::track_held_sideways_by_its_differential_equation", held_sideways),
        trial("movement::rail_sections_by_a_mesher", sections),
        trial("movement::wrong_formulas_are_noticed", wrong_formulas),
    ]
}

/// Without the packages the checks are shown as ignored, not as passed; where all checks are asked for, they fail.
fn ignored() -> bool {
    let packages = ["-c", "import skfem, scipy, sectionproperties"];
    let there = Command::new("python3").args(packages).output().is_ok_and(|o| o.status.success());
    !there && std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_none()
}

/// Runs the cases; gives an answer for each.
fn answers(cases: &[Value]) -> Result<Vec<Value>, Failed> {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/outside/movement.py");
    let mut python = Command::new("python3")
        .args(["-B", script])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|e| format!("python3: {e}"))?;
    let input = serde_json::to_vec(cases).map_err(|e| e.to_string())?;
    // Dropped at once, so that the script sees the end of its input.
    python.stdin.take().ok_or("no input")?.write_all(&input).map_err(|e| e.to_string())?;
    let output = python.wait_with_output().map_err(|e| e.to_string())?;
    let trouble = String::from_utf8_lossy(&output.stderr);
    require(output.status.success(), || format!("the script failed:\n{trouble}"))?;
    let answers: Vec<Value> = serde_json::from_slice(&output.stdout).map_err(|e| format!("{e}\n{trouble}"))?;
    require(answers.len() == cases.len(), || format!("{} answers to {} cases", answers.len(), cases.len()))?;
    Ok(answers)
}

fn number(value: &Value) -> Result<f64, Failed> {
    Ok(value.as_f64().ok_or_else(|| format!("{value} is no number"))?)
}

fn off(ours: f64, theirs: f64) -> f64 {
    (ours - theirs).abs() / theirs.abs().max(1e-12)
}

fn near(ours: f64, theirs: f64, within: f64, what: &Value) -> Result<(), Failed> {
    require(off(ours, theirs) <= within, || format!("ours {ours}, theirs {theirs}: {what}"))
}

/// Wires of many sizes, with the travel of their arm, the throw, and the case that asks for the same.
fn wires() -> Vec<(ThrowWire, f64, f64, Value)> {
    let mut wires = Vec::new();
    for (diameter, below, above, travel) in [
        (0.8128e-3, 0.025, 0.035, 0.004),
        (0.5e-3, 0.012, 0.05, 0.006),
        (1.2e-3, 0.06, 0.02, 0.012),
        (1e-3, 0.03, 0.03, 0.009),
    ] {
        for lower_end in [LowerEnd::Clamped, LowerEnd::Pinned] {
            let wire = ThrowWire { diameter, below, above, lower_end, elasticity: 203e9 };
            let throw = 0.0016;
            let heights: Vec<f64> = [0.25, 0.5, 0.75, 1.0].iter().map(|part| part * above).collect();
            let case = json!({
                "kind": "throw_wire", "below": below, "above": above, "heights": heights,
                "bending": wire.elasticity * second_moment(diameter), "clamped": lower_end == LowerEnd::Clamped,
                "force": wire.holding_force(travel, throw), "arm": travel / 2.0,
            });
            wires.push((wire, travel, throw, case));
        }
    }
    wires
}

/// With our force on it, the wire of finite elements stands just where ours does, at the throwbar half a throw from the
/// middle.
fn throw_wires() -> Result<(), Failed> {
    let wires = wires();
    let cases: Vec<Value> = wires.iter().map(|w| w.3.clone()).collect();
    for ((wire, travel, throw, case), answer) in wires.iter().zip(answers(&cases)?) {
        for (part, theirs) in [0.25, 0.5, 0.75, 1.0].iter().zip(answer.as_array().ok_or("no list")?) {
            near(wire.stands(*travel, *throw, part * wire.above), number(theirs)?, 1e-6, case)?;
        }
        near(throw / 2.0, number(&answer[3])?, 1e-6, case)?;
    }
    Ok(())
}

fn stiffness(rail: &RailProfile) -> Result<(f64, f64), Failed> {
    let elasticity = rail_metal(rail.metal).ok_or("no such metal")?.elasticity.value.typical;
    Ok((elasticity * rail.lateral_second_moment.typical, elasticity * rail.area.typical.0))
}

/// Rail over many pins buckles as between two that let it turn, and clamped as our formula says; a long beam on an elastic
/// foundation likewise.
fn buckling() -> Result<(), Failed> {
    let mut cases = Vec::new();
    let mut ours = Vec::new();
    for rail in rails() {
        let (bending, stretching) = stiffness(rail)?;
        let [area, second] = [rail.area.typical.0, rail.lateral_second_moment.typical];
        for (spans, clamped, hold) in [(7, false, 1.0), (1, true, 0.5)] {
            let spacing = 0.12;
            cases.push(json!({
                "kind": "between_fixings", "spans": spans, "spacing": spacing, "bending": bending, "clamped": clamped,
            }));
            ours.push(stretching * euler_strain(area, second, spacing, hold));
        }
    }
    for (foundation, bending) in [(1e6, 1.0), (4e4, 0.05), (250.0, 0.02)] {
        cases.push(json!({ "kind": "on_foundation", "foundation": foundation, "bending": bending }));
        ours.push(foundation_load(foundation, bending));
    }
    for ((case, answer), ours) in cases.iter().zip(answers(&cases)?).zip(ours) {
        near(ours, number(&answer)?, 1e-4, case)?;
    }
    Ok(())
}

/// The end of a rail in its fastenings, short and long, against the least energy of a rail cut into 400 pieces.
fn gripped_rails() -> Result<(), Failed> {
    let mut cases = Vec::new();
    let mut ours = Vec::new();
    for distance in [0.3, 1.0, 3.0, 8.0] {
        for grip in [5.0, 40.0, 300.0] {
            let (strain, stiffness) = (6e-4, 268_620.0);
            cases.push(json!({
                "kind": "gripped_rail", "distance": distance, "grip": grip, "strain": strain, "stiffness": stiffness,
            }));
            ours.push(end_movement(strain, distance, grip, stiffness));
        }
    }
    for ((case, answer), ours) in cases.iter().zip(answers(&cases)?).zip(ours) {
        near(ours, number(&answer)?, 1e-4, case)?;
    }
    Ok(())
}

/// The constants of the first and of the endless shape, from the buckle's own equation: railway track and model track.
fn held_sideways() -> Result<(), Failed> {
    let mut tracks = vec![HeldSideways { bending: 2.15166e6, stiffness: 3.22854e9, sideways: 1e4, lengthways: 1e4 }];
    for rail in rails() {
        let (bending, stiffness) = stiffness(rail)?;
        tracks.push(HeldSideways { bending, stiffness, sideways: 20.0, lengthways: 8.0 });
    }
    let case = |t: &HeldSideways| {
        let at = t.least_load(BucklingShape::Endless).1;
        json!({
            "kind": "held_sideways", "bending": t.bending, "stiffness": t.stiffness, "sideways": t.sideways,
            "lengthways": t.lengthways, "from": at / 4.0, "to": at * 8.0,
        })
    };
    let cases: Vec<Value> = tracks.iter().map(case).collect();
    for ((track, case), answer) in tracks.iter().zip(&cases).zip(answers(&cases)?) {
        for (number_of, shape) in [BucklingShape::First, BucklingShape::Endless].into_iter().enumerate() {
            let (load, length) = track.least_load(shape);
            near(load, number(&answer[number_of][0])?, 1e-4, case)?;
            near(length, number(&answer[number_of][1])?, 1e-3, case)?;
        }
    }
    Ok(())
}

/// Areas and second moments of outlines drawn from the standard's height, foot and head with a web of a fifth of the height
/// and somewhat more: within the handbook's bands, 5 % to spare for fillets that are not drawn.
fn sections() -> Result<(), Failed> {
    let mut cases = Vec::new();
    let mut bands = Vec::new();
    for rail in rails() {
        for (web, foot, slope, top) in [(0.2, 0.08, 0.08, 0.25), (0.22, 0.10, 0.09, 0.28)] {
            let [height, base, head] = [rail.height, rail.base_width, rail.head_width].map(|m| m.in_millimetres());
            cases.push(json!({
                "kind": "section", "height": height, "base": base, "head": head, "web": web * height, "foot": foot,
                "slope": slope, "top": top,
            }));
            bands.push(rail);
        }
    }
    for ((case, answer), rail) in cases.iter().zip(answers(&cases)?).zip(bands) {
        let [area, second] = [number(&answer[0])?, number(&answer[1])?];
        let (areas, seconds) =
            (rail.area.map(|a| a.in_square_millimetres()), rail.lateral_second_moment.map(|i| i * 1e12));
        for (value, band) in [(area, areas), (second, seconds)] {
            require((0.95 * band.low..=1.05 * band.high).contains(&value), || {
                format!("{}: {value} is not in {band:?}: {case}", rail.name)
            })?;
        }
    }
    Ok(())
}

/// The comparisons can fail: a factor that is easily got wrong is noticed by each.
fn wrong_formulas() -> Result<(), Failed> {
    let (wire, travel, throw, _) = wires().swap_remove(0);
    let pinned = ThrowWire { lower_end: LowerEnd::Pinned, ..wire };
    let rail = &rails()[0];
    let (bending, stretching) = stiffness(rail)?;
    let [area, second] = [rail.area.typical.0, rail.lateral_second_moment.typical];
    let cases = [
        wires().swap_remove(0).3,
        json!({ "kind": "between_fixings", "spans": 7, "spacing": 0.12, "bending": bending, "clamped": false }),
        json!({ "kind": "on_foundation", "foundation": 1e6, "bending": 1.0 }),
        json!({ "kind": "gripped_rail", "distance": 1.0, "grip": 40.0, "strain": 6e-4, "stiffness": 268_620.0 }),
    ];
    let theirs = answers(&cases)?;
    let wrong = [
        // Pinned for clamped; clamped for turning; 4 for 2 under the root; friction counted whole where half of it acts.
        (pinned.stands(travel, throw, wire.above / 2.0), number(&theirs[0][1])?, 1e-6),
        (stretching * euler_strain(area, second, 0.12, 0.5), number(&theirs[1])?, 1e-4),
        (foundation_load(2e6, 1.0), number(&theirs[2])?, 1e-4),
        (6e-4 - 40.0 / 268_620.0, number(&theirs[3])?, 1e-4),
    ];
    for (ours, theirs, within) in wrong {
        require(off(ours, theirs) > 10.0 * within, || format!("{ours} for {theirs} would not have been noticed"))?;
    }
    Ok(())
}
