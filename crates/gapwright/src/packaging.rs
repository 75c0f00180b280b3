//! What packages of the program hold beside it: manual pages and completions for shells, made from the command's own help.

use crate::exit::CliError;
use clap::ValueEnum as _;
use clap_complete::Shell;
use std::path::Path;

/// Writes manual pages into `man` and completions into `completions` of a folder.
pub fn write(folder: &Path, mut command: clap::Command) -> Result<bool, CliError> {
    let (man, completions) = (folder.join("man"), folder.join("completions"));
    let failed = |error: std::io::Error| CliError::new(format!("cannot write into `{}`: {error}", folder.display()));
    std::fs::create_dir_all(&man).map_err(failed)?;
    std::fs::create_dir_all(&completions).map_err(failed)?;
    clap_mangen::generate_to(command.clone(), &man).map_err(failed)?;
    for shell in Shell::value_variants() {
        clap_complete::generate_to(*shell, &mut command, "gapwright", &completions).map_err(failed)?;
    }
    Ok(true)
}
