//! What there is to do from one plan to the next.

use crate::check::width;
use crate::exit::{self, CliError, write_output};
use clap::Args;
use commissioning::changes::changes;
use plan::PlanReading;
use schedule::{Choices, NumbersRecord, changes_print};
use std::path::{Path, PathBuf};

/// How changes are printed.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum ChangesFormat {
    /// For reading
    Text,
    /// For a spreadsheet
    Csv,
}

#[derive(Args)]
pub struct ChangesCommand {
    /// The plan as the layout is built
    old: PathBuf,
    /// The plan as it is to be
    new: PathBuf,
    /// The numbers of the old plan, as they were kept; where it is left out, those kept beside the old plan, else those in its
    /// order
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
    /// How to print them
    #[arg(long, value_enum, default_value_t = ChangesFormat::Text)]
    format: ChangesFormat,
    /// Write them to this file instead
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Tells what to move, cut and test so that the layout of the old plan becomes that of the new one.
pub fn run(asked: &ChangesCommand) -> Result<bool, CliError> {
    let record = asked.record.as_deref().map(record).transpose()?;
    let (old_text, old) = understood(&asked.old)?;
    let record = record.or_else(|| site::numbers::kept_for(&asked.old, &old.names));
    let (new_text, new) = understood(&asked.new)?;
    let before = analysis::Analysis::of(&old_text, &old.plan, &old.names);
    let after = analysis::Analysis::of(&new_text, &new.plan, &new.names);
    let found =
        changes(before, after, Choices::usual(&new.plan), record.as_ref()).map_err(exit::check_it(&asked.new))?;
    let text = match asked.format {
        ChangesFormat::Text => changes_print::render(&found, if asked.out.is_some() { 100 } else { width() }),
        ChangesFormat::Csv => schedule::csv::table_csv(&changes_print::table(&found)),
    };
    write_output(&text, asked.out.as_deref())
}

fn understood(path: &Path) -> Result<(String, PlanReading), CliError> {
    exit::understood(path, format!("`{}` has errors; what changes would not be true", path.display()))
}

fn record(path: &Path) -> Result<NumbersRecord, CliError> {
    let bytes = exit::read(path)?;
    let text = std::str::from_utf8(&bytes).map_err(|_| CliError::new(format!("`{}` is not text", path.display())))?;
    NumbersRecord::read(text).map_err(|error| {
        CliError::new(format!("`{}`: {error}", path.display()))
            .help("it must be the numbers as they were kept with the papers")
    })
}
