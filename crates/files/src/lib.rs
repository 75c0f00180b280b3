//! Files written whole or not at all. Whatever writes a file of the user's does it through here.

mod linked;
mod sweep;

pub use sweep::sweep;

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// What names of files begin with that this room writes beside others.
const BESIDE: &str = ".gapwright-";

/// Puts content in a file, new or in place of what it held: written beside it, flushed to the disk, then moved over it,
/// so that whoever looks, even after the power went, sees the old file or the new one, whole. Permissions stay, and a link
/// stays a link: what it leads to is replaced. A file with several names keeps them all.
///
/// # Errors
/// Those of the disk; and where the path leads to something that is no file.
pub fn write_whole(path: &Path, content: &[u8]) -> io::Result<()> {
    Prepared::new(path, content)?.finish()
}

/// The same, where the file still holds what is expected; gives false, and writes nothing, where it holds something else.
///
/// Between the last look and the move lie some microseconds, in which another program could write unseen.
///
/// # Errors
/// Those of the disk; [`io::ErrorKind::NotFound`] where the file is gone.
pub fn replace(path: &Path, expected: &[u8], content: &[u8]) -> io::Result<bool> {
    let prepared = Prepared::new(path, content)?;
    if std::fs::read(path)? != expected {
        return Ok(false);
    }
    prepared.finish()?;
    Ok(true)
}

/// Puts content in a new file, whole or not at all.
///
/// # Errors
/// Those of the disk; [`io::ErrorKind::AlreadyExists`] where there is a file already.
pub fn write_new(path: &Path, content: &[u8]) -> io::Result<()> {
    let beside = written_beside(path, content)?;
    beside.as_file().sync_all()?;
    beside.persist_noclobber(path).map_err(|e| e.error)?;
    sync_folder(path)
}

/// Whether a file may not be written to, by its permissions. Moving another file over it would go round them.
///
/// # Errors
/// Those of the disk.
pub fn is_read_only(path: &Path) -> io::Result<bool> {
    Ok(std::fs::metadata(path)?.permissions().readonly())
}

/// Flushes the folder of a file, so that its name is there after the power went.
fn sync_folder(path: &Path) -> io::Result<()> {
    #[cfg(unix)]
    std::fs::File::open(folder_of(path))?.sync_all()?;
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Content that lies flushed beside the file it is meant for, and only has to be moved over it. Dropped, it is gone.
pub struct Prepared {
    beside: tempfile::NamedTempFile,
    real: PathBuf,
    /// Whether the file has other names, which a move would leave with the old content.
    has_other_names: bool,
}

impl Prepared {
    /// Writes content beside a file and flushes it.
    ///
    /// # Errors
    /// Those of the disk; and where the path leads to something that is no file.
    pub fn new(path: &Path, content: &[u8]) -> io::Result<Prepared> {
        let (real, old) = match std::fs::canonicalize(path) {
            Ok(real) => (real.clone(), Some(std::fs::metadata(&real)?)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => (path.to_owned(), None),
            Err(error) => return Err(error),
        };
        if old.as_ref().is_some_and(|old| !old.is_file()) {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is no file"));
        }
        let beside = written_beside(&real, content)?;
        let has_other_names = old.as_ref().is_some_and(linked::has_other_names);
        if let Some(old) = old {
            beside.as_file().set_permissions(old.permissions())?;
        }
        beside.as_file().sync_all()?;
        Ok(Prepared { beside, real, has_other_names })
    }

    /// Moves the content over the file; into it, where it has other names.
    ///
    /// # Errors
    /// Those of the disk.
    pub fn finish(self) -> io::Result<()> {
        if self.has_other_names {
            return linked::write_into(self.beside, &self.real);
        }
        self.beside.persist(&self.real).map_err(|e| e.error)?;
        sync_folder(&self.real)
    }
}

/// Content in a file beside the one it is meant for. It is locked as long as it is written, so that whoever sweeps leaves it.
fn written_beside(path: &Path, content: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let folder = folder_of(path);
    let mut named = tempfile::Builder::new();
    let named = named.prefix(BESIDE);
    #[cfg(unix)]
    let mut beside = {
        use std::os::unix::fs::PermissionsExt as _;
        // As any new file: what the user's mask leaves of it.
        named.permissions(std::fs::Permissions::from_mode(0o666)).tempfile_in(folder)?
    };
    #[cfg(not(unix))]
    let mut beside = named.tempfile_in(folder)?;
    // A disk without locks has only the age of a file to tell by.
    let _ = beside.as_file().try_lock();
    beside.write_all(content)?;
    Ok(beside)
}
