//! Acts about what moves: gaps over the year, throw wires.

use crate::check::width;
use crate::exit::{self, CliError, print, write_output};
use analysis::season_table::season_table_numbered;
use movement::runs::Joint;
use report::{linkage_print, season_plot, season_print};
use std::path::Path;

/// How gaps are printed.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum GapsFormat {
    /// For reading
    Table,
    /// For a spreadsheet: a line for each gap and sliding joint, units in the headers
    Csv,
    /// For looking at: a plot on one sheet of paper
    Svg,
}

/// Tells how wide to leave gaps and sliding joints.
pub fn gaps(
    path: &Path,
    day: Option<&str>,
    format: GapsFormat,
    to: Option<&Path>,
    most: usize,
) -> Result<bool, CliError> {
    // The numbers that stand on the papers.
    let numbered = |plan: &plan::Plan, circuit: &circuit::Circuit, joints: &[&Joint]| {
        let numbers = schedule::Numbers::in_order(circuit, plan);
        let of =
            |j: &&Joint| j.edge.map_or_else(|| numbers.of_gap(j.nodes[0], j.nodes[1]), |edge| numbers.of_edge(edge));
        joints.iter().map(|j| of(j).map(|number| number.to_string())).collect()
    };
    let season = season_table_numbered(&exit::read(path)?, day, numbered).map_err(|words| {
        let help = format!(
            "`gapwright check {}` tells what is wrong in the plan; docs/language.md has the keys",
            path.display()
        );
        CliError::new(words).help(help)
    })?;
    let text = match format {
        GapsFormat::Table => season_print::render(&season, if to.is_some() { 100 } else { width() }, most),
        GapsFormat::Csv => season_print::to_csv(&season),
        GapsFormat::Svg => season_plot::to_svg(&season),
    };
    write_output(&text, to)
}

/// Tells what throw wires do.
pub fn linkage(path: &Path) -> Result<bool, CliError> {
    let text = linkage_print::linkage_sheet(&exit::read(path)?, width()).map_err(|words| {
        CliError::new(words).help("docs/language.md has the keys of `throw_wire`, of `[base]` and of turnouts")
    })?;
    print(&text)?;
    Ok(true)
}
