//! Acts about what moves: gaps over the year, throw wires.

use crate::check::{next, width};
use crate::exit::{self, CliError, print, write_output};
use analysis::Analysis;
use analysis::season_table::air_from_words;
use movement::runs::Joint;
use report::{linkage_print, season_plot, season_print};
use std::path::Path;

/// What is said where a plan with errors is asked for what moves.
const UNREAD: &str = "the plan has errors; nothing can be worked out from it";

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
    let help = |words: String| {
        let check = format!("`gapwright check {}` tells what is wrong in the plan", path.display());
        CliError::new(words).help(format!("{check}; docs/language.md has the keys"))
    };
    let bytes = exit::read(path)?;
    let day = day.map(air_from_words).transpose().map_err(|why| help(why.to_string()))?;
    let (text, reading) = exit::read_plan(&bytes);
    if !reading.understood() {
        return Err(help(UNREAD.to_owned()));
    }
    let facts = Analysis::of(&text, &reading.plan, &reading.names);
    let season = facts.season_table_numbered(day, numbered).map_err(|why| help(why.to_string()))?;
    let text = match format {
        GapsFormat::Table if to.is_some() => season_print::render(&season, 100, most),
        GapsFormat::Table => {
            let air = if reading.plan.units() == handbook::quantity::Units::Imperial {
                "72 °F, 45 %"
            } else {
                "22 °C, 45 %"
            };
            let asked = format!("gapwright gaps {} --day \"{air}\"", path.display());
            season_print::render(&season, width(), most)
                + &next(&format!("{asked} tells the widths for the day you cut"))
        }
        GapsFormat::Csv => season_print::to_csv(&season),
        GapsFormat::Svg => season_plot::to_svg(&season),
    };
    write_output(&text, to)
}

/// Tells what throw wires do.
pub fn linkage(path: &Path) -> Result<bool, CliError> {
    let help = |words: String| {
        CliError::new(words).help("docs/language.md has the keys of `throw_wire`, of `[base]` and of turnouts")
    };
    let (text, reading) = exit::read_plan(&exit::read(path)?);
    if !reading.understood() {
        return Err(help(UNREAD.to_owned()));
    }
    let facts = Analysis::of(&text, &reading.plan, &reading.names);
    let text = linkage_print::linkage_sheet(&facts, width()).map_err(|why| help(why.to_string()))?;
    let orders = format!("gapwright orders {} says when to drill and bend", path.display());
    print(&(text + &next(&orders)))?;
    Ok(true)
}
