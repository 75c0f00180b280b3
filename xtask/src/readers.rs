//! Whether every value of the handbook is read by something: a limit that no rule reads holds nobody to anything.

use std::path::Path;

/// The values of the handbook beside their source that nothing but their own tests reads: each by its name and file.
pub fn unread(root: &Path, files: &[std::path::PathBuf]) -> Vec<String> {
    let handbook = root.join("crates/handbook/src");
    let texts: Vec<(&Path, String)> = files
        .iter()
        .filter(|path| path.extension().is_some_and(|e| e == "rs"))
        .filter(|path| path.strip_prefix(root).is_ok_and(|p| p.starts_with("crates")))
        .filter(|path| path.components().any(|part| part.as_os_str() == "src"))
        .filter_map(|path| Some((path.as_path(), std::fs::read_to_string(path).ok()?)))
        .collect();
    let mut found = Vec::new();
    for (path, text) in texts.iter().filter(|(path, _)| path.starts_with(&handbook)) {
        for name in sourced(text) {
            // Its own definition is one; a doc comment is none.
            let used = texts.iter().flat_map(|(_, text)| text.lines()).filter(|line| reads(line, name)).count();
            if used < 2 {
                let file = path.strip_prefix(root).unwrap_or(path).display();
                found.push(format!("{file}: nothing reads {name}"));
            }
        }
    }
    found
}

/// The names of public values beside their source.
fn sourced(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter_map(|line| {
        let rest = line.strip_prefix("pub const ").or_else(|| line.strip_prefix("pub fn "))?;
        let (name, kind) = rest.split_once([':', '('])?;
        (kind.contains("Sourced<") && !name.starts_with("fn ")).then_some(name)
    })
}

/// Whether a line of code, no comment and no import, has this name in it.
fn reads(line: &str, name: &str) -> bool {
    let line = line.trim_start();
    let code = !["//", "use ", "pub use "].iter().any(|start| line.starts_with(start));
    let word = |c: char| c.is_alphanumeric() || c == '_';
    code && line
        .match_indices(name)
        .any(|(at, _)| !line[..at].ends_with(word) && !line[at + name.len()..].starts_with(word))
}

#[cfg(test)]
mod tests {
    use super::{reads, sourced, unread};

    #[test]
    fn a_value_that_nothing_reads_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let write = |name: &str, text: &str| {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
            std::fs::write(&path, text).expect("written");
            path
        };
        let handbook =
            "pub const READ: Sourced<Volts> = X;\npub const LEFT: Sourced<Volts> = X;\n/// LEFT is lovely.\n";
        let files = [
            write("crates/handbook/src/limits.rs", handbook),
            write("crates/review/src/rule.rs", "use handbook::LEFT;\nlet most = READ.value;\n"),
            write("crates/handbook/tests/it/limits.rs", "assert_eq!(LEFT.value, 1);\n"),
        ];
        assert_eq!(unread(folder.path(), &files), ["crates/handbook/src/limits.rs: nothing reads LEFT"]);
        assert_eq!(sourced("pub const A: Sourced<f64> = 1;\npub const B: f64 = 2.0;\n").collect::<Vec<_>>(), ["A"]);
        assert!(reads("let x = A.value;", "A") && !reads("let x = AB;", "A") && !reads("// A", "A"));
    }
}
