//! What rooms depend on: only rooms below them, and nothing that they do not use.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

/// Rooms from the ground up: a room may use only those before it.
const ROOMS: &[&[&str]] = &[
    &["files", "text", "handbook", "network", "signal"],
    &["finding"],
    &["plan"],
    &["circuit"],
    &["proof", "electrics", "movement"],
    &["analysis"],
    &["panel"],
    &["review", "report"],
    &["design", "schedule"],
    &["drawing", "commissioning", "logbook"],
    &["papers", "diagnosis"],
    &["site"],
    &["gapwright"],
];

/// The names in a section of a manifest.
fn section<'m>(manifest: &'m str, name: &str) -> impl Iterator<Item = &'m str> {
    let text = manifest.split(&format!("\n[{name}]\n")).nth(1).unwrap_or_default();
    let text = text.split("\n[").next().unwrap_or_default();
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| line.split(['.', ' ', '=']).next())
        .filter(|name| !name.is_empty())
}

/// Dependencies that lead upwards or sideways, and rooms that are on no floor.
pub fn upward(root: &Path) -> Vec<String> {
    let mut faults = Vec::new();
    for (floor, rooms) in ROOMS.iter().enumerate() {
        for room in *rooms {
            let Ok(manifest) = std::fs::read_to_string(root.join("crates").join(room).join("Cargo.toml")) else {
                faults.push(format!("there is no room `{room}`"));
                continue;
            };
            for used in section(&manifest, "dependencies") {
                if ROOMS.iter().skip(floor).any(|rooms| rooms.contains(&used)) {
                    faults.push(format!("`{room}` uses `{used}`, which does not lie below it"));
                }
            }
        }
    }
    let folders = std::fs::read_dir(root.join("crates")).into_iter().flatten().flatten();
    for room in folders.map(|folder| folder.file_name().to_string_lossy().into_owned()) {
        if !ROOMS.iter().any(|rooms| rooms.contains(&room.as_str())) {
            faults.push(format!("nothing says above which rooms `{room}` lies"));
        }
    }
    faults
}

/// Dependencies of rooms that the lock file of the fuzz targets does not know: it is a workspace of its own, which no other build
/// looks at.
pub fn not_in_fuzz_lock(root: &Path) -> Vec<String> {
    let lock = std::fs::read_to_string(root.join("fuzz/Cargo.lock")).unwrap_or_default();
    let mut faults = Vec::new();
    for package in lock.split("[[package]]").skip(1) {
        let quoted = |line: &'_ str| line.split('"').nth(1).map(str::to_owned);
        let Some(room) = package.lines().find(|line| line.starts_with("name = ")).and_then(quoted) else { continue };
        let manifest = std::fs::read_to_string(root.join("crates").join(&room).join("Cargo.toml"));
        let Ok(manifest) = manifest else { continue };
        let locked: BTreeSet<String> =
            package.lines().filter(|line| line.starts_with(' ')).filter_map(quoted).collect();
        // A name may be followed by a version, where there are two.
        let knows = |used: &str| locked.iter().any(|known| known.split(' ').next() == Some(used));
        let missing = section(&manifest, "dependencies").filter(|used| !knows(used));
        faults.extend(missing.map(|used| {
            format!("fuzz/Cargo.lock: `{room}` without `{used}`; run `cargo check --manifest-path fuzz/Cargo.toml`")
        }));
    }
    faults
}

/// Dependencies of a package that none of its files names.
pub fn unused(package: &Path) -> Vec<String> {
    let Ok(manifest) = std::fs::read_to_string(package.join("Cargo.toml")) else { return Vec::new() };
    let own = texts(package, &["src"]);
    let all = texts(package, &["src", "tests", "benches", "build.rs"]);
    let mut faults = Vec::new();
    for (name, texts) in [("dependencies", &own), ("dev-dependencies", &all)] {
        for used in section(&manifest, name) {
            let word = used.replace('-', "_");
            let named = |text: &String| {
                text.match_indices(&word).any(|(at, _)| {
                    let before = text[..at].chars().next_back();
                    let after = text[at + word.len()..].trim_start();
                    !before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '"')
                        && (after.starts_with("::") || after.starts_with(';') || after.starts_with("as "))
                })
            };
            if !texts.iter().any(named) {
                faults.push(format!("{}: nothing uses `{used}`", package.display()));
            }
        }
    }
    faults
}

/// Packages that the command asks less of than its tests do: each is built twice, with all that stands on it.
///
/// # Errors
///
/// When the package manager cannot say what is asked for.
pub fn built_twice(root: &Path) -> std::io::Result<Vec<String>> {
    let command = asked(root, &["-p", "gapwright", "-e", "normal,build"])?;
    let tests = asked(root, &["--workspace", "-e", "normal,build,dev"])?;
    Ok(asked_otherwise(&command, &tests))
}

/// Each package with its version, and what is asked of it.
fn asked(root: &Path, of: &[&str]) -> std::io::Result<BTreeSet<String>> {
    let output = Command::new("cargo")
        .args(["tree", "--locked", "--prefix", "none", "-f", "{p} with {f}"])
        .args(of)
        .current_dir(root)
        .output()?;
    if !output.status.success() {
        return Err(std::io::Error::other(String::from_utf8_lossy(&output.stderr).into_owned()));
    }
    let lines = String::from_utf8_lossy(&output.stdout);
    Ok(lines.lines().map(|line| line.trim_end_matches(" (*)").to_owned()).collect())
}

fn asked_otherwise(command: &BTreeSet<String>, tests: &BTreeSet<String>) -> Vec<String> {
    let line = |asked: &String| {
        format!("the tests ask something else of `{asked}`: it is built twice (crates/gapwright/Cargo.toml)")
    };
    command.difference(tests).map(line).collect()
}

/// The texts of a package's files, and of those that they take in by their path.
fn texts(package: &Path, places: &[&str]) -> Vec<String> {
    let mut files = Vec::new();
    places.iter().for_each(|place| crate::walk::walk(&package.join(place), &mut files));
    let mut texts = Vec::new();
    while let Some(file) = files.pop() {
        let Ok(text) = std::fs::read_to_string(&file) else { continue };
        for path in text.split("#[path = \"").skip(1).filter_map(|rest| rest.split('"').next()) {
            files.push(file.parent().unwrap_or(package).join(path));
        }
        texts.push(text);
    }
    texts
}

#[cfg(test)]
mod tests {
    #[test]
    fn what_nothing_uses_is_found() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        std::fs::create_dir(folder.path().join("src"))?;
        let manifest = "[package]\n\n[dependencies]\none-two.workspace = true\nthree = \"1\"\n";
        std::fs::write(folder.path().join("Cargo.toml"), manifest)?;
        std::fs::write(folder.path().join("src/lib.rs"), "use one_two::X; // three\nfn thirty_three() {}")?;
        let found = super::unused(folder.path());
        assert!(matches!(found.as_slice(), [one] if one.ends_with("nothing uses `three`")), "{found:?}");
        Ok(())
    }

    #[test]
    fn what_is_asked_otherwise_is_found() {
        let set = |asked: &[&str]| asked.iter().map(|a| (*a).to_owned()).collect();
        let command = set(&["one v1 with std", "two v1 with "]);
        let found = super::asked_otherwise(&command, &set(&["one v1 with std", "two v1 with alloc", "three v1 with "]));
        assert!(matches!(found.as_slice(), [one] if one.contains("`two v1 with `")), "{found:?}");
    }
}
