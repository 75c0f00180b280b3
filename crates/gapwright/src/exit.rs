//! How the command ends, and how it tells what kept it from its work.

use handbook::quantity::Units;
use std::fmt;
use std::io::{Read as _, Write as _};
use std::path::Path;
use std::process::ExitCode;
use std::sync::OnceLock;

/// What kept the command from its work.
#[derive(Debug)]
pub struct CliError {
    words: String,
    help: Option<String>,
}

impl CliError {
    pub fn new(words: impl Into<String>) -> CliError {
        CliError { words: words.into(), help: None }
    }

    pub fn help(mut self, help: impl Into<String>) -> CliError {
        self.help = Some(help.into());
        self
    }

    pub fn reading(path: &Path, error: &std::io::Error) -> CliError {
        CliError::new(format!("cannot read `{}`: {error}", path.display())).help("check the name and place of the file")
    }
}

/// A plan that cannot be used for what was asked; `check` tells more of it.
pub fn check_it<E: fmt::Display>(path: &Path) -> impl Fn(E) -> CliError {
    move |error| {
        CliError::new(error.to_string()).help(format!("`gapwright check {}` tells what is in the plan", path.display()))
    }
}

impl fmt::Display for CliError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Words of the plan or of the command line may be among them, and a terminal must not obey those.
        write!(f, "error: {}", text::escape_control_chars(&self.words))?;
        match &self.help {
            Some(help) => write!(f, "\n  help: {}", text::escape_control_chars(help)),
            None => Ok(()),
        }
    }
}

/// Files beyond this many bytes are not read: they are no plans, or have no end.
const MOST_BYTES: usize = 16 * plan::LARGEST_PLAN;

/// Reads a file whole; a plan that is somewhat too long is left to the review, which says so.
pub fn read(path: &Path) -> Result<Vec<u8>, CliError> {
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(|e| CliError::reading(path, &e))?;
    let most = MOST_BYTES as u64;
    file.take(most + 1).read_to_end(&mut bytes).map_err(|e| CliError::reading(path, &e))?;
    if bytes.len() > MOST_BYTES {
        let words = format!("`{}` has more than {} MB; no plan is so long", path.display(), MOST_BYTES >> 20);
        return Err(CliError::new(words).help("check the name and place of the file"));
    }
    Ok(bytes)
}

/// The units that were asked for on the command line, for everything this run says.
static UNITS: OnceLock<Units> = OnceLock::new();

/// Says everything back in these units.
pub fn say_in(units: Units) {
    // It is asked for once, before anything is read.
    let _ = UNITS.set(units);
}

/// Reads a plan's bytes; its units are those that were asked for.
pub fn read_plan(bytes: &[u8]) -> (String, plan::PlanReading) {
    let (text, reading) = plan::read_bytes(bytes);
    (text, reading.in_units(UNITS.get().copied()))
}

/// Reads a plan that must be understood whole; `otherwise` says what would be wrong to do with one that is not.
pub fn understood(path: &Path, otherwise: impl Into<String>) -> Result<(String, plan::PlanReading), CliError> {
    let (text, reading) = read_plan(&read(path)?);
    if reading.understood() { Ok((text, reading)) } else { Err(check_it(path)(otherwise.into())) }
}

/// Reads a plan that must be understood whole, and asks its analysis; `otherwise` says what would be wrong to do with one that is
/// not.
pub fn ask<T>(
    path: &Path,
    otherwise: &str,
    question: impl FnOnce(&analysis::Analysis<'_>) -> Result<T, CliError>,
) -> Result<T, CliError> {
    let (text, reading) = understood(path, otherwise)?;
    question(&analysis::Analysis::of(&text, &reading.plan, &reading.names))
}

/// Puts content in a file, new or in place of what it held, whole or not at all.
pub fn write_whole(path: &Path, content: &[u8]) -> Result<(), CliError> {
    files::write_whole(path, content).map_err(|error| writing(path, &error))
}

/// Puts content in a file in place of what was read from it. Where somebody else wrote it meanwhile nothing is written.
pub fn replace(path: &Path, read: &[u8], content: &[u8]) -> Result<(), CliError> {
    match files::is_read_only(path) {
        Ok(true) => {
            let words = format!("`{}` is read-only; nothing was written", path.display());
            return Err(CliError::new(words).help("allow writing to it, or work on a copy"));
        }
        Ok(false) => {}
        Err(error) => return Err(writing(path, &error)),
    }
    match files::replace(path, read, content) {
        Ok(true) => Ok(()),
        Ok(false) => {
            let words = format!("`{}` was changed meanwhile; nothing was written", path.display());
            Err(CliError::new(words).help("give the command again: it then works on what the file holds now"))
        }
        Err(error) => Err(writing(path, &error)),
    }
}

/// Refuses a name that is taken, where a new plan is to be written.
pub fn must_be_new(path: &Path) -> Result<(), CliError> {
    match path.symlink_metadata() {
        Ok(_) => {
            let words = format!("`{}` is there already", path.display());
            Err(CliError::new(words).help("name a new file; nothing of yours is overwritten"))
        }
        Err(_) => Ok(()),
    }
}

/// Puts content in a new file, whole or not at all.
pub fn write_new(path: &Path, content: &[u8]) -> Result<(), CliError> {
    files::write_new(path, content).map_err(|error| writing(path, &error))
}

fn writing(path: &Path, error: &std::io::Error) -> CliError {
    CliError::new(format!("cannot write `{}`: {error}", path.display()))
}

/// 0: nothing that must be mended. 1: the plan has errors. 2: the command could not do its work.
pub fn code(done: Result<bool, CliError>) -> ExitCode {
    match done {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(trouble) => {
            let mut err = std::io::stderr().lock();
            // Where even the error output is closed there is nobody left to tell.
            let _ = writeln!(err, "{trouble}");
            ExitCode::from(2)
        }
    }
}

/// Prints, without falling over a reader that has gone away.
pub fn print(text: &str) -> Result<(), CliError> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(CliError::new(format!("cannot write the output: {error}")))
        }
        _ => Ok(()),
    }
}

/// Writes to a file where one is named, prints otherwise.
pub fn write_output(text: &str, to: Option<&Path>) -> Result<bool, CliError> {
    match to {
        Some(to) => write_whole(to, text.as_bytes())?,
        None => print(text)?,
    }
    Ok(true)
}
