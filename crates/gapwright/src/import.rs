//! A club's spreadsheet made a plan.

use crate::exit::{self, CliError, print};
use design::sheet::{Sheets, plan_from_sheets};
use std::path::{Path, PathBuf};

/// Make a plan of a spreadsheet: tables of tracks, turnouts and wires, saved as comma-separated values
#[derive(clap::Args)]
pub struct ImportCommand {
    /// The table of tracks; its first line names the columns: name, from, to, length
    tracks: PathBuf,
    /// The plan to write; it must not exist yet
    #[arg(long, value_name = "FILE")]
    plan: PathBuf,
    /// A table of turnouts: name, and hand, number, wiring as far as they are known
    #[arg(long, value_name = "FILE")]
    turnouts: Option<PathBuf>,
    /// A table of wires: from, to, and wire, length as far as they are known
    #[arg(long, value_name = "FILE")]
    wires: Option<PathBuf>,
    /// The layout's name; the name of the plan's file where not said
    #[arg(long)]
    name: Option<String>,
    /// The layout's scale
    #[arg(long, default_value = "HO")]
    scale: String,
}

/// Reads the tables, writes the plan, and says what was assumed.
pub fn import(asked: &ImportCommand) -> Result<bool, CliError> {
    exit::must_be_new(&asked.plan)?;
    let tracks = table(&asked.tracks)?;
    let turnouts = asked.turnouts.as_deref().map(table).transpose()?;
    let wires = asked.wires.as_deref().map(table).transpose()?;
    let stem = asked.plan.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let made = plan_from_sheets(Sheets {
        tracks: &tracks,
        turnouts: turnouts.as_deref(),
        wires: wires.as_deref(),
        name: asked.name.as_deref().unwrap_or(&stem),
        scale: &asked.scale,
    })
    .map_err(|why| CliError::new(why.to_string()).help("mend the line in the spreadsheet, save it and try again"))?;
    exit::write_new(&asked.plan, made.text.as_bytes())?;
    let shown = review::terminal::quoted_argument(&asked.plan.display().to_string());
    let [tracks, turnouts] = made.counts;
    let mut out = format!("written to {shown}: {tracks} tracks, {turnouts} turnouts\n");
    if !made.assumed.is_empty() {
        out.push_str("assumed, marked in the plan; put right what is not so:\n");
        for what in &made.assumed {
            out.push_str(&format!("  - {}\n", text::escape_control_chars(what)));
        }
    }
    let wired = plan::bare::wired_already(&plan::read(&made.text).plan).is_some();
    let next = if wired { "check" } else { "wire" };
    out.push_str(&format!("next: gapwright {next} {shown}\n"));
    print(&out)?;
    Ok(true)
}

fn table(path: &Path) -> Result<String, CliError> {
    String::from_utf8(exit::read(path)?).map_err(|_| {
        CliError::new(format!("`{}` is not text in UTF-8", path.display()))
            .help("save it from the spreadsheet as CSV in UTF-8")
    })
}
