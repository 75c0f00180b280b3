//! Acts about what moves: gaps over the year.

use crate::check::width;
use crate::exit::{self, Trouble, put};
use review::season_table::season_table;
use review::{season_plot, season_print};
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
) -> Result<bool, Trouble> {
    let season = season_table(&exit::read(path)?, day).map_err(|words| {
        let help = format!(
            "`gapwright check {}` tells what is wrong in the plan; docs/language.md has the keys",
            path.display()
        );
        Trouble::new(words).help(help)
    })?;
    let text = match format {
        GapsFormat::Table => season_print::render(&season, if to.is_some() { 100 } else { width() }, most),
        GapsFormat::Csv => season_print::to_csv(&season),
        GapsFormat::Svg => season_plot::to_svg(&season),
    };
    put(&text, to)
}
