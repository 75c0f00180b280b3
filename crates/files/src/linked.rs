//! Files with several names (hard links): moving another file over one name would part it from the others, so the content is
//! written into the file itself.
//!
//! That is not whole at every moment. Until it is, the new content lies flushed beside the file; where a write was cut short
//! the file beside it stays and holds the whole of it.

use crate::{BESIDE, folder_of, sync_folder};
use std::fs::Metadata;
use std::io::{self, Write as _};
use std::path::Path;

#[cfg(unix)]
pub(crate) fn has_other_names(of: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    of.nlink() > 1
}

#[cfg(not(unix))]
pub(crate) fn has_other_names(_: &Metadata) -> bool {
    false
}

/// Writes what lies beside a file into it. As long as that is not done, and where it is cut short, the whole of the new content
/// has a name of its own that no sweep takes away.
pub(crate) fn write_into(beside: tempfile::NamedTempFile, real: &Path) -> io::Result<()> {
    let content = std::fs::read(beside.path())?;
    let name = real.file_name().unwrap_or_default().to_string_lossy();
    let whole = folder_of(real).join(format!("{BESIDE}whole-{name}"));
    beside.persist(&whole).map_err(|e| e.error)?;
    sync_folder(&whole)?;
    let mut file = std::fs::File::options().write(true).open(real)?;
    let length = content.len() as u64;
    let written = file.write_all(&content).and_then(|()| file.set_len(length)).and_then(|()| file.sync_all());
    if let Err(error) = written {
        let says = format!("{error}; the new text lies whole in `{}`", whole.display());
        return Err(io::Error::new(error.kind(), says));
    }
    std::fs::remove_file(&whole)
}

#[cfg(all(test, unix))]
#[allow(clippy::unwrap_used)]
mod tests {
    #[test]
    fn all_names_have_the_new_content() {
        let folder = tempfile::tempdir().unwrap();
        let [one, other] = ["one.toml", "other.toml"].map(|name| folder.path().join(name));
        std::fs::write(&one, "a longer text than the next").unwrap();
        std::fs::hard_link(&one, &other).unwrap();
        crate::write_whole(&one, b"short").unwrap();
        assert_eq!(std::fs::read(&other).unwrap(), b"short");
        assert!(crate::replace(&other, b"short", b"# longer again\n").unwrap());
        assert_eq!(std::fs::read(&one).unwrap(), b"# longer again\n");
        assert!(!crate::replace(&one, b"short", b"lost").unwrap());
        assert_eq!(std::fs::read(&one).unwrap(), b"# longer again\n");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2, "nothing is left beside them");
    }
}
