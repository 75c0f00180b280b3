//! Checks against outside tools and published tables.
//!
//! The demo plans are held against things this project did not make: a general graph library that
//! walks every setting one by one, and a general circuit simulator that solves the exported netlist.
//! The checks themselves are the tests of this crate (`tests/outside`); a tool that is not on the
//! machine makes its checks *ignored*, which the test run shows, and an error where
//! `GAPWRIGHT_ALL_CHECKS` is set. What takes long is ignored too, and run by `cargo test -- --ignored`.

pub mod bare;
pub mod drawn;
pub mod generator;
pub mod ladders;
pub mod long_plans;
pub mod museum;
pub mod rewrite;
pub mod shapes;

use circuit::Circuit;
use plan::PlanReading;
use std::path::{Path, PathBuf};

/// A plan of the repository with its circuit.
pub struct Demo {
    /// The name of its folder.
    pub name: String,
    /// Its text.
    pub text: String,
    /// The plan.
    pub reading: PlanReading,
    /// Its circuit.
    pub circuit: Circuit,
}

/// The folder of the demo plans.
pub fn plans_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../plans")
}

/// Every demo plan, by name.
///
/// # Errors
/// When a file cannot be read, or a plan has reading errors.
pub fn demos() -> Result<Vec<Demo>, String> {
    let folder = plans_folder();
    let entries = std::fs::read_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut demos = Vec::new();
    for entry in entries {
        let entry = entry.map_err(|e| e.to_string())?;
        let path = entry.path().join("plan.toml");
        if path.is_file() {
            let text = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
            demos.push(demo(&entry.file_name().to_string_lossy(), text)?);
        }
    }
    demos.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(demos)
}

/// A plan's text with its circuit.
///
/// # Errors
/// When it has reading errors.
pub fn demo(name: &str, text: String) -> Result<Demo, String> {
    let reading = plan::read(&text);
    if !reading.understood() {
        return Err(format!("{name}: {:#?}", reading.findings));
    }
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    Ok(Demo { name: name.to_owned(), text, reading, circuit })
}

/// Every setting of a circuit's controls that there is, one position each: all combinations but those that never happen.
pub fn settings(circuit: &Circuit) -> impl Iterator<Item = Vec<u8>> {
    let counts: Vec<u32> = circuit.controls.iter().map(|c| c.positions.len() as u32).collect();
    let all: u32 = counts.iter().product();
    (0..all).filter_map(move |mut number| {
        let mut digits = Vec::with_capacity(counts.len());
        for count in &counts {
            digits.push((number % count) as u8);
            number /= count;
        }
        let positions: Vec<Option<u8>> = digits.iter().map(|&d| Some(d)).collect();
        circuit.is_legal(&positions).then_some(digits)
    })
}
