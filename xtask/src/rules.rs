//! Rules of the house that a program can hold: short files, current docs, nothing that belongs to one
//! machine.

use crate::circles::circles;
use crate::dependencies;
use crate::walk::walk;
use std::path::Path;

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
    faults.extend(crate::readers::unread(root, &files));
    for path in &files {
        let Ok(text) = std::fs::read_to_string(path) else { continue };
        let name = path.strip_prefix(root).unwrap_or(path).display().to_string();
        let lines = text.lines().count();
        if name.ends_with(".rs") && lines > LONGEST_FILE {
            faults.push(format!("{name} has {lines} lines; {LONGEST_FILE} are enough"));
        }
        let reads_plans =
            ["crates/plan/", "crates/finding/", "crates/handbook/", "xtask/"].iter().any(|room| name.starts_with(room));
        if name.ends_with(".rs") && !reads_plans && !["/tests", "/benches/"].iter().any(|place| name.contains(place)) {
            faults.extend(searched(&text).map(|line| format!("{name}:{line} looks into a display name")));
        }
        if name.ends_with(".rs") && name.starts_with("crates/") && name.contains("/src/") {
            faults.extend(crate::words::banned(&text).into_iter().map(|words| format!("{name}: {words}")));
        }
        // What becomes the language reference is read where that lies.
        if name.ends_with(".md") && !name.starts_with("xtask/") {
            faults.extend(crate::links::broken(path, &text).into_iter().map(|to| format!("{name}: no {to}")));
        }
        // Put together here so that this file does not hold them itself.
        for machine in [["/ro", "ot/"], ["/ho", "me/"], ["/wo", "rk/"], ["/t", "mp/"]] {
            let part = machine.concat();
            if text.contains(&part) {
                faults.push(format!("{name} names a place of one machine: {part}"));
            }
        }
    }
    for name in ["README.md", "CONTRIBUTING.md", "CHANGELOG.md"] {
        let text = std::fs::read_to_string(root.join(name)).unwrap_or_default();
        faults.extend(crate::links::broken(&root.join(name), &text).into_iter().map(|to| format!("{name}: no {to}")));
    }
    faults.extend(dependencies::upward(root));
    faults.extend(dependencies::not_in_fuzz_lock(root));
    faults.extend(dependencies::built_twice(root).unwrap_or_else(|error| vec![error.to_string()]));
    let rooms = std::fs::read_dir(root.join("crates")).into_iter().flatten().flatten().map(|room| room.path());
    for package in rooms.chain([root.join("oracle"), root.join("xtask")]) {
        faults.extend(dependencies::unused(&package));
        for circle in circles(&package.join("src")) {
            let files: Vec<String> = circle.iter().map(|module| module.join("/")).collect();
            faults.push(format!("{}: these import each other: {}", package.display(), files.join(", ")));
        }
    }
    if faults.is_empty() { Ok(format!("{} files checked, all well", files.len())) } else { Err(faults.join("\n")) }
}

/// Lines on which a name, or the words of a test, are searched: what a thing is, its type says.
fn searched(text: &str) -> impl Iterator<Item = usize> {
    const SHOWN: [&str; 5] = [".name", ".name.value", ".what", ".about", ".range"];
    const SEARCHES: [&str; 12] = [
        "contains(",
        "starts_with(",
        "ends_with(",
        "strip_prefix(",
        "strip_suffix(",
        "split(",
        "split_once(",
        "rsplit_once(",
        "find(",
        "rfind(",
        "match_indices(",
        "replacen(",
    ];
    let searched = |line: &str| {
        SHOWN.iter().any(|shown| SEARCHES.iter().any(|search| line.contains(&format!("{shown}.{search}"))))
    };
    text.lines().enumerate().filter(move |(_, line)| searched(line)).map(|(index, _)| index + 1)
}

#[cfg(test)]
mod tests {
    #[test]
    fn looking_into_a_name_is_noticed() {
        let text =
            "let a = edge.name.len();\nlet b = edge.name.split_once(\" to \");\nlet c = t.name.value.contains(x);";
        assert_eq!(super::searched(text).collect::<Vec<_>>(), [2, 3]);
    }

    #[test]
    fn the_repository_keeps_its_rules() {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
        assert_eq!(super::check(&root).err(), None);
    }
}
