//! Rules of the house that a program can hold: short files, current docs, nothing that belongs to one
//! machine.

use std::path::{Path, PathBuf};

/// A file longer than this wants to be two.
const LONGEST_FILE: usize = 420;

/// Holds the repository to its rules.
pub fn check(root: &Path) -> Result<String, String> {
    let mut faults = Vec::new();
    for (path, text) in crate::generate::files() {
        if std::fs::read_to_string(root.join(&path)).unwrap_or_default() != text {
            faults.push(format!("{} is not current; run `cargo xtask docs`", path.display()));
        }
    }
    let mut files = Vec::new();
    for folder in ["crates", "oracle", "xtask", "plans", "docs", "fuzz/fuzz_targets"] {
        walk(&root.join(folder), &mut files);
    }
    for path in &files {
        let Ok(text) = std::fs::read_to_string(path) else { continue };
        let name = path.strip_prefix(root).unwrap_or(path).display().to_string();
        let lines = text.lines().count();
        if name.ends_with(".rs") && lines > LONGEST_FILE {
            faults.push(format!("{name} has {lines} lines; {LONGEST_FILE} are enough"));
        }
        // Put together here so that this file does not hold them itself.
        for machine in [["/ro", "ot/"], ["/ho", "me/"], ["/wo", "rk/"], ["/t", "mp/"]] {
            let part = machine.concat();
            if text.contains(&part) {
                faults.push(format!("{name} names a place of one machine: {part}"));
            }
        }
    }
    faults.extend(upward(root));
    if faults.is_empty() { Ok(format!("{} files checked, all well", files.len())) } else { Err(faults.join("\n")) }
}

/// Rooms from the ground up: a room may use only those before it.
const ROOMS: &[&[&str]] = &[
    &["finding", "handbook", "network", "signal"],
    &["plan"],
    &["circuit"],
    &["proof", "electrics", "movement"],
    &["review"],
    &["design", "schedule"],
    &["drawing", "bench"],
    &["papers"],
    &["site"],
    &["gapwright"],
];

/// Dependencies that lead upwards or sideways.
fn upward(root: &Path) -> Vec<String> {
    let mut faults = Vec::new();
    for (floor, rooms) in ROOMS.iter().enumerate() {
        for room in *rooms {
            let manifest = std::fs::read_to_string(root.join("crates").join(room).join("Cargo.toml"));
            let Ok(manifest) = manifest else {
                faults.push(format!("there is no room `{room}`"));
                continue;
            };
            let dependencies = manifest.split("[dependencies]").nth(1).unwrap_or_default();
            let dependencies = dependencies.split("\n[").next().unwrap_or_default();
            for line in dependencies.lines() {
                let used = line.split(['.', ' ', '=']).next().unwrap_or_default();
                let above = ROOMS.iter().skip(floor).any(|rooms| rooms.contains(&used));
                if above {
                    faults.push(format!("`{room}` uses `{used}`, which does not lie below it"));
                }
            }
        }
    }
    faults
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>) {
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

#[cfg(test)]
mod tests {
    #[test]
    fn the_repository_keeps_its_rules() {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
        assert_eq!(super::check(&root).err(), None);
    }
}
