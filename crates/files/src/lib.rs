//! Files written whole or not at all. Whatever writes a file of the user's does it through here.

use std::io::{self, Write as _};
use std::path::Path;

/// Puts content in a file, new or in place of what it held: written beside it, flushed to the disk, then moved over it,
/// so that whoever looks, even after the power went, sees the old file or the new one, whole. Permissions stay, and a link
/// stays a link: what it leads to is replaced.
///
/// # Errors
/// Those of the disk; and where the path leads to something that is no file.
pub fn write_whole(path: &Path, content: &[u8]) -> io::Result<()> {
    Prepared::new(path, content)?.finish()
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
    real: std::path::PathBuf,
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
        if let Some(old) = old {
            beside.as_file().set_permissions(old.permissions())?;
        }
        beside.as_file().sync_all()?;
        Ok(Prepared { beside, real })
    }

    /// Moves the content over the file.
    ///
    /// # Errors
    /// Those of the disk.
    pub fn finish(self) -> io::Result<()> {
        self.beside.persist(&self.real).map_err(|e| e.error)?;
        Ok(())
    }
}

/// Content in a file beside the one it is meant for.
fn written_beside(path: &Path, content: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let folder = folder_of(path);
    let mut named = tempfile::Builder::new();
    let named = named.prefix(".gapwright-");
    #[cfg(unix)]
    let mut beside = {
        use std::os::unix::fs::PermissionsExt as _;
        // As any new file: what the user's mask leaves of it.
        named.permissions(std::fs::Permissions::from_mode(0o666)).tempfile_in(folder)?
    };
    #[cfg(not(unix))]
    let mut beside = named.tempfile_in(folder)?;
    beside.write_all(content)?;
    Ok(beside)
}
