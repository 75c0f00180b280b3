//! How the command ends, and how it tells what kept it from its work.

use std::fmt;
use std::io::{Read as _, Write as _};
use std::path::Path;
use std::process::ExitCode;

/// What kept the command from its work.
#[derive(Debug)]
pub struct Trouble {
    words: String,
    help: Option<String>,
}

impl Trouble {
    pub fn new(words: impl Into<String>) -> Trouble {
        Trouble { words: words.into(), help: None }
    }

    pub fn help(mut self, help: impl Into<String>) -> Trouble {
        self.help = Some(help.into());
        self
    }

    pub fn reading(path: &Path, error: &std::io::Error) -> Trouble {
        Trouble::new(format!("cannot read `{}`: {error}", path.display())).help("check the name and place of the file")
    }
}

/// A plan that cannot be used for what was asked; `check` tells more of it.
pub fn check_it(path: &Path) -> impl Fn(String) -> Trouble {
    move |words| Trouble::new(words).help(format!("`gapwright check {}` tells what is in the plan", path.display()))
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Words of the plan or of the command line may be among them, and a terminal must not obey those.
        write!(f, "error: {}", finding::plain(&self.words))?;
        match &self.help {
            Some(help) => write!(f, "\n  help: {}", finding::plain(help)),
            None => Ok(()),
        }
    }
}

/// Files beyond this many bytes are not read: they are no plans, or have no end.
const MOST_BYTES: usize = 16 * plan::LARGEST_PLAN;

/// Reads a file whole; a plan that is somewhat too long is left to the review, which says so.
pub fn read(path: &Path) -> Result<Vec<u8>, Trouble> {
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(|e| Trouble::reading(path, &e))?;
    let most = MOST_BYTES as u64;
    file.take(most + 1).read_to_end(&mut bytes).map_err(|e| Trouble::reading(path, &e))?;
    if bytes.len() > MOST_BYTES {
        let words = format!("`{}` has more than {} MB; no plan is so long", path.display(), MOST_BYTES >> 20);
        return Err(Trouble::new(words).help("check the name and place of the file"));
    }
    Ok(bytes)
}

/// Puts content in a file, new or in place of what it held: written beside it, flushed to the disk, then moved over it,
/// so that whoever looks sees the old file or the new one, whole.
pub fn write_whole(path: &Path, content: &[u8]) -> Result<(), Trouble> {
    let trouble = |error: std::io::Error| Trouble::new(format!("cannot write `{}`: {error}", path.display()));
    // Through links, the file they lead to is replaced, not the link.
    let (real, old) = match std::fs::canonicalize(path) {
        Ok(real) => (real.clone(), Some(std::fs::metadata(&real).map_err(trouble)?)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => (path.to_owned(), None),
        Err(error) => return Err(trouble(error)),
    };
    if old.as_ref().is_some_and(|old| !old.is_file()) {
        return Err(Trouble::new(format!("cannot write `{}`: it is no file", path.display())));
    }
    let beside = written_beside(&real, content)?;
    if let Some(old) = old {
        beside.as_file().set_permissions(old.permissions()).map_err(trouble)?;
    }
    beside.as_file().sync_all().map_err(trouble)?;
    beside.persist(&real).map_err(|e| trouble(e.error))?;
    Ok(())
}

/// Puts content in a new file, whole or not at all.
pub fn write_new(path: &Path, content: &[u8]) -> Result<(), Trouble> {
    let trouble = |error: std::io::Error| Trouble::new(format!("cannot write `{}`: {error}", path.display()));
    let beside = written_beside(path, content)?;
    beside.as_file().sync_all().map_err(trouble)?;
    beside.persist_noclobber(path).map_err(|e| trouble(e.error))?;
    Ok(())
}

/// Content in a file beside the one it is meant for.
fn written_beside(path: &Path, content: &[u8]) -> Result<tempfile::NamedTempFile, Trouble> {
    let trouble = |error: std::io::Error| Trouble::new(format!("cannot write `{}`: {error}", path.display()));
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut named = tempfile::Builder::new();
    let named = named.prefix(".gapwright-");
    #[cfg(unix)]
    let mut beside = {
        use std::os::unix::fs::PermissionsExt as _;
        // As any new file: what the user's mask leaves of it.
        named.permissions(std::fs::Permissions::from_mode(0o666)).tempfile_in(folder).map_err(trouble)?
    };
    #[cfg(not(unix))]
    let mut beside = named.tempfile_in(folder).map_err(trouble)?;
    beside.write_all(content).map_err(trouble)?;
    Ok(beside)
}

/// 0: nothing that must be mended. 1: the plan has errors. 2: the command could not do its work.
pub fn code(done: Result<bool, Trouble>) -> ExitCode {
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
pub fn print(text: &str) -> Result<(), Trouble> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Trouble::new(format!("cannot write the output: {error}")))
        }
        _ => Ok(()),
    }
}

/// Writes to a file where one is named, prints otherwise.
pub fn put(text: &str, to: Option<&Path>) -> Result<bool, Trouble> {
    match to {
        Some(to) => write_whole(to, text.as_bytes())?,
        None => print(text)?,
    }
    Ok(true)
}
