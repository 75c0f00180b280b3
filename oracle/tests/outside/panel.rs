//! Panels as other programs read them: the file for a drilling machine with a general DXF library of Python (`ezdxf`), the sheets at true
//! size measured back from the PDF by poppler's renderer.
//!
//! What is due comes from the plan's text alone: the places and the holes that it says.

use crate::enumeration::require;
use crate::papers::{is_there, run};
use libtest_mimic::{Failed, Trial};
use schedule::{Choices, PageSize};
use serde_json::Value;
use std::process::Command;

pub fn trials() -> Vec<Trial> {
    let all = std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_some();
    let python = Command::new("python3").args(["-c", "import ezdxf"]).output().is_ok_and(|o| o.status.success());
    let poppler = is_there("pdftocairo", "-v") && is_there("pdfinfo", "-v");
    vec![
        Trial::test("panel::a_dxf_library_reads_every_hole", read_dxf).with_ignored_flag(!python && !all),
        Trial::test("panel::holes_on_the_sheet_are_where_the_plan_says", measured).with_ignored_flag(!poppler && !all),
    ]
}

/// A panel with names in several scripts and holes of every size that the handbook knows; it is wider than a sheet.
const HOLES: [(f64, f64, f64); 7] = [
    (20.0, 30.0, 3.0),
    (45.0, 30.0, 5.0),
    (75.0, 30.0, 6.0),
    (110.0, 30.0, 12.0),
    (150.0, 30.0, 16.2),
    (230.5, 30.0, 22.3),
    (300.25, 90.0, 30.5),
];
const NAMES: [&str; 7] = ["a, b", "\\\"c\\\"", "Żwirowa", "道 1", "five", "6", "seven; 7"];

fn plan() -> String {
    let buttons: Vec<String> = HOLES
        .iter()
        .zip(NAMES)
        .map(|((x, y, hole), name)| {
            format!("  {{ name = \"{name}\", sets = [\"T1 through\"], at = {{ left = \"{x} mm\", top = \"{y} mm\" }}, hole = \"{hole} mm\" }},")
        })
        .collect();
    let yard = include_str!("../../../crates/panel/tests/it/gull_sidings.toml");
    let (before, _) = yard.split_once("[[panel]]").unwrap_or((yard, ""));
    format!(
        "{before}[[panel]]\nname = \"p\"\nwidth = \"340 mm\"\nheight = \"120 mm\"\nbutton = [\n{}\n]\n",
        buttons.join("\n")
    )
}

fn files() -> Result<std::collections::BTreeMap<String, Vec<u8>>, Failed> {
    let text = plan();
    let reading = plan::read(&text);
    require(reading.understood(), || format!("{:#?}", reading.findings))?;
    let choices = Choices { page: PageSize::A4, ..Choices::default() };
    let (binder, _, _) = ::papers::binder_of_plan(&text, reading, choices, &[], None);
    Ok(::papers::files(&binder).map_err(|e| e.to_string())?)
}

fn near(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within
}

fn read_dxf() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let path = folder.path().join("p.dxf");
    let files = files()?;
    let bytes = files.get("panel-drilling.dxf").ok_or("no file for a machine")?;
    require(bytes.is_ascii(), || "not plain text".to_owned())?;
    std::fs::write(&path, bytes).map_err(|e| e.to_string())?;
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/outside/panel.py");
    let told = run(Command::new("python3").args(["-B", script]).arg(&path))?;
    let told: Value = serde_json::from_str(&told).map_err(|e| format!("{e}: {told}"))?;
    require(told["version"] == "AC1009", || format!("{}", told["version"]))?;
    require(told["errors"].as_array().is_some_and(Vec::is_empty), || format!("{}", told["errors"]))?;
    let circles = told["circles"].as_array().ok_or("no circles")?;
    require(circles.len() == HOLES.len(), || format!("{} circles", circles.len()))?;
    for (circle, (x, y, hole)) in circles.iter().zip(HOLES) {
        let value = |at: usize| circle[at].as_f64().unwrap_or(f64::NAN);
        let due = [x, 120.0 - y, hole / 2.0];
        require((0..3).all(|at| near(value(at), due[at], 1e-3)), || format!("{circle} for {due:?}"))?;
    }
    require(told["lines"].as_array().is_some_and(|l| l.len() == 4), || format!("{}", told["lines"]))?;
    let names: Vec<&str> = told["texts"].as_array().ok_or("no words")?.iter().filter_map(Value::as_str).collect();
    let due: Vec<String> = NAMES.iter().map(|n| n.replace("\\\"", "\"")).collect();
    require(names == due, || format!("{names:?} for {due:?}"))
}

