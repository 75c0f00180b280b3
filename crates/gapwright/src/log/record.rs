//! The record of a layout, as a file to print and keep.

use super::{At, say, with_desk};
use crate::exit::{CliError, write_whole};
use papers::pdf;
use std::path::Path;

/// Writes the record.
pub fn record(at: &At, out: &Path) -> Result<bool, CliError> {
    let ending = out.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let as_table = match ending.as_deref() {
        Some("pdf") => false,
        Some("csv") => true,
        _ => {
            return Err(CliError::new(format!("`{}` says no kind of file", out.display()))
                .help("write `--out record.pdf` to print it, or `--out record.csv` for a spreadsheet"));
        }
    };
    with_desk(at, |desk| {
        let binder = desk.record(at.time.year(), at.time.day());
        let bytes = if as_table {
            binder.papers[0].tables().next().map_or_else(String::new, schedule::csv::table_csv).into_bytes()
        } else {
            pdf::pdf(&binder).map_err(|error| CliError::new(error.to_string()))?
        };
        if as_table && bytes.is_empty() {
            say("no test was read yet; nothing was written")?;
            return Ok(true);
        }
        write_whole(out, &bytes)?;
        say(&format!("{} written: {}", out.display(), binder.extent))?;
        Ok(true)
    })
}
