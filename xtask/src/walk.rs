//! Files of the repository.

use std::path::{Path, PathBuf};

/// All files below a folder, in order.
pub(crate) fn walk(folder: &Path, files: &mut Vec<PathBuf>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| e.ok().map(|e| e.path())).collect();
    paths.sort();
    for path in paths {
        // What is installed there is not the repository's.
        if path.ends_with("node_modules") {
            continue;
        }
        if path.is_dir() {
            walk(&path, files);
        } else {
            files.push(path);
        }
    }
}