/// Numbers of a text, whatever stands between them.
fn numbers(text: &str) -> Vec<f64> {
    let apart = |c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | 'e'));
    text.split(apart).filter_map(|n| n.parse().ok()).collect()
}

/// What stands behind a name in a tag.
fn attribute<'t>(tag: &'t str, name: &str) -> Option<&'t str> {
    let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
    rest.split('"').next()
}

/// Circles as poppler's cairo writes them, four curves or more and its transformation; the middle and the diameter in millimetres of
/// each that lies on the sheet. What a sheet cuts off is in the file all the same.
fn circles(svg: &str) -> Vec<[f64; 3]> {
    let mm = 25.4 / 72.0;
    let sheet = attribute(svg, "viewBox").map(numbers).unwrap_or_default();
    let [_, _, sheet_width, sheet_height] = sheet[..] else { return Vec::new() };
    let mut found = Vec::new();
    for tag in svg.split("<path").skip(1).filter_map(|rest| rest.split('>').next()) {
        let Some(path) = attribute(tag, "d").filter(|d| d.matches('C').count() >= 4 && !d.contains('L')) else {
            continue;
        };
        let matrix = attribute(tag, "transform").map_or(vec![1.0, 0.0, 0.0, 1.0, 0.0, 0.0], numbers);
        let [scale, 0.0, 0.0, scale_y, left, top] = matrix[..] else { continue };
        let points = numbers(path);
        let span = |first: usize, scale: f64, off: f64| {
            let values = points.iter().skip(first).step_by(2).map(|v| v * scale + off);
            values.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], v| [a.min(v), b.max(v)])
        };
        let (x, y) = (span(0, scale, left), span(1, scale_y, top));
        let on_sheet = x[0] >= 0.0 && x[1] <= sheet_width && y[0] >= 0.0 && y[1] <= sheet_height;
        if on_sheet && near(x[1] - x[0], y[1] - y[0], 0.02) {
            found.push([(x[0] + x[1]) / 2.0 * mm, (y[0] + y[1]) / 2.0 * mm, (x[1] - x[0]) * mm]);
        }
    }
    found
}

/// The holes of the drilling sheets, sheet by sheet: each that is wholly on one has its size and its distance from every other within a
/// tenth of a millimetre.
fn measured() -> Result<(), Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let path = folder.path().join("panel.pdf");
    let files = files()?;
    std::fs::write(&path, files.get("panel.pdf").ok_or("no booklet")?).map_err(|e| e.to_string())?;
    let info = run(Command::new("pdfinfo").arg(&path))?;
    let pages: usize =
        info.lines().find_map(|l| l.strip_prefix("Pages:")?.trim().parse().ok()).ok_or("no count of pages")?;
    let mut seen = [false; HOLES.len()];
    let mut sheets = 0;
    for page in 1..=pages {
        let number = page.to_string();
        let words = run(Command::new("pdftotext").args(["-f", &number, "-l", &number]).arg(&path).arg("-"))?;
        if !words.contains("drill to the size beside each hole") {
            continue;
        }
        let svg = folder.path().join("page.svg");
        run(Command::new("pdftocairo").args(["-svg", "-noshrink", "-f", &number, "-l", &number]).arg(&path).arg(&svg))?;
        let svg = std::fs::read_to_string(&svg).map_err(|e| e.to_string())?;
        let found = circles(&svg);
        let mut on_sheet: Vec<(usize, [f64; 3])> = Vec::new();
        for (n, (_, _, hole)) in HOLES.iter().enumerate() {
            on_sheet.extend(found.iter().find(|c| near(c[2], *hole, 0.1)).map(|c| (n, *c)));
        }
        sheets += usize::from(!on_sheet.is_empty());
        for (n, circle) in &on_sheet {
            seen[*n] = true;
            for (m, other) in &on_sheet {
                let (due, is) = (
                    [HOLES[*n].0 - HOLES[*m].0, HOLES[*n].1 - HOLES[*m].1],
                    [circle[0] - other[0], circle[1] - other[1]],
                );
                require(near(due[0], is[0], 0.1) && near(due[1], is[1], 0.1), || {
                    format!("page {page}: {is:?} mm apart, due {due:?}")
                })?;
            }
        }
    }
    require(seen == [true; HOLES.len()] && sheets > 1, || format!("{sheets} sheets, {seen:?}"))
}
