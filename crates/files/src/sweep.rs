//! What a killed save leaves behind: files beside those it was meant for.

use crate::{BESIDE, folder_of};
use std::path::Path;
use std::time::Duration;

/// A file that is younger may be one of a save under way, whose lock is not seen here.
const YOUNG: Duration = Duration::from_secs(60);
/// Letters that `tempfile` puts behind the beginning of a name.
const RANDOM: usize = 6;

/// Takes away what killed saves left in the folder of a file; gives how many files. What cannot be read or taken away stays.
pub fn sweep(path: &Path) -> usize {
    let Ok(entries) = std::fs::read_dir(folder_of(path)) else { return 0 };
    let left = entries.filter_map(Result::ok).filter(|entry| {
        let name = entry.file_name();
        let ours = name.to_str().and_then(|name| name.strip_prefix(BESIDE));
        ours.is_some_and(|rest| rest.len() == RANDOM && rest.bytes().all(|b| b.is_ascii_alphanumeric()))
    });
    left.filter(|entry| is_left(&entry.path()) && std::fs::remove_file(entry.path()).is_ok()).count()
}

/// Whether nobody writes a file any more.
fn is_left(path: &Path) -> bool {
    let Ok(stat) = std::fs::symlink_metadata(path) else { return false };
    let old = stat.modified().ok().and_then(|at| at.elapsed().ok()).is_some_and(|age| age > YOUNG);
    old && stat.is_file() && std::fs::File::open(path).is_ok_and(|file| file.try_lock().is_ok())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{YOUNG, sweep};
    use std::time::{Duration, SystemTime};

    #[test]
    fn what_is_left_goes_and_all_else_stays() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let plan = at("plan.toml");
        let old = SystemTime::now() - YOUNG - Duration::from_secs(5);
        for name in ["plan.toml", ".gapwright-aB3xYz", ".gapwright-Locked", ".gapwright-notes.txt", ".other-aB3xYz"] {
            std::fs::write(at(name), "x").unwrap();
            std::fs::File::options().write(true).open(at(name)).unwrap().set_modified(old).unwrap();
        }
        std::fs::write(at(".gapwright-Young1"), "x").unwrap();
        std::fs::create_dir(at(".gapwright-folder")).unwrap();
        let held = std::fs::File::open(at(".gapwright-Locked")).unwrap();
        held.lock().unwrap();
        assert_eq!(sweep(&plan), 1);
        assert!(!at(".gapwright-aB3xYz").exists());
        drop(held);
        assert_eq!(sweep(&plan), 1, "whoever held it is gone");
        let mut left: Vec<_> =
            std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        left.sort();
        let stay = [".gapwright-Young1", ".gapwright-folder", ".gapwright-notes.txt", ".other-aB3xYz", "plan.toml"];
        assert_eq!(left, stay);
    }
}
